"""The bed seen from above in one setup: where everything lies, stands, starts and is measured from.

In: the packet, one setup, the paths its programs were read back as. Out: SVG. Promise: every outline is the
packet's own, in its own numbers.
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from stockwright.frozen import frozen
from stockwright.packet.drawing import ALONG, LEVEL, Canvas, Window, cutting_moves
from stockwright.packet.plan_words import (
    AXIS,
    as_long_as_one_another,
    beside,
    hidden_sides,
    write_beside,
    write_foot,
    write_grain,
    write_lengths,
    write_number,
    write_side_names,
    write_zero,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from markupsafe import Markup

    from stockwright.packet.clamp_states import State
    from stockwright.packet.drawing import Moves
    from stockwright.packet.model import Setup
    from stockwright.packet.wood import Wood
    from stockwright.packet.writing import Writing
    from stockwright.packet.zero_spot import ZeroSpot

__all__ = ["HATCH_OF", "Shown", "Tagged", "draw_plan"]

Point = tuple[float, float]
WIDE, TALL = 186.0, 63.0  # paper mm: as wide as a page, and words stand below it
BARE = 52.0  # paper mm: how high a bed is drawn on which no board lies
MANY, TALLEST = 24, 100.0  # of so many small marks the drawing is as high as a leaf of its own allows
MOST_TOLD = 16  # shims whose thickness is written beside them
# Paper mm from a dimension to the next: of a board that lies on both sides of the mark there are two
BELOW = 5.6
FAR_OUT = 0.08  # of the drawing's width: what lies left of the mark and is shorter is not told apart
MARK_BELOW = 40.0  # mm from the top of the drawing: nearer, a mark of a height takes room above it
MOST_POINTS = 3000  # of one program's passes; a drawing that holds only the first of them says so
HATCH_OF = {
    "fence": "back",
    "side-clamp": "slant",
    "stop": "slant",
    "top-clamp": "cross",
    "backing": "dots",
    "wedge": "slant",
    "lever-stop": "slant",
    "screw": "cross",
    "riser": "wide",
}


@frozen
class Tagged:
    """The short names by which the drawing and the tables know things."""

    solids: Mapping[str, str]
    shims: Sequence[str]
    checks: Sequence[tuple[str, float, float]]


@frozen
class Shown:
    """One state to draw alone: outlines of what it cuts, and of what was cut before."""

    state: State
    now: Sequence[Sequence[Point]]
    before: Sequence[Sequence[Point]]


def draw_plan(
    setup: Setup,
    woods: Mapping[str, Wood],
    paths: Mapping[str, Moves],
    tags: Tagged,
    writing: Writing,
    shown: Shown | None = None,
    now: Sequence[Sequence[Point]] = (),
    z_zero: ZeroSpot | None = None,
) -> Markup:
    """Return the plan of `setup`; `paths` by file, `writing` gives lengths in the user's units.

    `shown`: one state of it only, where things move between its programs; `now`: outlines of what is cut,
    where nothing moves. `z_zero`: where z is taken.
    """
    key, said = f"plan-{setup.index}", f"Setup {setup.index} from above"
    if shown is not None:
        key, said = f"{key}-{shown.state.number}", f"{said}, part {shown.state.number}"
    tall = BARE if not woods else TALLEST if len(tags.shims) + len(tags.checks) > MANY else TALL
    canvas = Canvas(key, said, _window(setup, woods, z_zero), WIDE, tall)
    always = _always_standing(setup) if shown is None else shown.state.standing
    standing = [s for s in setup.solids if shown is None or s.name in shown.state.standing]
    for solid in standing:
        kind = "solid" if solid.name in always else "solid sometimes"
        canvas.hatched(f"{kind} {solid.kind}", solid.outline, HATCH_OF.get(solid.kind, "slant"), solid.name)
    for name, wood in woods.items():
        canvas.polygon("board", wood.before, name)
    for goal in setup.goals:
        if goal.kind == "plane" and goal.board is None:
            canvas.polygon("board", goal.region, goal.cut)
    for outline in () if shown is None else shown.before:
        canvas.hatched("cut-before", outline, "dots", "cut before")
    for outline in now if shown is None else shown.now:
        canvas.polygon("cut-now", outline, "cut in this setup" if shown is None else "cut in this part")
    for name, wood in woods.items():
        for void in wood.voids:
            canvas.polygon("paper", void, f"{name}, a void")
            low, high = canvas.at(np.min(void, axis=0).tolist()), canvas.at(np.max(void, axis=0).tolist())
            middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
            canvas.keep_free(middle, (high[0] - low[0]) / 2, (low[1] - high[1]) / 2)
    for under in setup.beneath:
        canvas.hatched("beneath", under.outline, "wide", under.name)
    _reach(canvas, setup)
    starts_at = []
    complete = True
    for number, program in enumerate(setup.programs, 1):
        if shown is not None and number not in shown.state.numbers:
            continue
        if program.purpose == "cut" and program.file in paths:
            passes, whole = _drawable(last_level(paths[program.file]))
            complete = complete and whole
            for line in passes:
                canvas.line("pass", line, program.file)
            if passes:
                starts_at.append((number, passes))
    for name, wood in woods.items():
        canvas.polygon("piece", wood.piece, f"{name}, finished")
    for solid in standing:  # arms lie over the wood
        if solid.kind == "top-clamp" and solid.bottom > 0:
            canvas.hatched("solid arm", solid.outline, "cross")
    for goal in setup.goals:
        if goal.kind == "wall":
            canvas.line("wall", goal.path, goal.cut)
    for tag, shim in zip(tags.shims, setup.shims, strict=True):
        canvas.dot("shim", (shim.x, shim.y), f"shim {tag}")
    _zero(canvas)
    if z_zero is not None:
        canvas.level((z_zero.x, z_zero.y), "z zero")
    for _, x, y in tags.checks:
        at = canvas.at((x, y))
        canvas.keep_free(at, 1.6)
        canvas.stroke("check", (at[0] - 1.4, at[1] - 1.4), (at[0] + 1.4, at[1] + 1.4))
        canvas.stroke("check", (at[0] - 1.4, at[1] + 1.4), (at[0] + 1.4, at[1] - 1.4))
    for _, passes in starts_at:
        _start(canvas, passes)
    write_zero(canvas)
    z_at = None if z_zero is None else f"x {writing.spot(z_zero.x)}, y {writing.spot(z_zero.y)}"
    write_foot(canvas, f"{setup.zero.x}, " if isinstance(setup.zero.x, str) else "", z_at)
    if z_zero is not None:
        x, y = canvas.at((z_zero.x, z_zero.y))
        write_beside(canvas, (x, y - LEVEL[1] / 2), "z 0", "word strong", 3.0)
    # The parts of one thing bear one number.
    for text in dict.fromkeys(tags.solids[solid.name] for solid in standing):
        write_number(canvas, [s.outline for s in standing if tags.solids[s.name] == text], text)
    _measures(canvas, setup, woods, writing.length)
    for wood in woods.values():
        hidden = hidden_sides(wood, woods)
        write_side_names(canvas, wood.before, wood.sides, hidden, [solid.outline for solid in standing])
    for solid in standing:
        if solid.bottom <= -setup.work_origin[2]:  # not an arm: that lies on what is to be named
            _its_own(canvas, solid.outline)
    _shims(canvas, setup, woods, tags.shims, writing)
    for number, passes in starts_at:
        which = f"start, file {number}" if len(starts_at) > 1 else "start"
        write_beside(canvas, canvas.at(passes[0][0]), which, "word strong")
    for tag, x, y in tags.checks:
        write_beside(
            canvas,
            canvas.at((x, y)),
            tag,
            "word",
            within=[wood.before for wood in woods.values()],
            rivals=[canvas.at((x, y)) for _, x, y in tags.checks],
        )
    drawn, alike = False, len({wood.up for wood in woods.values()}) == 1
    for number, (name, wood) in enumerate(woods.items(), 1):
        # Of boards side by side with one face up, that stands over the drawing already.
        up = f"face {wood.up} up"
        told = up if len(woods) == 1 else name if alike else f"{name}, {up}"
        # The word stands by the first arrow; the last board has one if no other has.
        must = not drawn and number == len(woods)
        drawn |= write_grain(canvas, wood, told, named=not drawn, must=must)
    if not as_long_as_one_another(woods):
        write_lengths(canvas, woods, writing.length)
    if not complete:
        canvas.word((canvas.width - 2, canvas.height - 2.4), "first passes only", "word quiet", "end", ALONG)
    return canvas.svg()


def _its_own(canvas: Canvas, outline: Sequence[Point]) -> None:
    """Leave what stands to its own number: another's letter or figure beside it would be read with it."""
    (x0, y1), (x1, y0) = canvas.at(np.min(outline, axis=0)), canvas.at(np.max(outline, axis=0))
    canvas.keep_free(((x0 + x1) / 2, (y0 + y1) / 2), (x1 - x0) / 2, (y1 - y0) / 2)


