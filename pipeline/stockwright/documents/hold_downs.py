"""What a shop's document says of its hold-downs: their sizes, how they hold, where they may stand.

In: a tree. Out: one part for each hold-down, mm, N, N/mm2, N mm, degrees, bed frame. Promise: no force is
invented here; what a shop does not state stays None and is later reported as a guess.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag, model_validator

from stockwright import units
from stockwright.documents.fields import (
    Bounds,
    Count,
    Length,
    LengthRange,
    Measured,
    OneOf,
    Part,
    PositiveLength,
    SignedLength,
    fault,
    one_or_more,
)

__all__ = [
    "HOLD_DOWN_KINDS",
    "BackingPiece",
    "BoltPart",
    "ChannelPart",
    "Force",
    "HoldDownPart",
    "HolesPart",
    "LeverStopPart",
    "PlacesPart",
    "RiserPart",
    "ScrewPart",
    "SideClampPart",
    "SlotsPart",
    "StopPart",
    "TapePart",
    "TopClampPart",
    "VacuumAreaPart",
    "VacuumPart",
    "WedgePart",
]

HOLD_DOWN_KINDS = (
    "side-clamp",
    "stop",
    "top-clamp",
    "backing",
    "wedge",
    "lever-stop",
    "tape",
    "vacuum",
    "screw",
    "riser",
)

Force = Annotated[float, Measured(units.FORCE, Bounds(above=0.0))]
Torque = Annotated[float, Measured(units.TORQUE, Bounds(above=0.0))]
# Longer than the widest board is nothing that stands on a bed and holds; common practice, no source.
Size = Annotated[float, Measured(units.LENGTH, Bounds(above=0.0, most=5000.0))]
# Below the air's own pressure there is nothing left to take away.
Vacuous = Annotated[float, Measured(units.PRESSURE, Bounds(above=0.0, most=0.1))]
Stress = Annotated[float, Measured(units.STRESS, Bounds(above=0.0))]
Factor = Annotated[float, Measured(units.NUMBER, Bounds(least=0.05, most=1.0))]
# Steeper ones turn no push into a side force worth having.
WedgeAngle = Annotated[float, Measured(units.ANGLE, Bounds(above=0.0, most=45.0))]
# A thicker one is foam, which lets a board rock; common practice, no source.
TapeThickness = Annotated[float, Measured(units.LENGTH, Bounds(above=0.0, most=1.0))]


class BesidePart(Part):
    """What stands on the bed beside a board: `length` along the board, `depth` away from it, `height` up."""

    kind: str
    count: Count
    length: Size
    depth: Size
    height: Size


class SideClampPart(BesidePart):
    """Squeezes an edge from the side, by `push`."""

    kind: Annotated[Literal["side-clamp"], OneOf()]
    push: Force | None = None


class LeverStopPart(BesidePart):
    """A cam or lever that swings against an edge or end and pushes it."""

    kind: Annotated[Literal["lever-stop"], OneOf()]
    push: Force | None = None


class WedgePart(BesidePart):
    """A pair of wedges between the board and a block, measured together; driven in with `drive`."""

    kind: Annotated[Literal["wedge"], OneOf()]
    angle: WedgeAngle
    drive: Force | None = None
    push: Force | None = None


class StopPart(BesidePart):
    """Stands against a side and carries the feed force."""

    kind: Annotated[Literal["stop"], OneOf()]
    carries: Force | None = None


class BoltPart(Part):
    """What draws a clamp's arm down, and where it stands on the arm."""

    diameter: Size
    torque: Torque
    from_heel: Size
    from_work: Size
    nut_factor: Factor | None = None


class TopClampPart(Part):
    """Presses on the upper face with an arm from a body beside the board."""

    kind: Annotated[Literal["top-clamp"], OneOf()]
    count: Count
    width: Size
    arm: Size
    arm_height: Size
    body_depth: Size
    reach: Size
    press: Force | None = None
    bolt: BoltPart | None = None

    @model_validator(mode="after")
    def _said_once(self) -> TopClampPart:
        """Refuse a force that is said twice."""
        if self.press is not None and self.bolt is not None:
            raise fault(
                "contradiction",
                "'press' and 'bolt' both say how hard this clamp presses, expected one of them",
                "keep 'press' where it was measured",
                at=("press",),
            )
        return self


class BackingPiece(Part):
    """Scrap that backs an edge where teeth leave the wood."""

    kind: Annotated[Literal["backing"], OneOf()]
    count: Count
    length: Size
    depth: Size


