"""The sheet of what is to be done now. In: the new packet, its texts. Out: its contents.

Promise: every number is the packet's or the texts'; what is done is not listed among what is to be run; what
must be zeroed anew comes before anything turns.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from stockwright.packet.extras import Extras
from stockwright.packet.sheet import contents
from stockwright.packet.steps import Group, file_name
from stockwright.packet.writing import writing_of
from stockwright.proving.readers import READERS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from stockwright.packet.model import Packet, Setup
    from stockwright.packet.writing import Writing
    from stockwright.proving.program import Reading
    from stockwright.recutting.plans import Planned
    from stockwright.recutting.whole import Recut

__all__ = ["pages", "recut_lines"]


def pages(packet: Packet, texts: Mapping[str, str], planned: Planned) -> dict[str, Any]:
    """Return what stands on the sheet: first what is to be done now, then the setups that come after it."""
    setup = next(s for s in packet.setups if s.index == planned.setup)
    readings = {
        p.file: READERS[p.reader or p.post](texts[p.file])
        for s in packet.setups
        for p in s.programs
        if not p.done
    }
    moves = {file: reading.moves for file, reading in readings.items()}
    writing = writing_of(packet)
    return contents(packet, moves, packet.units, _extras(packet, readings, planned, setup, writing))


def _extras(
    packet: Packet, readings: Mapping[str, Reading], planned: Planned, setup: Setup, writing: Writing
) -> Extras:
    """Gather what the sheet says beyond the packet, from the packet's own words and from the texts."""
    clear: dict[int, float] = {}
    speeds: dict[str, tuple[float, float]] = {}
    comes_down: dict[str, float] = {}
    for each in packet.setups:
        for program in each.programs:
            reading = readings.get(program.file)
            if reading is None or len(reading.moves) == 0:
                continue
            clear[each.index] = max(clear.get(each.index, -np.inf), float(np.nanmax(reading.moves.end[:, 2])))
            if program.purpose == "outline":
                stop = next((event for event in reading.events if event.kind == "stop"), None)
                if stop is not None and stop.after > 0:
                    comes_down[program.file] = (
                        float(reading.moves.end[stop.after - 1, 2]) + each.work_origin[2]
                    )
            elif program.tool is not None:
                feeds = reading.moves.feed[~reading.moves.rapid]
                speeds.setdefault(program.tool, (float(reading.moves.rpm.max()), float(feeds.max())))
    return Extras(
        job=packet.job,
        shim_stock=tuple(packet.shim_stock),
        clear_z=clear,
        # The upper face of the present setup is cut already: what it was to read does not hold any more.
        seat_checks={s.index: tuple(s.seat_check) for s in packet.setups if s.index != setup.index},
        notes={s.index: tuple(s.notes) for s in packet.setups},
        speeds=speeds,
        titles={p.file: p.title for s in packet.setups for p in s.programs if p.title},
        comes_down=comes_down,
        guesses=tuple(packet.guesses),
        said_otherwise=tuple(packet.said_otherwise),
        now_says=_says(packet, planned, setup),
        now={setup.index: _now(packet, planned, setup, speeds, writing)},
    )


def _says(packet: Packet, planned: Planned, setup: Setup) -> tuple[str, ...]:
    """Say on the first page what this packet is about."""
    later = [s for s in packet.setups if s.index > setup.index]
    said = [f"Now: {planned.said}."]
    if planned.taken_up is not None:
        said.append(
            "Zero z anew with a new cutter, always; x, y and z anew if the power was off or it was pushed."
        )
        said.append(
            "A control reads ahead and may show a later line than the one being cut. If wood stands before "
            "the place where this takes up, make it again from an earlier line, or with --overlap."
        )
    else:
        said.append(
            "Nothing may have moved since: board, hold-downs and zero as they were; else take them anew."
        )
    said.append(
        "Files already run lie in the folder “done”, for the proof only: never run them again. Only what is "
        "in the folder “programs” is still to be run."
    )
    if later:
        which = ", ".join(str(s.index) for s in later)
        word = "Setup" if len(later) == 1 else "Setups"
        said.append(f"{word} {which}: as the pages below say, not as the earlier sheet does.")
    return tuple(said)


