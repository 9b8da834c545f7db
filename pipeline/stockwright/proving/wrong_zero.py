"""What happens if zero is taken wrongly. In: `Seen` of every setup. Out: `WrongZero`s, setup by setup.

Each is a mistake that people make, its size taken from the packet: z not taken again after another cutter is
fitted; z taken on the wood instead of its support, or the other way round; on the bed instead of on risers,
or the other way round; x and y at the board's corner instead of the mark. The programs are moved by that much
and held against what stands. Promise: what is said to be met is met; no board is cut anew, so of wood only
what is wider than the cutter is asked.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from stockwright.frozen import frozen
from stockwright.packet.model import Solid
from stockwright.proving.clearance import Mover, Obstacle, Ways, clearances, may_meet, movers
from stockwright.proving.run import HAIR

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from numpy.typing import NDArray

    from stockwright.proving.run import Run
    from stockwright.proving.seen import Seen

    Floats = NDArray[np.float64]

__all__ = ["Fitted", "WrongZero", "wrong_zeros"]

NEAR = 200.0  # mm: a corner farther from the mark than a hand is wide is not taken for it; common practice
Case = Literal["kept", "on-the-wood", "on-the-support", "on-the-bed", "on-a-riser", "at-the-corner"]


@frozen
class Fitted:
    """What the spindle held before a setup, its `nose` above its tip, and the work zero of then, mm."""

    tool: str | None
    nose: float
    origin: tuple[float, float, float]


@frozen
class WrongZero:
    """One mistake in one setup; lengths in mm.

    `off`: how far every move is then from where it belongs. `meets`: what is run into, `first` the file in
    which that comes first. `bed`: how deep the tip goes below the bed (0: not), `bed_allows`: how deep it
    may, `outline_bed`: how deep it goes in an outline, with the spindle off. `nut`: what is wider than the
    cutter meets wood; `stops`: which end of the travel is run against; `tool`, `before`: cutters.
    """

    setup: int
    case: Case
    off: tuple[float, float, float]
    tool: str
    before: str | None
    meets: tuple[str, ...]
    first: str | None
    bed: float
    bed_allows: float
    outline_bed: float
    nut: bool
    stops: Literal["", "upper", "lower", "side"]


def wrong_zeros(boards: Iterable[Seen], fitted: Mapping[int, Fitted | None] | None = None) -> list[WrongZero]:
    """Ask every setup about its likely mistakes; `boards` in the order of the setups.

    `fitted`, by setup, says what was in the spindle before, where that setup does not follow on the one
    before it here.
    """
    found: list[WrongZero] = []
    by_setup: dict[int, list[Seen]] = {}
    for each in boards:
        by_setup.setdefault(each.setup.index, []).append(each)
    last: Fitted | None = None
    highest = max((_raised(seen[0]) for seen in by_setup.values()), default=0.0)
    for index, seen in by_setup.items():
        last = (fitted or {}).get(index, last)
        for case, off, runs, before in _cases(seen, last, highest):
            found.append(_judge(seen, case, off, runs, before))
        last = _fitted(seen[0].runs[-1]) if seen[0].runs else last
    return found


def _cases(
    seen: list[Seen], last: Fitted | None, risers: float
) -> Iterator[tuple[Case, tuple[float, float, float], tuple[Run, ...], Fitted | None]]:
    """Give each mistake: how far off, the programs that it moves, and what was fitted before.

    `risers`: how high the job's highest risers are, 0 without any.
    """
    runs = seen[0].runs
    before = last
    for index, run in enumerate(runs):
        if before is not None:
            off = _kept(before, run)
            if max(map(abs, off)) > HAIR:
                same = [r for r in runs[index:] if r.program.tool == run.program.tool]
                yield "kept", off, tuple(same), before
        before = _fitted(run)
    wood = [each for each in seen if each.board is not None]
    if not wood or not runs:
        return
    low, high = min(each.tops[0] for each in wood), max(each.tops[1] for each in wood)
    if not (np.isfinite(low) and np.isfinite(high)):
        return
    if seen[0].setup.zero.z == "stock-top":
        if high > HAIR:
            yield "on-the-support", (0.0, 0.0, -high), runs, None
    elif low > HAIR:
        yield "on-the-wood", (0.0, 0.0, low), runs, None
    if seen[0].setup.zero.z == "support":
        raised = _raised(seen[0])
        if raised > HAIR:  # z 0 is their upper side
            yield "on-the-bed", (0.0, 0.0, -raised), runs, None
        elif risers > HAIR:  # what is as high as they are is at hand
            yield "on-a-riser", (0.0, 0.0, risers), runs, None
    corners = [c for each in wood for c in shapely.get_coordinates(_box(each))]
    x, y = min(corners, key=lambda c: float(np.hypot(c[0], c[1])))
    if 1.0 < float(np.hypot(x, y)) <= NEAR and isinstance(seen[0].setup.zero.x, str):
        yield "at-the-corner", (float(x), float(y), 0.0), runs, None


def _raised(seen: Seen) -> float:
    """Give how high the risers of a setup are, 0 where the board lies on the bed."""
    return max((s.top - s.bottom for s in seen.setup.solids if s.kind == "riser"), default=0.0)


def _fitted(run: Run) -> Fitted:
    return Fitted(run.program.tool, run.nose, run.setup.work_origin)


def _kept(before: Fitted, run: Run) -> tuple[float, float, float]:
    """Give how far off the tip is if zero is kept from the program before: origins and lengths differ."""
    here, there = np.array(run.setup.work_origin), np.array(before.origin)
    x, y, z = (there - here).tolist()
    return x, y, z + before.nose - run.nose


def _box(seen: Seen) -> shapely.geometry.base.BaseGeometry:
    return shapely.minimum_rotated_rectangle(seen.before)


def _judge(
    seen: list[Seen],
    case: Case,
    off: tuple[float, float, float],
    runs: tuple[Run, ...],
    before: Fitted | None,
) -> WrongZero:
    meets: list[str] = []
    first: Run | None = None
    nut, bed, outline, stops = False, 0.0, 0.0, ""
    for run in runs:
        moved = _moved(run, off)
        here = _met(moved, run)
        if here and first is None:
            first = run
        meets += [name for name in here if name not in meets]
        bed = max(bed, _below_bed(moved))
        outline = max(outline, _below_bed(moved) if run.program.purpose == "outline" else 0.0)
        nut = nut or any(_nut_meets(moved, run, each) for each in seen if each.board is not None)
        stops = stops or _end_of_travel(moved)
    return WrongZero(
        setup=seen[0].setup.index,
        case=case,
        off=(round(off[0], 3) + 0.0, round(off[1], 3) + 0.0, round(off[2], 3) + 0.0),
        tool=runs[0].program.tool or "",
        before=None if before is None else before.tool,
        meets=tuple(meets),
        first=None if first is None else first.program.file,
        bed=round(bed, 3) if bed > HAIR else 0.0,
        bed_allows=runs[0].machine.spoilboard,
        outline_bed=round(outline, 3) if outline > HAIR else 0.0,
        nut=nut,
        stops=stops,  # type: ignore[arg-type]
    )


def _moved(run: Run, off: tuple[float, float, float]) -> Run:
    shift = np.array(off)
    moves = replace(run.moves, start=run.moves.start + shift, end=run.moves.end + shift)
    return replace(run, reading=replace(run.reading, moves=moves))


def _known(run: Run) -> tuple[Floats, Floats]:
    moves = run.moves
    known = np.isfinite(np.hstack([moves.start, moves.end])).all(axis=1)
    return moves.start[known], moves.end[known]


def _overlap(run: Run, mover: Mover, solid: Solid, height: float) -> bool:
    """Say whether a mover runs into a solid up to `height` on any move whose ends are known."""
    moves = run.moves
    known = np.isfinite(np.hstack([moves.start, moves.end])).all(axis=1)
    boxed = moves.rapid[known] & (run.machine.rapids == "independent")
    ways = Ways(moves.start[known], moves.end[known], boxed)
    off = moves.sagitta[known]
    gap = clearances(ways, mover, Obstacle(solid, height, 0.0), float(off.max(initial=0.0))) - off
    return bool((gap < -HAIR).any())


def _met(moved: Run, run: Run) -> list[str]:
    """Name the solids that the moved program runs into, and the right one does not."""
    found = []
    standing = run.standing
    hard = [mover for mover in movers(run) if not mover.soft]
    start, end = _known(moved)
    within = HAIR + float(moved.moves.sagitta.max(initial=0.0))
    may = [may_meet(start, end, mover, standing, within) for mover in hard]
    for s, solid in enumerate(standing):
        for mover, near in zip(hard, may, strict=True):
            if not near[s]:
                continue
            height = solid.top
            if mover.kind == "cutter" and solid.may_cut_to is not None:
                height = solid.may_cut_to
            if _overlap(moved, mover, solid, height) and not _overlap(run, mover, solid, height):
                found.append(solid.name)
                break
    return found


def _nut_meets(moved: Run, run: Run, seen: Seen) -> bool:
    """Say whether a part wider than the cutter gets into wood that surely stood at the beginning."""
    low = seen.tops[0]
    ring = shapely.get_coordinates(_box(seen))[:-1]
    wood = Solid(
        name="wood", kind="wood", outline=[(float(x), float(y)) for x, y in ring], bottom=0.0, top=low
    )
    wide = [m for m in movers(run)[1:] if m.radius > movers(run)[0].radius and m.kind == "body"]
    return any(_overlap(moved, m, wood, low) and not _overlap(run, m, wood, low) for m in wide)


def _below_bed(run: Run) -> float:
    lowest = float(np.nanmin(run.moves.end[:, 2])) if len(run.moves) else 0.0
    return max(0.0, -(lowest + run.setup.work_origin[2]))


def _end_of_travel(run: Run) -> str:
    """Say which end of the machine's travel the moved program runs against, "" for none."""
    travel = run.machine.travel
    ends = run.moves.end + np.array(run.setup.work_origin) + np.array([0.0, 0.0, run.nose])
    with np.errstate(invalid="ignore"):
        if (ends[:, 2] > travel.z[1] + HAIR).any():
            return "upper"
        if (ends[:, 2] < travel.z[0] - HAIR).any():
            return "lower"
        for axis, (low, high) in enumerate((travel.x, travel.y)):
            if ((ends[:, axis] < low - HAIR) | (ends[:, axis] > high + HAIR)).any():
                return "side"
    return ""
