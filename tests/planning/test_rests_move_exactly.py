"""What moisture does to a piece and what a rest may do to a board: worked out by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from cutters import end_mill
from setups import shop
from stockwright.board.species import SPECIES
from stockwright.job import FaceStep, PauseStep, Tolerance, Wanted
from stockwright.planning import supports
from stockwright.planning.movement import after_rest, in_words, movement_found, rest_moves

if TYPE_CHECKING:
    from stockwright.findings import Finding

# Of the piece: how much wood stands beside either edge.
PIECE: Any = SimpleNamespace(placement=SimpleNamespace(spare=SimpleNamespace(edge_1=0.9, edge_2=4.0)))


def face(side: str, to: float | None) -> FaceStep:
    """Give a face cut."""
    tool: Any = end_mill()
    return FaceStep(side, tool, "thickest", "least", to, "along", "climb", "last", 9.0, 2.0, 0.5, ())  # type: ignore[arg-type]


def job(
    *steps: Any,
    size: tuple[float | None, float | None, float | None] = (None, None, None),
    place: float | None = None,
    **tolerance: float,
) -> Any:
    """Give what is read of a job: its steps, the size that is wanted, the moisture of its place."""
    wanted = Wanted(*size, Tolerance(**tolerance))
    return SimpleNamespace(steps=steps, wanted=wanted, place=place, shop=shop())


def board(**said: Any) -> Any:
    """Give what is read of a board, 600 by 200 by 25 mm of ash at 12 %, plain sawn."""
    own = {"name": "elm", "bounds": (0.0, 0.0, 600.0, 200.0), "species": "ash-white", "moisture": 12.0}
    flat = {"sawn": "flat", "top": np.full((2, 2), 25.0), "bottom": np.zeros((2, 2))}
    return SimpleNamespace(**(own | flat | said))


def moved(asked: Any, **said: Any) -> dict[str, Finding]:
    """Give what is told of a board's movement, by rule."""
    PIECE.wood = SimpleNamespace(board=board(**said))
    return {f.rule: f for f in movement_found(asked, PIECE)}


def test_a_piece_moves_by_its_coefficients() -> None:
    """12 to 8 % over 120 x 20 mm of plain-sawn ash: width by C_T, thickness by C_R, what is worst is told."""
    ash = SPECIES["ash-white"]
    across, through = 120 * ash.tangential * 4, 20 * ash.radial * 4
    asked = job(size=(None, 120.0, 20.0), place=8.0)
    found = moved(asked)["will-move"]
    hollow = 120**2 * ash.tangential * 4 / (8 * 20)
    # Against 0.5 mm each the width goes farthest.
    assert hollow < across
    assert (found.level, found.measured, found.limit) == ("warn", round(across, 3), 0.5)
    assert found.message == (
        f"elm: from 12.0 % to 8.0 % it gets {across:.1f} mm narrower and {through:.1f} mm thinner, and "
        "stands up "
        f"to {hollow:.0f} mm hollow while one face is there before the other; that is more in width than "
        "0.5 mm, "
        "more would be noticed"
    )
    assert found.remedy.startswith("let it come to 8.0 % before the last cut")
    flat = moved(job(size=(None, 120.0, 20.0), place=8.0, flatness=0.2))["will-move"]
    assert (flat.measured, flat.limit) == (round(hollow, 3), 0.2)
    assert flat.message.endswith("that is more in flatness than 0.2 mm, the recipe's tolerance")
    thin = moved(job(size=(None, 120.0, 20.0), place=8.0, thickness=0.05))["will-move"]
    assert (thin.measured, thin.limit) == (round(through, 3), 0.05)
    wide = moved(job(size=(None, 120.0, 20.0), place=8.0, width=2.0))["will-move"]
    assert wide.limit == 0.5
    still = moved(job(size=(None, 120.0, 20.0), place=8.0, width=2.0, flatness=2.0))
    assert still["moves-a-little"].level == "note"
    own = moved(job(place=11.9))["moves-a-little"]  # as wide and as thick as the board
    assert own.measured == pytest.approx(200**2 * ash.tangential * 0.1 / (8 * 25), abs=1e-3)
    wet = moved(job(size=(None, 120.0, 20.0), place=13.9))["will-move"]
    assert "wider and" in wet.message
    assert " thicker, and" in wet.message


