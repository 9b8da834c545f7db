"""The outline program: the spindle never turns, the cutter comes down over bare bed only."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from setups import bed_setup, edge_setup, face_setup, rectangle, shop, solid
from stockwright.cutting import cut
from stockwright.cutting.outlines import SPOT_MARGIN, covered
from stockwright.machine import Attached
from stockwright.motion.moves import moves
from stockwright.motion.nodes import Feed, Pause, Rapid, Remark, SpindleOn, UseTool
from stockwright.units import GAUGE
from sweeps import INCH, MM

if TYPE_CHECKING:
    from stockwright.planning.setup import Setup


@pytest.mark.parametrize("make", [face_setup, edge_setup, bed_setup])
@pytest.mark.parametrize("resolution", [MM, INCH])
def test_the_outline_never_turns_the_spindle(make: type[Setup], resolution: float) -> None:
    """It raises first and alone, never says to turn, walks at no more than half the greatest feed."""
    outline = cut(make(), shop(), resolution)[0]  # type: ignore[call-arg]
    acts = [node for node in outline.nodes if not isinstance(node, Remark)]
    assert isinstance(acts[0], UseTool)
    assert isinstance(acts[1], Rapid)
    assert acts[1].x is acts[1].y is None
    assert not any(isinstance(node, SpindleOn) for node in acts)
    assert max(node.feed for node in acts if isinstance(node, Feed)) <= 2500
    assert outline.purpose == "outline"


def test_the_walk_goes_round_all_that_will_be_cut() -> None:
    """The walked box holds every feed move of the following programs grown by the cutter."""
    setup = edge_setup(sides=("far", "left"))
    outline, *rest = cut(setup, shop(), MM)
    walk = next(node for node in outline.nodes if isinstance(node, Feed))
    x0, y0, x1, y1 = covered(tuple(rest))
    assert (walk.points[:, 2] == setup.clear_z).all()
    assert walk.points[:, :2].min(axis=0).tolist() == [x0, y0]
    assert walk.points[:, :2].max(axis=0).tolist() == [x1, y1]


def test_a_walk_past_the_travel_stops_at_it_and_says_so() -> None:
    """Where the rim would reach past the travel the walk is held back, with a remark."""
    setup = face_setup(at=(-170.0, 80.0))
    outline = cut(setup, shop(), MM)[0]
    walk = next(node for node in outline.nodes if isinstance(node, Feed))
    assert -200 <= walk.points[:, 0].min() <= -200 + 2 * MM
    assert any(isinstance(node, Remark) and "past the travel" in node.text for node in outline.nodes)


def test_the_height_check_keeps_away_from_everything() -> None:
    """The whole assembly, attachments included, keeps the margin from wood and solids as it comes down."""
    clamps = tuple(
        solid(f"clamp-{i}", rectangle(x, 20, x + 60, 79)) for i, x in enumerate((0.0, 150.0, 320.0))
    )
    shoe = Attached("dust shoe", ((-60, -60), (60, -60), (60, 60), (-60, 60)), -20.0, 10.0, "z", soft=True)
    around = shop(attached=(shoe,))
    setup = face_setup(solids=clamps)
    outline = cut(setup, around, MM)[0]
    columns = moves(outline)
    lowest = columns.end[np.nanargmin(columns.end[:, 2])]
    assert lowest[2] == GAUGE["mm"]
    reach = np.hypot(60, 60) + around.machine.margin + SPOT_MARGIN
    for thing in (setup.wood_outline, *(each.outline for each in clamps)):
        assert shapely.distance(shapely.Polygon(thing), shapely.Point(lowest[:2])) >= reach
    order = [type(node) for node in outline.nodes]
    assert order[order.index(Pause) - 1] is Feed
    assert order[order.index(Pause) + 1] is Rapid


def test_without_bare_bed_there_is_no_height_check() -> None:
    """Where nothing is bare, or the nose would leave its travel, the check is left out and this is said."""
    full = solid("riser", rectangle(-200, -140, 1200, 760))
    low = shop(travel=((0.0, 1400.0), (0.0, 900.0), (120.0, 200.0)))
    for setup, around in ((face_setup(solids=(full,)), shop()), (face_setup(), low)):
        outline = cut(setup, around, MM)[0]
        assert not any(isinstance(node, Pause) for node in outline.nodes)
        assert any(isinstance(node, Remark) and "no height check" in node.text for node in outline.nodes)
        assert np.nanmin(moves(outline).end[:, 2]) == setup.clear_z


def test_the_height_check_counts_from_the_bed() -> None:
    """With z zero elsewhere, the check still stops the same height over the bed."""
    setup = face_setup()
    x, y, _ = setup.work_origin
    lifted = replace(setup, work_origin=(x, y, 4.0))
    assert np.nanmin(moves(cut(lifted, shop(), MM)[0]).end[:, 2]) == GAUGE["mm"] - 4.0


def test_the_block_is_one_that_somebody_owns() -> None:
    """In inches the tip stops 3/8 in over the bed, on the post's resolution, and the pause asks for that."""
    outline = cut(face_setup(), replace(shop(), units="inch"), INCH)[0]
    assert np.nanmin(moves(outline).end[:, 2]) == pytest.approx(9.525, abs=1e-9)
    [pause] = [node for node in outline.nodes if isinstance(node, Pause)]
    assert pause.text == "Spindle off: a 0.375 in block must just slide under the cutter."
