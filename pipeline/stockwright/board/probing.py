"""From probing logs to a `Board`. In: touches of one or both faces, thicknesses, outline, mm. Out: the board.

Public:
    Probed(upper (n, 3), lower (m, 3) | None, thickness, callipers (k, 3) | None, lower_from_edge_2, drop)
        upper: touches of face A, heights above what the board lies on, any order, several at a place
        lower: touches of face B with the board turned edge over edge and laid down anew
        thickness: one reading for the whole board, or else callipers: rows of x, y, thickness
        lower_from_edge_2: y of the lower log counts from edge-2
        drop: leave out the touches that stray, instead of refusing them
    board_from_probing(name, probed, lines, uncertainty=None) -> (Board | None, problems, tuple[Odd, ...])
        a Problem's path is ("upper", row, "z") into a log, or into the document; the odd ones are those left
        out: whoever knows the lines says so
Promise: a touch is left out only where that was asked for; how touches repeat, what lies between them and
what no touch reached is in the uncertainty.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.hiding import ONE_THICKNESS, READING, together
from stockwright.board.outline import Lines, outline_of
from stockwright.board.problem import Path, Problem
from stockwright.board.surface import Board
from stockwright.board.touched import Face, Odd, Touched, touched
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.board.scatter import Spread

    Floats = NDArray[np.float64]

__all__ = ["Probed", "board_from_probing"]

_SURE = 4  # thicknesses that show how the face lies and leave one over to check it


@frozen(eq=False)
class Probed:
    """What was probed; see the module docstring."""

    upper: Floats
    lower: Floats | None = None
    thickness: float | None = None
    callipers: Floats | None = None
    lower_from_edge_2: bool = False
    drop: bool = False


def board_from_probing(
    name: str, probed: Probed, lines: Lines, uncertainty: float | None = None
) -> tuple[Board | None, list[Problem], tuple[Odd, ...]]:
    """Return the board, or None and every problem; and the touches that were left out."""
    notes: list[str] = []
    reading = READING if uncertainty is None else uncertainty
    if uncertainty is None:
        notes.append(f"No uncertainty was given: {reading:g} mm is taken for one touch.")
    outline, problems = outline_of(lines)
    if outline is None:
        return None, problems, ()
    logs: dict[Face, Floats] = {"upper": probed.upper}
    if probed.lower is not None:
        logs["lower"] = _turned(probed.lower, outline) if probed.lower_from_edge_2 else probed.lower
    faces: dict[Face, Touched] = {}
    odd: list[Odd] = []
    for which, touches in logs.items():
        face, more, strays = touched(which, touches, outline, lines, reading, notes, drop=probed.drop)
        problems += more
        odd += strays
        if face is not None:
            faces[which] = face
    if len(faces) < len(logs):
        return None, problems, ()
    upper, lower = faces["upper"], faces.get("lower")
    bottom, more, random = _underside(probed, upper, lower, notes)
    problems += more
    if problems or bottom is None:
        return None, problems, ()
    g = upper.grid
    board = Board(name, outline, g.x, g.y, g.heights[0], bottom, 0.0)
    missed = float(np.abs(board.top_at(upper.places[:, :2]) - upper.places[:, 2]).max())
    shape = max(upper.shape, 0.0 if lower is None else lower.shape)
    if lower is not None:
        off = lower.at(_knots(g)).reshape(bottom.shape)
        same = Board("", outline, g.x, g.y, off, off, 0.0).top_at(lower.places[:, :2])
        missed = max(missed, float(np.abs(same - lower.places[:, 2]).max()))
    within = together(random, shape) + missed
    notes.append(
        f"Heights are taken as right within {within:.2f} mm: {random:.2f} mm for touching, {shape:.2f} mm "
        "for "
        f"what the board may do between and beyond the touches, {missed:.2f} mm for reading them off a grid."
    )
    return Board(name, outline, g.x, g.y, g.heights[0], bottom, within, notes=tuple(notes)), [], tuple(odd)


def _turned(lower: Floats, outline: Floats) -> Floats:
    """Return touches whose y counts from edge-2 with y from edge-1, as all else counts."""
    low, high = float(outline[:, 1].min()), float(outline[:, 1].max())
    return np.column_stack([lower[:, 0], low + high - lower[:, 1], lower[:, 2]])


def _underside(
    probed: Probed, upper: Touched, lower: Touched | None, notes: list[str]
) -> tuple[Floats | None, list[Problem], float]:
    """Return the lower heights on the upper face's grid, the problems, and the half width of reading."""
    top, knots = upper.grid.heights[0], _knots(upper.grid)
    sheet, stray_, problems = _thicknesses(probed, upper, notes, checked=lower is None)
    if lower is None:
        random = float(np.sqrt(2.0 * upper.reading**2 + stray_**2))
        return (
            top - (np.column_stack([knots, np.ones(len(knots))]) @ sheet).reshape(top.shape),
            problems,
            random,
        )
    at = probed.callipers
    if at is None or not _spans(at):
        message = "a lower log needs thicknesses that show how the board lay when it was turned over"
        hint = "give 'callipers' with places near all four corners"
        return (
            None,
            [*problems, Problem(("probed", "lower"), message, hint, code="missing-key")],
            upper.reading,
        )
    # The underside is the turned board's own plane less what was touched from above: fit that plane.
    plane = np.column_stack([at[:, :2], np.ones(len(at))])
    reads = upper.at(at[:, :2]) - at[:, 2] + lower.at(at[:, :2])
    fit, *_ = np.linalg.lstsq(plane, reads, rcond=None)
    own = np.einsum("ij,jk,ik->i", plane, np.linalg.pinv(plane.T @ plane), plane)
    limit = 3.0 * upper.reading + upper.shape + lower.shape
    off = np.where(own < 0.95, (reads - plane @ fit) / np.maximum(1.0 - own, 0.05), 0.0)
    worst = int(np.argmax(np.abs(off)))
    if abs(off[worst]) > limit:
        # With four places each is as far off as the others: the first is told, with both faces' touches.
        problems.append(
            Problem(
                ("probed", "callipers", worst, "thickness"),
                f"a thickness of {at[worst, 2]:g} mm disagrees by {abs(off[worst]):.1f} mm with the "
                "touches of both "
                f"faces there and the other thicknesses, and {limit:.1f} mm is the limit",
                "read it again, and the other thicknesses; or the board rocked while it was probed",
                (upper.nearest("upper", at[worst]), lower.nearest("lower", at[worst])),
            )
        )
    turned = (np.column_stack([knots, np.ones(len(knots))]) @ fit - lower.at(knots)).reshape(top.shape)
    bare = np.argwhere(turned >= top)
    if len(bare) and not problems:
        i, j = bare[0]
        where = np.array([upper.grid.x[i], upper.grid.y[j]])
        problems.append(
            Problem(
                upper.nearest("upper", where),
                f"the upper face, {top[i, j]:.1f} mm, would lie below the lower face, {turned[i, j]:.1f} "
                "mm, at x "
                f"{where[0]:g} mm, y {where[1]:g} mm",
                "is one of the logs of another board, or the lower log's y counted from the other edge?",
                (lower.nearest("lower", where),),
            )
        )
    return turned, problems, float(np.sqrt(2.0)) * max(upper.reading, lower.reading)


