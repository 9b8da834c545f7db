"""A shop's document: one shop's machine, spindle, bed, fence, hold-downs and tools.

In: a tree. Out: `ShopDocument`, in mm, mm/min, rpm, W, degrees, mm/s2, bed frame. Promise: nothing is
guessed; what a shop does not state stays None, and the bind stage reports what is missing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from stockwright import units
from stockwright.documents.accuracy import ErrorsPart, ZeroPart
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
    PositiveLength,
    Power,
    SignedLength,
    Speed,
    SpeedRange,
    Stepdown,
    Stepover,
    Text,
    UnitSystem,
    YesNo,
    fault,
    one_or_more,
)
from stockwright.documents.hold_downs import ChannelPart, Force, HoldDownPart, PlacesPart
from stockwright.documents.sliding import SlidePart  # noqa: TC001 - pydantic reads it
from stockwright.documents.source import Table

__all__ = [
    "AttachedPart",
    "BedPart",
    "ColletPart",
    "FencePart",
    "MachinePart",
    "ProbePart",
    "ShopDocument",
    "SpindlePart",
    "ToolPart",
    "repeats",
]

# Nearer than a shim is long there is nothing to put between two; common practice, no source.
LongestSpan = Annotated[float, Measured(units.LENGTH, Bounds(least=50.0))]
InchAs = Annotated[Literal["decimals", "fractions"], OneOf()]
Paper = Annotated[Literal["a4", "letter"], OneOf()]
Torque = Annotated[float, Measured(units.TORQUE, Bounds(above=0.0))]
# The greatest reading known here is 0.65, air-dry wood on unpolished steel (McKenzie, Karpovich 1968).
Friction = Annotated[float, Measured(units.NUMBER, Bounds(above=0.0, most=0.7))]
CuttingPressure = Annotated[float, Measured(units.STRESS, Bounds(above=0.0))]
Helix = Annotated[float, Measured(units.ANGLE, Bounds(least=0.0, most=60.0))]
Does = Annotated[Literal["face", "edge", "end", "bed"], OneOf()]


HoldDowns = dict[InputName, HoldDownPart]


def _wide(value: tuple[float, float]) -> tuple[float, float]:
    if value[0] == value[1]:
        raise fault("out-of-range", f"got {value[0]:g} mm alone, expected a range from one place to another")
    return value


Extent = Annotated[LengthRange, AfterValidator(_wide)]  # what anything is to move or lie within


class Travel(Part):
    """How far the spindle nose goes, bed frame."""

    x: Extent
    y: Extent
    z: Extent


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
    errors: ErrorsPart = ErrorsPart()


class ColletPart(Part):
    """A collet with its nut: `grip` is the shank length it wants."""

    grip: PositiveLength
    nut_diameter: PositiveLength
    nut_length: PositiveLength


def _one_size_once(value: object) -> object:
    """Refuse two collets of one size under two writings, of which one would be lost."""
    return _once(value, units.LENGTH, "size")


def _one_speed_once(value: object) -> object:
    """Refuse the power at one speed under two writings."""
    return _once(value, units.SPEED, "speed")


def _once(value: object, measure: units.Measure, word: str) -> object:
    if isinstance(value, Mapping):
        seen: dict[float, str] = {}
        for key in value:
            try:
                size = units.parse(str(key), measure)
            except units.MeasureError:
                continue  # said by the key's own type
            if size in seen:
                raise fault(
                    "duplicate-key",
                    f"'{key}' is the {word} of '{seen[size]}' again",
                    "keep one of the two",
                    at=(key,),
                )
            seen[size] = key
    return value


class SpindlePart(Part):
    """The spindle; `collets` by the shank they hold, mm; `torque` in N mm or `power_at` by speed, rpm."""

    speed: SpeedRange
    power: Power
    torque: Torque | None = None
    power_at: Annotated[dict[Speed, Power], BeforeValidator(_one_speed_once)] = Field(default={})
    nose_diameter: PositiveLength
    nose_length: PositiveLength
    collets: Annotated[dict[PositiveLength, ColletPart], BeforeValidator(_one_size_once)] = Field(
        min_length=1
    )


class Area(Part):
    """Where on the bed a board may lie."""

    x: Extent
    y: Extent


class BedPart(Part):
    """The bed: `mark` is zero of x and y in every setup; `skimmed` is when, None for never.

    `places` is where hold-downs are bolted, left out where they may stand anywhere; `marks` are channels of
    earlier cuts.
    """

    mark: BedPlace
    skimmed: Date | None = None
    area: Area
    places: PlacesPart | None = None
    marks: Annotated[tuple[ChannelPart, ...], Field(max_length=200), one_or_more] = ()


class FencePart(Part):
    """A fence along x on the near side; `face` is the y of its working face."""

    face: SignedLength
    depth: PositiveLength
    height: PositiveLength
    pieces: Annotated[tuple[Extent, ...], Field(min_length=1), one_or_more]
    liftable: YesNo
    wooden: YesNo
    straightness: Length
    angle: Angle
    carries: Force | None = None


LEAST_FLAT = (
    2.0  # mm across that a facing cutter's flat has more than: neighbouring lines overlap by half of it
)


class ToolPart(Part):
    """One cutter of the shop's. `ramp`: its steepest descent in wood, 0 for none; `fluted`: flutes' reach."""

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
    stepover: Stepover
    stepdown: Stepdown
    material: Annotated[Literal["carbide", "steel"], OneOf()] | None = None
    helix: Helix | None = None
    fluted: PositiveLength | None = None

    @model_validator(mode="after")
    def _has_a_shank(self) -> ToolPart:
        """Refuse lengths between which nothing is left for a collet to hold."""
        whole = f"{self.overall_length:g} mm"
        if self.overall_length <= self.cutting_length:
            raise fault(
                "contradiction",
                f"'overall-length' is {whole} and 'cutting-length' {self.cutting_length:g} mm, expected an "
                "overall length of more: the shank comes on top",
                "is a digit missing?",
                at=("overall-length",),
            )
        if self.stickout is not None and self.stickout >= self.overall_length:
            raise fault(
                "contradiction",
                f"'stickout' is {self.stickout:g} mm and 'overall-length' {whole}, expected a stickout of "
                "less: the rest is in the collet",
                at=("stickout",),
            )
        return self

    @model_validator(mode="after")
    def _is_flat_where_it_faces(self) -> ToolPart:
        """Refuse corners that are rounder than the cutter, or leave it no flat to clear a plane with."""
        least = LEAST_FLAT if {"face", "bed"} & set(self.does) else 0.0
        most = (self.diameter - least) / 2
        if self.corner_radius > most or (least and self.corner_radius == most):
            wanted = f"less than {most:g} mm: what is flat clears a face" if least else f"at most {most:g} mm"
            raise fault(
                "contradiction",
                f"'corner-radius' is {self.corner_radius:g} mm and 'diameter' {self.diameter:g} mm, expected "
                f"a radius of {wanted}",
                "is a digit wrong, or is it the diameter of the corners?",
                at=("corner-radius",),
            )
        return self


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
    inch_as: InchAs = "decimals"
    paper: Paper | None = None
    machine: MachinePart
    spindle: SpindlePart
    bed: BedPart
    fence: FencePart | None = None
    hold_downs: HoldDowns = Field(default={})
    shims: Annotated[tuple[PositiveLength, ...], one_or_more] = ()
    friction: Friction | None = None
    cutting_pressure: CuttingPressure | None = None
    longest_span: LongestSpan = Field(default=400.0, json_schema_extra={"default": "400 mm"})
    tools: dict[InputName, ToolPart] = Field(min_length=1)
    probe: ProbePart | None = None
    zero: ZeroPart | None = None
    slide: SlidePart | None = None

    @model_validator(mode="after")
    def _stick_out(self) -> ShopDocument:
        """Refuse a cutter that its collet would swallow whole."""
        for name, tool in self.tools.items():
            collet = self.spindle.collets.get(tool.shank)
            if collet is not None and tool.stickout is None and tool.overall_length <= collet.grip:
                raise fault(
                    "contradiction",
                    f"'overall-length' is {tool.overall_length:g} mm, and the collet grips "
                    f"{collet.grip:g} mm of it, expected more",
                    "say with 'stickout' how far it sticks out, if it is gripped less far",
                    at=("tools", name, "overall-length"),
                )
        return self


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
