"""A measuring program judged: what it touches, and how deep. In: a `Run`, the boards. Out: reasons.

Promise: wood is touched by a probing move alone, straight down, with the spindle off; a contact that is
missed ends above the bed, and no farther below the lowest wood than the probe can give. Each function is
named as its rule, and its docstring says what is bad and how it is cured.
"""

# ruff: noqa: D401 - the docstring of a rule says what is bad and its cure: it is the page of the rule

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.proving.run import HAIR
from stockwright.proving.sweep import patch_mask, stadium_spans

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray

    from stockwright.packet.model import Reason
    from stockwright.proving.contact import Lying
    from stockwright.proving.run import Run

    Floats = NDArray[np.float64]

__all__ = ["RULES", "judge_touches"]

PROBE = "touch-probe"  # the kind of tool that may touch


def touches_in_another_program(run: Run) -> list[Reason]:
    """A program that is no measuring program goes until it touches. Cure: take the probing move out."""
    if run.program.purpose == "probe":
        return []
    text = f"a probing move in a program whose purpose is '{run.program.purpose}'"
    return [run.reason("touches-in-another-program", _line(run, k), text) for k in _touches(run)[:1]]


def touches_without_probe(run: Run) -> list[Reason]:
    """Something is touched with a tool that does not tell, or gives by nobody knows how much.

    Cure: the packet's tool of kind touch-probe, with its over_travel.
    """
    if run.tool.kind == PROBE and run.tool.over_travel is not None:
        return []
    lacks = (
        "of which nobody says how far it gives" if run.tool.kind == PROBE else "which does not feel a touch"
    )
    text = f"a probing move with a tool of kind '{run.tool.kind}', {lacks}"
    return [run.reason("touches-without-probe", _line(run, k), text) for k in _touches(run)[:1]]


def spindle_on_in_probe(run: Run) -> list[Reason]:
    """A measuring program turns the spindle on, with a probe or a hand below it. Cure: take M3 out."""
    if run.program.purpose != "probe":
        return []
    on = (event for event in run.reading.events if event.kind == "spindle" and event.note != "off")
    text = "a measuring program turns the spindle on; it must stay off"
    return [run.reason("spindle-on-in-probe", event.line, text) for event in list(on)[:1]]


def touch_not_straight_down(run: Run) -> list[Reason]:
    """A probing move goes sideways or up: a probe bends, or the height is another place's. Cure: Z alone."""
    start, end = run.moves.start, run.moves.end
    bad = [k for k in _touches(run) if (start[k, :2] != end[k, :2]).any() or not end[k, 2] < start[k, 2]]
    text = "a probing move that does not go straight down"
    return [run.reason("touch-not-straight-down", _line(run, k), text, at=end[k]) for k in bad[:1]]


def moves_on_after_touch(run: Run) -> list[Reason]:
    """After a touch the height is not known, and the next move is not straight up. Cure: Z first."""
    return _not_up(run, [k + 1 for k in _touches(run)], "moves-on-after-touch", "after a touch")


def moves_on_after_stop(run: Run) -> list[Reason]:
    """After a stop a hand may have moved the machine, and the next move is not straight up. Cure: Z first."""
    if run.program.purpose != "probe":
        return []
    after = [event.after for event in run.reading.events if event.kind == "stop"]
    return _not_up(run, after, "moves-on-after-stop", "after a stop for the person")


def traverse_low(run: Run) -> list[Reason]:
    """A measuring program goes sideways where wood may stand. Cure: a higher traverse."""
    if run.program.purpose != "probe":
        return []
    start, end = run.moves.start, run.moves.end
    level = np.flatnonzero((start[:, :2] != end[:, :2]).any(axis=1) & ~run.moves.touches)
    lowest = np.fmin(start[level, 2], end[level, 2])
    for k, z in zip(level.tolist(), lowest.tolist(), strict=True):
        if not z >= run.tip_top - HAIR:
            where = "a height that is not known" if np.isnan(z) else f"z {z:g}"
            text = f"the tip goes sideways at {where}; z {run.tip_top:.3f} is clear of all that may stand"
            return [run.reason("traverse-low", _line(run, k), text, at=end[k], measured=z, limit=run.tip_top)]
    return []


