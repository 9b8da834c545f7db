"""A setup in section, seen level: bed, supports, wood before and after, and the whole tool.

In: the packet, one setup, the path of the program drawn. Out: SVG. Promise: heights are the packet's own; the
tool is drawn with its whole assembly, where its path goes farthest out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.packet.drawing import FIXED, Canvas, Window, cutting_moves
from stockwright.packet.plan_drawing import HATCH_OF
from stockwright.packet.wood import clip

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from markupsafe import Markup

    from stockwright.packet.drawing import Moves
    from stockwright.packet.model import Goal, Packet, Program, Setup, Tool
    from stockwright.packet.placing import Place
    from stockwright.packet.wood import Wood

__all__ = ["draw_section", "section_goal"]

Point = tuple[float, float]
BED = 10.0  # mm of the bed drawn under its surface
NOSE = 16.0  # mm of the spindle drawn above its nose
INSIDE, OUTSIDE = 60.0, 44.0  # mm drawn on either side of a wall
WIDE, TALL, LOW = 90.0, 41.0, 31.0  # paper mm; of a face, which has shims and more words beside it
CLOSE, FREE = 25.0, 44.0  # paper mm beside what is drawn: on the wood's side, on the other
RAISED = (0.0, 0.7, 1.4, 2.1, 2.8, 3.5)  # paper mm by which a name may stand higher
LEVEL_LINE, LEVEL_AT = 9.0, 4.5  # paper mm: how far the line of z zero goes on, and where its mark stands
LOWEST = 4.6  # paper mm: in wood that is drawn lower a name would lie on its lines; it stands above
ABOVE = (0.0, 1.5, 3.0, 4.5, 6.0)  # paper mm by which it may stand higher there
BESIDE = 8.0  # mm drawn beside a board
WIDEST = 60.0  # mm; a wider board is drawn on the tool's side only


def section_goal(setup: Setup) -> Goal:
    """Return the goal whose cut is drawn: the longest wall, else the plane farthest away."""
    walls = [goal for goal in setup.goals if goal.kind == "wall"]
    if not walls:  # of boards side by side the one where the cutter comes out
        return max(setup.goals, key=lambda g: max(p[1] for p in (g.region if g.kind == "plane" else g.path)))
    return max(walls, key=lambda w: float(np.ptp(np.array(w.path), axis=0).max()))


def draw_section(
    packet: Packet,
    setup: Setup,
    woods: Mapping[str, Wood],
    paths: Mapping[str, Moves],
    length: Callable[[float], str],
) -> Markup | None:
    """Return the section through the setup's main cut, None where no program cuts here."""
    goal = section_goal(setup)
    program = _program(setup, goal, paths)
    if program is None or program.tool is None:
        return None
    tool = packet.tools[program.tool]
    axis = 1
    if goal.kind == "wall":
        axis = int(np.argmin(np.ptp(np.array(goal.path), axis=0)))
    wood = woods.get(goal.board) if goal.board is not None else None
    tip = goal.z if goal.kind == "plane" else goal.z[0]
    centre, outward = _where(goal, axis, wood, tool, paths.get(program.file))
    low, high = _across(goal, axis, wood, centre, outward, max(part.diameter for part in tool.assembly) / 2)
    bed = -setup.work_origin[2]
    nose = tip + tool.assembly[-1].bottom
    standing = [s for s in setup.solids if s.name in program.standing]
    ceiling = max([nose + NOSE, *(s.top for s in standing)])
    canvas = Canvas(
        f"section-{setup.index}",
        f"Setup {setup.index} cut through, seen {'from the right' if axis == 1 else 'from the near side'}",
        # The free side of the cutter is where its stick-out is written.
        Window(
            (low, bed - BED),
            (high, ceiling),
            left=CLOSE if outward > 0 else FREE,
            right=FREE if outward > 0 else CLOSE,
            above=2.0,
            below=6.5,
        ),
        WIDE,
        LOW if goal.kind == "plane" else TALL,
    )
    canvas.hatched("bed", _rectangle(low, high, bed - BED, bed), "wide", "bed")
    for solid in standing:
        across = np.array(solid.outline)[:, axis]
        a, b = max(low, float(across.min())), min(high, float(across.max()))
        if b > a:
            hatch = HATCH_OF.get(solid.kind, "slant")
            canvas.hatched("solid beyond", _rectangle(a, b, solid.bottom, solid.top), hatch, solid.name)
    if wood is not None:
        _wood(canvas, wood, axis, low, high)
    for shim in setup.shims:
        u = shim.x if axis == 0 else shim.y
        if shim.thickness > 0 and low + 8 < u < high - 8:
            canvas.polygon("shim", _rectangle(u - 8, u + 8, bed, bed + shim.thickness), "shim")
    _tool(canvas, tool, centre, tip, ceiling)
    rests = max((solid.top for solid in standing if solid.kind == "riser"), default=bed)
    if wood is not None:
        _caption(canvas, wood, rests, length)
    _zero(canvas, low, high, outward)
    _words(canvas, wood, tool, centre, tip, outward, rests, length)
    return canvas.svg()


