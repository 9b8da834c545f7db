"""What the kinds of value in documents have in common, and lists of values.

In: `Word`, `Items` and `Table` as written. Out: the base class of what stands in `Annotated` beside a field's
type: it reads a value, and describes it to editors. Promise: a refusal comes with the nearest right spelling.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from pydantic_core import PydanticCustomError, core_schema

from stockwright.documents.source import clipped
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo

__all__ = [
    "Context",
    "Described",
    "Informed",
    "Kind",
    "OneOrMore",
    "fault",
    "nearest",
    "one_or_more",
    "scalar",
    "shown",
]


@frozen
class Context:
    """What the rest of a document offers to a field: its inputs' dimensions, tool roles and zones.

    None where the document says nothing that could be understood; then nothing is checked against it.
    """

    names: Mapping[str, int] | None = None
    roles: tuple[str, ...] | None = None
    zones: tuple[str, ...] | None = None


def fault(code: str, message: str, hint: str = "", at: tuple[str | int, ...] = ()) -> PydanticCustomError:
    """Return what a validator raises; `at` leads from the field to the part at fault."""
    # The type is a literal for type checkers only; codes are listed in `stockwright.documents.codes`.
    return PydanticCustomError(code, "{message}", {"message": message, "hint": hint, "at": at})


def nearest(word: str, words: Sequence[str]) -> str:
    """Return a hint that names the nearest of `words`, or nothing where none is near."""
    low = {each.lower(): each for each in words}
    close = get_close_matches(word.strip().lower(), low, n=1)
    return f"did you mean '{low[close[0]]}'?" if close else ""


def shown(value: object) -> str:
    """Return what stands in a document, in a few words."""
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, (list, tuple)):
        return "a list"
    text = _plain(value)
    if not text:
        return "nothing"
    return f"'{clipped(text)}'"


def _plain(value: object) -> str:
    if isinstance(value, str):
        return str(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)


def scalar(value: object, wanted: str) -> str:
    """Return the text of a scalar; a table or a list is refused."""
    if isinstance(value, (Mapping, list, tuple)):
        raise fault("wrong-type", f"got {shown(value)}, expected {wanted}")
    text = _plain(value).strip()
    if not text:
        raise fault("wrong-type", f"nothing stands here, expected {wanted}")
    return text


class Described:
    """Base of what stands in `Annotated`: describes itself to editors."""

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        raise NotImplementedError

    def __get_pydantic_json_schema__(
        self, _schema: core_schema.CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return self.schema()


class Kind(Described):
    """A kind of value that is read on its own."""

    def read(self, value: object) -> Any:
        """Return what the value means, or raise a fault."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(
        self, _source: Any, _handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)


class Informed(Described):
    """A kind of value whose reading needs the rest of the document."""

    def read_in(self, value: object, info: ValidationInfo) -> Any:
        """Return what the value means in its document, or raise a fault."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(
        self, _source: Any, _handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read_in)


@frozen
class OneOrMore:
    """A list, whose brackets may be left out where it has one item. Stands behind the list's other bounds.

    `tables`: an item may be a table, so that one table is a list of one.
    """

    tables: bool = False

    def _listed(self, value: object) -> object:
        many = (list, tuple) if self.tables else (list, tuple, Mapping)
        return value if isinstance(value, many) else [value]

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_before_validator_function(self._listed, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        many = handler(schema)
        return {"anyOf": [many, many["items"]]}


one_or_more = OneOrMore()
