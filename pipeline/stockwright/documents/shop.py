"""A shop's document: one shop's machine, spindle, bed, fence, hold-downs and tools.

In: a tree. Out: `ShopDocument`, in mm, mm/min, rpm, W, degrees, mm/s2, bed frame. Promise: nothing is
guessed; what a shop does not say stays None, and the bind stage says what it lacks.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Discriminator, Field, Tag

from stockwright import units
from stockwright.documents.fields import (
    Acceleration,
    Angle,
    BedPlace,
    Bounds,
    Count,
    Date,
    Feed,
    InputName,
    Length,
    LengthRange,
    Measured,
    Name,
    OneOf,
    Part,
    Percent,
    PositiveLength,
    Power,
    SignedLength,
    Speed,
    SpeedRange,
    Text,
    UnitSystem,
    YesNo,
    fault,
    one_or_more,
)
from stockwright.documents.source import Table

__all__ = [
    "AttachedPart",
    "BackingPiece",
    "BedPart",
    "ColletPart",
    "FencePart",
    "HoldDownPart",
    "MachinePart",
    "ProbePart",
    "ShopDocument",
    "SideClampPart",
    "SpindlePart",
    "StopPart",
    "ToolPart",
    "TopClampPart",
    "repeats",
]

# Nearer than a shim is long there is nothing to put between two; common practice, no source.
LongestSpan = Annotated[float, Measured(units.LENGTH, Bounds(least=50.0))]
Does = Annotated[Literal["face", "edge", "end", "bed"], OneOf()]
HOLD_DOWN_KINDS = ("side-clamp", "stop", "top-clamp", "backing")


class Travel(Part):
    """How far the spindle nose goes, bed frame."""

    x: LengthRange
    y: LengthRange
    z: LengthRange


class AttachedPart(Part):
    """A thing that rides with the spindle, a box about its axis.

    `from` and `to` are heights above the nose where it moves with `z`, above the bed with the `gantry`.
    """

    x: LengthRange
    y: LengthRange
    bottom: SignedLength = Field(alias="from")
    top: SignedLength = Field(alias="to")
    moves_with: Annotated[Literal["z", "gantry"], OneOf()]
    soft: YesNo = False


class MachinePart(Part):
    """What moves, how far and how fast."""

    travel: Travel
    rapid: Feed
    rapids: Annotated[Literal["straight", "independent"], OneOf()]
    acceleration: Acceleration
    max_feed: Feed
    spoilboard: Length
    margin: PositiveLength
    park: BedPlace
    attached: dict[InputName, AttachedPart] = Field(default={})


class ColletPart(Part):
    """A collet with its nut: `grip` is the shank length it wants."""

    grip: PositiveLength
    nut_diameter: PositiveLength
    nut_length: PositiveLength


def _one_size_once(value: object) -> object:
    """Refuse two collets of one size under two writings, of which one would be lost."""
    if isinstance(value, Mapping):
        seen: dict[float, str] = {}
        for key in value:
            try:
                size = units.parse_length(key)
            except units.MeasureError:
                continue  # said by the key's own type
            if size in seen:
                raise fault(
                    "duplicate-key",
                    f"'{key}' is the size of '{seen[size]}' again",
                    "keep one of the two",
                    at=(key,),
                )
            seen[size] = key
    return value


class SpindlePart(Part):
    """The spindle; `collets` by the shank they hold, mm."""

    speed: SpeedRange
    power: Power
    nose_diameter: PositiveLength
    nose_length: PositiveLength
    collets: Annotated[dict[PositiveLength, ColletPart], BeforeValidator(_one_size_once)] = Field(
        min_length=1
    )


class Area(Part):
    """Where on the bed a board may lie."""

    x: LengthRange
    y: LengthRange


class BedPart(Part):
    """The bed: `mark` is zero of x and y in every setup; `skimmed` is when, None for never."""

    mark: BedPlace
    skimmed: Date | None = None
    area: Area


class FencePart(Part):
    """A fence along x on the near side; `face` is the y of its working face."""

    face: SignedLength
    depth: PositiveLength
    height: PositiveLength
    pieces: Annotated[tuple[LengthRange, ...], Field(min_length=1), one_or_more]
    liftable: YesNo
    wooden: YesNo
    straightness: Length
    angle: Angle


class SideClampPart(Part):
    """Squeezes an edge from the side."""

    kind: Annotated[Literal["side-clamp"], OneOf()]
    count: Count
    length: PositiveLength
    depth: PositiveLength
    height: PositiveLength


class StopPart(Part):
    """Stands against a side and carries the feed force."""

    kind: Annotated[Literal["stop"], OneOf()]
    count: Count
    length: PositiveLength
    depth: PositiveLength
    height: PositiveLength


class TopClampPart(Part):
    """Presses on the upper face with an arm from a body beside the board."""

    kind: Annotated[Literal["top-clamp"], OneOf()]
    count: Count
    width: PositiveLength
    arm: PositiveLength
    arm_height: PositiveLength
    body_depth: PositiveLength
    reach: PositiveLength


class BackingPiece(Part):
    """Scrap that backs an edge where teeth leave the wood."""

    kind: Annotated[Literal["backing"], OneOf()]
    count: Count
    length: PositiveLength
    depth: PositiveLength


_TAG = "a {} hold-down"  # with spaces, so that it is never taken for a key of the document


def _hold_down_kind(value: object) -> str | None:
    kind = value.get("kind") if isinstance(value, Mapping) else None
    return _TAG.format(kind) if kind in HOLD_DOWN_KINDS else None


HoldDownPart = Annotated[
    Annotated[SideClampPart, Tag(_TAG.format("side-clamp"))]
    | Annotated[StopPart, Tag(_TAG.format("stop"))]
    | Annotated[TopClampPart, Tag(_TAG.format("top-clamp"))]
    | Annotated[BackingPiece, Tag(_TAG.format("backing"))],
    Discriminator(_hold_down_kind),
]


class ToolPart(Part):
    """One cutter of the shop's. `ramp` is its steepest descent in wood, 0 for none."""

    kind: Annotated[Literal["facing-cutter", "end-mill"], OneOf()]
    does: Annotated[tuple[Does, ...], Field(min_length=1), one_or_more]
    number: Count
    diameter: PositiveLength
    cutting_length: PositiveLength
    shank: PositiveLength
    overall_length: PositiveLength
    stickout: PositiveLength | None = None
    flutes: Count
    corner_radius: Length = Field(default=0.0, json_schema_extra={"default": "0 mm"})
    marked_max: Speed | None = None
    centre_cutting: YesNo
    ramp: Angle = Field(default=0.0, json_schema_extra={"default": "0 deg"})
    speed: Speed
    feed: Feed
    plunge_feed: Feed
    stepover: Percent
    stepdown: PositiveLength


