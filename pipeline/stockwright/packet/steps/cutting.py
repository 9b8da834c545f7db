"""Cutter, zero, and the running of the files. In: a setup's page. Out: groups of steps."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np

from stockwright.packet.clamp_states import hand_steps, states_of
from stockwright.packet.feeds import turned
from stockwright.packet.steps.group import Group, earlier, file_name
from stockwright.packet.steps.turning import lies_still
from stockwright.units import GAUGE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.packet.clamp_states import State
    from stockwright.packet.model import Packet, Program, Setup
    from stockwright.packet.page import Page
    from stockwright.packet.writing import Writing

__all__ = ["cutter_and_zero", "hidden_mark", "runs", "stays_over_mark", "zero_of_z"]

PIN = re.compile(r"straight pin in the collet")  # as the planner words it: the cutter is out for that long


def hidden_mark(page: Page) -> bool:
    """Say whether board or hold-downs come to stand so near the mark that the cutter has no room over it."""
    packet, setup = page.packet, page.setup
    tool = setup.programs[0].tool if setup.programs else None
    if tool is None or not isinstance(setup.zero.x, str):
        return False
    near = packet.tools[tool].diameter / 2 + packet.machine.margin
    around = [s.outline for s in setup.solids if s.kind != "fence"] + [w.before for w in page.woods.values()]
    # A box about each is enough: what stands askew stands farther off.
    boxes = [(np.min(outline, axis=0), np.max(outline, axis=0)) for outline in around]
    return any(float(np.hypot(*np.maximum(np.maximum(low, -high), 0.0))) < near for low, high in boxes)


def stays_over_mark(page: Page) -> bool:
    """Say whether a board stays on the bed from the setup before, its zero of x and y kept.

    It is held anew as it lies, or slid to its next position with the cutter that was in at the last one.
    """
    setup, before = page.setup, earlier(page.packet, page.setup)
    if not setup.programs or not before or before[-1].zero.x != setup.zero.x:
        return False
    if lies_still(page.packet, setup):
        return True
    if setup.position is None or setup.position.number == 1:
        return False
    was = [program.tool for program in before[-1].programs]
    return was[-1:] == [setup.programs[0].tool]


def cutter_and_zero(page: Page, *, hides: bool) -> tuple[Group, Group]:
    """Return how the first cutter is fitted and the zero taken: all in the first, or z in the second.

    `hides`: what comes to stand hides the mark, so x and y are taken before anything is laid.
    """
    packet, setup, writing = page.packet, page.setup, page.writing
    group = Group("Cutter, zero of x and y: before the board" if hides else "Cutter and zero")
    last = Group("Zero of z") if hides else group
    if not setup.programs:
        return group, last
    first = setup.programs[0]
    before = earlier(packet, setup)
    if hides and before:
        group.add("Take off what held the board, and the board: they would stand in the way of the mark.")
    if first.tool is not None:
        _fit(group, packet, first.tool, writing, stays=_stays_in(packet, setup))
    same = bool(before) and before[-1].zero.x == setup.zero.x
    kept = "; left as it is, if the machine kept it" if same else ""
    run = [s.index for s in before if s.zero.x == setup.zero.x and any(not p.done for p in s.programs)]
    told_in = min(run, default=None)
    over_it = stays_over_mark(page) and hidden_mark(page)
    middle = ""
    if first.tool is not None and isinstance(setup.zero.x, str) and setup.lies:
        half = writing.shown(packet.tools[first.tool].diameter / 2)
        middle = (
            f"Else as in setup {told_in}, half of this cutter being {half}."
            if same and told_in is not None and not over_it
            else f"Else take the board off, zero as in setup {told_in}, half of this cutter being {half}, "
            "and lay it again by its scribed lines."
            if same and told_in is not None
            else "The cutter hides it: centre a pointed rod; or bring its still rim against a stick set to "
            f"the mark, raise it, go on half its width, {half}, zero: for x, then for y."
        )
    ring = ", the ring in the drawing" if isinstance(setup.zero.x, str) else ""
    group.add(f"Zero of x and y: the middle of the cutter over the {setup.zero.x}{ring}{kept}.", middle)
    tools = [p.tool for each in before for p in each.programs if p.tool is not None]
    other = bool(tools) and first.tool is not None and tools[-1] != first.tool
    anew = ", anew for this cutter before any file runs" if other else ""
    at = ""
    if page.z_zero is not None:
        x, y = writing.spot(page.z_zero.x), writing.spot(page.z_zero.y)
        at = f"; at the triangle in the drawing, x {x}, y {y}"
    last.add(f"Zero of z{anew}: {zero_of_z(setup, writing)}{at}.")
    if not any(program.file in page.extras.comes_down for program in setup.programs):
        _block(last, setup, writing)
    return group, last


def zero_of_z(setup: Setup, writing: Writing) -> str:
    """Say where z is taken: as the planner worded it, else by its kind."""
    how, _, rest = setup.zero.how.partition(";")
    told = how if "x and y" in rest else setup.zero.how
    told = told.strip().removeprefix("z ").rstrip(".")
    return (
        writing.words(told)
        or {
            "support": "on what the board rests on, never on the board",
            "bed": "on the bed",
            "stock-top": "on the upper face of the board",
        }[setup.zero.z]
    )


def _stays_in(packet: Packet, setup: Setup) -> bool:
    """Say whether the first cutter of a setup was the last of the one just before it, and nobody took it out.

    No other board's setup is looked at: a share of a batch knows nothing of the others.
    """
    before = [each for each in earlier(packet, setup) if each.index == setup.index - 1]
    ran = [program for program in before[-1].programs if program.tool is not None] if before else []
    pinned = any(PIN.search(note) for note in setup.notes)
    return bool(ran) and not ran[-1].done and ran[-1].tool == setup.programs[0].tool and not pinned


def _fit(group: Group, packet: Packet, name: str, writing: Writing, *, stays: bool = False) -> None:
    tool = packet.tools[name]
    mark = tool.marked_max_rpm
    called = f"“{name}” (number {tool.number}, {writing.length(tool.diameter)} across)"
    out = f"{writing.shown(tool.stickout)} from tip to nut, measured"
    gripped = f"t least {writing.length(tool.gripped)} of clean shank in a clean collet" + (
        "; no speed mark of it is known." if mark is None else f"; marked {mark:.0f} rpm at most."
    )
    if stays:
        group.add(
            f"Spindle locked out. {called} stays in: see that it is tight and sticks out {out}.",
            f"If it was out: a{gripped}",
        )
    else:
        group.add(f"Spindle locked out. Fit {called}: let it stick out {out}.", f"A{gripped}")


def _block(group: Group, setup: Setup, writing: Writing) -> None:
    gauge = GAUGE[writing.units]  # as high as a program comes down where one does
    z = gauge - setup.work_origin[2]
    group.add(
        f"Check z, spindle off: over bare bed move the tip to z {writing.shown(z)}. A block "
        f"{writing.shown(gauge)} thick must just slide under it: push it with a stick, then take it away.",
        halt=True,
    )


def runs(page: Page) -> Iterator[Group]:
    """Yield the running of the programs; where clamps move between them, part by part."""
    states = states_of(page.setup)
    for state in states:
        if state.number > 1:
            yield _move(page, states[state.number - 2], state)
        yield from _run(page, state, len(states))


def _move(page: Page, before: State, after: State) -> Group:
    """Return what hands do between two parts; nothing but the hold-downs is touched."""
    group = Group(f"Between part {before.number} and part {after.number}", part=after.number)
    for text, details, halt in hand_steps(page.setup, before, after, page.tags.solids, page.writing):
        group.add(text, *details, halt=halt)
    _new_cutter(group, page, before.programs[-1], after.programs[0])
    return group


def _run(page: Page, state: State, parts: int) -> Iterator[Group]:
    """Yield a state's run in the air, the boxes to tick, and its cuts."""
    part = "" if parts < 2 else f", part {state.number} of {parts}"
    air = Group(f"Run in the air{part}", part=state.number, running=True)
    cut = Group(f"Cut{part}", part=state.number, running=True)
    before: Program | None = None
    for program in state.programs:
        group = air if program.purpose == "outline" else cut
        if before is not None:
            _new_cutter(group, page, before, program)
        if program.purpose == "outline":
            _outline(air, page, program)
        else:
            _start(cut, page, program)
        before = program
    if not air.empty:
        yield air
    if not cut.empty:
        cut.add(
            "Hand at the stop, out of line with the cutter: stop at once on smoke, a change of sound, a "
            "clamp that moves. Never reach in while it turns."
        )
        yield _ticks(page.packet, state, page.writing)
        yield cut