def _shims(
    canvas: Canvas, setup: Setup, woods: Mapping[str, Wood], tags: Sequence[str], writing: Writing
) -> None:
    """Write at each shim its letter; how thick it is too, where that fits beside every one."""
    at = [canvas.at((shim.x, shim.y)) for shim in setup.shims]
    within = [[woods[shim.board].before] for shim in setup.shims]
    thick = [f"{tag} {writing.bare(shim.thickness)}" for tag, shim in zip(tags, setup.shims, strict=True)]
    ways = [beside(canvas, place, within=wood) for place, wood in zip(at, within, strict=True)]
    fits = len(thick) <= MOST_TOLD and canvas.room_for(zip(ways, thick, at, strict=True), "word strong")
    for place, wood, text in zip(at, within, thick if fits else tags, strict=True):
        write_beside(canvas, place, text, "word strong", within=wood, rivals=at)


def _reach(canvas: Canvas, setup: Setup) -> None:
    """Draw how far the machine reaches along a board that is longer than that."""
    if setup.position is None:
        return
    low, high = canvas.window.low, canvas.window.high
    for x in setup.position.reach:
        if low[0] < x < high[0]:
            canvas.line("reach", [(x, low[1]), (x, high[1])], "end of reach")


def last_level(moves: Moves) -> list[list[Point]]:
    """Return the feeds at the program's lowest height as lines seen from above, straight runs joined."""
    start, end = cutting_moves(moves)
    if not len(end):
        return []
    lowest = float(end[:, 2].min()) + 0.01
    lines: list[list[Point]] = []
    for a3, b3 in zip(start.tolist(), end.tolist(), strict=True):
        if a3[2] > lowest or b3[2] > lowest:
            continue
        a, b = (a3[0], a3[1]), (b3[0], b3[1])
        if not lines or lines[-1][-1] != a:
            lines.append([a, b])
        elif _straight(lines[-1][-2], a, b):
            lines[-1][-1] = b
        else:
            lines[-1].append(b)
    return lines


