"""A recipe's document: what to make and in which order, for any shop.

In: a tree. Out: `RecipeDocument`. Promise: every tool role, zone and input that a step names exists.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag, ValidationInfo, field_validator

from stockwright.documents.expressions import Expression, Quantity
from stockwright.documents.fields import (
    Bounds,
    Context,
    Count,
    Edge,
    End,
    Face,
    InputName,
    InputValue,
    Length,
    LengthOrExpression,
    LightTake,
    Name,
    OneOf,
    Part,
    PositiveLength,
    PositiveLengthOrExpression,
    PositiveLengthRange,
    RoleName,
    Side,
    Stepdown,
    Stepover,
    Text,
    Together,
    Version,
    WordOrSummed,
    YesNo,
    ZoneName,
    fault,
    one_or_more,
)

__all__ = [
    "MOST_NAMES",
    "STEP_KINDS",
    "BedStep",
    "EdgeStep",
    "EndStep",
    "FaceStep",
    "Finished",
    "FlipStep",
    "Input",
    "MateStep",
    "PauseStep",
    "RecipeDocument",
    "Role",
    "Step",
    "ToleranceAsked",
    "TurnStep",
    "Zone",
    "context_of",
]

Kind = Annotated[Literal["length", "number", "count"], OneOf()]
Does = Annotated[Literal["face", "edge", "end", "bed"], OneOf()]
Already = Annotated[Literal["faces", "edge-1", "edge-2"], OneOf()]
Alone = Literal["face", "underneath", "waste", "raised"]
ALONE: tuple[Alone, ...] = ("face", "underneath", "waste", "raised")
ZoneSide = Annotated[
    Literal["face", "underneath", "waste", "raised", "edge-1", "edge-2", "end-1", "end-2"], OneOf()
]
# Left out of a step, the same clamping goes on.
Hold = Annotated[tuple[ZoneName, ...], Field(min_length=1), one_or_more]
Take = Annotated[
    Literal["half-of-surplus", "least"] | float | Expression,
    WordOrSummed(("half-of-surplus", "least"), Bounds(least=0.0)),
]

Moved = Annotated[
    Literal["by-moisture"] | float | Expression, WordOrSummed(("by-moisture",), Bounds(least=0.0))
]


class Input(Part):
    """A value that the job gives: `is` its kind, `from` and `to` its limits, all in mm or plain numbers.

    A limit or the default may be a sum of other inputs.
    """

    kind: Kind = Field(alias="is")
    ask: Text
    low: Annotated[Quantity | Expression | None, InputValue()] = Field(default=None, alias="from")
    high: Annotated[Quantity | Expression | None, InputValue()] = Field(default=None, alias="to")
    default: Annotated[Quantity | Expression | None, InputValue()] = None

    @field_validator("high", "default")
    @classmethod
    def _in_order(
        cls, value: Quantity | Expression | None, info: ValidationInfo
    ) -> Quantity | Expression | None:
        low, high = (
            None if isinstance(limit, Expression) else limit
            for limit in (info.data.get("low"), info.data.get("high"))
        )
        if isinstance(value, Expression):
            return value  # judged once the job's values are known
        if value is not None and low is not None and value.value < low.value:
            raise fault("out-of-range", f"got {value}, less than 'from', which is {low}")
        if value is not None and high is not None and value.value > high.value:
            raise fault("out-of-range", f"got {value}, more than 'to', which is {high}")
        return value


class Role(Part):
    """A kind of tool that the recipe asks the shop for."""

    does: Does
    diameter: PositiveLengthRange | None = None
    reach: PositiveLengthOrExpression | None = None
    flutes: Count | None = None
    centre_cutting: YesNo | None = None


_WHERE = {"underneath": "underneath", "waste": "in waste", "raised": "what the board stands on"}


class Zone(Part):
    """Where holding is wanted: sides held below a height, the face clear of some sides, underneath, waste.

    `raised` lets the board stand on risers.
    """

    where: Annotated[tuple[ZoneSide, ...], Field(min_length=1), one_or_more]
    below: PositiveLengthOrExpression | None = None
    clear_of: Annotated[tuple[Side, ...], one_or_more] = ()

    @field_validator("where")
    @classmethod
    def _alone(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        found = next((word for word in ALONE if word in value), None)
        if found is not None and len(value) > 1:
            raise fault(
                "contradiction",
                "a zone is on the face or at the sides, expected one of both"
                if found == "face"
                else f"a zone is {_WHERE[found]} or at the sides, expected one of both",
                "make two zones of it, and let the step hold both",
                at=(value.index(found),),
            )
        return value

    @field_validator("below", "clear_of")
    @classmethod
    def _means_something(cls, value: object, info: ValidationInfo) -> object:
        found = next((word for word in _WHERE if word in info.data.get("where", ())), None)
        if found is not None and value:
            key = str(info.field_name).replace("_", "-")
            raise fault(
                "contradiction",
                f"'{key}' means nothing for what holds {_WHERE[found]}, expected it left out",
            )
        return value


class ToleranceAsked(Part):
    """What the finished piece may be out by, mm; left out, nothing is asked."""

    length: PositiveLength | None = None
    width: PositiveLength | None = None
    thickness: PositiveLength | None = None
    flatness: PositiveLength | None = None
    parallelism: PositiveLength | None = None
    squareness: PositiveLength | None = None
    straightness: PositiveLength | None = None


class Finished(Part):
    """The finished size; what is left out stays as the board has it."""

    length: PositiveLengthOrExpression | None = None
    width: PositiveLengthOrExpression | None = None
    thickness: PositiveLengthOrExpression | None = None


class FaceStep(Part):
    """Cut a face flat. Options left out are None: the bind stage takes the shop's or its own, and says so."""

    face: Face
    tool: RoleName
    seat: Annotated[Literal["thickest", "no-rocking", "as-it-lies"], OneOf()] | None = None
    take: Take | None = None
    to: PositiveLengthOrExpression | None = None
    zero: Annotated[Literal["support", "bed"], OneOf()] | None = None
    hold: Hold | None = None
    passes: Annotated[Literal["along", "across"], OneOf()] | None = None
    direction: Annotated[Literal["both-ways", "conventional", "climb"], OneOf()] | None = None
    perimeter: Annotated[Literal["none", "first", "last"], OneOf()] | None = None
    stepover: Stepover | None = None
    stepdown: Stepdown | None = None
    light: Length | None = None
    # By how much regions overlap where clamps stand on this face and move; left out, the cutter's radius.
    overlap: PositiveLength | None = None
    # How many boards of the job at most lie side by side in one clamping; left out, each lies alone.
    together: Together = Field(default=1, json_schema_extra={"default": 1})


