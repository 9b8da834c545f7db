"""Pictures of the simulated board: what fails is shaded and ringed; nothing that stands is written over."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from small_packet import small_document, small_lines, small_packet, small_texts
from stockwright.mistakes import InputError
from stockwright.packet.model import Packet, PlaneGoal
from stockwright.packet.picture_files import MARK, Pictures
from stockwright.packet.proof_picture import CLEAN, LARGEST, proof_pictures, standing_alone
from stockwright.packet.writing import Writing
from stockwright.proving import prove

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.packet.model import Reason
    from stockwright.proving.seen import Seen

A, EDGE = "1-face-a.nc", "3-edge-1.nc"


def drawn(
    lines: dict[str, list[str]] | None = None, packet: Packet | None = None
) -> tuple[dict[int, str], list[Reason]]:
    """Prove the small packet with other lines, and draw what the proof saw."""
    boards: list[Seen] = []
    outcome = prove(packet or small_packet(), small_texts(lines or small_lines()), boards.append)
    reasons = outcome.proof.reasons
    return {k: standing_alone(v) for k, v in proof_pictures(boards, reasons, Writing("mm")).items()}, reasons


def words(svg: str) -> list[str]:
    """Give every word group of a drawing."""
    return re.findall(r"<text[^>]*>([^<]*)</text>", svg)


def test_a_proven_board_has_no_shading_and_no_rings() -> None:
    """After every setup of the proven packet there is a picture, without a ring and without a patch."""
    pictures, _ = drawn()
    assert sorted(pictures) == [1, 2, 3]
    for svg in pictures.values():
        assert 'class="patch"' not in svg
        assert 'class="spot"' not in svg
        assert {"end-1", "end-2", "edge-1", "edge-2"} <= set(words(svg))


def test_wood_beyond_a_goals_region_is_not_shaded() -> None:
    """A block that the end of a goal's region cuts through has the wood's height beyond: it says nothing."""
    boards: list[Seen] = []
    prove(small_packet(), small_texts(small_lines()), boards.append)
    face = boards[0]
    [plane] = [goal for goal in face.setup.goals if isinstance(goal, PlaneGoal)]
    region = np.array(plane.region)
    middle = float(region[:, 0].mean()) + 0.3  # within a block
    half = plane.model_copy(update={"region": np.minimum(region, [middle, np.inf]).tolist()})
    column = int(np.searchsorted(face.x, middle - face.to_work[0, 3])) - 1
    for first, shaded in ((column, False), (column - 1, True)):
        high = face.high.copy()
        high[:, first:] += 2.0  # not yet cut
        setup = face.setup.model_copy(update={"goals": [half]})
        [svg] = proof_pictures([replace(face, setup=setup, high=high)], [], Writing("mm")).values()
        assert ('class="patch"' in svg) == shaded


def test_a_face_cut_too_deep_is_shaded_and_ringed_with_its_number() -> None:
    """A face cut 0.4 mm too deep: its hatching, its words, and a ring with the reason's own number."""
    lines = small_lines()
    lines[A][23] = "G1 Z27.600 F500"
    pictures, reasons = drawn(lines)
    number = next(n for n, r in enumerate(reasons, 1) if r.rule == "cut-too-deep")
    assert f'data-name="reason {number}"' in pictures[1]
    assert f"({number})" in words(pictures[1])
    assert "cut up to 0.5 mm too deep" in words(pictures[1])
    assert 'class="patch"' in pictures[1]
    x, y = (float(v) for v in re.findall(r'class="spot"[^>]*? cx="([^"]*)" cy="([^"]*)"', pictures[1])[0])
    at = reasons[number - 1].at
    assert at is not None
    assert (x, y) == pytest.approx(at[:2], abs=1e-3)