def _drawable(lines: list[list[Point]]) -> tuple[list[list[Point]], bool]:
    """Return as much as a drawing can show, from the start on, and whether that is all."""
    shown: list[list[Point]] = []
    left = MOST_POINTS
    for line in lines:
        if left < 2:
            return shown, False
        shown.append(line[:left])
        left -= len(line)
    return shown, left >= 0


def _straight(a: Point, b: Point, c: Point) -> bool:
    across = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    onward = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1])
    return abs(across) < 1e-6 and onward > 0


def _always_standing(setup: Setup) -> set[str]:
    standing = [set(program.standing) for program in setup.programs]
    return set.intersection(*standing) if standing else {solid.name for solid in setup.solids}


def _window(setup: Setup, woods: Mapping[str, Wood], z_zero: ZeroSpot | None) -> Window:
    points: list[Point] = [(0.0, 0.0)]
    if z_zero is not None:
        points.append((z_zero.x, z_zero.y))
    for solid in setup.solids:
        points += solid.outline
    for wood in woods.values():
        points += wood.before
    for goal in setup.goals:
        points += goal.region if goal.kind == "plane" else goal.path
    low, high = np.min(points, axis=0), np.max(points, axis=0)
    # The mark of z zero stands on its place, below the dimension along the top.
    highest = z_zero is not None and z_zero.y > high[1] - MARK_BELOW
    ends = [x for wood in woods.values() for x, _ in wood.before]
    both_sides = bool(ends) and min(ends) < -FAR_OUT * (high[0] - low[0])
    return Window(
        (float(low[0]), float(low[1])),
        (float(high[0]), float(high[1])),
        left=9.0,
        right=28.0,
        above=8.0 + (LEVEL[1] if highest else 0.0) + (BELOW if both_sides else 0.0),
        below=8.0,
    )


