"""The contents of one setup's page; where clamps move in it, one page for each part.

In: the packet, a setup, its programs' moves. Out: pages of plain text, lists and drawings, in the order of
work. Promise: how the board is laid and held stands on the page's first leaf; zero and the programs to run
stand on its second, where one leaf does not hold both.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from stockwright.packet.clamp_states import cut_in, states_of
from stockwright.packet.counted import numbered, stack
from stockwright.packet.glance import at_a_glance
from stockwright.packet.page import Page
from stockwright.packet.plan_drawing import Shown, Tagged, draw_plan
from stockwright.packet.section_drawing import draw_section
from stockwright.packet.steps import Group, file_name, steps_for
from stockwright.packet.wood import upper_at, wood_in
from stockwright.packet.writing import sentence, short
from stockwright.packet.zero_spot import zero_spot

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from stockwright.packet.clamp_states import State
    from stockwright.packet.drawing import Moves
    from stockwright.packet.extras import Extras
    from stockwright.packet.model import Packet, Setup
    from stockwright.packet.writing import Writing

__all__ = ["setup_pages"]

LAID_AGAIN = (
    "A board laid again never lies quite as it did: a step may show where the cuts meet. A whole face a "
    "little deeper takes it away."
)
LEAVES = ("lay and hold", "zero, run, inspect")
LEAVES_NOW = ("what to do now", "afterwards, and only if it was moved")
FROM_ABOVE = "To scale. Shaded: cut in this {what}. Grey lines: the cutter's middle, last level."


def setup_pages(
    packet: Packet, setup: Setup, moves: Mapping[str, Moves], extras: Extras, writing: Writing
) -> Iterator[dict[str, Any]]:
    """Yield the page of `setup`, or those of its parts."""
    woods = {lie.board: wood_in(packet, setup, lie.board) for lie in setup.lies}
    tags = Tagged(
        solids=numbered(solid.name for solid in setup.solids),
        shims=[_letter(number) for number in range(len(setup.shims))],
        checks=[
            (f"H{number}", x, y)
            for number, (x, y, *_) in enumerate(extras.seat_checks.get(setup.index, ()), 1)
        ],
    )
    z_zero = zero_spot(packet, setup, woods, moves)
    page = Page(packet, setup, woods, moves, extras, writing, tags, z_zero)
    groups = _now_first(steps_for(page), extras.now.get(setup.index))
    states = states_of(setup)
    parts: Sequence[State | None] = states if len(states) > 1 else (None,)
    section = draw_section(packet, setup, woods, moves, writing.length) if setup.goals else None
    before: list[list[tuple[float, float]]] = []
    steps = 0
    for number, state in enumerate(parts, 1):
        shown = None
        cut = (
            [outline for each in states for outline in cut_in(packet, each, woods, moves)]
            if state is None
            else []
        )
        if state is not None:
            now = cut_in(packet, state, woods, moves)
            shown = Shown(state, now, before)
            before = [*before, *now]
        mine = [group for group in groups if group.part == number]
        part = f", part {number} of {len(parts)}" if len(parts) > 1 else ""
        yield {
            "id": f"setup-{setup.index}" + (f"-{number}" if number > 1 else ""),
            "index": setup.index,
            "over": f"Setup {setup.index} of {len(packet.setups)}{part}",
            "title": setup.title[:1].upper() + setup.title[1:],
            "glance": at_a_glance(page, state),
            "plan": draw_plan(setup, woods, moves, tags, writing, shown, cut, z_zero),
            "plan_says": _caption(setup, shown),
            "section": section if number == 1 else None,
            "shims": _shims(page) if number == 1 else [],
            "files": [
                {
                    "number": str(k),
                    "file": file_name(p.file),
                    "time": writing.time(p.seconds),
                    "digest": short(p.digest),
                }
                for k, p in enumerate(setup.programs, 1)
                if not p.done and (state is None or k in state.numbers)
            ],
            "leaves": list(_leaves(mine, steps, LEAVES_NOW if setup.index in extras.now else LEAVES)),
        }
        steps += _numbered(mine)


def _leaves(groups: Sequence[Group], steps: int, called: tuple[str, str]) -> Iterator[dict[str, Any]]:
    """Yield the two halves of a page: what each is called, its groups, and its first step's number."""
    for name, running in zip(called, (False, True), strict=True):
        mine = [group for group in groups if group.running is running]
        yield {"called": name, "groups": [_plain(group) for group in mine], "first_step": steps + 1}
        steps += _numbered(mine)


def _numbered(groups: Sequence[Group]) -> int:
    return sum(len(group.steps) for group in groups if group.numbered)


def _caption(setup: Setup, shown: Shown | None) -> str:
    said = FROM_ABOVE.format(what="setup" if shown is None else "part")
    if setup.lies:
        said += " Dashed: finished piece."
    if shown is not None:
        said += " Dotted: cut already."
    if setup.beneath:
        said += " Hatched: tape or vacuum below."
    return said


def _now_first(groups: list[Group], now: Sequence[Group] | None) -> list[Group]:
    """Return the groups that say something; before them what is to be done now, if that is something else."""
    if now is not None:
        # Cutter, zero and run are among what is done now; laying and holding stand by, if it moved.
        by = [Group(f"Only if it was moved: {g.heading}", g.steps, [*g.notes]) for g in groups if g.handled]
        by[0].notes.insert(0, LAID_AGAIN)
        last = [group for group in groups if group.heading == "Afterwards" or not group.numbered]
        ticks = [group for group in groups if group.ticks][:1]
        groups = [*now[:1], *ticks, *now[1:], *last, *by]
        for group in groups:
            group.part, group.running = 1, group in last or group in by
    return [group for group in groups if not group.empty]


def _plain(group: Group) -> dict[str, Any]:
    return {
        "heading": group.heading,
        "notes": [sentence(note) for note in group.notes],
        "numbered": group.numbered,
        "steps": [
            {
                "text": sentence(step.text),
                "details": [sentence(each) for each in step.details],
                "halt": step.halt,
                "rows": [list(row) for row in step.rows],
            }
            for step in group.steps
        ],
        "ticks": list(group.ticks),
        "blanks": [{"text": _capital(blank.text), "boxes": list(blank.boxes)} for blank in group.blanks],
    }


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _letter(number: int) -> str:
    return chr(ord("a") + number % 26) * (1 + number // 26)


def _shims(page: Page) -> list[list[str]]:
    """Return a row a shim: letter, place, thickness, which of the shop's make it up, and the height over it.

    The height is the upper face's above the bed, to be read there; none where the face is cut already.
    """
    packet, setup, writing = page.packet, page.setup, page.writing
    rows = []
    for tag, shim in zip(page.tags.shims, setup.shims, strict=True):
        thick = writing.bare(shim.thickness)
        made = " + ".join(writing.bare(part) for part in stack(shim.thickness, packet.shim_stock))
        made = "" if made == thick else made
        reads = ""
        if shim.thickness > 0 and not page.woods[shim.board].upper_is_flat and setup.seat_check:
            over = upper_at(packet, setup, shim.board, (shim.x, shim.y)) + setup.work_origin[2]
            reads = writing.bare(over)
        rows.append([tag, writing.spot(shim.x), writing.spot(shim.y), thick, made, reads])
    return rows