def test_half_known_is_told_once() -> None:
    """Moisture without a place, or a place without moisture; of neither nothing is said."""
    found = moved(job())["movement-unknown"]
    assert (found.level, found.measured, found.limit) == ("note", 0.0, 1.0)
    assert found.message.startswith("elm: where the piece will live is not said, so")
    found = moved(job(place=8.0), moisture=None)["movement-unknown"]
    assert found.message.startswith("elm: its moisture is not said, so")
    assert moved(job(), moisture=None) == {}


REST = (face("A", None), face("B", 23.0), PauseStep("rest", 1.0), face("A", 21.5), face("B", 20.0))


@pytest.mark.parametrize(
    ("steps", "allowed"),
    [
        (REST, 1.5),
        ((*REST[:3], face("A", 22.0), face("B", 20.0)), 1.0),
        ((*REST[:3], face("A", 22.1), face("B", 20.0)), 0.9),
        ((*REST[:3], face("A", 21.5)), 0.0),  # one face alone
        ((face("A", None), REST[2], face("A", 21.5), face("B", 20.0)), 0.0),  # nothing says what A was cut to
    ],
)
def test_a_second_visit_takes_more_than_the_rest_moves(steps: tuple[Any, ...], allowed: float) -> None:
    """Off each face what its thicknesses leave; a rest that may use it up is refused with both numbers."""
    found = moved(job(*steps))
    if allowed >= 1.0:
        note = found["moves-while-it-rests"]
        assert (note.level, note.measured, note.limit) == ("note", 1.0, allowed)
        assert note.message == (
            "elm: after the rest it is taken to stand up to 1.0 mm off its place, as the recipe says; the "
            "second "
            f"visit takes {allowed:.1f} mm off each face"
        )
    else:
        refusal = found["moves-more-than-allowance"]
        assert (refusal.level, refusal.measured, refusal.limit) == ("refuse", 1.0, allowed)
        assert refusal.remedy.startswith("leave 1.0 mm or more on each face for the second visit")


def test_a_rest_by_moisture_is_rounded_up_to_a_tenth() -> None:
    """The thickness's change and a cup of what a meter may not show, or 0.8 mm of stress at least."""
    ash = SPECIES["ash-white"]
    by_moisture = PauseStep("rest", "by-moisture")
    steps = (face("A", None), face("B", 23.0), by_moisture, face("A", 21.0), face("B", 19.0))
    asked = job(*steps, place=6.0)
    known = 23 * ash.radial * 6 + 200**2 * ash.tangential / (8 * 23)
    assert known > 0.8
    assert rest_moves(asked, board(), "by-moisture") == pytest.approx(np.ceil(known * 10) / 10)
    assert rest_moves(job(*steps), board(), "by-moisture") == 0.8
    assert rest_moves(asked, board(), 0.25) == 0.25
    found = moved(asked)
    assert ", by its moisture; the second" in found["moves-while-it-rests"].message
    assert ", what stress alone may do; the" in moved(job(*steps))["moves-while-it-rests"].message
    assert "moves-before-the-last-cut" in found
    loses = 200 * ash.tangential * 6
    narrow = found["narrower-after-the-rest"]
    assert (narrow.level, narrow.measured, narrow.limit) == ("warn", round(loses, 3), 0.9)
    assert narrow.message == (
        f"elm: it may lose {loses:.1f} mm of its width while it rests, and beside one finished edge stand "
        "only "
        "0.9 mm"
    )
    assert "narrower-after-the-rest" not in moved(job(*steps, place=13.0))
    assert "narrower-after-the-rest" not in moved(job(place=8.0))
    told = after_rest(asked, 0.8)
    assert told[0] == "The rest is over when the board's moisture reads 6.0 %, its place's."
    assert told[1].startswith("It has rested and may have moved by up to 0.8 mm: lay it")
    assert len(after_rest(job(*steps), 0.8)) == 3