class TapePart(Part):
    """Double-sided tape between bed and board, in at most `count` strips.

    `shear` is what it carries sideways; `lift` against lifting, which only a pull test tells: left out, none.
    """

    kind: Annotated[Literal["tape"], OneOf()]
    count: Count
    width: Size
    thickness: TapeThickness
    shear: Stress | None = None
    lift: Stress | None = None


class VacuumAreaPart(Part):
    """One area, measured over its seal."""

    x: LengthRange
    y: LengthRange


class VacuumPart(Part):
    """Areas of the bed that draw a board down.

    `seal` is how wide the lip is, `follows` how far out of flat an underside may be that it still closes on,
    `pressure` what the gauge reads below the air's, with a board on it.
    """

    kind: Annotated[Literal["vacuum"], OneOf()]
    areas: Annotated[tuple[VacuumAreaPart, ...], Field(min_length=1, max_length=100), one_or_more]
    seal: Length
    follows: Length | None = None
    pressure: Vacuous | None = None

    @model_validator(mode="after")
    def _more_than_lip(self) -> VacuumPart:
        """Refuse an area that is all seal."""
        for index, area in enumerate(self.areas):
            for way, span in (("x", area.x), ("y", area.y)):
                if span[1] - span[0] <= 2 * self.seal:
                    raise fault(
                        "out-of-range",
                        f"{span[1] - span[0]:g} mm over the seal, expected more than the two lips, "
                        f"{2 * self.seal:g} mm",
                        at=("areas", index, way),
                    )
        return self


class ScrewPart(Part):
    """A screw through waste into the bed.

    Its head is `head` across and lies `sunk` below the wood; `depth` is how far it goes into the bed;
    `shear` is what it carries sideways, `pull` upwards.
    """

    kind: Annotated[Literal["screw"], OneOf()]
    count: Count
    head: Size
    head_height: Size
    depth: Size
    sunk: Length = Field(default=0.0, json_schema_extra={"default": "0 mm"})
    shear: Force | None = None
    pull: Force | None = None


class RiserPart(Part):
    """Stands on the bed and carries the board, as high as all the others: planed together."""

    kind: Annotated[Literal["riser"], OneOf()]
    count: Count
    length: Size
    width: Size
    height: Size


_TAG = "a {} hold-down"  # with spaces, so that it is never taken for a key of the document


def _hold_down_kind(value: object) -> str | None:
    kind = value.get("kind") if isinstance(value, Mapping) else None
    return _TAG.format(kind) if kind in HOLD_DOWN_KINDS else None


HoldDownPart = Annotated[
    Annotated[SideClampPart, Tag(_TAG.format("side-clamp"))]
    | Annotated[StopPart, Tag(_TAG.format("stop"))]
    | Annotated[TopClampPart, Tag(_TAG.format("top-clamp"))]
    | Annotated[BackingPiece, Tag(_TAG.format("backing"))]
    | Annotated[WedgePart, Tag(_TAG.format("wedge"))]
    | Annotated[LeverStopPart, Tag(_TAG.format("lever-stop"))]
    | Annotated[TapePart, Tag(_TAG.format("tape"))]
    | Annotated[VacuumPart, Tag(_TAG.format("vacuum"))]
    | Annotated[ScrewPart, Tag(_TAG.format("screw"))]
    | Annotated[RiserPart, Tag(_TAG.format("riser"))],
    Discriminator(_hold_down_kind),
]


class SlotsPart(Part):
    """Slots along x, at these y, or along y, at these x."""

    along: Annotated[Literal["x", "y"], OneOf()]
    at: Annotated[tuple[SignedLength, ...], Field(min_length=1, max_length=200), one_or_more]


class HolesPart(Part):
    """Threaded holes: one at every crossing of these x and y."""

    x: Annotated[tuple[SignedLength, ...], Field(min_length=1, max_length=200), one_or_more]
    y: Annotated[tuple[SignedLength, ...], Field(min_length=1, max_length=200), one_or_more]


class PlacesPart(Part):
    """Where feet are bolted down; the middle of a foot may be off its bolt by `play`, in x and in y."""

    slots: Annotated[tuple[SlotsPart, ...], one_or_more] = ()
    holes: HolesPart | None = None
    play: Length

    @model_validator(mode="after")
    def _somewhere(self) -> Any:
        """Refuse places that are none."""
        if not self.slots and self.holes is None:
            raise fault(
                "missing-key",
                "neither 'slots' nor 'holes' is said, expected one of them",
                "leave 'places' out where hold-downs may stand anywhere",
            )
        return self


class ChannelPart(Part):
    """A mark of earlier cuts in the bed."""

    x: LengthRange
    y: LengthRange
    depth: PositiveLength
