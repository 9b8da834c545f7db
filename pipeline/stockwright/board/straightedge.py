"""From what a straightedge, winding sticks and a tape show to a `Board`. In: warps, mm. Out: the board.

Public:
    Sighted(...)    what was read; see the class
    board_from_straightedge(name, sighted, lines, uncertainty=None) -> (Board | None, list[Problem])
The words are the lumber rules': bow and cup are a face's greatest distance from a straight line end to end
and edge to edge, crook an edge's, twist how far a corner stands off with the other end's edges flat down;
wedge is how much thicker one edge is (common practice, no source).
Promise: surfaces that have the warps as read, and an uncertainty for all that such readings leave open: where
between the ends the board bends, and what was not read at all.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.hiding import EYE, ONE_THICKNESS, hidden, together
from stockwright.board.nominal import assumed
from stockwright.board.outline import Lines, outline_of, said_by
from stockwright.board.problem import Problem
from stockwright.board.surface import Board
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Sighted", "Twist", "board_from_straightedge"]

STATIONS = 9, 5  # along and across: a parabola between them is read within a 64th of its height
# A bow of that height may as well be a bend in one place: half-way to the middle a V and a parabola differ by
# a quarter of it, and so do a twist that grows evenly and one that grows with the square (textbook geometry).
SHAPE = 0.25

Pair = tuple[float, float]


@frozen
class Twist:
    """A twist as sighted, mm: by how much winding sticks are out over their length.

    `high` is the edge whose corner stands off at end-2; `sticks` their length, None where the corner's gap
    was read itself; `apart` how far apart they lay, None for the whole length.
    """

    reads: float
    high: Literal["edge-1", "edge-2"]
    sticks: float | None = None
    apart: float | None = None


@frozen
class Sighted:
    """What was read, mm; None where nothing was.

    Bow and cup are positive where face A is hollow, crook where edge-1 is, wedge where edge-2 is thick.
    Either `corners`, the thickness ((near, far) at end-1, the same at end-2), or `thickness`, in the middle.
    """

    bow: float | None = None
    cup: float | None = None
    twist: Twist | None = None
    crook: float | None = None
    wedge: float | None = None
    corners: tuple[Pair, Pair] | None = None
    thickness: float | None = None


def board_from_straightedge(
    name: str, sighted: Sighted, lines: Lines, uncertainty: float | None = None
) -> tuple[Board | None, list[Problem]]:
    """Return the board, or None and every problem found."""
    reading = EYE if uncertainty is None else uncertainty
    notes = []
    if uncertainty is None:
        notes.append(f"No uncertainty was given: {reading:g} mm is taken for one reading by eye.")
    outline, problems = outline_of(lines)
    if outline is None:
        return None, problems
    x_low, y_low = (float(v) for v in outline.min(axis=0))
    x_high, y_high = (float(v) for v in outline.max(axis=0))
    length, width = x_high - x_low, y_high - y_low
    problems = [*_sticks(sighted.twist, length, width, lines), *_wedged(sighted, reading)]
    if problems:
        return None, problems
    u, v = np.linspace(-1.0, 1.0, STATIONS[0]), np.linspace(-1.0, 1.0, STATIONS[1])
    bow, cup = sighted.bow or 0.0, sighted.cup or 0.0
    gap, magnified = _gap(sighted.twist, length, width)
    uu, vv = np.meshgrid(u, v, indexing="ij")
    # Corners at u v = 1 stand a quarter of the gap up, the others as far down: together the gap.
    top = bow * uu**2 + cup * vv**2 + gap / 4.0 * uu * vv
    thick, strays = _thick(sighted, uu, vv, notes)
    top = top - float((top - thick).min())
    unread = _unread(sighted, length, width, notes)
    shape = SHAPE * (abs(bow) + abs(cup) + abs(gap) / 2.0) + unread
    # Each reading errs by itself; the sticks' is divided by what they magnify.
    readings = [sighted.bow is not None, sighted.cup is not None, True]
    random = float(np.sqrt(reading**2 * (sum(readings) + (magnified / 4.0) ** 2) + strays**2))
    if sighted.crook:
        outline = _crooked(outline, sighted.crook)
    bounds = (x_low, float(outline[:, 1].min()), x_high, float(outline[:, 1].max()))
    x, y = x_low + (u + 1.0) / 2.0 * length, y_low + (v + 1.0) / 2.0 * width
    between = max(hidden(x, y, each, bounds)[0] for each in (top, top - thick))
    within = together(random, shape + between)
    notes.append(
        f"Heights are taken as right within {within:.2f} mm: {random:.2f} mm for reading by eye, "
        f"{shape:.2f} mm "
        "for where the board bends between the places where it was read. Heights on a grid would tell."
    )
    return Board(name, outline, x, y, top, top - thick, within, notes=tuple(notes)), []


def _sticks(twist: Twist | None, length: float, width: float, lines: Lines) -> list[Problem]:
    """Return a problem where winding sticks are shorter than the board is wide, or lay off its ends."""
    problems = []
    if twist is not None and twist.sticks is not None and twist.sticks < width:
        problems.append(
            Problem(
                ("straightedge", "twist", "sticks"),
                f"winding sticks of {twist.sticks:g} mm do not reach across a board {width:g} mm wide",
                "give their whole length; they are as long as or longer than the board is wide",
                (said_by(lines, 1, at_end=True),),
            )
        )
    if twist is not None and twist.apart is not None and twist.apart > length:
        problems.append(
            Problem(
                ("straightedge", "twist", "apart"),
                f"the winding sticks lay {twist.apart:g} mm apart on a board {length:g} mm long",
                "measure from one stick to the other",
                (said_by(lines, 0, at_end=True),),
            )
        )
    return problems


def _wedged(sighted: Sighted, reading: float) -> list[Problem]:
    """Return a problem where the wedge as read is not the one that the corners' thicknesses show."""
    if sighted.wedge is None or sighted.corners is None:
        return []
    shown = [far - near for near, far in sighted.corners]
    end = int(abs(shown[1]) > abs(shown[0]))
    # Two thicknesses and the wedge itself: three readings.
    limit = 2.0 * float(np.sqrt(3.0)) * reading
    if abs(sighted.wedge - shown[end]) <= limit:
        return []
    return [
        Problem(
            ("straightedge", "wedge", "reads"),
            f"the wedge is {abs(sighted.wedge):g} mm towards {_thick_edge(sighted.wedge)}, but the corners "
            "differ by "
            f"{abs(shown[end]):.2f} mm towards {_thick_edge(shown[end])}, and {limit:.1f} mm is the limit",
            "read again; or leave the wedge out: the corners say it",
            (("straightedge", "corners", f"end-{end + 1}"),),
        )
    ]