def _now(
    packet: Packet,
    planned: Planned,
    setup: Setup,
    speeds: Mapping[str, tuple[float, float]],
    writing: Writing,
) -> tuple[Group, ...]:
    """Return what is done now, in its order."""
    stopped = planned.taken_up is not None
    ready = Group("Now: before anything turns")
    ready.add(
        "Spindle stopped and locked out. Then bring the cutter straight up, clear of everything.", halt=True
    )
    if stopped:
        ready.add("Broken cutter: find every piece of it, in wood, chips and collet, before fitting another.")
    ready.add(
        "Try the board by hand, at every corner: it must be held as before and not have moved.", halt=True
    )
    tool = next((p.tool for p in setup.programs if not p.done and p.purpose == "cut"), None)
    if tool is not None:
        fitted = packet.tools[tool]
        ready.add(
            f"The cutter is “{tool}” (number {fitted.number}, {writing.length(fitted.diameter)} across), "
            f"{writing.length(fitted.stickout)} from tip to nut, measured.",
            "A new one must be as wide as the old one: measure both; a wider one cuts into the piece."
            if stopped
            else "",
        )
    _zeroes(ready, setup, stopped=stopped)
    run = Group("Now: run")
    for program in setup.programs:
        if program.done:
            continue
        if program.purpose == "outline":
            when = "" if stopped else "If anything was touched or switched off: "
            run.add(
                f"{when}{'R' if stopped else 'r'}un {file_name(program.file)}: in the air, spindle off. Hand "
                "on the stop.",
                "It proves the zero: where it waits over bare bed, the block it names must just slide under.",
                halt=True,
            )
            continue
        speed = speeds.get(program.tool or "")
        turning = "" if speed is None else f" at {speed[0]:.0f} rpm"
        run.add(
            "Dust collector on; eyes, ears and breath protected; everyone clear, out of line with it.",
            halt=True,
        )
        run.add(
            f"Start {file_name(program.file)}: {program.title}, {writing.time(program.seconds)}{turning}.",
            "It comes in from outside the wood and first goes along what is already cut: listen for air, "
            "then wood. Stop at once if it meets wood before that, or lower than the step that stands there."
            if stopped
            else "Watch the first pass; stop at once on smoke, a change of sound, a clamp that moves.",
        )
    return (ready, run)


def _zeroes(group: Group, setup: Setup, *, stopped: bool) -> None:
    if not stopped:
        group.add(
            "Zero stays as it is if the machine stayed on and nothing was pushed.",
            f"Otherwise take all three anew: x and y at the {setup.zero.x}, z: {setup.zero.how}.",
        )
        return
    group.add(
        "New cutter, always: take z anew.",
        f"{setup.zero.how}.",
        halt=True,
    )
    group.add(
        "Power lost, machine switched off, stalled or pushed: take x and y anew too, and z.",
        f"Bring the middle of the cutter over the {setup.zero.x}, and set x and y to zero.",
        halt=True,
    )


def recut_lines(made: Recut, out: Path) -> Iterator[str]:
    """Yield what the terminal says of a new packet."""
    from stockwright.calls.told_job import finished_lines

    packet = made.packet
    yield from (f"note: {note}" for note in made.notes)
    yield made.planned.said
    yield ""
    for setup in packet.setups:
        for program in setup.programs:
            if not program.done:
                minutes, rest = divmod(round(program.seconds), 60)
                yield f"  {program.file:<52} {f'{minutes}:{rest:02d}':>8}  {program.verdict}"
    yield ""
    yield from finished_lines(packet, packet.units)
    yield "proven, together with what has been run before, which lies in done/ and is never run again"
    if made.planned.taken_up is not None:
        yield "zero z anew with a new cutter, always; x, y and z if the power was off or anything was pushed"
    yield ""
    yield f"the new packet is in {out}; read {out / 'sheet.html'} first; the earlier one is as it was"