class SideStep(Part):
    """What edge and end steps share."""

    tool: RoleName
    to: PositiveLengthOrExpression | None = None
    hold: Hold | None = None
    # How far below the board the tip goes, so that no feather is left; common practice, no source.
    below: Length = Field(default=0.5, json_schema_extra={"default": "0.5 mm"})
    # Left sideways for the last full-height pass, which hides the depths' steps; common practice, no source.
    light: Length = Field(default=0.4, json_schema_extra={"default": "0.4 mm"})
    stepdown: Stepdown | None = None
    # The last pass once more at the same place; left out, where the cutter bends enough for it.
    spring: YesNo | None = None
    # How many boards of the job at most lie side by side in one clamping; left out, each lies alone.
    together: Together = Field(default=1, json_schema_extra={"default": 1})


class EdgeStep(SideStep):
    """Cut an edge straight and square to the faces.

    `hollow`: how far its middle lies inside the line of its ends, on purpose. `take`: how much comes off it
    at least, where it is the only edge that is cut.
    """

    edge: Edge
    hollow: LengthOrExpression | None = None
    take: LengthOrExpression | None = None


class EndStep(SideStep):
    """Cut an end square to edge-1."""

    end: End


class MateStep(Part):
    """Cut edge-2 of every board and edge-1 of the next one in one pass between them, so that they mate."""

    mate: Annotated[Literal["neighbours"], OneOf()]
    tool: RoleName
    hold: Hold
    # Off each edge; more would climb heavily on one of the two: common practice, no source.
    take: LightTake = Field(default=0.4, json_schema_extra={"default": "0.4 mm"})
    # How far below the boards the tip goes, so that no feather is left; common practice, no source.
    below: Length = Field(default=0.5, json_schema_extra={"default": "0.5 mm"})


class FlipStep(Part):
    """Turn the board over; `of`: every board of the job, or the second, the fourth and so on alone."""

    flip: Annotated[Literal["edge-over-edge", "end-over-end"], OneOf()]
    of: Annotated[Literal["every-board", "every-second-board"], OneOf()] = "every-board"