def _thick_edge(wedge: float) -> str:
    return "edge-2" if wedge > 0 else "edge-1"


def _gap(twist: Twist | None, length: float, width: float) -> Pair:
    """Return the gap at the corner, positive towards edge-2, and the share of a reading that it errs by."""
    if twist is None:
        return 0.0, 0.0
    share = (width / twist.sticks if twist.sticks else 1.0) * (length / twist.apart if twist.apart else 1.0)
    return twist.reads * share * (1.0 if twist.high == "edge-2" else -1.0), share


def _thick(sighted: Sighted, uu: Floats, vv: Floats, notes: list[str]) -> tuple[Floats, float]:
    """Return the thickness at the stations, and how far it may stray where it was not read."""
    if sighted.corners is not None:
        (a, b), (c, d) = sighted.corners
        return (
            a * (1 - uu) * (1 - vv)
            + b * (1 - uu) * (1 + vv)
            + c * (1 + uu) * (1 - vv)
            + d * (1 + uu) * (1 + vv)
        ) / 4.0, 0.0
    assert sighted.thickness is not None
    notes.append(
        f"One thickness stands for the whole board: {ONE_THICKNESS:.2f} mm is allowed for what it is "
        "elsewhere. "
        "Callipers at all four corners would tell."
    )
    return sighted.thickness + (sighted.wedge or 0.0) / 2.0 * vv, ONE_THICKNESS


def _unread(sighted: Sighted, length: float, width: float, notes: list[str]) -> float:
    """Return what is allowed for warps that nobody read: half of what an unseen board may have."""
    guess = assumed(length, width)
    missing = {
        name: value
        for name, value, read in (
            ("bow", guess.bow / 2.0, sighted.bow),
            ("cup", guess.cup / 2.0, sighted.cup),
            ("twist", guess.twist / 4.0, sighted.twist),
        )
        if read is None
    }
    if missing:
        notes.append(
            f"Not read: {', '.join(missing)}. {sum(missing.values()):.1f} mm is allowed for it (common "
            "practice, no "
            "source)."
        )
    return sum(missing.values())


def _crooked(outline: Floats, crook: float) -> Floats:
    """Return an outline bent in its plane: the hollow of edge-1 (negative: of edge-2) is a parabola."""
    (x_low, y_low), (x_high, y_high) = outline.min(axis=0), outline.max(axis=0)
    u = np.linspace(-1.0, 1.0, STATIONS[0])
    x = (x_low + x_high) / 2.0 + u * (x_high - x_low) / 2.0
    bend = crook * (1.0 - u**2)
    return np.vstack([np.column_stack([x, y_low + bend]), np.column_stack([x, y_high + bend])[::-1]])