def touch_below_floor(run: Run) -> list[Reason]:
    """A missed contact would end nearer to the bed than the machine's margin. Cure: a higher floor."""
    margin = run.machine.margin
    for k in _touches(run):
        height = float(run.moves.end[k, 2]) + run.setup.work_origin[2]
        if height < margin - HAIR:
            text = (
                f"a contact that is missed would end {height:.3f} mm above the bed; {margin:g} is the least"
            )
            return [
                run.reason(
                    "touch-below-floor",
                    _line(run, k),
                    text,
                    at=run.moves.end[k],
                    measured=height,
                    limit=margin,
                )
            ]
    return []


RULES: tuple[Callable[[Run], list[Reason]], ...] = (
    touches_in_another_program,
    touches_without_probe,
    spindle_on_in_probe,
    touch_not_straight_down,
    moves_on_after_touch,
    moves_on_after_stop,
    traverse_low,
    touch_below_floor,
)


def touch_beside_wood(run: Run, boards: list[Lying]) -> list[Reason]:
    """The probe comes down where a board surely is not under the whole tip. Cure: another place."""
    radius = run.tool.diameter / 2
    for k in _touches(run):
        tip = shapely.Point(run.moves.end[k, :2]).buffer(radius)
        if not any(lying.sure.covers(tip) for lying in boards):
            text = "the probe comes down where no board is surely under the whole of its tip"
            return [run.reason("touch-beside-wood", _line(run, k), text, at=run.moves.end[k])]
    return []


def touch_too_deep(run: Run, boards: list[Lying], unsure: Mapping[str, float]) -> list[Reason]:
    """Where the probe does not tell, it would be pushed further below the least wood than it can give.

    `unsure`: board -> mm by which a height may be wrong. Cure: a higher floor for that place.
    """
    given = run.tool.over_travel
    if given is None:
        return []
    radius = run.tool.diameter / 2
    for k in _touches(run):
        end = run.moves.end[k]
        for lying in boards:
            least = _least(lying, end, radius) - unsure.get(lying.wood.name or "", 0.0)
            if not np.isfinite(least):
                continue  # it is another board's place, or `touch_beside_wood` says that it is none's
            push = least - float(end[2])
            if push > given + HAIR:
                text = (
                    f"the floor is {push:.3f} mm below the least that the board may be high there; "
                    f"the probe gives by {given:g} mm"
                )
                return [run.reason("touch-too-deep", _line(run, k), text, at=end, measured=push, limit=given)]
    return []


def judge_touches(run: Run, boards: list[Lying], unsure: Mapping[str, float]) -> list[Reason]:
    """Apply every rule of this file. `unsure`: how far, mm, a board's heights may be wrong, by its name."""
    found = [reason for rule in RULES for reason in rule(run)]
    return [*found, *touch_beside_wood(run, boards), *touch_too_deep(run, boards, unsure)]


def _touches(run: Run) -> list[int]:
    return [int(k) for k in np.flatnonzero(run.moves.touches)]


def _line(run: Run, k: int) -> int:
    return int(run.moves.line[k])


def _not_up(run: Run, moves: list[int], rule: str, when: str) -> list[Reason]:
    """Refuse the first of `moves` that does not go straight up to a height clear of everything."""
    start, end = run.moves.start, run.moves.end
    for k in moves:
        if k >= len(run.moves):
            continue  # how the program ends is judged by another rule
        aside = (start[k, :2] != end[k, :2]).any()
        if aside or not end[k, 2] >= run.tip_top - HAIR:
            text = (
                f"{when} the height is not known: Z alone, to z {run.tip_top:.3f} or higher, must come next"
            )
            return [run.reason(rule, _line(run, k), text, at=end[k], measured=end[k, 2], limit=run.tip_top)]
    return []


def _least(lying: Lying, point: Floats, radius: float) -> float:
    """Give the lowest work z of the wood that is surely under a disc, inf where there is none."""
    wood, lay = lying.wood, lying.lay
    at = lay.to_grid @ np.array([*point, 1.0])
    here = (float(at[0]), float(at[1]))
    spans = stadium_spans(wood.grid, here, here, radius, inside=False)
    if len(spans) == 0 or int(spans.high.max()) <= int(spans.low.min()):
        return np.inf
    left, right = int(spans.low.min()), int(spans.high.max())
    mask = patch_mask(spans, left, right)
    rows, columns = mask.shape
    lo = wood.lo[lay.side][spans.first : spans.first + rows, left : left + columns]
    row, column = np.nonzero(mask & np.isfinite(lo))
    if len(row) == 0:
        return np.inf
    x, y = wood.grid.centres()
    heights = lay.work_z(lo[row, column], x[left + column], y[spans.first + row])
    return float(np.asarray(heights).min()) - lay.wobble
