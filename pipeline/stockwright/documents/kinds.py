"""How one value of a document is read.

In: `Word`, `Items` and `Table` as written. Out: validators that stand in `Annotated` beside a field's type,
and describe it to editors. Promise: text means only what its field says, and what is refused comes with the
nearest right spelling.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, ClassVar, Literal, get_args

from pydantic_core import PydanticCustomError, core_schema

from stockwright import units
from stockwright.documents.expressions import Expression, ExpressionError, Quantity
from stockwright.documents.source import Word, clipped
from stockwright.units import Measure, MeasureError

if TYPE_CHECKING:
    import re

    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo

__all__ = [
    "Bounds",
    "Context",
    "Dated",
    "InputValue",
    "Measured",
    "OneOf",
    "OneOrMore",
    "Ranged",
    "Reading",
    "Referring",
    "Summed",
    "WordOrSummed",
    "Written",
    "YesOrNo",
    "fault",
    "nearest",
    "one_or_more",
    "read_input",
    "shown",
]

# YAML 1.1 (the 2005 specification's types bool and null) and 1.2 disagree on these; people mean either.
AMBIGUOUS = frozenset({"y", "n", "yes", "no", "on", "off", "true", "false", "null", "~"})
LONGEST_TEXT = 2000  # characters


@dataclass(frozen=True)
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


def _scalar(value: object, wanted: str) -> str:
    """Return the text of a scalar; a table or a list is refused."""
    if isinstance(value, (Mapping, list, tuple)):
        raise fault("wrong-type", f"got {shown(value)}, expected {wanted}")
    text = _plain(value).strip()
    if not text:
        raise fault("wrong-type", f"nothing stands here, expected {wanted}")
    return text


class _Described:
    """Base of what stands in `Annotated`: describes itself to editors."""

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        raise NotImplementedError

    def __get_pydantic_json_schema__(
        self, _schema: core_schema.CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return self.schema()


class _Kind(_Described):
    """A kind of value that is read on its own."""

    def read(self, value: object) -> Any:
        """Return what the value means, or raise a fault."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(
        self, _source: Any, _handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)


