"""The program that measures. In: a `Measuring`. Out: a `Program` of purpose "probe", spindle off throughout.

Promise: it raises first and alone, travels at the clear height only, goes straight up after every touch and
every stop, and ends raised and parked.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.cutting.program import stem
from stockwright.cutting.steps import Steps
from stockwright.motion.nodes import Pause, Probe, Program, Rapid, Remark, UseTool

if TYPE_CHECKING:
    from stockwright.machine import Shop
    from stockwright.motion.nodes import Node
    from stockwright.probing.touches import Measuring, Touch

__all__ = ["program"]


def program(m: Measuring, shop: Shop, size: float, *, pauses: bool, wait: bool) -> Program:
    """Give the measuring program. `size`: the post's step, mm; `pauses`: whether the post has a word for one.

    `wait` stops after every touch, until its height has been written down.
    """
    steps = Steps(size)
    clear = Rapid(z=m.setup.clear_z)
    nodes: list[Node] = [
        Remark(f"Setup {m.setup.index}: heights of the upper face, spindle off throughout"),
        UseTool(m.tool.number, m.tool.name),
        clear,
    ]
    if m.by == "probe" and pauses and m.touches:
        first = m.touches[0]
        nodes += [
            Rapid(x=first.work_x, y=first.work_y),
            Pause("Touch the tip with a finger: the control must show it. If it does not, stop here."),
            clear,
        ]
    for touch in m.touches:
        nodes.append(Remark(f"place {touch.number}: x {touch.x:g}, y {touch.y:g} on the board"))
        nodes.append(Rapid(x=touch.work_x, y=touch.work_y))
        nodes.append(Rapid(z=m.approach))
        nodes += _touched(m, touch, shop, wait=wait and pauses) if m.by == "probe" else _read(touch)
        nodes.append(clear)
    x, y = shop.machine.park
    nodes.append(
        Rapid(
            x=steps.mm(steps.nearest(x - m.setup.work_origin[0])),
            y=steps.mm(steps.nearest(y - m.setup.work_origin[1])),
        )
    )
    return Program(
        stem=stem(m.setup.index, 0, (m.by if m.by == "probe" else "read by hand",)),
        title=m.setup.title,
        setup=m.setup.index,
        purpose="probe",
        tool=m.tool,
        nodes=tuple(nodes),
        standing=tuple(solid.name for solid in m.setup.solids),
        touch_off=m.setup.zero_how,
    )


def _touched(m: Measuring, touch: Touch, shop: Shop, *, wait: bool) -> list[Node]:
    assert shop.probe is not None
    nodes: list[Node] = [Probe(touch.floor, min(shop.probe.feed, shop.machine.max_feed))]
    if wait:
        nodes += [Rapid(z=m.setup.clear_z), Pause(f"place {touch.number}: write down the z of the touch")]
    return nodes


def _read(touch: Touch) -> list[Node]:
    return [Pause(f"place {touch.number}: lower by hand, read z, write it down")]
