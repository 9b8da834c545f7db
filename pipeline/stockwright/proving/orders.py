"""What a program commands, judged without any wood. In: a `Run`. Out: reasons, one function for each rule.

Promise: each function is named as its rule, and its docstring says what is bad and how it is cured.
"""

# ruff: noqa: D401 - the docstring of a rule says what is bad and its cure: it is the page of the rule

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from stockwright.proving.run import HAIR

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.packet.model import Reason
    from stockwright.proving.run import Run

__all__ = ["RULES", "judge_orders", "text_not_understood"]

A_MOMENT = 0.001  # s: waits are written in thousandths
# NISTIR 6556, 3.5.14: both keep to the path, and G61.1 stops at its every corner besides
AS_GOOD = {"G61": "G61.1"}
MODES = ("units", "distance", "feed mode")
MODE_WORDS = {"units": "G21 or G20", "distance": "G90", "feed mode": "G94"}


def text_not_understood(run: Run) -> list[Reason]:
    """A line is not fully known, or the end is missing: nothing may be skipped. Cure: rewrite the line."""
    return [run.reason(u.rule, u.line, u.message) for u in run.reading.unread]


def relies_on_what_was_left(run: Run) -> list[Reason]:
    """A mode that an earlier program may have left decides what this one does. Cure: state it first.

    That an outline's spindle stands still is such a mode too: hands are near. So are offsets taken back, the
    zero's frame and the path, where the control has words for them.
    """
    moves = run.moves
    if len(moves) == 0:
        return []
    needed = [mode for mode in MODES if mode != "feed mode" or not moves.rapid.all()]
    missing = [MODE_WORDS[mode] for mode in needed if mode not in run.reading.stated]
    said = any(event.kind == "spindle" and event.after == 0 for event in run.reading.events)
    if run.control is not None:
        first = {code for code, _, after in run.reading.words if after == 0}
        first |= {code for code, other in AS_GOOD.items() if other in first}
        missing += [code for code in run.control.modes if code not in {*first, "G90", "G94"}]
    if run.program.purpose == "outline" and not said:
        missing.append("M5")
    if not missing:
        return []
    line = int(moves.line[0])
    text = f"the first move comes before {', '.join(missing)}; what an earlier program left would decide"
    return [run.reason("relies-on-what-was-left", line, text)]


def leaves_the_path(run: Run) -> list[Reason]:
    """A word lets the control round corners, by how much is not said. Cure: take it out, or G61 for G64.

    NISTIR 6556, 2.1.2.16: so that the feed is kept up. What is proven is the path as it is written.
    """
    begun = 0
    since: int | None = None
    for event in (*run.reading.events, None):
        if event is not None and event.kind != "path":
            continue
        after = len(run.moves) if event is None else event.after
        if since is not None and after > begun:
            text = "corners may be rounded from here on, by how much is not said: another path than is proven"
            return [run.reason("leaves-the-path", since, text)]
        if event is not None:
            since, begun = (event.line if event.value else None), event.after
    return []


def changes_tool_midway(run: Run) -> list[Reason]:
    """A tool change after a move: z was touched off with the cutter as it was. Cure: a program of its own.

    Straight up, from wherever the last program ended, is no such move.
    """
    for event in run.reading.events:
        if event.kind == "tool" and np.isfinite(run.moves.end[: event.after, :2]).any():
            text = "a tool change after a move: how far the cutter then sticks out, the zero does not know"
            return [run.reason("changes-tool-midway", event.line, text)]
    return []


def wrong_tool(run: Run) -> list[Reason]:
    """The text asks for another tool than the packet's. Cure: the right number, or fit the right tool."""
    for event in run.reading.events:
        if event.kind in {"tool", "select"} and event.value != run.tool.number:
            text = f"the text asks for tool {event.value:g}; this program is for tool {run.tool.number}"
            return [
                run.reason("wrong-tool", event.line, text, measured=event.value, limit=float(run.tool.number))
            ]
    return []


def tool_not_asked_for(run: Run) -> list[Reason]:
    """A program that asks for its cutter was left without the words. Cure: put the tool change back."""
    cuts = np.flatnonzero(~run.moves.rapid)
    if run.control is None or not run.control.names_tool or len(cuts) == 0:
        return []
    if any(event.kind == "tool" and event.after <= cuts[0] for event in run.reading.events):
        return []
    text = f"a cut, and tool {run.tool.number} was not asked for: whichever is in the spindle would cut"
    return [run.reason("tool-not-asked-for", int(run.moves.line[cuts[0]]), text)]


