"""What is said of a board that is slid along, of round sizes: how it is found again, and what hangs over."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from clampings import flat_wood
from setups import edge, shop
from stockwright.board.species import SPECIES
from stockwright.machine import Slide
from stockwright.planning.setup import Slid
from stockwright.planning.slide_words import fresh_heights, hangs_over, no_stands, slide_notes, slide_on
from stockwright.planning.sliding import Position
from stockwright.planning.wood import Place

if TYPE_CHECKING:
    from stockwright.machine import Shop

A_UP = Place("A", 0)


def at(
    number: int,
    count: int = 3,
    on: Any = "bed",
    fresh: tuple[float, float] | None = (365.0, 750.0),
    from_right: bool = True,
    shift: float = -655.0,
) -> Position:
    """Give one position of a board that is slid by 510 mm; 385 mm of what is cut lie on the bed."""
    by = 0.0 if number == 1 else 510.0 if from_right else -510.0
    slid = Slid(number, count, by, 385.0, 510.0, 895.0, on, (-200.0, 800.0))
    return Position(slid, shift, (-145.0, 1e5), (-150.0, 750.0), fresh, from_right)


def a_shop(**said: Any) -> Shop:
    """Give a shop with a bed that is read within 0.05 mm."""
    return replace(shop(), slide=Slide(**said))


def test_the_first_note_says_how_often_and_how_far() -> None:
    """Of three positions, by 510 mm to the right or the left; of one, nothing."""
    [note] = slide_notes(a_shop(), at(1), (), turned=False)
    assert note.startswith(
        "The board is longer than the machine reaches: it is cut in 3 positions, and slid to the right by "
        "510 mm "
        "between them."
    )
    [note] = slide_notes(a_shop(), at(1, from_right=False), (), turned=False)
    assert "slid to the left by 510 mm" in note
    assert slide_notes(a_shop(), at(1, count=1), (), turned=True) == ()
    notes = slide_notes(a_shop(), at(1), (), turned=True)
    assert len(notes) == 2
    assert notes[1].startswith("The passes run across the board here, and none round its rim")
    assert len(slide_notes(a_shop(), at(2), (), turned=True)) == 2


@pytest.mark.parametrize(
    ("register", "until"),
    [
        ("stop", ", until the block meets the stop"),
        ("pins", ", until the pin drops into the second hole; take it out once the board is held"),
        ("line", ", until the second line stands over the one on the fence or the bed"),
    ],
)
def test_later_notes_say_how_far_it_is_slid_and_until_what(register: Any, until: str) -> None:
    """By how much, to which side, until what meets what, and how far it may be off."""
    for from_right, to in ((True, "right"), (False, "left")):
        first, second = slide_notes(
            a_shop(register=register, within=0.354), at(2, from_right=from_right), (), turned=False
        )
        assert first == (
            f"Loosen what holds it and slide the board 510 mm to the {to}{until}; along x it may be off by "
            "0.35 mm."
        )
        assert second == (
            "The flat face below says that the board lies as it did: brush it and the bed once more."
        )


def test_what_tells_the_board_its_place_is_told_with_its_numbers() -> None:
    """Readings 0.12 mm out at both ends of 385 mm tip 510 mm of new board by 2 x 0.12 x 510 / 385."""
    own = a_shop(reads=0.1246)
    tips = (
        "385 mm of it lie on the bed, so what a reading may be out by tips this part by up to "
        f"{2 * 0.1246 * 510 / 385:.2f} mm over its length."
    )
    [_, said] = slide_notes(own, at(2, on="fresh face"), (), turned=False)
    assert said == (
        "Nothing but the fresh face says that the board lies as it did. Every shim goes back under the same "
        "place of the board; then read the fresh face where the sheet says, and shim until all three places "
        f"read the same within 0.12 mm. {tips}"
    )
    wall = edge(side="far", size=(1400.0, 200.0), at=(-655.0, 0.0), waste=9.75)
    [_, said] = slide_notes(own, at(2, on="fresh edge"), (wall,), turned=False)
    assert said == (
        "Nothing but the fresh part of edge-2 says that the board lies as it did. Before it is clamped, "
        "spindle "
        "locked out, touch that part with a straight pin in the collet at x 380 mm and at x 735 mm: at both "
        "it "
        f"must stand at y 190.25 mm within 0.12 mm, half the pin's thickness taken off. {tips}"
    )
    [_, said] = slide_notes(own, at(2, on="fence"), (), turned=False)
    assert said == (
        "The fence says that the board lies as it did: brush it and the edge, and push the board home."
    )


def test_before_it_is_loosened_the_next_place_is_marked() -> None:
    """By a block, a second hole or a second line, so far to the other side; at the last position nothing."""
    for from_right, back in ((True, "left"), (False, "right")):
        block, hole, line = (
            slide_on(a_shop(register=each), at(2, from_right=from_right)) for each in ("stop", "pins", "line")
        )
        assert f"its face exactly 510 mm to the {back} of a stop" in block
        assert f"exactly 510 mm to the {back} of it; no pin stands" in hole
        assert line.endswith(f"on the board exactly 510 mm to the {back} of it.")
        assert "line on the board's near edge over" in line
    assert "line on the board's upper face over" in slide_on(a_shop(), at(1, on="fence"))
    assert slide_on(a_shop(), at(3)) == ""


def test_a_fresh_face_is_read_fifteen_millimetres_inside_its_rims() -> None:
    """At two corners of what lies on the bed and in the middle of its other end, within what is stated."""
    wood, place = flat_wood(1400.0, 200.0, 25.0), Place("A", 0, (-655.0, 0.0, 0.0))
    own = a_shop(reads=0.07)
    read = fresh_heights(own, wood, place, at(2, on="fresh face"), 20.004)
    assert read == (
        (380.0, 15.0, 20.0, 0.07),
        (380.0, 185.0, 20.0, 0.07),
        (730.0, 100.0, 20.0, 0.07),
    )
    assert fresh_heights(own, wood, place, at(2, on="bed"), 20.0) == ()
    assert fresh_heights(own, wood, place, at(1, on="fresh face", fresh=None), 20.0) == ()
    assert fresh_heights(own, wood, place, at(2, on="fresh face", fresh=(725.0, 750.0)), 20.0) == ()


def board(species: str | None = "ash-white") -> Any:
    """Give a board 25 mm thick on the average."""
    top = np.array([[24.0, 26.0], [25.0, 25.0]]) + 3.0
    return SimpleNamespace(name="elm", species=species, top=top, bottom=np.full((2, 2), 3.0))


def test_what_hangs_over_is_weighed_and_stands_carry_it() -> None:
    """505 mm of ash, 200 x 25 mm; stands no further apart than the shop's spans, the last 60 mm in."""
    wood, place = flat_wood(1400.0, 200.0, 25.0), Place("A", 0, (-655.3, 0.0, 0.0))
    own = replace(a_shop(supports=True, reads=0.0746), longest_span=250.0)
    mass = 505.3 * 200.0 * 25.0 * SPECIES["ash-white"].gravity * 1.12 * 1e-6
    [note] = hangs_over(own, board(), wood, place, at(1))
    # From the bed's end at -150 to 60 mm before the board's at -655: 505 mm are more than two spans.
    assert note == (
        f"505 mm of the board hang over the left end of the bed, {mass:.1f} kg: a stand under it at x -298 "
        "mm and "
        "-447 mm and -595 mm from the mark, level with the bed within 0.07 mm by a straightedge laid across; "
        "shims that lie beyond the bed go on the stands."
    )
    [note] = hangs_over(own, board(None), wood, Place("A", 0, (-100.0, 0.0, 0.0)), at(1))
    mass = 550.0 * 200.0 * 25.0 * 0.75 * 1e-6
    assert note.startswith(
        f"550 mm of the board hang over the right end of the bed, {mass:.1f} kg at the most, its"
    )
    assert "at x 913 mm and 1077 mm and 1240 mm from" in note
    [left, right] = hangs_over(own, board(), wood, Place("A", 0, (-250.0, 0.0, 0.0)), at(1))
    assert left.startswith("100 mm of the board hang over the left end")
    assert "at x -190 mm from" in left
    assert right.startswith("400 mm of the board hang over the right end")
    assert "at x 920 mm and 1090 mm from" in right
    for shift, over in ((-210.0, 2), (-209.9, 1)):  # less than 60 mm wants no stand
        assert len(hangs_over(own, board(), wood, Place("A", 0, (shift, 0.0, 0.0)), at(1))) == over


def test_a_shop_without_stands_is_told_of_the_heavier_end_once() -> None:
    """At the first position only, with how far it hangs over and its weight."""
    wood, place = flat_wood(1400.0, 200.0, 25.0), Place("A", 0, (-250.0, 0.0, 0.0))
    [found] = no_stands(a_shop(), board(), wood, place, at(1), 7)
    mass = 400.0 * 200.0 * 25.0 * SPECIES["ash-white"].gravity * 1.12 * 1e-6
    assert (found.rule, found.level, found.measured, found.limit, found.setup) == (
        "nothing-carries-overhang",
        "warn",
        400.0,
        60.0,
        7,
    )
    assert found.message == (
        f"elm hangs over the right end of the bed by 400 mm, {mass:.1f} kg of it, and the shop lists "
        "nothing that "
        "carries it"
    )
    assert no_stands(a_shop(supports=True), board(), wood, place, at(1), 7) == []
    assert no_stands(a_shop(), board(), wood, place, at(2), 7) == []
    short = flat_wood(800.0, 200.0, 25.0)
    assert no_stands(a_shop(), board(), short, Place("A", 0, (-100.0, 0.0, 0.0)), at(1), 7) == []
