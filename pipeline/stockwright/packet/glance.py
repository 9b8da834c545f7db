"""The four facts that a person looks for first on a setup's page.

In: a setup's page. Out: large and small words. Promise: which face is up, where zero is, how far the cutter
sticks out and what holds the board come from the packet, and agree with the steps below them.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from stockwright.packet.clamp_states import states_of
from stockwright.packet.counted import things
from stockwright.packet.steps.cutting import zero_of_z
from stockwright.packet.steps.group import count, run_of
from stockwright.packet.steps.laying import how_it_lies

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stockwright.packet.clamp_states import State
    from stockwright.packet.model import Packet, Setup
    from stockwright.packet.page import Page
    from stockwright.packet.plan_drawing import Tagged
    from stockwright.packet.wood import Wood
    from stockwright.packet.writing import Writing

__all__ = ["at_a_glance"]

STANDS = ("fence", "backing")  # what stands but does not hold


def at_a_glance(page: Page, state: State | None) -> list[dict[str, Any]]:
    """Return four answers, each with what it answers, lines to be set `large`, and what is said `beside`.

    `state`: one of the setup's, where things move in it.
    """
    setup = page.setup
    tools = [p.tool for p in (state.programs if state is not None else setup.programs)]
    return [
        {"asks": "Which face is up", **_up(setup, page.woods)},
        {"asks": "Zero", **_zero(setup, zero_of_z(setup, page.writing))},
        {"asks": "Stick-out, tip to nut", **_stickout(page.packet, tools, page.writing)},
        {"asks": "What holds it", **_held(setup, page.tags, state)},
    ]


def _up(setup: Setup, woods: Mapping[str, Wood]) -> dict[str, Any]:
    if not setup.lies:
        return {"large": ["The bed itself"], "beside": ["no board lies on it"]}
    alike: dict[str, list[str]] = {}
    for lie in setup.lies:
        alike.setdefault(how_it_lies(lie.up, woods[lie.board].sides), []).append(lie.board)
    ups = list(dict.fromkeys(lie.up for lie in setup.lies))
    large = [" and ".join(f"Face {up}" for up in ups) if len(ups) > 1 else f"Face {ups[0]} up"]
    if len(alike) == 1:
        return {"large": large, "beside": [_after_the_face(next(iter(alike)))]}
    return {"large": large, "beside": [f"{', '.join(names)}: {how}" for how, names in alike.items()]}


def _after_the_face(how: str) -> str:
    return how.partition(", ")[2]


def _zero(setup: Setup, of_z: str) -> dict[str, Any]:
    where = re.split(r" \(|[,;]", of_z, maxsplit=1)[0]
    beside = ["z never on the board"] if setup.zero.z == "support" else []
    return {"large": [f"x, y: at the {setup.zero.x}", f"z: {where}"], "beside": beside}


def _stickout(packet: Packet, tools: Sequence[str | None], writing: Writing) -> dict[str, Any]:
    used = [name for name in dict.fromkeys(tools) if name is not None]
    if not used:
        return {"large": ["no cutter"], "beside": []}
    large = [writing.shown(packet.tools[used[0]].stickout)]
    large += [f"then {writing.shown(packet.tools[name].stickout)}" for name in used[1:]]
    beside = ", then ".join(f"“{name}”, number {packet.tools[name].number}" for name in used)
    return {"large": large, "beside": [beside]}


def _held(setup: Setup, tags: Tagged, state: State | None) -> dict[str, Any]:
    first = state or next(iter(states_of(setup)), None)
    standing = [s for s in setup.solids if first is None or s.name in first.standing]
    holding = [s for s in standing if s.kind not in STANDS]
    number = things([s.name for s in holding])
    large = [count(many, name) for name, many in sorted(number.items())]
    large += sorted({each.kind for each in setup.beneath})
    beside = []
    if holding:
        beside.append(f"{run_of([tags.solids[s.name] for s in holding])} in the drawing")
    carried = [tag for tag, shim in zip(tags.shims, setup.shims, strict=True) if shim.thickness > 0]
    if carried:
        ends = carried[0] if len(carried) == 1 else f"{carried[0]} to {carried[-1]}"
        beside.append(f"on {count(len(carried), 'shim')}, {ends}")
    fence = [tags.solids[s.name] for s in standing if s.kind == "fence"]
    if fence:
        pieces = ("fence piece", "stands") if len(fence) == 1 else ("fence pieces", "stand")
        beside.append(f"{pieces[0]} {run_of(fence)} {pieces[1]}")
    return {"large": large or ["no hold-down" if standing else "nothing stands"], "beside": beside}