class ProbePart(Part):
    """A touch probe in the collet: a tip of `tip_diameter` on a stylus `stylus_length` below its body.

    `stickout` runs from the tip to the nut's face; `over_travel` is how far the tip gives after contact.
    """

    number: Count
    tip_diameter: PositiveLength
    stylus_length: PositiveLength
    body_diameter: PositiveLength
    shank: PositiveLength
    stickout: PositiveLength
    over_travel: PositiveLength
    feed: Feed


class ShopDocument(Part):
    """One shop's own."""

    stockwright: Annotated[Literal["shop/1"], OneOf()]
    name: Name
    about: Text = ""
    post: Name | None = None
    units: UnitSystem = "mm"
    machine: MachinePart
    spindle: SpindlePart
    bed: BedPart
    fence: FencePart | None = None
    hold_downs: dict[InputName, HoldDownPart] = Field(default={})
    shims: Annotated[tuple[PositiveLength, ...], one_or_more] = ()
    longest_span: LongestSpan = Field(default=400.0, json_schema_extra={"default": "400 mm"})
    tools: dict[InputName, ToolPart] = Field(min_length=1)
    probe: ProbePart | None = None


def repeats(root: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str, str, str]]:
    """Yield (path, code, message, hint) where two tools, or a tool and the probe, claim one number."""
    tools = root.get("tools")
    if not isinstance(tools, Table):
        return
    seen: dict[str, str] = {}
    numbered: list[tuple[tuple[str, ...], str, Any]] = [
        (("tools", name), name, tool) for name, tool in tools.items()
    ]
    for path, name, tool in (*numbered, (("probe",), "probe", root.get("probe"))):
        number = tool.get("number") if isinstance(tool, Table) else None
        if not isinstance(number, str):
            continue
        if number in seen:
            yield (
                (*path, "number"),
                "repeated",
                f"tool number {number} is that of '{seen[number]}' already, expected a number of its own",
                "",
            )
        seen.setdefault(number, name)
