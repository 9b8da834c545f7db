"""A shop's document -> `Shop`. Promise: every number of the shop is carried over, none is made up.

Where the document leaves the stick-out of a cutter open, it is the longest that still gives the collet the
grip it asks for, and never more.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, cast

from stockwright.documents.shop import SideClampPart, StopPart, TopClampPart
from stockwright.machine import (
    Attached,
    Backing,
    Bed,
    Fence,
    HoldDown,
    Machine,
    Shop,
    SideClamp,
    Stop,
    TopClamp,
    TouchProbe,
)
from stockwright.tooling import Cylinder, Tool

if TYPE_CHECKING:
    from stockwright.documents.shop import HoldDownPart, ProbePart, ShopDocument, ToolPart

__all__ = ["bind_shop"]


def bind_shop(document: ShopDocument, post: str, units: Literal["mm", "inch"]) -> Shop:
    """Bind a shop; cutters whose shank no collet holds are left out (`bind_tools` says why)."""
    bed, fence = document.bed, document.fence
    return Shop(
        name=document.name,
        post=post,
        units=units,
        machine=_machine(document),
        bed=Bed((bed.mark.x, bed.mark.y), bed.area.x, bed.area.y, bed.skimmed),
        fence=None
        if fence is None
        else Fence(
            face=fence.face,
            depth=fence.depth,
            height=fence.height,
            pieces=tuple(sorted(fence.pieces)),
            liftable=fence.liftable,
            wooden=fence.wooden,
            straightness=fence.straightness,
            angle=fence.angle,
        ),
        hold_downs=tuple(_hold_down(name, part) for name, part in document.hold_downs.items()),
        shims=tuple(sorted(document.shims)),
        tools=tuple(
            _tool(name, part, document)
            for name, part in document.tools.items()
            if part.shank in document.spindle.collets
        ),
        probe=None if document.probe is None else _probe(document.probe, document),
        longest_span=document.longest_span,
    )


def _machine(document: ShopDocument) -> Machine:
    m, spindle = document.machine, document.spindle
    return Machine(
        name=document.name,
        x=m.travel.x,
        y=m.travel.y,
        z=m.travel.z,
        rapid=m.rapid,
        rapids=m.rapids,
        acceleration=m.acceleration,
        max_feed=m.max_feed,
        min_rpm=spindle.speed[0],
        max_rpm=spindle.speed[1],
        power=spindle.power,
        spoilboard=m.spoilboard,
        margin=m.margin,
        park=(m.park.x, m.park.y),
        attached=tuple(
            Attached(
                name,
                ((a.x[0], a.y[0]), (a.x[1], a.y[0]), (a.x[1], a.y[1]), (a.x[0], a.y[1])),
                a.bottom,
                a.top,
                a.moves_with,
                a.soft,
            )
            for name, a in m.attached.items()
        ),
    )


def _hold_down(name: str, part: HoldDownPart) -> HoldDown:
    if isinstance(part, SideClampPart):
        return SideClamp(name, part.count, part.length, part.depth, part.height)
    if isinstance(part, StopPart):
        return Stop(name, part.count, part.length, part.depth, part.height)
    if isinstance(part, TopClampPart):
        return TopClamp(name, part.count, part.width, part.arm, part.arm_height, part.body_depth, part.reach)
    return Backing(name, part.count, part.length, part.depth)


def _tool(name: str, part: ToolPart, document: ShopDocument) -> Tool:
    collet = document.spindle.collets[part.shank]
    stickout = part.stickout if part.stickout is not None else part.overall_length - collet.grip
    nut_top = stickout + collet.nut_length
    stack = [Cylinder(part.diameter, 0.0, min(part.cutting_length, stickout))]
    if part.cutting_length < stickout:
        stack.append(Cylinder(part.shank, part.cutting_length, stickout))
    stack.append(Cylinder(collet.nut_diameter, stickout, nut_top))
    stack.append(Cylinder(document.spindle.nose_diameter, nut_top, nut_top + document.spindle.nose_length))
    return Tool(
        name=name,
        number=part.number,
        kind=part.kind,
        does=cast("tuple[str, ...]", part.does),
        diameter=part.diameter,
        cutting_length=part.cutting_length,
        shank_diameter=part.shank,
        overall_length=part.overall_length,
        gripped=part.overall_length - stickout,
        grip_wanted=collet.grip,
        stickout=stickout,
        marked_max_rpm=part.marked_max,
        flutes=part.flutes,
        centre_cutting=part.centre_cutting,
        ramp=part.ramp,
        corner_radius=part.corner_radius,
        rpm=part.speed,
        feed=part.feed,
        plunge_feed=part.plunge_feed,
        stepover=part.stepover * part.diameter,
        stepdown=part.stepdown,
        assembly=tuple(stack),
    )


def _probe(part: ProbePart, document: ShopDocument) -> TouchProbe | None:
    """Bind the touch probe; None where no collet holds its shank."""
    collet = document.spindle.collets.get(part.shank)
    if collet is None:
        return None
    nut_top = part.stickout + collet.nut_length
    stylus = min(part.stylus_length, part.stickout)
    stack = [Cylinder(part.tip_diameter, 0.0, stylus)]
    if stylus < part.stickout:
        stack.append(Cylinder(max(part.body_diameter, part.shank), stylus, part.stickout))
    stack.append(Cylinder(collet.nut_diameter, part.stickout, nut_top))
    stack.append(Cylinder(document.spindle.nose_diameter, nut_top, nut_top + document.spindle.nose_length))
    tool = Tool(
        name="probe",
        number=part.number,
        kind="touch-probe",
        does=(),
        diameter=part.tip_diameter,
        cutting_length=stylus,
        shank_diameter=part.shank,
        overall_length=part.stickout + collet.grip,
        gripped=collet.grip,
        grip_wanted=collet.grip,
        stickout=part.stickout,
        marked_max_rpm=None,
        flutes=0,
        centre_cutting=False,
        ramp=0.0,
        corner_radius=0.0,
        rpm=0.0,
        feed=part.feed,
        plunge_feed=part.feed,
        stepover=0.0,
        stepdown=0.0,
        assembly=tuple(stack),
    )
    return TouchProbe(tool, part.over_travel, part.feed)