def _thicknesses(
    probed: Probed, upper: Touched, notes: list[str], *, checked: bool
) -> tuple[Floats, float, list[Problem]]:
    """Return the thickness as a plane (3,), how far it may stray, and thicknesses that exceed the heights."""
    if probed.thickness is not None:
        if checked:
            notes.append(
                f"One thickness stands for the whole board: {ONE_THICKNESS:.2f} mm is allowed for what it is "
                "elsewhere. Callipers at all four corners would tell."
            )
        at = np.array([[*upper.places[np.argmin(upper.places[:, 2]), :2], probed.thickness]])
        paths: list[Path] = [("probed", "thickness")]
        sheet, strays = np.array([0.0, 0.0, probed.thickness]), ONE_THICKNESS
    else:
        assert probed.callipers is not None
        at = probed.callipers
        paths = [("probed", "callipers", i, "thickness") for i in range(len(at))]
        sheet, strays = _sheet(at)
        if checked:
            notes.append(
                f"The underside was not touched: the thickness between {len(at)} calliper readings may "
                "stray by "
                f"{strays:.2f} mm. A log of the lower face would tell."
            )
    limit = 3.0 * upper.reading + upper.shape
    if not checked:
        return sheet, strays, []
    problems = [
        Problem(
            path,
            f"the board is {t:g} mm thick where its upper face is {height:.1f} mm above what it lies on: the "
            f"underside would be {t - height:.1f} mm below that",
            "one of the two is wrong, or z does not count from what the board lies on",
            (upper.nearest("upper", np.array([x, y])),),
        )
        for path, (x, y, t), height in zip(paths, at, upper.at(at[:, :2]), strict=True)
        if t - height > limit
    ]
    return sheet, strays, problems


def _sheet(at: Floats) -> tuple[Floats, float]:
    """Return the plane (3,) through thicknesses `at` (k, 3), and how far the board may stray from it."""
    half = float(np.ptp(at[:, 2])) / 2.0
    if not _spans(at):
        return np.array([0.0, 0.0, float(at[:, 2].mean())]), max(ONE_THICKNESS, half)
    plane = np.column_stack([at[:, :2], np.ones(len(at))])
    fit = np.asarray(np.linalg.lstsq(plane, at[:, 2], rcond=None)[0], dtype=float)
    if len(at) < _SURE:
        return fit, ONE_THICKNESS
    # Inside, a sawn board strays from a plane about as far as its rim does: common practice, no source.
    return fit, float(np.abs(at[:, 2] - plane @ fit).max())


def _spans(at: Floats) -> bool:
    """Return whether places (k, 2 or more) lie on more than one line: a plane through them is sure."""
    if len(at) < 3:
        return False
    away = at[:, :2] - at[:, :2].mean(axis=0)
    return float(np.linalg.svd(away, compute_uv=False)[1]) > 10.0  # mm; nearer in line would magnify errors


def _knots(grid: Spread) -> Floats:
    xx, yy = np.meshgrid(grid.x, grid.y, indexing="ij")
    return np.column_stack([xx.ravel(), yy.ravel()])
