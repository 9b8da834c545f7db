"""The simulated board after a setup, drawn with the spots that fail. In: `Seen`, reasons. Out: SVG.

Public:
    proof_pictures(boards, reasons, writing) -> {setup: Markup}     for the sheet
    standing_alone(svg) -> str                                      the same as a file of its own
Promise: what the simulated board holds and nothing else, seen from above and cut through; black on white,
hatching in place of colour; every reason with a place is ringed, or said to lie outside; below 60 kB.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.frozen import frozen
from stockwright.packet.drawing import FIXED, Canvas, Window
from stockwright.packet.model import PlaneGoal, WallGoal
from stockwright.proving.walls import band
from stockwright.units import INCH

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from markupsafe import Markup
    from numpy.typing import NDArray

    from stockwright.packet.model import Reason
    from stockwright.packet.writing import Writing
    from stockwright.proving.seen import Seen

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

__all__ = ["CLEAN", "LARGEST", "proof_pictures", "standing_alone"]

LARGEST = 60_000  # bytes of one picture
WIDE, TALL, SECTION = 186.0, 92.0, 30.0  # paper mm: one side of the sheet; and of the cut through it
CLEAN = 44.0  # paper mm: how high a board is drawn on which there is nothing to be found
RING = 2.6  # paper mm
LONGEST_BAR = 60.0  # paper mm: of the scale
# mm: what the scale may be long, round numbers of the person's own unit.
BARS = {
    "mm": (500.0, 200.0, 100.0, 50.0, 20.0, 10.0),
    "inch": tuple(each * INCH for each in (20.0, 10.0, 5.0, 2.0, 1.0, 0.5)),
}
STEEP = (0.5, 2.0)  # mm off the goal at which the hatching grows denser
LARGER = 40.0  # times: heights in a section are drawn no larger, or a hair looks like a hill
SLIVER = 0.02  # mm: twice what a wall may stand off its path
BESIDE = 0.5  # mm2 of a block: less wood beyond a goal's region is its outline's own roughness
CSS = Path(__file__).with_name("templates") / "sheet.css"

Point = tuple[float, float]


@frozen
class _Kind:
    """How far off a block is: its words, its hatching, least and greatest distance from the goal, mm."""

    words: str
    hatch: str
    over: bool
    least: float
    most: float


KINDS = (
    _Kind("may stand up to {most} too high", "wide", True, 0.0, STEEP[0]),
    _Kind("may stand {least} to {most} too high", "slant", True, *STEEP),
    _Kind("may stand over {least} too high", "close-slant", True, STEEP[1], np.inf),
    _Kind("cut up to {most} too deep", "grid", False, 0.0, STEEP[0]),
    _Kind("cut {least} to {most} too deep", "cross", False, *STEEP),
    _Kind("cut over {least} too deep", "close-grid", False, STEEP[1], np.inf),
)
OUTSIDE = _Kind("left standing outside the wall", "close-slant", True, 0.0, np.inf)


def proof_pictures(boards: Iterable[Seen], reasons: Sequence[Reason], writing: Writing) -> dict[int, Markup]:
    """Draw every setup; the reasons keep the numbers of their order."""
    by_setup: dict[int, list[Seen]] = {}
    for each in boards:
        by_setup.setdefault(each.setup.index, []).append(each)
    drawn = {}
    for index, seen in by_setup.items():
        spots = [(number, r) for number, r in enumerate(reasons, 1) if r.setup == index]
        for merged in (1, 2, 3, 5, 8, 13, 21, 34):
            svg = _picture(seen, spots, writing, merged)
            if len(svg.encode()) < LARGEST:
                break
        drawn[index] = svg
    return drawn


def standing_alone(svg: Markup) -> str:
    """Make a file of a drawing: its name space and the sheet's own styles go with it."""
    begin, _, rest = str(svg).partition("<title>")
    begin = begin.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
    paper = '<rect width="100%" height="100%" fill="#fff" stroke="none"/>'
    title, end, rest = rest.partition("</title>")
    return f"{begin}<title>{title}{end}<style>\n{_styles()}\n</style>{paper}{rest}\n"


@cache
def _styles() -> str:
    lines = CSS.read_text(encoding="utf-8").splitlines()
    return "\n".join(line for line in lines if line.startswith((":root", ".drawing")))