class ToFence(Part):
    """Which edge comes to stand against the fence."""

    to_fence: Edge


class TurnStep(Part):
    """Turn the board on the bed; by how much is computed."""

    turn: ToFence


class BedStep(Part):
    """Skim the spoilboard, or joint the wooden fence in place."""

    bed: Annotated[Literal["surface", "fence"], OneOf()]
    tool: RoleName
    take: LengthOrExpression
    stepover: Stepover | None = None
    stepdown: Stepdown | None = None


class PauseStep(Part):
    """Something for people to do before the next step; `moved` says how far a board may warp meanwhile."""

    pause: Text
    moved: Moved | None = None


MOST_NAMES = 100  # of inputs, of tool roles, of zones
MOST_STEPS = 500
STEP_KINDS = ("face", "flip", "turn", "edge", "end", "mate", "bed", "pause")
_TAG = "a {} step"  # with spaces, so that it is never taken for a key of the document


def _step_kind(value: object) -> str | None:
    if not isinstance(value, Mapping):
        return None
    kinds = [kind for kind in STEP_KINDS if kind in value]
    return _TAG.format(kinds[0]) if len(kinds) == 1 else None


Step = Annotated[
    Annotated[FaceStep, Tag(_TAG.format("face"))]
    | Annotated[FlipStep, Tag(_TAG.format("flip"))]
    | Annotated[TurnStep, Tag(_TAG.format("turn"))]
    | Annotated[EdgeStep, Tag(_TAG.format("edge"))]
    | Annotated[EndStep, Tag(_TAG.format("end"))]
    | Annotated[MateStep, Tag(_TAG.format("mate"))]
    | Annotated[BedStep, Tag(_TAG.format("bed"))]
    | Annotated[PauseStep, Tag(_TAG.format("pause"))],
    Discriminator(_step_kind),
]


class RecipeDocument(Part):
    """A recipe: inputs, tool roles, holding zones, what is asked, and the steps."""

    stockwright: Annotated[Literal["recipe/1"], OneOf()]
    name: Name
    version: Version
    about: Text = ""
    inputs: dict[InputName, Input] = Field(default={}, max_length=MOST_NAMES)
    tools: dict[InputName, Role] = Field(default={}, max_length=MOST_NAMES)
    holding: dict[InputName, Zone] = Field(default={}, max_length=MOST_NAMES)
    tolerance: ToleranceAsked = ToleranceAsked()
    finished: Finished = Finished()
    # A board longer than the machine reaches is slid along and cut in parts; else it is refused.
    slide: YesNo = False
    # What of every board is true when it comes: both faces flat and parallel, an edge straight and square.
    already: Annotated[tuple[Already, ...], one_or_more] = ()
    steps: tuple[Step, ...] = Field(min_length=1, max_length=MOST_STEPS)

    def expressions(self) -> Iterator[tuple[tuple[str | int, ...], Expression]]:
        """Yield every sum of the recipe with its path in the document."""
        yield from _sums(self, ())


def _sums(value: object, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], Expression]]:
    if isinstance(value, Expression):
        yield path, value
    elif isinstance(value, Part):
        for name, each in type(value).model_fields.items():
            yield from _sums(getattr(value, name), (*path, str(each.alias)))
    elif isinstance(value, Mapping):
        for key, below in value.items():
            yield from _sums(below, (*path, key))
    elif isinstance(value, tuple):
        for index, below in enumerate(value):
            yield from _sums(below, (*path, index))


def context_of(root: Mapping[str, Any]) -> Context:
    """Return what a recipe's tree offers to its own fields, be the rest of it right or wrong."""
    inputs, tools, zones = (root.get(key, {}) for key in ("inputs", "tools", "holding"))
    powers = None
    if isinstance(inputs, Mapping) and len(inputs) <= MOST_NAMES:
        powers = {name: 0 if _kind(each) in ("number", "count") else 1 for name, each in inputs.items()}
    return Context(
        names=powers,
        roles=_few(tools),
        zones=_few(zones),
    )


def _few(value: object) -> tuple[str, ...] | None:
    return tuple(value) if isinstance(value, Mapping) and len(value) <= MOST_NAMES else None


def _kind(value: object) -> object:
    return value.get("is") if isinstance(value, Mapping) else None
