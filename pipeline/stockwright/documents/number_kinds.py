"""How a number in a document is read: a quantity, a range of two, a sum, a reading.

In: `Word`s as written. Out: floats in mm, mm/min, rpm and so on, whole numbers, `Expression`. Promise: text
means only what its field says; a number without its unit is a mistake and never guessed.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Any, ClassVar, Literal

from stockwright import units
from stockwright.documents.expressions import Expression, ExpressionError, Quantity
from stockwright.documents.kinds import Context, Informed, Kind, fault, nearest, scalar, shown
from stockwright.frozen import frozen
from stockwright.units import Measure, MeasureError

if TYPE_CHECKING:
    from pydantic import ValidationInfo

__all__ = [
    "AllOrCount",
    "Bounds",
    "InputValue",
    "Measured",
    "Ranged",
    "Reading",
    "Summed",
    "WordOrSummed",
    "read_input",
]


@frozen
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


@frozen
class Measured(Kind):
    """One quantity, given as such."""

    measure: Measure
    bounds: Bounds = field(default_factory=Bounds)

    def read(self, value: object) -> float | int:
        """Return what the value means, or raise a fault."""
        text = scalar(value, f"{self.measure.one} such as {self.measure.example}")
        if text.startswith("="):
            raise fault("wrong-type", f"got the sum {shown(text)}, expected {self.measure.one} itself")
        number = self.bounds.check(_measure(text, self.measure), text, self.measure)
        return int(number) if self.measure.whole else number

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {
            "type": ["string", "number"],
            "description": f"{self.measure.one}, such as {self.measure.example}",
        }


@frozen
class Ranged(Kind):
    """Two quantities of a kind, `LOW to HIGH`; one alone is both ends."""

    measure: Measure
    bounds: Bounds = field(default_factory=Bounds)

    @property
    def _wanted(self) -> str:
        example = self.measure.example.split(",")[0].split(" or ")[0]
        number, _, unit = example.partition(" ")
        return f"{self.measure.one} or a range such as '{example} to {float(number) * 1.5:g} {unit}'"

    def read(self, value: object) -> tuple[float, float]:
        """Return what the value means, or raise a fault."""
        text = scalar(value, self._wanted)
        try:
            low, high = units.parse_range(text, self.measure)
        except MeasureError as error:
            raise fault(error.code, error.message, error.hint) from None
        self.bounds.check(low, text, self.measure)
        return low, high

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {"type": ["string", "number"], "description": self._wanted}


@frozen
class Summed(Informed):
    """A length, or a sum that comes to one."""

    bounds: Bounds = field(default_factory=Bounds)

    def read_in(self, value: object, info: ValidationInfo) -> float | Expression:
        """Return what the value means in its document, or raise a fault."""
        text = scalar(
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


@frozen
class InputValue(Informed):
    """A value of an input: of the kind that its `is` says, which stands before it."""

    def read_in(self, value: object, info: ValidationInfo) -> Quantity | Expression | None:
        """Return what the value means in its document, or raise a fault."""
        kind = info.data.get("kind")
        if kind is None:
            return None  # `is` itself is a mistake already; what this should be is not known
        text = scalar(value, f"a {kind}, or a sum of other inputs")
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
    text = scalar(value, f"{measure.one} such as {measure.example}")
    number = Bounds(least=None if kind == "number" else 0.0).check(_measure(text, measure), text, measure)
    return Quantity(number, 1 if kind == "length" else 0)


@frozen
class WordOrSummed(Informed):
    """One of a few words, or else a length or a sum that comes to one."""

    words: tuple[str, ...]
    bounds: Bounds = field(default_factory=Bounds)

    def read_in(self, value: object, info: ValidationInfo) -> str | float | Expression:
        """Return what the value means in its document, or raise a fault."""
        text = scalar(value, f"{', '.join(self.words)} or a length")
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


class AllOrCount(Kind):
    """The word `all`, or a count of at least two."""

    ALL: ClassVar[int] = 999  # more boards than any bed holds side by side

    def read(self, value: object) -> int:
        """Return how many at most, or raise a fault."""
        if scalar(value, "all, or a count such as 4") == "all":
            return self.ALL
        return int(Measured(units.COUNT, Bounds(least=2.0, most=float(self.ALL))).read(value))

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {"anyOf": [{"const": "all"}, {"type": "integer", "minimum": 2, "maximum": self.ALL}]}


@frozen
class Reading(Measured):
    """A measured value, or a dash where the instrument did not reach."""

    def read(self, value: object) -> float | None:  # type: ignore[override]
        """Return the value in mm, None for a dash, or raise a fault."""
        return None if value == "-" else super().read(value)