def _outline(group: Group, page: Page, program: Program) -> None:
    setup, extras, writing, z_zero = page.setup, page.extras, page.writing, page.z_zero
    clear = extras.clear_z.get(setup.index)
    height = f", the tip {writing.length(clear)} above zero" if clear is not None else ""
    group.add(
        f"Run {file_name(program.file)}: once round the work{height}, spindle off. Hand on the stop. It "
        "must pass clear above every clamp and stay over the bed.",
        halt=True,
    )
    if program.file in extras.comes_down:
        gap = writing.shown(extras.comes_down[program.file])
        see = " (last page)" if setup.if_zero_wrong else ""
        over = "where z was taken" if z_zero is not None and z_zero.checked else "over bare bed"
        group.add(
            f"It comes down {over} and stops. A block {gap} thick must just slide under it: push it with a "
            "stick, take it away, start again, and it rises. If not, or if it rattles, zero or cutter is "
            f"wrong{see}: stop, take z again.",
            halt=True,
        )


def _start(group: Group, page: Page, program: Program) -> None:
    setup, extras = page.setup, page.extras
    speeds = extras.speeds.get(program.tool or "")
    turning = "" if speeds is None else f" at {speeds[0]:.0f} rpm"
    turning += " (by hand, if not switched)" if turning and not setup.lies else ""
    first = ""
    if speeds is not None and setup.lies and not group.steps:
        first = f"If you switch the spindle by hand: {speeds[0]:.0f} rpm, on, at full speed first. "
    # What the setup is called stands at the head of its page.
    title = re.sub(
        f"^{re.escape(setup.title)}: ", "", extras.titles.get(program.file, ""), flags=re.IGNORECASE
    )
    group.add(
        f"{first}Start {file_name(program.file)}: {f'{title}, ' if title else ''}"
        f"{page.writing.time(program.seconds)}, “{program.tool}”{turning}.",
        "" if program.override is None else turned(program.override),
    )


