"""A shop's document -> `Shop`. Promise: every number of the shop is carried over, none is invented.

Where the document does not state a cutter's stick-out, it is the longest that still gives the collet the grip
it asks for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, cast

from stockwright.bind.accuracy import errors_of, z_touch_of
from stockwright.bind.hold_downs import bind_hold_down, bind_marks, bind_places
from stockwright.machine import Attached, Bed, Fence, Machine, Shop, Slide, TouchProbe
from stockwright.tooling import Cylinder, Tool

if TYPE_CHECKING:
    from stockwright.documents.shop import ColletPart, ProbePart, ShopDocument, ToolPart
    from stockwright.documents.sliding import SlidePart

__all__ = ["bind_shop"]


def bind_shop(document: ShopDocument, post: str, units: Literal["mm", "inch"]) -> Shop:
    """Bind a shop; cutters whose shank no collet holds are left out (`bind_tools` says why)."""
    bed, fence = document.bed, document.fence
    return Shop(
        name=document.name,
        post=post,
        units=units,
        machine=_machine(document),
        bed=Bed(
            (bed.mark.x, bed.mark.y),
            bed.area.x,
            bed.area.y,
            bed.skimmed,
            places=bind_places(bed.places),
            marks=bind_marks(bed.marks),
        ),
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
            carries=fence.carries,
        ),
        hold_downs=tuple(bind_hold_down(name, part) for name, part in document.hold_downs.items()),
        shims=tuple(sorted(document.shims)),
        tools=tuple(
            _tool(name, part, document)
            for name, part in document.tools.items()
            if part.shank in document.spindle.collets
        ),
        probe=None if document.probe is None else _probe(document.probe, document),
        longest_span=document.longest_span,
        friction=document.friction,
        cutting_pressure=document.cutting_pressure,
        errors=errors_of(document),
        z_touch=z_touch_of(document),
        slide=_slide(document.slide),
        inch_as=document.inch_as,
        paper=document.paper,
    )


def _slide(part: SlidePart | None) -> Slide:
    if part is None:
        return Slide()
    guess = Slide()
    said = {"register": part.register_, "within": part.within, "reads": part.reads}
    return Slide(
        register=part.register_ or guess.register,
        within=guess.within if part.within is None else part.within,
        reads=guess.reads if part.reads is None else part.reads,
        supports=part.supports,
        said=frozenset(key for key, value in said.items() if value is not None),
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
        torque=None if spindle.torque is None else spindle.torque / 1000,
        power_at=tuple(sorted(spindle.power_at.items())),
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


def _tool(name: str, part: ToolPart, document: ShopDocument) -> Tool:
    collet = document.spindle.collets[part.shank]
    stickout = part.stickout if part.stickout is not None else part.overall_length - collet.grip
    below = [Cylinder(part.diameter, 0.0, min(part.cutting_length, stickout))]
    if part.cutting_length < stickout:
        below.append(Cylinder(part.shank, part.cutting_length, stickout))
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
        assembly=(*below, *_nut_and_nose(document, collet, stickout)),
        material=part.material,
        helix=part.helix,
        fluted=part.fluted,
    )


def _nut_and_nose(document: ShopDocument, collet: ColletPart, stickout: float) -> tuple[Cylinder, Cylinder]:
    """Return what stands above anything that sticks out of the nut by `stickout`, measured from its tip."""
    spindle, top = document.spindle, stickout + collet.nut_length
    return (
        Cylinder(collet.nut_diameter, stickout, top),
        Cylinder(spindle.nose_diameter, top, top + spindle.nose_length),
    )


def _probe(part: ProbePart, document: ShopDocument) -> TouchProbe | None:
    """Bind the touch probe; None where no collet holds its shank."""
    collet = document.spindle.collets.get(part.shank)
    if collet is None:
        return None
    stylus = min(part.stylus_length, part.stickout)
    below = [Cylinder(part.tip_diameter, 0.0, stylus)]
    if stylus < part.stickout:
        below.append(Cylinder(max(part.body_diameter, part.shank), stylus, part.stickout))
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
        assembly=(*below, *_nut_and_nose(document, collet, part.stickout)),
    )
    return TouchProbe(tool, part.over_travel, part.feed)