def test_the_shading_lies_where_the_wood_is_left() -> None:
    """A last pass left out leaves the far third of the face standing, and there is the shading."""
    lines = small_lines()
    lines[A][26:28] = []
    pictures, reasons = drawn(lines)
    assert any(r.rule == "spots-left" for r in reasons)
    path = re.findall(r'class="patch"[^>]* d="([^"]*)"', pictures[1])
    ys = [float(y) for part in path for _, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", part)]
    assert min(ys) > 40
    assert max(ys) == pytest.approx(106, abs=3)


def test_wood_outside_a_wall_is_shaded() -> None:
    """An edge whose full-depth pass is missing keeps its strip, which is shaded outside the wall."""
    lines = small_lines()
    lines[EDGE][34] = "G1 Z0.500 F400"
    lines[EDGE][29] = "G1 Z0.500 F400"
    pictures, _ = drawn(lines)
    assert "left standing outside the wall" in words(pictures[3])


def test_a_place_beyond_the_picture_is_named() -> None:
    """A move 30 m away is not drawn, but its number is told."""
    lines = small_lines()
    lines[A][15] = "G1 X33800.000 F3000"
    pictures, _ = drawn(lines)
    assert any(word.startswith("outside the picture: (1)") for word in words(pictures[1]))


def test_a_rough_field_of_spots_stays_small() -> None:
    """A face full of small spots is joined into larger ones until the picture is below its bound."""
    document = small_document()
    board = document["boards"]["plank"]
    board["x"] = [float(k) for k in range(0, 305, 4)]
    board["y"] = [float(k) for k in range(0, 107, 4)]
    # A chequered hollow below the goal: every other place is too low before any cut.
    board["bottom"] = [[0.0 for _ in board["y"]] for _ in board["x"]]
    board["top"] = [
        [22.0 if (i + j) % 2 else 31.0 for j in range(len(board["y"]))] for i in range(len(board["x"]))
    ]
    pictures, _ = drawn(packet=Packet.model_validate(document))
    assert 'class="patch"' in pictures[1]
    assert all(len(svg.encode()) < LARGEST + 4000 for svg in pictures.values())  # the styles are 3 kB


def test_a_picture_is_well_formed_and_loads_nothing() -> None:
    """Each file is XML of its own, names no address but its name space, and is equal each time."""
    lines = small_lines()
    lines[A][23] = "G1 Z27.600 F500"
    first, _ = drawn(lines)
    for svg in first.values():
        assert ET.fromstring(svg).tag.endswith("svg")
        assert re.findall(r"https?://[^\"' ]*", svg) == ["http://www.w3.org/2000/svg"]
    assert drawn(lines)[0] == first


def test_a_hostile_board_name_stays_text() -> None:
    """A board named like a tag is drawn as words."""
    document = small_document()
    text = (
        Packet.model_validate(document).model_dump_json(by_alias=True).replace("plank", "<script>x</script>")
    )
    pictures, _ = drawn(packet=Packet.model_validate_json(text))
    assert all("<script>" not in svg for svg in pictures.values())


def test_earlier_pictures_give_way_only_where_asked(tmp_path: Path) -> None:
    """Without force nothing that stands is touched; with it a picture gives way and nothing else does."""
    folder = tmp_path / "pictures"

    def write(*, replace: bool) -> list[str]:
        pictures = Pictures(small_packet(), folder, replace)
        outcome = prove(small_packet(), small_texts(), pictures.seen.append)
        return pictures.written(outcome.proof.reasons)

    [said] = write(replace=False)
    assert said.endswith("setup-1.svg, setup-2.svg, setup-3.svg")
    assert MARK in (folder / "setup-1.svg").read_text()
    with pytest.raises(InputError) as found:
        write(replace=False)
    assert [m.code for m in found.value.mistakes] == ["exists"] * 3
    write(replace=True)
    (folder / "setup-2.svg").write_text("mine")
    with pytest.raises(InputError):
        write(replace=True)
    assert (folder / "setup-2.svg").read_text() == "mine"
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError):
        Pictures(small_packet(), tmp_path / "file", replace=True)


def test_a_packet_whose_text_is_not_understood_has_no_picture(tmp_path: Path) -> None:
    """Nothing is cut before everything is read, so there is nothing to draw, and that is said."""
    lines = small_lines()
    lines[A][5] = "G99"
    pictures = Pictures(small_packet(), tmp_path / "pictures", replace=False)
    outcome = prove(small_packet(), small_texts(lines), pictures.seen.append)
    [said] = pictures.written(outcome.proof.reasons)
    assert said.startswith("no picture")
    assert not (tmp_path / "pictures").exists()


def test_a_picture_that_shows_nothing_is_low() -> None:
    """Of a short board the picture without a find is half as high as that with one: fewer leaves to turn."""

    def high(svg: str) -> float:
        return float(re.findall(r'viewBox="0 0 [\d.]+ ([\d.]+)"', svg)[0])

    lines = small_lines()
    lines[A][23] = "G1 Z27.600 F500"
    clean, found = drawn()[0], drawn(lines)[0]
    assert high(clean[1]) <= CLEAN + 16.0
    assert high(found[1]) > 1.5 * high(clean[1])