def test_a_range_is_told_in_one_unit() -> None:
    """Low to high with the unit once, and one figure where they are alike."""
    moves: Any = SimpleNamespace(
        width=(-0.4, -0.8), thickness=(-0.1, -0.1), cup=(0.0, 0.26), shrinks=True, now=12.0, there=8.0
    )
    assert in_words(moves, job()) == (
        "from 12.0 % to 8.0 % it gets 0.4 to 0.8 mm narrower and 0.1 mm thinner, and stands up to 0.3 mm "
        "hollow "
        "while one face is there before the other"
    )


def test_a_board_springs_by_more_than_its_flatness(monkeypatch: pytest.MonkeyPatch) -> None:
    """Met exactly it is let pass; more is told with where, how far, by how much, and the spans beside it."""
    own = board()

    def told(*sags: float, flatness: float | None = None, force: float = 40.0, kind: str = "span") -> Any:
        """Give what is told of a board that springs so far in so many spans."""
        span = SimpleNamespace(at=(100.4, 50.6), length=320.0, kind=kind, gap=0.3)
        pressed = tuple(SimpleNamespace(sag=sag, force=force, span=span) for sag in sags)
        monkeypatch.setattr(supports, "springs", lambda *_, thickness: pressed)
        monkeypatch.setattr(supports, "more_shims", lambda spring, allowed: ((60.0, 50.0), (140.0, 50.0)))
        seating: Any = SimpleNamespace(policy="as-it-lies", spans=())
        return supports.badly_supported(own, seating, 20.0, 400.0, flatness)

    assert told(0.2) == told(0.5, flatness=0.5) == []
    [found] = told(0.2004, 0.19)
    assert (found.rule, found.level, found.measured, found.limit) == (
        "springs-when-pressed",
        "warn",
        0.2,
        0.2,
    )
    assert found.message.startswith(
        "elm, 20.0 mm thick once face A is cut, springs by up to 0.20 mm where it is pressed at 100 mm "
        "along, "
        "51 mm across, in a span of 320 mm, and springs back after: 40 N press it down on what is under it; "
        "flatness allows 0.20 mm"
    )
    # Both spans want the same two shims, which are told once.
    places = "at 60 mm along, 50 mm across; at 140 mm along, 50 mm across"
    assert found.remedy == (
        f"put further shims, pushed in until they just touch, {places}; press only over shims"
    )
    assert "its own weight lays it down" in told(0.3, force=0.9)[0].message
    assert "in a free end of 320 mm" in told(0.3, kind="overhang")[0].message
    assert told(*[0.3] * 8)[0].remedy.endswith(f"{places}; press only over shims")
    assert told(*[0.3] * 10)[0].remedy.endswith(f"{places}; and in 2 more spans; press only over shims")


def test_a_span_longer_than_the_shop_allows_is_told() -> None:
    """By more than half a millimetre, the longest of them; a board that lies as it is has no shims to add."""
    spans = [
        SimpleNamespace(kind=kind, length=length, at=(9.0, 8.0), gap=0.25)
        for kind, length in (("span", 400.5), ("span", 400.6), ("overhang", 900.0), ("span", 410.0))
    ]
    for policy, allowed, rules in (
        ("thickest", 400.0, ["span-too-long"]),
        ("thickest", 409.5, []),
        ("as-it-lies", 400.0, []),
    ):
        seating: Any = SimpleNamespace(policy=policy, spans=spans)
        found = supports.badly_supported(board(), seating, 0.0, allowed, None)
        assert [f.rule for f in found] == rules
    [first] = supports._too_long(board(), seating, 400.0)
    assert (first.level, first.measured, first.limit) == ("warn", 410.0, 400.0)
    assert first.message == (
        "elm bears on nothing for 410 mm about 9 mm along, 8 mm across: the shop's shims leave it 0.25 mm "
        "off "
        "its support"
    )