def _picture(boards: list[Seen], spots: list[tuple[int, Reason]], writing: Writing, merged: int) -> Markup:
    setup = boards[0].setup
    low, high = _reach(boards)
    key = f"proof-{setup.index}"
    title = f"Setup {setup.index}: the simulated {'board' if boards[0].board else 'bed'} afterwards"
    section = next((each for each in boards if _is_off(each)), None)
    below = 16.0 + (SECTION + 12.0 if section is not None else 0.0)
    window = Window(low, high, left=13.0, right=13.0, above=7.5, below=below)
    tall = TALL if section is not None or spots else CLEAN
    canvas = Canvas(key, title, window, WIDE, tall + below)
    canvas.word((2.0, 3.5), f"after setup {setup.index}", "strong", "start", FIXED)
    found: list[_Kind] = []
    for each in boards:
        for outline in _rings(each.before):
            canvas.line("wood-before", [*outline, outline[0]])
        for outline in _rings(each.after):
            canvas.polygon("board", outline, each.board or "bed")
        found += [kind for kind in _shade(canvas, each, merged) if kind not in found]
    for goal in setup.goals:
        if isinstance(goal, WallGoal):
            here = [each for each in boards if each.board == goal.board]
            left = [ring for each in here for ring in _left_outside(each, goal)]
            canvas.patches("patch", left, OUTSIDE.hatch)
            found += [OUTSIDE] if left and OUTSIDE not in found else []
            canvas.line("goal-line", goal.path, goal.cut)
    for each in boards:
        _name_sides(canvas, each)
    outside = [
        number for number, reason in spots if reason.at and not _ring(canvas, low, high, number, reason)
    ]
    if section is not None:
        _section(canvas, section, spots, writing)
    _legend(canvas, boards, found, outside, writing, ringed=bool(spots))
    return canvas.svg()


def _reach(boards: list[Seen]) -> tuple[Point, Point]:
    bounds = np.array([each.before.bounds for each in boards])
    (x0, y0), (x1, y1) = bounds[:, :2].min(axis=0), bounds[:, 2:].max(axis=0)
    return (float(x0), float(y0)), (float(x1), float(y1))


def _rings(outline: shapely.geometry.base.BaseGeometry) -> list[list[Point]]:
    return [
        [(float(x), float(y)) for x, y in np.asarray(part.exterior.coords)[:-1]]
        for part in shapely.get_parts(outline)
        if part.geom_type == "Polygon" and not part.is_empty
    ]


def _left_outside(each: Seen, goal: WallGoal) -> list[list[Point]]:
    """Give the wood that a wall should have been clear of."""
    if goal.clear <= 0:
        return []
    strip = band(goal, goal.clear, outside=True)
    left = each.after.intersection(strip).buffer(-SLIVER).buffer(SLIVER, join_style="mitre")
    return _rings(left)


def _off(each: Seen) -> tuple[Floats, Floats]:
    """Give how far each block (m, n) may stand over its goal, and surely is below it, mm; -inf: none.

    A block has one height, of all that stands in it: where wood beyond the goal's region shares it, as at the
    end of a position of a board that is slid along, that height says nothing of the goal.
    """
    x, y = np.meshgrid((each.x[:-1] + each.x[1:]) / 2, (each.y[:-1] + each.y[1:]) / 2)
    goal = _goal_heights(each, *_work(each, x, y))
    with np.errstate(invalid="ignore"):
        over = np.nan_to_num(each.high - goal, nan=-np.inf)
        under = np.nan_to_num(goal - each.low, nan=-np.inf)
    rows, columns = np.nonzero((over > each.within) | (under > each.within))
    if len(rows):
        shared = _shared(each, rows, columns)
        over[rows[shared], columns[shared]] = under[rows[shared], columns[shared]] = -np.inf
    return over, under