def cuts_before_speed(run: Run) -> list[Reason]:
    """A cut comes sooner after the spindle's start than it is up to speed. Cure: put the wait back."""
    moves, limit = run.moves, 0.0 if run.control is None else run.control.spin_up
    cuts = np.flatnonzero(~moves.rapid)
    on, waited = False, 0.0
    for event, after in pairwise((*run.reading.events, None)):
        assert event is not None
        if event.kind in {"spindle", "tool"}:
            turning = event.kind == "spindle" and event.note != "off"
            waited = waited if on and turning else 0.0
            on = turning
        elif event.kind == "dwell":
            waited += event.value
        first = int(np.searchsorted(cuts, event.after))
        before = len(moves) if after is None else after.after
        if on and waited < limit - A_MOMENT and first < len(cuts) and cuts[first] < before:
            line = int(moves.line[cuts[first]])
            text = (
                f"a cut, {waited:g} s waited since the spindle's start; it is up to speed after {limit:g} s"
            )
            return [run.reason("cuts-before-speed", line, text, measured=waited, limit=limit)]
    return []


def spindle_turns_wrong_way(run: Run) -> list[Reason]:
    """The spindle turns anticlockwise seen from above; these cutters cut clockwise. Cure: M3."""
    for event in run.reading.events:
        if event.kind == "spindle" and event.note == "anticlockwise":
            return [run.reason("spindle-turns-wrong-way", event.line, "the spindle is turned anticlockwise")]
    return []


def spindle_out_of_range(run: Run) -> list[Reason]:
    """The speed is outside the machine's range or above the cutter's mark. Cure: another S word."""
    found: list[Reason] = []
    highest = min(run.machine.max_rpm, run.tool.marked_max_rpm or run.machine.max_rpm)
    for event in run.reading.events:
        if event.kind != "spindle" or event.note == "off":
            continue
        rpm = abs(event.value)
        limit = run.machine.min_rpm if rpm < run.machine.min_rpm else highest
        if rpm < run.machine.min_rpm or rpm > highest or rpm <= 0:
            side = "below" if rpm <= limit else "above"
            text = f"{rpm:g} rpm is {side} the {limit:g} rpm that machine and cutter allow"
            found.append(run.reason("spindle-out-of-range", event.line, text, measured=rpm, limit=limit))
    return found[:1]


def spindle_on_in_outline(run: Run) -> list[Reason]:
    """An outline is traced for the eye, with hands near: the spindle stays off. Cure: take M3 out."""
    if run.program.purpose != "outline":
        return []
    for event in run.reading.events:
        if event.kind == "spindle" and event.note != "off":
            text = "an outline program turns the spindle on; it must stay off"
            return [run.reason("spindle-on-in-outline", event.line, text)]
    return []


def feed_out_of_range(run: Run) -> list[Reason]:
    """A cut is faster than the machine can feed. Cure: a lower F."""
    moves = run.moves
    fast = np.flatnonzero(~moves.rapid & (moves.feed > run.machine.max_feed * (1 + 1e-6)))
    if len(fast) == 0:
        return []
    k = int(fast[0])
    text = f"feed {moves.feed[k]:g} mm/min is above the {run.machine.max_feed:g} mm/min of the machine"
    return [
        run.reason(
            "feed-out-of-range",
            int(moves.line[k]),
            text,
            at=moves.end[k],
            measured=moves.feed[k],
            limit=run.machine.max_feed,
        )
    ]


def starts_from_unknown_place(run: Run) -> list[Reason]:
    """Where the machine stands is not known yet, so it must first go straight up, clear of everything.

    Cure: a first move of Z alone to a clear height; x and y only after it.
    """
    moves = run.moves
    limit = run.tip_top - HAIR
    for k in np.flatnonzero(~np.isfinite(moves.start).all(axis=1)):
        start, end = moves.start[k], moves.end[k]
        line = int(moves.line[k])
        if k and moves.touches[k - 1]:
            continue  # the rule of touches says what must come next
        if np.isnan(start[2]):
            moved = [axis for axis in (0, 1) if not (np.isnan(end[axis]) or end[axis] == start[axis])]
            if moved or np.isnan(end[2]):
                text = "the first move is not straight up or down: Z alone, to a clear height, comes first"
                return [run.reason("starts-from-unknown-place", line, text)]
        beam = [part for part in run.machine.attached if part.moves_with == "gantry" and not part.soft]
        for part in beam:
            height = part.bottom - run.setup.work_origin[2]
            if height < run.things_top - HAIR and not np.isnan(start[2]):
                text = f"the {part.name} is lower than what stands, and where it passes is not known yet"
                return [
                    run.reason("starts-from-unknown-place", line, text, measured=height, limit=run.things_top)
                ]
        lowest = end[2] if np.isnan(start[2]) else min(start[2], end[2])
        if lowest < limit:
            text = (
                f"the tip is at z {lowest:g} before its place is known; "
                f"z {run.tip_top:.3f} is clear of all that stands"
            )
            return [run.reason("starts-from-unknown-place", line, text, measured=lowest, limit=run.tip_top)]
    return []


