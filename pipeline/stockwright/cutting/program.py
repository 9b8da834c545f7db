"""Programs of one setup. In: `Setup`, `Shop`, resolution. Out: the outline, then one program a tool.

Promise: every program raises first and alone, ends raised, spindle off, parked; all are named so that a
folder lists them in the order they are run.
"""

from __future__ import annotations

import re
from itertools import groupby
from typing import TYPE_CHECKING

from stockwright.cutting.edges import lay_edge
from stockwright.cutting.faces import lay_face
from stockwright.cutting.ground import ground
from stockwright.cutting.outlines import lay_outline
from stockwright.cutting.path import Path
from stockwright.motion.nodes import Program, Rapid, Remark, SpindleOff, SpindleOn, UseTool
from stockwright.planning.setup import EdgeCut

if TYPE_CHECKING:
    from stockwright.cutting.ground import Ground
    from stockwright.machine import Shop
    from stockwright.planning.setup import Cut, Setup
    from stockwright.tooling import Tool

__all__ = ["programs", "stem"]

LETTERS = "abcdefghijklmnopqrstuvwxyz"
# Old controllers show few characters of a name; our own choice.
LONGEST_STEM = 24


def stem(setup: int, number: int, names: tuple[str, ...]) -> str:
    """Give a file name's stem, as "4b-end-1-end-2-edge-2": setup, order in it, what it cuts."""
    letter = LETTERS[number] if number < len(LETTERS) else f"z{number:03d}"
    words = [re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") for name in names]
    whole = f"{setup}{letter}-{'-'.join(words)}"
    if len(whole) > LONGEST_STEM:
        whole = f"{setup}{letter}-{words[0]}-and-{len(words) - 1}-more" if len(words) > 1 else whole
    return whole[:LONGEST_STEM].rstrip("-")


def programs(setup: Setup, shop: Shop, resolution: float) -> tuple[Program, ...]:
    """Give the setup's programs in the order they are run; none if it cuts nothing."""
    around = ground(setup, shop, resolution)
    standing = tuple(solid.name for solid in setup.solids)
    made: list[Program] = []
    for tool, group in groupby(setup.cuts, key=lambda cut: cut.tool):
        cuts = tuple(group)
        names = tuple(cut.name for cut in cuts)
        path = _begun(around, tool, f"Setup {setup.index}: {', '.join(names)}", turning=True)
        for cut in cuts:
            path.say(Remark(_told(cut)))
            if isinstance(cut, EdgeCut):
                lay_edge(path, cut, around)
            else:
                lay_face(path, cut, around)
        _end(path, setup, shop, around, turning=True)
        made.append(
            Program(
                stem=stem(setup.index, len(made) + 1, names),
                title=f"{setup.title}: {', '.join(names)}",
                setup=setup.index,
                purpose="cut",
                tool=tool,
                nodes=path.nodes(),
                standing=standing,
                touch_off=setup.zero_how,
            )
        )
    if not made:
        return ()
    first = made[0].tool
    path = _begun(around, first, f"Setup {setup.index}: outline in the air, spindle off", turning=False)
    lay_outline(path, setup, shop, around, first, tuple(made))
    _end(path, setup, shop, around, turning=False)
    outline = Program(
        stem=stem(setup.index, 0, ("outline",)),
        title=f"{setup.title}: outline in the air",
        setup=setup.index,
        purpose="outline",
        tool=first,
        nodes=path.nodes(),
        standing=standing,
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