def _shared(each: Seen, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> Mask:
    """Say which blocks hold wood that no flat goal is about."""
    goals = [g for g in each.setup.goals if isinstance(g, PlaneGoal) and g.board == each.board]
    beyond = each.before.difference(shapely.union_all([shapely.Polygon(goal.region) for goal in goals]))
    x = np.stack([each.x[columns + k] for k in (0, 1, 1, 0)], axis=1)
    y = np.stack([each.y[rows + k] for k in (0, 0, 1, 1)], axis=1)
    blocks = shapely.polygons(np.stack(_work(each, x, y), axis=2))
    shared: Mask = shapely.area(shapely.intersection(blocks, beyond)) > BESIDE
    return shared


def _is_off(each: Seen) -> bool:
    return any(bool((off > each.within).any()) for off in _off(each))


def _goal_heights(each: Seen, x: Floats, y: Floats) -> Floats:
    """Give the goal's height at work points (...), NaN where no flat goal is."""
    heights = np.full(x.shape, np.nan)
    for goal in each.setup.goals:
        if isinstance(goal, PlaneGoal) and goal.board == each.board:
            heights[shapely.contains_xy(shapely.Polygon(goal.region), x, y)] = goal.z
    return heights


def _work(each: Seen, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Take points of the board's level frame to work x, y; its heights move them by less than is seen."""
    m = each.to_work
    return m[0, 0] * x + m[0, 1] * y + _middle(each, 0), m[1, 0] * x + m[1, 1] * y + _middle(each, 1)


def _middle(each: Seen, axis: int) -> float:
    """Give where the frame's origin lies, at the height of the upper face."""
    m = each.to_work
    z = float(np.nanmean(each.high)) if np.isfinite(each.high).any() else 0.0
    return float(m[axis, 3] + m[axis, 2] * (z - m[2, 3]) / m[2, 2])


def _shade(canvas: Canvas, each: Seen, merged: int) -> list[_Kind]:
    """Hatch the blocks that are off their goal; give the kinds that there are."""
    over, under = _off(each)
    found = []
    for kind in KINDS:
        off = over if kind.over else under
        least = max(kind.least, each.within)
        if kind.most <= each.within:
            continue
        mask = _coarser((off > least) & (off <= kind.most), merged)
        boxes = [_corners(each, box, merged) for box in _boxes(mask)]
        if boxes:
            canvas.patches("patch", boxes, kind.hatch)
            found.append(kind)
    return found


def _coarser(mask: Mask, merged: int) -> Mask:
    """Join blocks, so that a joined one is shaded where any of them is."""
    rows, columns = mask.shape
    padded = np.pad(mask, ((0, -rows % merged), (0, -columns % merged)))
    shape = (padded.shape[0] // merged, merged, padded.shape[1] // merged, merged)
    found: Mask = np.asarray(padded.reshape(shape).any(axis=(1, 3)), dtype=np.bool_)
    return found


def _boxes(mask: Mask) -> list[tuple[int, int, int, int]]:
    """Cover a mask with boxes (row, column, row end, column end): runs, joined where rows are alike."""
    open_boxes: dict[tuple[int, int], int] = {}
    found = []
    runs_of: list[set[tuple[int, int]]] = [set() for _ in range(mask.shape[0] + 1)]
    rows, columns = np.nonzero(np.diff(np.pad(mask.astype(np.int8), ((0, 0), (1, 1))), axis=1))
    for row, begin, end in zip(
        rows[::2].tolist(), columns[::2].tolist(), columns[1::2].tolist(), strict=True
    ):
        runs_of[row].add((begin, end))
    for row, runs in enumerate(runs_of):
        ended = [run for run in open_boxes if run not in runs]
        found += [(open_boxes.pop(run), run[0], row, run[1]) for run in ended]
        for run in runs:
            open_boxes.setdefault(run, row)
    return sorted(found)


def _corners(each: Seen, box: tuple[int, int, int, int], merged: int) -> list[Point]:
    rows, columns = len(each.y) - 1, len(each.x) - 1
    y0, x0, y1, x1 = (
        each.y[min(box[0] * merged, rows)],
        each.x[min(box[1] * merged, columns)],
        each.y[min(box[2] * merged, rows)],
        each.x[min(box[3] * merged, columns)],
    )
    x, y = _work(each, np.array([x0, x1, x1, x0]), np.array([y0, y0, y1, y1]))
    return [(float(a), float(b)) for a, b in zip(x, y, strict=True)]


def _name_sides(canvas: Canvas, each: Seen) -> None:
    """Write the names of ends and sides where they lie, beside the wood as it was."""
    if each.board is None:
        return
    x0, y0, x1, y1 = each.before.bounds
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    for axis, names in enumerate((("end-1", "end-2"), each.sides)):
        direction = each.to_work[:2, axis]
        for name, sense in zip(names, (-1.0, 1.0), strict=True):
            dx, dy = (sense * direction).tolist()
            if abs(dx) > abs(dy):
                spot = canvas.at((x1 if dx > 0 else x0, middle[1]))
                canvas.word((spot[0] + (7.0 if dx > 0 else -7.0), spot[1]), name, "quiet")
            else:
                spot = canvas.at((middle[0], y1 if dy > 0 else y0))
                canvas.word((spot[0], spot[1] + (-3.2 if dy > 0 else 3.2)), name, "quiet")


def _ring(canvas: Canvas, low: Point, high: Point, number: int, reason: Reason) -> bool:
    """Ring the place of a reason and write its number; say whether it is in the picture."""
    assert reason.at is not None
    x, y, _ = reason.at
    more = 10.0 / canvas.scale
    if not (low[0] - more <= x <= high[0] + more and low[1] - more <= y <= high[1] + more):
        return False
    canvas.dot("spot", (x, y), f"reason {number}", RING)
    at = canvas.at((x, y))
    canvas.word((at[0] + RING + 2.2, at[1] - RING), f"({number})", "strong")
    return True


def _section(canvas: Canvas, each: Seen, spots: list[tuple[int, Reason]], writing: Writing) -> None:
    """Cut the board through along its grain at its first spot, heights drawn larger."""
    inverse = np.linalg.inv(each.to_work)
    here = [reason.at for _, reason in spots if reason.at is not None and reason.board in {None, each.board}]
    rows = np.flatnonzero(np.isfinite(each.high).any(axis=1))
    row = int(rows[len(rows) // 2])
    if here:
        y = float((inverse @ np.array([*here[0], 1.0]))[1])
        row = int(np.clip(np.searchsorted(each.y, y) - 1, 0, len(each.y) - 2))
        row = int(rows[np.abs(rows - row).argmin()])
    x = (each.x[:-1] + each.x[1:]) / 2
    level = np.full(x.shape, float((each.y[row] + each.y[row + 1]) / 2))
    goal = _goal_heights(each, *_work(each, x, level))
    tops = np.concatenate([each.high[row], each.low[row], goal])
    least, most = float(np.nanmin(tops)), float(np.nanmax(tops))
    most = max(most, least + 1.0)
    left, right = 13.0, WIDE - 13.0
    floor = canvas.height - 21.0
    along = (right - left) / float(each.x[-1] - each.x[0])
    up = min((SECTION - 8.0) / (most - least), LARGER * along)

    def spot(k: int, z: float) -> Point:
        return left + (float(x[k]) - float(each.x[0])) * along, floor - (z - least) * up

    for kind, line in (("centre-line", goal), ("thin", each.low[row]), ("goal-line", each.high[row])):
        known = np.flatnonzero(np.isfinite(line))
        kept = [int(k) for i, k in enumerate(known) if _bends(line, known, i)]
        for a, b in pairwise(kept):
            canvas.stroke(kind, spot(a, float(line[a])), spot(b, float(line[b])))
    told = f"cut along the grain, heights {up / along:.0f} times larger, {writing.fine(most - least)} in all"
    canvas.word((WIDE / 2, floor + 4.0), told, "quiet", tries=FIXED)
    told = "thick: wood that may stand; thin: wood that surely stands; broken: the goal"
    canvas.word((WIDE / 2, floor + 8.5), told, "quiet", tries=FIXED)


def _bends(line: Floats, known: NDArray[np.intp], i: int) -> bool:
    """Say whether a line of heights changes at one of its places; ends always do."""
    if i in {0, len(known) - 1}:
        return True
    before, here, after = line[known[i - 1]], line[known[i]], line[known[i + 1]]
    return bool(abs(after - here) > 1e-3 or abs(here - before) > 1e-3)


def _legend(
    canvas: Canvas,
    boards: list[Seen],
    found: list[_Kind],
    outside: list[int],
    writing: Writing,
    *,
    ringed: bool,
) -> None:
    """Write the scale, and what the hatching means; `ringed`: something speaks against this setup."""
    y = canvas.height - 8.0
    bars = BARS[writing.units]
    bar = next((b for b in bars if b * canvas.scale < LONGEST_BAR), bars[-1])
    length = bar * canvas.scale
    canvas.stroke("measure", (13.0, y), (13.0 + length, y))
    for x in (13.0, 13.0 + length):
        canvas.stroke("measure", (x, y - 1.5), (x, y + 1.5))
    canvas.word((13.0 + length + 2.0, y), writing.length(bar), "word", "start", FIXED)
    words = [
        kind.words.format(least=writing.fine(max(kind.least, boards[0].within)), most=writing.fine(kind.most))
        for kind in found
    ]
    at = 13.0 + length + 24.0
    for kind, text in zip(found, words, strict=True):
        canvas.sample((at, y - 2.0), (7.0, 4.0), kind.hatch)
        canvas.word((at + 8.5, y), text, "word", "start", FIXED)
        at += 10.0 + 2.1 * len(text)
        if at > WIDE - 50.0:
            at, y = 13.0, y + 5.0
    if not found:
        flat = any(isinstance(goal, PlaneGoal) for goal in boards[0].setup.goals)
        text = "no shading: every place is at its goal" if flat else "no face is cut in this setup"
        text = "no shading: see the rings" if flat and ringed else text
        canvas.word((at, y), text, "word", "start", FIXED)
    if outside:
        named = ", ".join(f"({number})" for number in outside)
        canvas.word((13.0, canvas.height - 3.0), f"outside the picture: {named}", "word", "start", FIXED)
