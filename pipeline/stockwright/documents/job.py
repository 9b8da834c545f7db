"""A job's document: this recipe, that shop, these boards, and values for the inputs.

In: a tree. Out: `JobDocument`; the values stay text here, for only the recipe says what each one is.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from stockwright.documents.fields import (
    FilePath,
    InputName,
    Name,
    OneOf,
    Part,
    Text,
    UnitSystem,
    Written,
    one_or_more,
)

__all__ = ["JobDocument"]


class _Value(Written):
    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "number"], "description": "a value of the input's kind, such as 27 mm"}


class JobDocument(Part):
    """What `make` is given. `shop`, `post`, `units` and `boards` may come from the command line instead."""

    stockwright: Annotated[Literal["job/1"], OneOf()]
    name: Name
    about: Text = ""
    recipe: FilePath
    shop: FilePath | None = None
    post: Name | None = None
    units: UnitSystem | None = None
    boards: Annotated[tuple[FilePath, ...], one_or_more] = ()
    values: dict[InputName, Annotated[str, _Value("a value such as 27 mm", None, 60)]] = Field(
        default={}, alias="set"
    )