class _Informed(_Described):
    """A kind of value whose reading needs the rest of the document."""

    def read_in(self, value: object, info: ValidationInfo) -> Any:
        """Return what the value means in its document, or raise a fault."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(
        self, _source: Any, _handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read_in)


@dataclass(frozen=True)
class Bounds:
    """Within what a number must be, ends included but for `above`."""

    least: float | None = None
    above: float | None = None
    most: float | None = None

    def check(self, value: float, text: str, measure: Measure) -> float:
        """Return the value, or raise `out-of-range`."""
        unit = next(iter(measure.units), "")
        size = measure.units.get(unit, 1.0)
        for limit, wrong, words in (
            (self.least, self.least is not None and value < self.least, "at least"),
            (self.above, self.above is not None and value <= self.above, "more than"),
            (self.most, self.most is not None and value > self.most, "at most"),
        ):
            if wrong and limit is not None:
                raise fault(
                    "out-of-range", f"got {shown(text)}, expected {words} {limit / size:g} {unit}".rstrip()
                )
        return value


@dataclass(frozen=True)
class Measured(_Kind):
    """One quantity, given as such."""

    measure: Measure
    bounds: Bounds = field(default_factory=Bounds)

    def read(self, value: object) -> float | int:
        """Return what the value means, or raise a fault."""
        text = _scalar(value, f"a {self.measure.name} such as {self.measure.example}")
        if text.startswith("="):
            raise fault("wrong-type", f"got the sum {shown(text)}, expected a {self.measure.name} itself")
        number = self.bounds.check(_measure(text, self.measure), text, self.measure)
        return int(number) if self.measure.whole else number

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {
            "type": ["string", "number"],
            "description": f"a {self.measure.name}, such as {self.measure.example}",
        }


@dataclass(frozen=True)
class Ranged(_Kind):
    """Two quantities of a kind, `LOW to HIGH`; one alone is both ends."""

    measure: Measure
    bounds: Bounds = field(default_factory=Bounds)

    @property
    def _wanted(self) -> str:
        example = self.measure.example.split(",")[0].split(" or ")[0]
        return f"a {self.measure.name} or a range such as '{example} to {example}'"

    def read(self, value: object) -> tuple[float, float]:
        """Return what the value means, or raise a fault."""
        text = _scalar(value, self._wanted)
        try:
            low, high = units.parse_range(text, self.measure)
        except MeasureError as error:
            raise fault(error.code, error.message, error.hint) from None
        self.bounds.check(low, text, self.measure)
        return low, high

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {"type": ["string", "number"], "description": self._wanted}


@dataclass(frozen=True)
class Summed(_Informed):
    """A length, or a sum that comes to one."""

    bounds: Bounds = field(default_factory=Bounds)

    def read_in(self, value: object, info: ValidationInfo) -> float | Expression:
        """Return what the value means in its document, or raise a fault."""
        text = _scalar(
            value, f"a {units.LENGTH.name} such as {units.LENGTH.example}, or a sum such as '=width / 2'"
        )
        if not text.startswith("="):
            return self.bounds.check(_measure(text, units.LENGTH), text, units.LENGTH)
        try:
            made = Expression(text, least=self.bounds.least, above=self.bounds.above)
            if not made.names:
                made.evaluate({})
            names = info.context.names if isinstance(info.context, Context) else None
            if names is not None:
                if wrong := made.unknown(names):
                    raise wrong
                made.check_dimension(names)
        except ExpressionError as error:
            raise fault(error.code, error.message, error.hint) from None
        return made

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {
            "type": ["string", "number"],
            "description": f"a length, such as {units.LENGTH.example}, or a sum, such as '=thickness + 2 mm'",
        }


def _measure(text: str, measure: Measure) -> float:
    try:
        return units.parse(text, measure)
    except MeasureError as error:
        raise fault(error.code, error.message, error.hint) from None


@dataclass(frozen=True)
class InputValue(_Informed):
    """A value of an input: of the kind that its `is` says, which stands before it."""

    def read_in(self, value: object, info: ValidationInfo) -> Quantity | Expression | None:
        """Return what the value means in its document, or raise a fault."""
        kind = info.data.get("kind")
        if kind is None:
            return None  # `is` itself is a mistake already; what this should be is not known
        text = _scalar(value, f"a {kind}, or a sum of other inputs")
        if not text.startswith("="):
            return read_input(value, kind)
        names = info.context.names if isinstance(info.context, Context) else None
        least = None if kind == "number" else 0.0
        try:
            made = Expression(text, power=1 if kind == "length" else 0, least=least)
            if names is not None:
                if wrong := made.unknown(names):
                    raise wrong
                made.check_dimension(names)
        except ExpressionError as error:
            raise fault(error.code, error.message, error.hint) from None
        return made if made.names else made.evaluate({})

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {
            "type": ["string", "number"],
            "description": "a value of the kind that 'is' says, or a sum of inputs",
        }


def read_input(value: object, kind: Literal["length", "number", "count"]) -> Quantity:
    """Return an input's value. Raises a fault where it is none of that kind, or a negative length."""
    measure = {"length": units.LENGTH, "number": units.NUMBER, "count": units.COUNT}[kind]
    text = _scalar(value, f"a {measure.name} such as {measure.example}")
    number = Bounds(least=None if kind == "number" else 0.0).check(_measure(text, measure), text, measure)
    return Quantity(number, 1 if kind == "length" else 0)


