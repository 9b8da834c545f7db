"""A clamp beyond the last support, and wood that a pass crosses slantwise: both worked out another way."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from checking.cases_of_forces import press
from cutters import facer
from setups import edge_setup, face_setup, rectangle, shop, solid
from situations import found, hand, numbers, situation
from stockwright.checking import bowing, entry
from stockwright.planning.setup import ShimPlace

if TYPE_CHECKING:
    from stockwright.findings import Finding


def bowed(at: float, force: float, *shims: float) -> tuple[Finding, ...]:
    """Press a board that lies on shims across it."""
    places = tuple(ShimPlace("board", x, y, 1.0) for x in shims for y in (90.0, 130.0, 170.0))
    setup = replace(face_setup(), shims=places, grips=(press(at, 130, force),))
    return found(bowing.board_bows_under_clamps, situation(setup, shop()))


def test_a_clamp_beyond_the_last_shim_bends_the_board_down() -> None:
    """It says how far beyond; less force cures, and so does a shim under it."""
    [finding] = bowed(380.0, 1500.0, 110.0, 250.0)
    assert "130 mm beyond the last shim" in finding.message
    force, x, y = numbers(finding.remedy)
    assert (x, y) == (380.0, 130.0)
    assert bowed(380.0, force, 110.0, 250.0) == ()
    assert len(bowed(380.0, 1.1 * force, 110.0, 250.0)) == 1
    assert bowed(380.0, 1500.0, 110.0, 250.0, 380.0) == ()


def test_both_ends_of_a_board_bend_alike() -> None:
    """The same arrangement, end for end, bends by the same; a span less deep bends less."""
    [right] = bowed(380.0, 1500.0, 110.0, 250.0)
    [left] = bowed(120.0, 1500.0, 250.0, 390.0)
    assert left.measured == right.measured
    [between] = bowed(250.0, 1500.0, 110.0, 390.0)
    assert "between shims 280 mm apart" in between.message
    assert between.measured is not None
    assert right.measured is not None
    assert between.measured < right.measured
    [nearest] = bowed(180.0, 20_000.0, 110.0, 250.0, 390.0)
    assert "between shims 140 mm apart" in nearest.message


@pytest.mark.parametrize("kind", ["side-clamp", "stop", "backing"])
def test_only_a_face_or_a_board_on_risers_is_bent_by_a_press(kind: str) -> None:
    """While edges are cut a board between other things may give a little, and springs back."""
    places = tuple(ShimPlace("board", x, y, 1.0) for x in (110.0, 390.0) for y in (90.0, 170.0))
    beside = solid("thing 1", rectangle(220, 20, 280, 70), kind=kind)
    setup = replace(edge_setup(solids=(beside,)), shims=places, grips=(press(250, 130, 1500.0),))
    assert found(bowing.board_bows_under_clamps, situation(setup, shop())) == ()


def dipped(x: float, y: float, z: float, rises: float = 0.0) -> int:
    """Cut slantwise over the board, then come down in a rapid at a place; count what it meets."""
    setup = face_setup()
    way = (("rapid", 60.0, 60.0, None), ("feed", 60.0, 60.0, 30.0), ("feed", 440.0, 200.0, 30.0 + rises))
    again = (("rapid", None, None, 60.0), ("rapid", x, y, None), ("rapid", None, None, z))
    program = hand(setup, facer(), ("rapid", None, None, 60.0), *way, *again, ("rapid", None, None, 60.0))
    return len(found(entry.rapid_into_wood, situation(setup, shop(), (program,))))


@pytest.mark.parametrize("along", [0.3, 0.5, 0.7])
def test_a_slanting_pass_clears_what_it_passes_over_and_no_more(along: float) -> None:
    """On its line the cutter comes down in air, a few millimetres to either side of it in wood."""
    x, y = 60.0 + 380.0 * along, 60.0 + 140.0 * along
    assert dipped(x, y, 31.0) == 0
    assert dipped(x - 3.0, y + 8.0, 31.0) == 1
    assert dipped(x + 3.0, y - 8.0, 31.0) == 1


@pytest.mark.parametrize("along", [0.35, 0.5, 0.65])
def test_a_pass_that_rises_leaves_the_wood_as_high_as_its_tip(along: float) -> None:
    """Half a millimetre above the way of the tip there is air, half a millimetre below it wood."""
    x, y, z = 60.0 + 380.0 * along, 60.0 + 140.0 * along, 30.0 + 4.0 * along
    assert dipped(x, y, z + 0.5, rises=4.0) == 0
    assert dipped(x, y, z - 0.5, rises=4.0) == 1
