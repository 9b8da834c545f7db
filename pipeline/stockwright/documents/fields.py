"""The kinds of value that fields of documents have, each under a name, and the base class of every table.

In: `Word`, `Items` and `Table` as written. Out: floats in mm, mm/min, rpm, W, degrees, mm/s2 and shares of
one, `Expression`, words of a set, names, yes and no.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, model_validator

from stockwright import units
from stockwright.documents.described import phrase
from stockwright.documents.expressions import Expression
from stockwright.documents.kinds import Context, OneOrMore, fault, nearest, one_or_more, shown
from stockwright.documents.number_kinds import (
    AllOrCount,
    Bounds,
    InputValue,
    Measured,
    Ranged,
    Reading,
    Summed,
    WordOrSummed,
    read_input,
)
from stockwright.documents.source import Table
from stockwright.documents.word_kinds import Dated, OneOf, Referring, Written, YesOrNo

if TYPE_CHECKING:
    from pydantic import GetJsonSchemaHandler
    from pydantic_core import CoreSchema

__all__ = [
    "Acceleration",
    "Angle",
    "BedPlace",
    "Bounds",
    "Context",
    "Count",
    "Date",
    "Dated",
    "Edge",
    "End",
    "Face",
    "Feed",
    "FilePath",
    "Humidity",
    "InputName",
    "InputValue",
    "Length",
    "LengthOrExpression",
    "LengthRange",
    "LightTake",
    "Measured",
    "Moisture",
    "Name",
    "OneOf",
    "OneOrMore",
    "Part",
    "PositiveLength",
    "PositiveLengthOrExpression",
    "PositiveLengthRange",
    "Power",
    "Ranged",
    "ReadLength",
    "Reading",
    "Referring",
    "RoleName",
    "Side",
    "SignedLength",
    "Speed",
    "SpeedRange",
    "Stepdown",
    "Stepover",
    "Summed",
    "Temperature",
    "Text",
    "Together",
    "UnitSystem",
    "Version",
    "WordOrSummed",
    "Written",
    "YesNo",
    "YesOrNo",
    "ZoneName",
    "fault",
    "nearest",
    "one_or_more",
    "read_input",
    "shown",
]

_NAME = re.compile(r"[^\W_](?:[\w .,()+-]*[\w.)+])?")
_KEY = re.compile(r"[a-z][a-z0-9]*(?:-[a-z][a-z0-9]*)*", re.ASCII)
_VERSION = re.compile(r"\d{1,6}\.\d{1,6}\.\d{1,6}", re.ASCII)

_POSITIVE, _NOT_NEGATIVE = Bounds(above=0.0), Bounds(least=0.0)

Length = Annotated[float, Measured(units.LENGTH, _NOT_NEGATIVE)]
PositiveLength = Annotated[float, Measured(units.LENGTH, _POSITIVE)]
SignedLength = Annotated[float, Measured(units.LENGTH)]
ReadLength = Annotated[float | None, Reading(units.LENGTH, _POSITIVE)]
LengthRange = Annotated[tuple[float, float], Ranged(units.LENGTH)]
PositiveLengthRange = Annotated[tuple[float, float], Ranged(units.LENGTH, _POSITIVE)]
LengthOrExpression = Annotated[float | Expression, Summed(_NOT_NEGATIVE)]
PositiveLengthOrExpression = Annotated[float | Expression, Summed(_POSITIVE)]
Feed = Annotated[float, Measured(units.FEED, _POSITIVE)]
Speed = Annotated[float, Measured(units.SPEED, _POSITIVE)]
SpeedRange = Annotated[tuple[float, float], Ranged(units.SPEED, _POSITIVE)]
Angle = Annotated[float, Measured(units.ANGLE, Bounds(least=0.0, most=90.0))]
# Below these a face takes more passes, and a level less wood, than anyone waits for; common practice.
Stepover = Annotated[float, Measured(units.PERCENT, Bounds(least=0.005, most=1.0))]
Stepdown = Annotated[float, Measured(units.LENGTH, Bounds(least=0.02))]
# Green wood of light species holds twice its dry weight of water (Wood Handbook, ch. 4; from memory).
Moisture = Annotated[float, Measured(units.PERCENT, Bounds(above=0.0, most=2.5))]
# The span of the handbook's printed table of equilibrium moisture contents; indoors is well inside it.
Temperature = Annotated[float, Measured(units.TEMPERATURE, Bounds(least=-1.0, most=60.0))]
Humidity = Annotated[float, Measured(units.PERCENT, Bounds(least=0.05, most=0.95))]
Power = Annotated[float, Measured(units.POWER, _POSITIVE)]
Acceleration = Annotated[float, Measured(units.ACCELERATION, _POSITIVE)]
Count = Annotated[int, Measured(units.COUNT, Bounds(least=1.0, most=999.0))]
Text = Annotated[str, Written("text")]
Name = Annotated[str, Written("a name of letters, digits, spaces and . , ( ) + -", _NAME, 80)]
InputName = Annotated[str, Written("a name such as fence-take: small letters, digits, hyphens", _KEY, 40)]
Version = Annotated[str, Written("a version such as 1.0.0", _VERSION)]
FilePath = Annotated[str, Written("a file's name", None, 500)]
RoleName = Annotated[str, Referring("roles", "tool")]
ZoneName = Annotated[str, Referring("zones", "holding zone")]
YesNo = Annotated[bool, YesOrNo()]
LightTake = Annotated[float, Measured(units.LENGTH, Bounds(above=0.0, most=0.5))]
Together = Annotated[int, AllOrCount()]
Date = Annotated[str, Dated()]
Side = Annotated[Literal["edge-1", "edge-2", "end-1", "end-2"], OneOf()]
Edge = Annotated[Literal["edge-1", "edge-2"], OneOf()]
End = Annotated[Literal["end-1", "end-2"], OneOf()]
Face = Annotated[Literal["A", "B"], OneOf()]
UnitSystem = Annotated[Literal["mm", "inch"], OneOf()]


class Part(BaseModel):
    """Base of every table of a document: frozen, no unknown keys, keys in kebab-case."""

    model_config = ConfigDict(
        defer_build=True,  # a table is built once, within the document that is asked for
        extra="forbid",
        frozen=True,
        alias_generator=lambda name: name.rstrip("_").replace("_", "-"),
        arbitrary_types_allowed=True,
    )

    @model_validator(mode="before")
    @classmethod
    def _know_keys(cls, value: object) -> object:
        """Leave in the table which keys are known here, so that a misspelt one can be told."""
        if isinstance(value, Table):
            value.known = [str(each.alias) for each in cls.model_fields.values()]
        return value

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler, /
    ) -> dict[str, Any]:
        """Describe each key to editors: what it means, then how it is written."""
        made = handler(core_schema)
        for key, each in handler.resolve_ref_schema(made).get("properties", {}).items():
            means = phrase(cls, key)
            if means is not None:
                written = each.get("description") or _written(each)
                each["description"] = f"{means}; {written}" if written else means
        return made


def _written(schema: dict[str, Any]) -> str:
    """Return how a value that may be left out is written, as the one kind that it has says it."""
    kinds = [each for each in schema.get("anyOf", ()) if each.get("type") != "null"]
    return str(kinds[0].get("description", "")) if len(kinds) == 1 else ""


class BedPlace(Part):
    """A place on the bed."""

    x: SignedLength
    y: SignedLength
