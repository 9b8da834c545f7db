"""The machine's own frame as programs say it, and how coarse the picture of a board may be."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from proving.test_seeded_faults import EDGE, edited, find, reasons
from small_packet import MARK, small_document, small_packet
from stockwright.packet.model import Packet
from stockwright.proving.frames import Lay
from stockwright.proving.lying import Lying
from stockwright.proving.readers import read_in_setup
from stockwright.proving.seen import seen
from stockwright.proving.spelled_out import read as read_spelled_out
from stockwright.proving.wood import slab

HEAD = "G17\nG21\nG90\nG94\n"


@pytest.mark.parametrize("reader", ["rs274-ngc", "spelled-out"])
@pytest.mark.parametrize("up", [0.0, 12.0])
def test_the_machine_frame_is_said_of_the_nose(reader: str, up: float) -> None:
    """The tip hangs below it by the cutter's length, the work's zero stands above the bed's by its own."""
    document = small_document()
    document["machine"]["zero"] = [3.0, 5.0, 190.0]
    setup = document["setups"][0]
    setup["work_origin"] = [MARK[0], MARK[1], up]
    setup["programs"][0]["reader"] = reader
    packet = Packet.model_validate(document)
    program = packet.setups[0].programs[0]
    reading = read_in_setup(packet, packet.setups[0], program, f"{HEAD}G53 G00 Z-2.000\nM05\nM30\n")
    assert reading is not None
    assert reading.unread == ()
    nose = 66.0  # of the facer: its assembly's last part begins there
    assert reading.moves.end[0][2] == pytest.approx(190.0 - 2.0 - up - nose)


def test_after_the_machine_frame_z_may_be_left_out() -> None:
    """Where it then is in the work frame nobody has said, so that nothing can lean on it."""
    lines = "G00 Z60.000\nG00 X1.000 Y2.000 Z60.000\nG53 G00 Z0.000\nG00 X5.000 Y2.000\nM05\nM30\n"
    assert read_spelled_out(HEAD + lines, (0.0, 0.0, 100.0)).unread == ()
    without = lines.replace("G53 G00 Z0.000", "G00 X1.000 Y2.000 Z100.000")
    assert "for Z" in read_spelled_out(HEAD + without, (0.0, 0.0, 100.0)).unread[0].message


def test_a_place_is_told_to_the_thousandth() -> None:
    """Of a wall that begins at an eighth of a millimetre, that is the height where wood is left."""
    document = small_document()
    document["setups"][2]["goals"][0]["z"] = [0.125, 26.0]
    reason = find(reasons(edited(EDGE, 33, "G0 X320.000 Y107.050"), document), "wall-left")
    assert reason.at is not None
    assert reason.at[2] == 0.125


@pytest.mark.parametrize("size", [(200, 190), (190, 200), (300, 60), (60, 300), (700, 20), (20, 20)])
def test_a_picture_has_no_more_blocks_than_paper_shows(size: tuple[int, int]) -> None:
    """At most 240 along the longer side and 80 across it, and no fewer than half of that without need."""
    outline = shapely.box(0.0, 0.0, *size)
    lying = Lying(slab(outline, 10.0, 0.0), Lay(np.eye(4), np.eye(4), 1, True, 0.0, 0.0), outline, outline)
    found = seen(small_packet().setups[0], lying, outline, (0.0, 10.0), 0.1, ())
    short, long = sorted(found.high.shape)
    assert long <= 240
    assert short <= 80
    assert long > 120 or short > 40 or max(size) < 240


@pytest.mark.parametrize(
    ("size", "blocks"),
    [((234, 74), (80, 240)), ((235, 74), (40, 121)), ((234, 75), (41, 120)), ((74, 234), (240, 80))],
)
def test_a_picture_has_as_many_blocks_as_paper_shows(size: tuple[int, int], blocks: tuple[int, int]) -> None:
    """With three cells around it, 240 along and 80 across are one block a cell; one more makes them two."""
    outline = shapely.box(0.0, 0.0, *size)
    lying = Lying(slab(outline, 10.0, 0.0), Lay(np.eye(4), np.eye(4), 1, True, 0.0, 0.0), outline, outline)
    assert seen(small_packet().setups[0], lying, outline, (0.0, 10.0), 0.1, ()).high.shape == blocks
