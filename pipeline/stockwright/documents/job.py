"""A job's document: which recipe, which shop, which boards, and values for the recipe's inputs.

In: a tree. Out: `JobDocument`; the values stay text here, because only the recipe says what each of them is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag

from stockwright.documents.fields import (
    FilePath,
    Humidity,
    InputName,
    Moisture,
    Name,
    OneOf,
    OneOrMore,
    Part,
    Temperature,
    Text,
    UnitSystem,
    Written,
    one_or_more,
)

__all__ = ["BoardsOfPart", "JobDocument", "Place", "half_said"]


class _Value(Written):
    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "number"], "description": "a value of the input's kind, such as 27 mm"}


InputValues = dict[InputName, Annotated[str, _Value("a value such as 27 mm", None, 60)]]


class BoardsOfPart(Part):
    """The boards of one part of the project. What `set` says here holds for them instead of the job's."""

    board: Annotated[tuple[FilePath, ...], Field(min_length=1), one_or_more]
    part: Name | None = None
    values: InputValues = Field(default={}, alias="set")


def _boards_kind(value: object) -> str:
    return "a part" if isinstance(value, Mapping) else "a file"


# With spaces in the tags, so that they are never taken for keys of the document.
Boards = Annotated[
    Annotated[FilePath, Tag("a file")] | Annotated[BoardsOfPart, Tag("a part")], Discriminator(_boards_kind)
]


class Place(Part):
    """Where the finished piece will live: the moisture its wood will have there, or the climate."""

    moisture: Moisture | None = None
    temperature: Temperature | None = None
    humidity: Humidity | None = None


class JobDocument(Part):
    """What `make` is given. `shop`, `post`, `units` and `boards` may come from the command line instead."""

    stockwright: Annotated[Literal["job/1"], OneOf()]
    name: Name
    about: Text = ""
    recipe: FilePath
    shop: FilePath | None = None
    post: Name | None = None
    units: UnitSystem | None = None
    boards: Annotated[tuple[Boards, ...], OneOrMore(tables=True)] = ()
    place: Place | None = None
    values: InputValues = Field(default={}, alias="set")


def half_said(root: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str, str, str]]:
    """Yield (path, code, message, hint) where the place is not said once, by its moisture or its climate."""
    place = root.get("place")
    if not isinstance(place, Mapping):
        return
    climate = [key for key in ("temperature", "humidity") if key in place]
    if "moisture" in place and climate:
        yield (
            ("place", climate[0]),
            "contradiction",
            f"'moisture' and '{climate[0]}' both say how moist the wood will be there, expected one of them",
            "keep 'moisture' where it was measured on wood that lives there, else the climate",
        )
    elif "moisture" not in place and len(climate) < 2:
        missing = next(key for key in ("humidity", "temperature") if key not in place)
        yield (
            ("place",),
            "missing-key",
            f"'{missing}' is missing, expected the moisture of wood there, or both halves of the climate",
            "as in 'place: {moisture: 8 %}' or 'place: {temperature: 20 C, humidity: 45 %}'",
        )
