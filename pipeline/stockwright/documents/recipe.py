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
    Name,
    OneOf,
    Part,
    Percent,
    PositiveLength,
    PositiveLengthOrExpression,
    PositiveLengthRange,
    RoleName,
    Side,
    Text,
    Version,
    WordOrSummed,
    YesNo,
    ZoneName,
    fault,
    one_or_more,
)
from stockwright.documents.source import Items, Table

__all__ = [
    "STEP_KINDS",
    "BedStep",
    "EdgeStep",
    "EndStep",
    "FaceStep",
    "Finished",
    "FlipStep",
    "Input",
    "PauseStep",
    "RecipeDocument",
    "Role",
    "Step",
    "ToleranceAsked",
    "TurnStep",
    "Zone",
    "context_of",
    "contradictions",
]

Kind = Annotated[Literal["length", "number", "count"], OneOf()]
Does = Annotated[Literal["face", "edge", "end", "bed"], OneOf()]
ZoneSide = Annotated[Literal["face", "edge-1", "edge-2", "end-1", "end-2"], OneOf()]
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
    """A value that the job gives: `is` its kind, `from` and `to` its limits, all in mm or plain numbers."""

    kind: Kind = Field(alias="is")
    ask: Text
    low: Annotated[Quantity | None, InputValue()] = Field(default=None, alias="from")
    high: Annotated[Quantity | None, InputValue()] = Field(default=None, alias="to")
    default: Annotated[Quantity | None, InputValue()] = None

    @field_validator("high", "default")
    @classmethod
    def _in_order(cls, value: Quantity | None, info: ValidationInfo) -> Quantity | None:
        low, high = info.data.get("low"), info.data.get("high")
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


class Zone(Part):
    """Where holding is wanted: sides held below a height over face B, or the face clear of some sides."""

    where: Annotated[tuple[ZoneSide, ...], Field(min_length=1), one_or_more]
    below: PositiveLengthOrExpression | None = None
    clear_of: Annotated[tuple[Side, ...], one_or_more] = ()

    @field_validator("where")
    @classmethod
    def _face_alone(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        if "face" in value and len(value) > 1:
            raise fault(
                "contradiction",
                "a zone is on the face or at the sides, expected one of both",
                "make two zones of it, and let the step hold both",
                at=(value.index("face"),),
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
    stepover: Percent | None = None
    stepdown: PositiveLength | None = None
    light: Length | None = None


class SideStep(Part):
    """What edge and end steps share."""

    tool: RoleName
    to: PositiveLengthOrExpression | None = None
    hold: Hold | None = None
    # How far below the board the tip goes, so that no feather is left; common practice, no source.
    below: Length = Field(default=0.5, json_schema_extra={"default": "0.5 mm"})
    # Left sideways for the last full-height pass, which hides the depths' steps; common practice, no source.
    light: Length = Field(default=0.4, json_schema_extra={"default": "0.4 mm"})
    stepdown: PositiveLength | None = None


class EdgeStep(SideStep):
    """Cut an edge straight and square to the faces."""

    edge: Edge


class EndStep(SideStep):
    """Cut an end square to edge-1."""

    end: End


class FlipStep(Part):
    """Turn the board over."""

    flip: Annotated[Literal["edge-over-edge", "end-over-end"], OneOf()]


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
    stepover: Percent | None = None
    stepdown: PositiveLength | None = None


class PauseStep(Part):
    """Something for people to do before the next step; `moved` says how far a board may warp meanwhile."""

    pause: Text
    moved: Moved | None = None


MOST_NAMES = 100  # of inputs, of tool roles, of zones
MOST_STEPS = 500
STEP_KINDS = ("face", "flip", "turn", "edge", "end", "bed", "pause")
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
        powers = {name: 0 if _kind(each) in {"number", "count"} else 1 for name, each in inputs.items()}
    return Context(
        names=powers,
        roles=_few(tools),
        zones=_few(zones),
    )


def _few(value: object) -> tuple[str, ...] | None:
    return tuple(value) if isinstance(value, Mapping) and len(value) <= MOST_NAMES else None


def _kind(value: object) -> object:
    return value.get("is") if isinstance(value, Mapping) else None


def contradictions(root: Table) -> Iterator[tuple[tuple[str | int, ...], str, str, str]]:
    """Yield (path, code, message, hint) of options that exclude each other."""
    steps = root.get("steps")
    if not isinstance(steps, Items):
        return
    for index, step in enumerate(steps):
        if isinstance(step, Table) and "face" in step and "take" in step and "to" in step:
            yield (
                ("steps", index, "take"),
                "contradiction",
                "'take' and 'to' both say how much comes off this face, expected one of them",
                "keep 'to' for the second face, whose thickness it sets",
            )