def _program(setup: Setup, goal: Goal, paths: Mapping[str, Moves]) -> Program | None:
    """Return the cutting program whose path ends the cut at `goal`: the one nearest it."""
    cutting = [p for p in setup.programs if p.purpose == "cut"]
    if goal.kind == "plane" or len(cutting) < 2:
        return cutting[0] if cutting else None
    axis = int(np.argmin(np.ptp(np.array(goal.path), axis=0)))
    along = 1 - axis
    reach = float(np.ptp(np.array(goal.path)[:, along]))

    def fit(program: Program) -> float:
        moves = paths.get(program.file)
        ends = np.empty((0, 3)) if moves is None else cutting_moves(moves)[1]
        return -abs(float(np.ptp(ends[:, along])) - reach) if len(ends) else 0.0

    # Without a path every program fits alike, and the last one is taken.
    return max(reversed(cutting), key=fit)


def _where(goal: Goal, axis: int, wood: Wood | None, tool: Tool, moves: Moves | None) -> tuple[float, float]:
    """Return the tool's axis across the section and which way is outward (1.0 or -1.0)."""
    if goal.kind == "wall":
        (ax, ay), (bx, by) = goal.path[0], goal.path[-1]
        to_the_left = (-(by - ay), bx - ax)[axis]
        outward = -1.0 if (to_the_left > 0) == (goal.inside == "left") else 1.0
        wall = (ax, ay)[axis]
        return wall + outward * tool.diameter / 2, outward
    feeds = np.empty((0, 3)) if moves is None else cutting_moves(moves)[1]
    if len(feeds):
        low = feeds[np.abs(feeds[:, 2] - feeds[:, 2].min()) < 0.01]
        return float(low[:, axis].max()), 1.0
    points = np.array(wood.before if wood is not None else goal.region)
    return float(points[:, axis].max()), 1.0


def _across(
    goal: Goal, axis: int, wood: Wood | None, centre: float, outward: float, widest: float
) -> tuple[float, float]:
    if goal.kind == "wall":
        ends = (centre - outward * INSIDE, centre + outward * OUTSIDE)
        return min(ends), max(ends)
    points = np.array(wood.before if wood is not None else goal.region)
    low, high = float(points[:, axis].min()), float(points[:, axis].max())
    far = max(high + BESIDE, centre + widest)  # no farther than the spindle: what is drawn larger is read
    return (high - WIDEST if high - low > WIDEST else low - BESIDE), far


def _wood(canvas: Canvas, wood: Wood, axis: int, low: float, high: float) -> None:
    """Draw the board's section before, dotted where it is cut away, and after."""
    rows = wood.profile_x if axis == 0 else wood.profile_y
    ends = np.array(wood.before)[:, axis]
    first, last = rows[0].copy(), rows[-1].copy()
    first[0], last[0] = min(first[0], ends.min()), max(last[0], ends.max())
    rows = np.vstack([first, rows, last])
    outline = [(float(u), float(z)) for u, z, _ in rows] + [(float(u), float(z)) for u, _, z in rows[::-1]]
    for edge in (float(ends.min()), low):
        outline = clip(outline, ((edge, 1.0), (edge, 0.0)))
    for edge in (float(ends.max()), high):
        outline = clip(outline, ((edge, 0.0), (edge, 1.0)))
    if not outline:
        return
    canvas.hatched("wood-before", outline, "dots", "wood before")
    after = clip(outline, ((1.0, wood.top_after), (0.0, wood.top_after)))
    kept = np.array(wood.after)[:, axis]
    after = clip(clip(after, ((kept.min(), 1.0), (kept.min(), 0.0))), ((kept.max(), 0.0), (kept.max(), 1.0)))
    if after:
        canvas.polygon("wood-after", after, "wood after")


def _tool(canvas: Canvas, tool: Tool, centre: float, tip: float, ceiling: float) -> None:
    last = len(tool.assembly) - 1
    for number, part in enumerate(tool.assembly):
        top = min(tip + part.top, ceiling)
        half = part.diameter / 2
        kind = (
            "nose"
            if number == last
            else "cutting-part"
            if number == 0
            else "nut"
            if part.bottom >= tool.stickout - 1e-6
            else "shank"
        )
        box = _rectangle(centre - half, centre + half, tip + part.bottom, top)
        if number == 0:
            canvas.polygon("paper", box)
            canvas.hatched(kind, box, "cross", kind)
        else:
            canvas.polygon(kind, box, kind)
    x, bottom = canvas.at((centre, tip))
    canvas.stroke("centre-line", (x, bottom + 3.0), (x, canvas.at((centre, ceiling))[1] - 3.0))