class OneOf:
    """One word of a set, the set taken from the `Literal` that it stands beside."""

    def __get_pydantic_core_schema__(
        self, source: Any, _handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        words: tuple[str, ...] = get_args(source)
        described = {"type": "string", "enum": list(words)}
        return core_schema.no_info_plain_validator_function(
            lambda value: _word(value, words),
            metadata={"pydantic_js_functions": [lambda _schema, _handler: described]},
        )


def _word(value: object, words: tuple[str, ...]) -> str:
    wanted = f"one of {', '.join(words)}" if len(words) > 1 else f"'{words[0]}'"
    text = _scalar(value, wanted)
    if text not in words:
        raise fault("unknown-word", f"got {shown(text)}, expected {wanted}", nearest(text, words))
    return text


@dataclass(frozen=True)
class WordOrSummed(_Informed):
    """One of a few words, or else a length or a sum that comes to one."""

    words: tuple[str, ...]
    bounds: Bounds = field(default_factory=Bounds)

    def read_in(self, value: object, info: ValidationInfo) -> str | float | Expression:
        """Return what the value means in its document, or raise a fault."""
        text = _scalar(value, f"{', '.join(self.words)} or a length")
        if text in self.words:
            return text
        if text[:1].isalpha():
            raise fault(
                "unknown-word",
                f"got {shown(text)}, expected {', '.join(self.words)} or a length",
                nearest(text, self.words),
            )
        return Summed(self.bounds).read_in(value, info)

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {"type": ["string", "number"], "description": f"{', '.join(self.words)}, a length or a sum"}


@dataclass(frozen=True)
class Written(_Kind):
    """Text for people or a name; `pattern` and `wanted` say which."""

    wanted: str
    pattern: re.Pattern[str] | None = None
    longest: int = LONGEST_TEXT

    def read(self, value: object) -> str:
        """Return what the value means, or raise a fault."""
        text = _scalar(value, self.wanted)
        if text.lower() in AMBIGUOUS and not (isinstance(value, Word) and value.quoted):
            raise fault(
                "ambiguous-word",
                f"got {text}, which YAML readers take for something other than text, expected {self.wanted}",
                f"""write "{text}" in quotes if that word is meant""",
            )
        strange = next((each for each in text if not each.isprintable() and each != "\n"), "")
        if strange:
            raise fault("wrong-type", f"text with the control character U+{ord(strange):04X}, expected none")
        if len(text) > self.longest:
            raise fault("out-of-range", f"text of {len(text)} characters, expected at most {self.longest}")
        if self.pattern and not self.pattern.fullmatch(text):
            raise fault("wrong-type", f"got {shown(text)}, expected {self.wanted}")
        return text

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {"type": ["string", "number"], "description": self.wanted}


@dataclass(frozen=True)
class Referring(_Informed):
    """The name of a tool role or a zone of the same recipe."""

    among: Literal["roles", "zones"]
    noun: str

    def read_in(self, value: object, info: ValidationInfo) -> str:
        """Return what the value means in its document, or raise a fault."""
        text = _scalar(value, f"the name of a {self.noun}")
        known = getattr(info.context, self.among) if isinstance(info.context, Context) else None
        if known is not None and text not in known:
            listed = f"expected one of {', '.join(known)}" if known else f"but the recipe has no {self.noun}"
            raise fault(
                "unknown-name", f"no {self.noun} is called {shown(text)}, {listed}", nearest(text, known)
            )
        return text

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {"type": "string", "description": f"the name of a {self.noun} of this recipe"}


class YesOrNo(_Kind):
    """`yes` or `no`; `true` and `false` are taken for them."""

    words: ClassVar[dict[str, bool]] = {"yes": True, "no": False, "true": True, "false": False}

    def read(self, value: object) -> bool:
        """Return what the value means, or raise a fault."""
        text = _scalar(value, "yes or no")
        if text not in self.words:
            raise fault(
                "unknown-word", f"got {shown(text)}, expected yes or no", nearest(text, list(self.words))
            )
        return self.words[text]

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no"]}]}


class AllOrCount(_Kind):
    """The word `all`, or a count of at least two."""

    ALL: ClassVar[int] = 999  # more boards than any bed holds side by side

    def read(self, value: object) -> int:
        """Return how many at most, or raise a fault."""
        if _scalar(value, "all, or a count such as 4") == "all":
            return self.ALL
        return int(Measured(units.COUNT, Bounds(least=2.0, most=float(self.ALL))).read(value))

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {"anyOf": [{"const": "all"}, {"type": "integer", "minimum": 2, "maximum": self.ALL}]}


class Dated(_Kind):
    """A day, as ISO 8601 writes it."""

    def read(self, value: object) -> str:
        """Return what the value means, or raise a fault."""
        text = _scalar(value, "a date such as 2026-05-30")
        try:
            date = dt.date.fromisoformat(text)
        except ValueError:
            date = None
        if date is None or date.isoformat() != text:  # Python also reads 20260530 and weeks
            raise fault("wrong-type", f"got {shown(text)}, expected a date such as 2026-05-30")
        return text

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        # No "type": a YAML reader may hand an editor a date that is no string any more.
        return {"format": "date", "description": "a date, such as 2026-05-30"}


@dataclass(frozen=True)
class Reading(Measured):
    """A measured value, or a dash where the instrument did not reach."""

    def read(self, value: object) -> float | None:  # type: ignore[override]
        """Return the value in mm, None for a dash, or raise a fault."""
        return None if value == "-" else super().read(value)


def _listed(value: object) -> object:
    return value if isinstance(value, (list, tuple, Mapping)) else [value]


class OneOrMore:
    """A list, whose brackets may be left out where it has one item. Stands behind the list's other bounds."""

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_before_validator_function(_listed, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        many = handler(schema)
        return {"anyOf": [many, many["items"]]}


one_or_more = OneOrMore()