def _measures(
    canvas: Canvas, setup: Setup, woods: Mapping[str, Wood], length: Callable[[float], str]
) -> None:
    along = as_long_as_one_another(woods)
    farthest = max(woods.values(), key=lambda wood: max(p[1] for p in wood.before), default=None)
    for wood in woods.values():
        (x0, y0), (x1, y1) = np.min(wood.before, axis=0).tolist(), np.max(wood.before, axis=0).tolist()
        top = 5.6
        if along and wood is farthest:
            ends = (_at_end(wood.before, 0, x0)[1], _at_end(wood.before, 0, x1)[1])
            canvas.span_across(x0, x1, top, length(x1 - x0), ends)
            if abs(x0) >= 0.5 and abs(x0) * canvas.scale > 12:
                canvas.span_across(0.0, x0, top if x0 > 0 else top + BELOW, length(round(abs(x0), 1)))
        across = canvas.at((canvas.window.high[0], 0.0))[0] + 4.0
        edges = (_at_end(wood.before, 1, y0)[0], _at_end(wood.before, 1, y1)[0])
        canvas.span_up(y0, y1, across, length(y1 - y0), edge=edges)
        if abs(y0) >= 0.5 and not setup.placing:
            canvas.span_up(0.0, y0, across, length(abs(y0)))
    outlines = [wood.before for wood in woods.values()]
    for place in setup.placing:
        near = min((y for outline in outlines for y in _crossings(outline, place.x)), default=None)
        at_the_end = any(abs(place.x - min(x for x, _ in outline)) < 0.5 for outline in outlines)
        if near is None or at_the_end or abs(place.y) < 0.05:
            continue  # a distance along the board is among the ones drawn above it
        canvas.span_up(near - place.y, near, canvas.at((place.x, 0.0))[0], length(place.y))


def _at_end(outline: Sequence[Point], axis: int, value: float) -> Point:
    """Return the corner that reaches `value` on an axis: the rightmost or farthest of them."""
    return max((p for p in outline if abs(p[axis] - value) < 1e-6), key=lambda p: p[1 - axis])


def _crossings(outline: list[Point], x: float) -> list[float]:
    """Return the y at which an outline passes `x`."""
    found = []
    for (x0, y0), (x1, y1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        if x0 != x1 and min(x0, x1) <= x <= max(x0, x1):
            found.append(y0 + (x - x0) / (x1 - x0) * (y1 - y0))
    return found


def _zero(canvas: Canvas) -> None:
    x, y = canvas.at((0.0, 0.0))
    canvas.stroke("zero", (x - 3, y), (x + AXIS, y))
    canvas.stroke("zero", (x, y + 3), (x, y - AXIS))
    canvas.arrow("solid-ink", (x + AXIS + 2, y), (1.0, 0.0), 2.8)
    canvas.arrow("solid-ink", (x, y - AXIS - 2), (0.0, -1.0), 2.8)
    canvas.dot("zero-ring", (0.0, 0.0), "zero mark", 2.0)
    canvas.keep_free((x + AXIS / 2, y), AXIS / 2 + 2, 1.0)
    canvas.keep_free((x, y - AXIS / 2), 1.0, AXIS / 2 + 2)


def _start(canvas: Canvas, passes: list[list[Point]]) -> None:
    canvas.dot("start", passes[0][0], "start", 1.3)
    runs = [(a, b) for line in passes for a, b in itertools.pairwise(line)]
    a, b = max(runs, key=lambda run: (run[1][0] - run[0][0]) ** 2 + (run[1][1] - run[0][1]) ** 2)
    pa, pb = canvas.at(a), canvas.at(b)
    # Set off the middle, where names of edges stand.
    tip = (pa[0] + 0.36 * (pb[0] - pa[0]), pa[1] + 0.36 * (pb[1] - pa[1]))
    canvas.keep_free(tip, 2.5)
    canvas.arrow("solid-ink", tip, (pb[0] - pa[0], pb[1] - pa[1]))