def _ticks(packet: Packet, state: State, writing: Writing) -> Group:
    """Return the boxes to tick before a cutter turns."""
    tool = next((p.tool for p in state.programs if p.purpose == "cut"), None)
    out = "" if tool is None else f": {writing.shown(packet.tools[tool].stickout)}"
    outlined = any(p.purpose == "outline" for p in state.programs)
    ticks = [
        "Cutter in and tight",
        f"Stick-out measured{out}",
        # Side by side, as both are long.
        "Clamps clear: outline run, block slid under" if outlined else "Clamps clear, everything tight",
        "Ears, eyes, breath protected; nothing loose, no gloves",
        "Zero of z taken with this cutter",
        "Dust collector on",
        "Everyone clear all round",
        "Stop button within reach",
        "Hands out, lockout off last",
    ]
    return Group("Tick before the cutter turns", ticks=ticks, part=state.number, running=True)


def _new_cutter(group: Group, page: Page, before: Program, program: Program) -> None:
    if program.tool != before.tool and program.tool is not None:
        group.add("Wait until the spindle stands still, then lock it out.", halt=True)
        _fit(group, page.packet, program.tool, page.writing)
        group.add(
            f"Take z again with this cutter: {page.writing.words(program.touch_off.how)}. Leave x and y as "
            "they are."
        )
        _block(group, page.setup, page.writing)