def leaves_the_travel(run: Run) -> list[Reason]:
    """The spindle nose is sent beyond the machine's travel. Cure: other zero, place or retract height."""
    moves = run.moves
    travel = run.machine.travel
    offset = np.array(run.setup.work_origin) + np.array([0.0, 0.0, run.nose])
    ends = moves.end + offset
    found: list[Reason] = []
    for axis, (low, high) in enumerate((travel.x, travel.y, travel.z)):
        out = np.flatnonzero((ends[:, axis] < low - HAIR) | (ends[:, axis] > high + HAIR))
        if len(out) == 0:
            continue
        k = int(out[0])
        at = float(ends[k, axis])
        limit = low if at < low else high
        text = f"{'XYZ'[axis]} would take the spindle nose to {at:.3f} in the bed frame; {limit:g} is its end"
        found.append(
            run.reason(
                "leaves-the-travel", int(moves.line[k]), text, at=moves.end[k], measured=at, limit=limit
            )
        )
    return found


def cut_below_bed(run: Run) -> list[Reason]:
    """The tip goes deeper below the bed surface than the spoilboard allows. Cure: raise the cut."""
    moves = run.moves
    depth = moves.end[:, 2] + run.setup.work_origin[2]
    low = np.flatnonzero(depth < -run.machine.spoilboard - HAIR)
    if len(low) == 0:
        return []
    k = int(low[0])
    text = f"the tip goes {-depth[k]:.3f} mm below the bed; {run.machine.spoilboard:g} mm is allowed"
    return [
        run.reason(
            "cut-below-bed",
            int(moves.line[k]),
            text,
            at=moves.end[k],
            measured=-depth[k],
            limit=run.machine.spoilboard,
        )
    ]


def stops_with_spindle_on(run: Run) -> list[Reason]:
    """A stop for the person leaves the cutter turning. Cure: M5 before it, or another file."""
    rpm = 0.0
    for event in run.reading.events:
        if event.kind == "spindle":
            rpm = 0.0 if event.note == "off" else event.value or 1.0
        elif event.kind == "stop" and rpm:
            text = f"M{event.value:g} waits for the person while the spindle turns; M5 belongs before it"
            return [run.reason("stops-with-spindle-on", event.line, text, measured=abs(rpm), limit=0.0)]
    return []


def ends_turning(run: Run) -> list[Reason]:
    """The program ends with the spindle on; not every control stops it. Cure: M5 before the end."""
    on = [event for event in run.reading.events if event.kind == "spindle"]
    end = next((event for event in run.reading.events if event.kind == "end"), None)
    if end is not None and on and on[-1].note != "off":
        return [
            run.reason("ends-turning", end.line, "the program ends with the spindle on; M5 belongs before")
        ]
    return []


def ends_low(run: Run) -> list[Reason]:
    """The tip is not left above all that stands. Cure: a last move of Z alone to a clear height."""
    moves = run.moves
    end = next((event for event in run.reading.events if event.kind == "end"), None)
    if end is None or len(moves) == 0:
        return []
    last = moves.end[-1]
    if np.isnan(last[2]) or last[2] < run.tip_top - HAIR:
        where = "a height that is not known" if np.isnan(last[2]) else f"z {last[2]:g}"
        text = f"the program ends with the tip at {where}; z {run.tip_top:.3f} is clear of all that stands"
        return [run.reason("ends-low", end.line, text, at=last, measured=last[2], limit=run.tip_top)]
    return []


RULES: tuple[Callable[[Run], list[Reason]], ...] = (
    relies_on_what_was_left,
    leaves_the_path,
    changes_tool_midway,
    wrong_tool,
    tool_not_asked_for,
    cuts_before_speed,
    spindle_turns_wrong_way,
    spindle_out_of_range,
    spindle_on_in_outline,
    feed_out_of_range,
    starts_from_unknown_place,
    leaves_the_travel,
    cut_below_bed,
    stops_with_spindle_on,
    ends_turning,
    ends_low,
)


def judge_orders(run: Run) -> list[Reason]:
    """Apply every rule of this file to a program whose text was understood."""
    return [reason for rule in RULES for reason in rule(run)]
