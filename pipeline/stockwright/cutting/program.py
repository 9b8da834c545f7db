"""The programs of one setup.

In: `Setup`, `Shop`, resolution. Out: the outline, then one program for each tool. Promise: every program
raises the cutter first, in a move of its own, and ends raised, with the spindle off, at the parking place;
the names sort in a folder in the order in which the programs are run.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from stockwright.cutting.edges import lay_edge
from stockwright.cutting.faces import lay_face
from stockwright.cutting.ground import ground
from stockwright.cutting.outlines import lay_outline
from stockwright.cutting.path import Path
from stockwright.frozen import frozen
from stockwright.motion.nodes import Program, Rapid, Remark, SpindleOff, SpindleOn, UseTool
from stockwright.motion.stems import LONGEST_STEM, letter, plain
from stockwright.planning.setup import EdgeCut, FaceCut

if TYPE_CHECKING:
    from stockwright.cutting.ground import Ground
    from stockwright.machine import Shop
    from stockwright.planning.setup import Cut, Setup
    from stockwright.tooling import Tool

__all__ = ["programs", "stem"]


def stem(setup: int, number: int, names: tuple[str, ...], of: int = 1) -> str:
    """Give a file name's stem, as "4b-end-1-end-2-edge-2": setup, order in it, what it cuts.

    Of so many setups: with ten, the first is "01", so that a folder lists it first.
    """
    words = [plain(name) for name in names]
    which = f"{setup:0{len(str(of))}d}{letter(number)}"
    whole = f"{which}-{'-'.join(words)}"
    if len(whole) > LONGEST_STEM:
        whole = f"{which}-{words[0]}-and-{len(words) - 1}-more" if len(words) > 1 else whole
    return whole[:LONGEST_STEM].rstrip("-")


def programs(setup: Setup, shop: Shop, resolution: float) -> tuple[Program, ...]:
    """Give the setup's programs in the order they are run; none if it cuts nothing."""
    around = ground(setup, shop, resolution)
    made: list[Program] = []
    for state in _states(setup):
        made += _of_state(setup, shop, around, state, len(made))
    return tuple(made)


@frozen(eq=False)
class _State:
    """What stands, and what is cut meanwhile; `said` tells it from the setup's others in a title."""

    standing: tuple[str, ...]
    cuts: tuple[Cut, ...]
    said: str


def _states(setup: Setup) -> list[_State]:
    """Give the setup's states in order; most setups have one."""
    standing = tuple(solid.name for solid in setup.solids)
    found: list[tuple[tuple[str, ...], tuple[Cut, ...]]] = []
    for cut in setup.cuts:
        stands = cut.standing if isinstance(cut, FaceCut) else None
        if found and stands in (None, found[-1][0]):
            found[-1] = (found[-1][0], (*found[-1][1], cut))
        else:
            found.append((standing if stands is None else stands, (cut,)))
    count = len(found)
    return [
        _State(stands, cuts, f", clamps in place {number} of {count}" if count > 1 else "")
        for number, (stands, cuts) in enumerate(found, 1)
    ]


def _of_state(setup: Setup, shop: Shop, around: Ground, state: _State, before: int) -> tuple[Program, ...]:
    """Give the programs that are run while the same things stand: the outline, then one a tool."""
    made: list[Program] = []
    blocks = tuple(solid.outline for solid in setup.solids if solid.kind == "backing")
    for tool, group in groupby(state.cuts, key=lambda cut: cut.tool):
        cuts = tuple(group)
        names = tuple(dict.fromkeys(cut.name for cut in cuts))
        told = ", ".join(names)
        path = _begun(around, tool, f"Setup {setup.index}: {told}", turning=True)
        for cut in cuts:
            path.say(Remark(_told(cut)))
            if isinstance(cut, EdgeCut):
                lay_edge(path, cut, around, blocks)
            else:
                lay_face(path, cut, around)
        _end(path, setup, shop, around, turning=True)
        made.append(
            Program(
                stem=stem(setup.index, before + len(made) + 1, names, setup.of),
                # A face alone is the whole setup, and its title says it once.
                title=setup.title + ("" if setup.title.lower() == told.lower() else f": {told}") + state.said,
                setup=setup.index,
                purpose="cut",
                tool=tool,
                nodes=path.nodes(),
                standing=state.standing,
                touch_off=setup.zero_how,
            )
        )
    first = made[0].tool
    path = _begun(around, first, f"Setup {setup.index}: outline in the air, spindle off", turning=False)
    lay_outline(path, setup, shop, around, tuple(made))
    _end(path, setup, shop, around, turning=False)
    outline = Program(
        stem=stem(setup.index, before, ("outline",), setup.of),
        title=f"{setup.title}: outline in the air{state.said}",
        setup=setup.index,
        purpose="outline",
        tool=first,
        nodes=path.nodes(),
        standing=state.standing,
        touch_off=setup.zero_how,
    )
    return (outline, *made)


def _told(cut: Cut) -> str:
    return f"{cut.name}, {cut.tool.name}"


def _begun(around: Ground, tool: Tool, title: str, *, turning: bool) -> Path:
    """Begin a program: where the machine stands is not known, so it raises before anything else moves."""
    path = Path(around.steps, around.clear)
    path.say(Remark(title))
    path.say(UseTool(tool.number, tool.name))
    path.say(Rapid(z=around.steps.mm(around.clear)))
    if turning:
        path.say(SpindleOn(tool.rpm))
    return path


def _end(path: Path, setup: Setup, shop: Shop, around: Ground, *, turning: bool) -> None:
    """End a program: raised, then off, then parked."""
    path.raise_up()
    if turning:
        path.say(SpindleOff())
    x, y = shop.machine.park
    steps = around.steps
    path.over(steps.nearest(x - setup.work_origin[0]), steps.nearest(y - setup.work_origin[1]))