def _zero(canvas: Canvas, low: float, high: float, outward: float) -> None:
    """Draw the height at which z is zero, on a line that goes on from it."""
    side = 1.0 if outward > 0 else -1.0
    edge = high if side > 0 else low
    x, y = canvas.at((edge, 0.0))
    canvas.stroke("extension", (x, y), (x + side * LEVEL_LINE, y))
    canvas.level((edge + side * LEVEL_AT / canvas.scale, 0.0), "z zero")
    canvas.put(
        [(x + side * (LEVEL_LINE - 1.5), y - 2.2, "start" if side > 0 else "end")],
        "z 0",
        "word strong",
        (x + side * LEVEL_AT, y),
    )


def _caption(canvas: Canvas, wood: Wood, rests: float, length: Callable[[float], str]) -> None:
    """Say from where it is seen, and what was cut away: as much as the paper is wide enough for.

    Beside a wall that is dotted; off a face it is too thin for dots, and its dashed line is what is seen.
    """
    seen = "from the right" if "from the right" in canvas.title else "from where you stand"
    if wood.top > wood.top_after + 0.05:
        before = f"{length(wood.top - rests)} before"
        said = [f"seen {seen}; dashed: cut away, {before}", f"{seen}; dashed: cut away, {before}"]
        said += [f"{seen}; dashed: {before}", f"dashed: cut away, {before}"]
    else:
        said = [f"seen {seen}; dotted: cut away", f"{seen}; dotted: cut away"]
    told = canvas.fitting(said, "word quiet", canvas.width)
    canvas.word((canvas.width / 2, canvas.height - 2.4), told, "word quiet", tries=FIXED)


def _words(
    canvas: Canvas,
    wood: Wood | None,
    tool: Tool,
    centre: float,
    tip: float,
    outward: float,
    rests: float,
    length: Callable[[float], str],
) -> None:
    widest = max(part.diameter for part in tool.assembly) / 2
    side = 1.0 if outward > 0 else -1.0
    anchor = "start" if side > 0 else "end"
    edge = canvas.at((centre + side * widest, 0.0))[0] + side * 5.0
    # From the tip's lowest corner and from the nut's lower edge, as they are held against a rule.
    nut = next((p for p in tool.assembly[1:] if p.bottom >= tool.stickout - 1e-6), tool.assembly[-1])
    measured = (centre + side * tool.diameter / 2, centre + side * nut.diameter / 2)
    canvas.span_up(tip, tip + tool.stickout, edge, f"stick-out {length(tool.stickout)}", anchor, measured)
    x_nose = canvas.at((centre + side * widest, 0.0))[0] + side * 1.6
    # Upwards from their own heights: dimension and nut may be too low for a word of each.
    nuts = [part for part in tool.assembly[1:-1] if part.bottom >= tool.stickout - 1e-6]
    named = [("nut", (nuts[0].bottom + nuts[0].top) / 2)] if nuts else []
    for name, middle in (*named, ("spindle", tool.assembly[-1].bottom + NOSE / 2)):
        y = canvas.at((0.0, tip + middle))[1]
        canvas.put([(x_nose, y - up, anchor) for up in RAISED], name, "word quiet")
    if wood is None:
        return
    low, high = canvas.window.low[0], canvas.window.high[0]
    inner = 3.5 if side > 0 else canvas.width - 3.5
    inner_anchor = "start" if side > 0 else "end"
    start = low if side > 0 else high
    canvas.span_up(rests, wood.top_after, inner, length(wood.top_after - rests), inner_anchor, (start, start))
    # In the middle of the wood that is seen beside the cutter.
    across = np.array(wood.after)[:, 1 if "from the right" in canvas.title else 0]
    beyond = max(low, float(across.min())) if side > 0 else min(high, float(across.max()))
    within = canvas.at(((beyond + centre - side * tool.diameter / 2) / 2, (rests + wood.top_after) / 2))
    room = abs(beyond - (centre - side * tool.diameter / 2)) * canvas.scale
    told = canvas.fitting((f"face {wood.up} up", f"{wood.up} up"), "word name", room)
    places: list[Place] = [(*within, "middle")]
    if (wood.top_after - rests) * canvas.scale < LOWEST:
        x = canvas.at((centre - side * tool.diameter / 2, 0.0))[0] - side * 1.5
        y = canvas.at((0.0, max(wood.top, wood.top_after)))[1] - LOWEST / 2
        places = [(x, y - up, "end" if side > 0 else "start") for up in ABOVE]
    canvas.put(places, told, "word name", within)


def _rectangle(u0: float, u1: float, z0: float, z1: float) -> list[Point]:
    return [(u0, z0), (u1, z0), (u1, z1), (u0, z1)]
