"""Small sums in documents, such as `=thickness + 2 mm`.

In: text beginning with `=`, then the values of the names in it. Out: a quantity that knows whether it is a
length or a plain number. Promise: no code of a document is ever run; sums are bounded in length, size and
depth, always finite, and `=thickness + 2` is a mistake, not a guess.

The grammar is the document's own, read here by hand rather than by Python's: a length has a unit (`1/4 in`),
a name may hold a hyphen (`fence-take`), and nothing else that Python would accept gets in.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from stockwright.units import LENGTH, MeasureError, parse

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

__all__ = ["Expression", "ExpressionError", "Quantity"]

LONGEST = 200  # characters
MOST_PARTS = 64  # numbers, names, signs and brackets
DEEPEST = 12  # brackets and signs within each other

_UNITS = "|".join(re.escape(unit) for unit in sorted(LENGTH.units, key=len, reverse=True))
_TOKEN = re.compile(
    rf"""
    (?P<length>(?:(?:\d+(?:-|\ +))?\d+/\d+|\d+(?:\.\d+)?|\.\d+)\ *(?:{_UNITS})(?![A-Za-z0-9_]))
  | (?P<number>\d+(?:\.\d+)?|\.\d+)(?![0-9_.]|\ *[A-Za-z])
  | (?P<name>[A-Za-z_][A-Za-z0-9_]*(?:-[A-Za-z_][A-Za-z0-9_]*)*)
  | (?P<sign><=|>=|[-+*/(),<>=])
  """,
    re.VERBOSE | re.ASCII,
)
_UNKNOWN_UNIT = re.compile(r"(?:\d+(?:\.\d+)?|\.\d+) *[A-Za-z]\w*", re.ASCII)

# Name: fewest and most arguments. `round(x, step)` is the nearest whole step, a half away from zero;
# `if(a < b, x, y)` compares two sums of one dimension, and only the one chosen is worked out.
_CALLS = {"min": (1, 8), "max": (1, 8), "abs": (1, 1), "round": (1, 2), "if": (3, 3)}
_COMPARED = ("<", "<=", ">", ">=", "=")


class ExpressionError(ValueError):
    """A sum that cannot be read or worked out: `code` is the mistake's word."""

    def __init__(self, code: str, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.hint = hint


@dataclass(frozen=True)
class Quantity:
    """A value with its dimension: `power` 0 is a number, 1 a length in mm, 2 an area in mm2."""

    value: float
    power: int = 0

    def __str__(self) -> str:
        return f"{self.value:g} mm" if self.power == 1 else f"{self.value:g}"


@dataclass(frozen=True)
class _Part:
    """A node of the sum: `does` is `quantity`, `name`, an operator, `negate`, or a call's name."""

    does: str
    parts: tuple[_Part, ...] = ()
    name: str = ""
    quantity: Quantity = Quantity(0.0)


@dataclass(frozen=True)
class Expression:
    """A sum, read once. `text` is as written, `=` included.

    `power` is the dimension that the field wants (1: a length); the result must exceed `above` and reach
    `least`, where they are given. Making one raises `ExpressionError`.
    """

    text: str
    power: int = 1
    least: float | None = None
    above: float | None = None

    def __post_init__(self) -> None:
        _ = (
            self._root
        )  # read now: a sum that cannot be read is a mistake of the document, not of a later stage

    @cached_property
    def _root(self) -> _Part:
        return _Reading(self.text).whole()

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The names that the sum uses, in order, each once."""
        return tuple(dict.fromkeys(_names(self._root)))

    def unknown(self, known: Iterable[str]) -> ExpressionError | None:
        """Return what is wrong where the sum uses a name that is not among `known`."""
        among = list(known)
        for name in self.names:
            if name not in among:
                return _unknown(name, among)
        return None

    def check_dimension(self, powers: Mapping[str, int]) -> None:
        """Raise `ExpressionError` where units do not fit together; `powers` says what each name is."""
        try:
            power = _power(self._root, powers)
        except ExpressionError as error:
            raise ExpressionError(error.code, f"in '{self.text}' {error.message}", error.hint) from None
        if power == self.power:
            return
        if (self.power, power) == (1, 0):
            raise ExpressionError(
                "unit-missing",
                f"'{self.text}' comes to a plain number, expected a length",
                "give its numbers a unit, as in '2 mm'",
            )
        wanted, got = _dimension(self.power), _dimension(power)
        raise ExpressionError("bad-expression", f"'{self.text}' comes to {got}, expected {wanted}")

    def evaluate(self, values: Mapping[str, Quantity]) -> Quantity:
        """Return the sum's value: of the dimension `power`, finite, within `least` and `above`.

        Raises `ExpressionError`: unit-missing, out-of-range, bad-expression, unknown-name, division-by-zero.
        """
        if wrong := self.unknown(values):
            raise wrong
        self.check_dimension({name: value.power for name, value in values.items()})
        try:
            value = _value(self._root, values)
        except ZeroDivisionError:
            raise _by_zero(self.text) from None
        if not math.isfinite(value):
            raise ExpressionError("bad-expression", f"'{self.text}' comes to no finite number")
        if abs(value) > LENGTH.most:
            message = f"'{self.text}' comes to {value:g}, expected at most {LENGTH.most:,.0f}"
            raise ExpressionError("out-of-range", message, "is a digit or a unit wrong?")
        value = round(value, 9)  # as `units` rounds
        shown = Quantity(value, self.power)
        if self.least is not None and value < self.least:
            raise ExpressionError("out-of-range", f"'{self.text}' comes to {shown}, less than {self.least:g}")
        if self.above is not None and value <= self.above:
            raise ExpressionError(
                "out-of-range", f"'{self.text}' comes to {shown}, not more than {self.above:g}"
            )
        return shown


class _Reading:
    """Reads one sum, by precedence: `+ -` bind least, then `* /`, then a sign before a term."""

    def __init__(self, text: str) -> None:
        self.text = text
        if len(text) > LONGEST:
            raise ExpressionError(
                "bad-expression",
                f"a sum of {len(text)} characters, expected at most {LONGEST}",
                "make it shorter",
            )
        self.tokens = list(self._tokens())
        if len(self.tokens) > MOST_PARTS:
            raise ExpressionError(
                "bad-expression", f"a sum of {len(self.tokens)} parts, expected at most {MOST_PARTS}"
            )
        self.at = 0
        self.depth = 0

    def _tokens(self) -> Iterable[tuple[str, str]]:
        place = 1 if self.text.startswith("=") else 0
        while place < len(self.text):
            if self.text[place] == " ":
                place += 1
                continue
            found = _TOKEN.match(self.text, place)
            if not found:
                raise self._strange(place)
            yield str(found.lastgroup), found.group()
            place = found.end()

    def _strange(self, place: int) -> ExpressionError:
        if measure := _UNKNOWN_UNIT.match(self.text, place):
            try:
                parse(measure.group(), LENGTH)
            except MeasureError as error:
                return ExpressionError(error.code, error.message, error.hint)
        rest = self.text[place : place + 12]
        return ExpressionError(
            "bad-expression",
            f"'{rest}' in '{self.text}' belongs to no sum",
            "a sum has lengths, numbers, names, + - * / ( ), min, max, abs, round and if(a < b, x, y)",
        )

    def whole(self) -> _Part:
        part = self._sum()
        if self.at < len(self.tokens):
            raise self._unexpected()
        return part

    def _peek(self) -> str:
        if self.at < len(self.tokens):
            kind, text = self.tokens[self.at]
            return text if kind == "sign" else ""
        return ""

    def _unexpected(self) -> ExpressionError:
        got = f"got '{self.tokens[self.at][1]}'" if self.at < len(self.tokens) else "it ends too early"
        return ExpressionError("bad-expression", f"'{self.text}' is no sum: {got} after part {self.at}")

    def _expect(self, sign: str) -> None:
        if self._peek() != sign:
            raise self._unexpected()
        self.at += 1

    def _deeper(self) -> None:
        self.depth += 1
        if self.depth > DEEPEST:
            raise ExpressionError(
                "bad-expression",
                f"a sum nested deeper than {DEEPEST}: '{self.text[:20]}...'",
                "take it apart",
            )

    def _sum(self) -> _Part:
        part = self._product()
        while (sign := self._peek()) in ("+", "-"):
            self.at += 1
            part = _Part(sign, (part, self._product()))
        return part

    def _product(self) -> _Part:
        part = self._term()
        while (sign := self._peek()) in ("*", "/"):
            self.at += 1
            term = self._term()
            if sign == "/" and not any(_names(term)) and not _value(term, {}):
                raise _by_zero(self.text)
            part = _Part(sign, (part, term))
        return part

    def _term(self) -> _Part:
        self._deeper()
        try:
            if self._peek() in ("+", "-"):
                negate = self._peek() == "-"
                self.at += 1
                part = self._term()
                return _Part("negate", (part,)) if negate else part
            if self._peek() == "(":
                self.at += 1
                part = self._sum()
                self._expect(")")
                return part
            if self.at >= len(self.tokens) or self._peek():
                raise self._unexpected()
            return self._leaf()
        finally:
            self.depth -= 1

    def _leaf(self) -> _Part:
        kind, text = self.tokens[self.at]
        self.at += 1
        if kind == "length":
            try:
                return _Part("quantity", quantity=Quantity(parse(text, LENGTH), 1))
            except MeasureError as error:
                raise ExpressionError(error.code, error.message, error.hint) from None
        if kind == "number":
            return _Part("quantity", quantity=Quantity(float(text)))
        return self._call(text) if self._peek() == "(" else _Part("name", name=text)

    def _call(self, name: str) -> _Part:
        if name not in _CALLS:
            close = difflib.get_close_matches(name, _CALLS, n=1)
            raise ExpressionError(
                "bad-expression",
                f"'{name}(' in '{self.text}', expected one of {', '.join(f'{c}(' for c in _CALLS)}",
                f"did you mean '{close[0]}'?" if close else "",
            )
        self._expect("(")
        parts = [self._compared() if name == "if" else self._sum()]
        while self._peek() == ",":
            self.at += 1
            parts.append(self._sum())
        self._expect(")")
        fewest, most = _CALLS[name]
        if not fewest <= len(parts) <= most:
            raise ExpressionError(
                "bad-expression",
                f"'{name}' in '{self.text}' takes "
                f"{f'{fewest} to {most}' if fewest < most else most}, got {len(parts)}",
            )
        return _Part(name, tuple(parts))

    def _compared(self) -> _Part:
        """Read what an `if` asks: two sums and what stands between them."""
        left, sign = self._sum(), self._peek()
        if sign not in _COMPARED:
            raise ExpressionError(
                "bad-expression",
                f"'if' in '{self.text}' compares nothing at first, expected one of {' '.join(_COMPARED)}",
                "as in if(width > 200 mm, 2 mm, 1 mm)",
            )
        self.at += 1
        return _Part(sign, (left, self._sum()))


def _names(part: _Part) -> Iterable[str]:
    if part.does == "name":
        yield part.name
    for below in part.parts:
        yield from _names(below)


def _unknown(name: str, known: list[str]) -> ExpressionError:
    shown = ", ".join(sorted(known)) or "no name at all"
    pieces = name.split("-")
    if len(pieces) > 1 and pieces[0] in known:
        hint = f"for a difference put spaces round the minus: '{' - '.join(pieces)}'"
    else:
        close = difflib.get_close_matches(name, known, n=1)
        hint = f"did you mean '{close[0]}'?" if close else ""
    return ExpressionError("unknown-name", f"got '{name}', expected one of {shown}", hint)


def _by_zero(text: str) -> ExpressionError:
    return ExpressionError("division-by-zero", f"'{text}' divides by zero", "see what stands below the '/'")


def _dimension(power: int) -> str:
    return {0: "a plain number", 1: "a length", 2: "an area"}.get(power, f"a length to the power {power}")


def _power(part: _Part, powers: Mapping[str, int]) -> int:
    """Return the dimension of a part; where a name's is not known, that of a length."""
    if part.does == "quantity":
        return part.quantity.power
    if part.does == "name":
        return powers.get(part.name, 1)
    if part.does == "if":
        _power(part.parts[0], powers)  # what is compared may be of another dimension than the result
        part = _Part("max", part.parts[1:])
    below = [_power(each, powers) for each in part.parts]
    if part.does == "round" and len(below) == 1 and below != [0]:
        raise ExpressionError(
            "bad-expression",
            f"{_dimension(below[0])} is rounded to no step",
            "say to what, as in round(width / 3, 1 mm)",
        )
    if part.does == "*":
        return below[0] + below[1]
    if part.does == "/":
        return below[0] - below[1]
    if len(set(below)) > 1:
        word = {"+": "added", "-": "subtracted"}.get(part.does, "compared")
        if set(below) == {0, 1}:
            raise ExpressionError(
                "unit-missing",
                f"a length and a plain number cannot be {word}",
                "give the number a unit, as in '2 mm'",
            )
        shown = " and ".join(_dimension(each) for each in sorted(set(below)))
        raise ExpressionError("bad-expression", f"{shown} cannot be {word}")
    return below[0]


def _value(part: _Part, values: Mapping[str, Quantity]) -> float:
    if part.does == "quantity":
        return part.quantity.value
    if part.does == "name":
        return values[part.name].value
    if part.does == "if":
        compared, yes, no = part.parts
        return _value(yes if _holds(compared, values) else no, values)
    below = [_value(each, values) for each in part.parts]
    match part.does:
        case "+":
            return below[0] + below[1]
        case "-":
            return below[0] - below[1]
        case "*":
            return below[0] * below[1]
        case "/":
            return below[0] / below[1]
        case "negate":
            return -below[0]
        case "min":
            return min(below)
        case "max":
            return max(below)
        case "round":
            step = below[1] if len(below) > 1 else 1.0
            return math.copysign(math.floor(abs(below[0] / step) + 0.5) * abs(step), below[0])
        case _:
            return abs(below[0])


def _holds(part: _Part, values: Mapping[str, Quantity]) -> bool:
    left, right = (round(_value(each, values), 9) for each in part.parts)  # as results are
    match part.does:
        case "<":
            return left < right
        case "<=":
            return left <= right
        case ">":
            return left > right
        case ">=":
            return left >= right
        case _:
            return left == right
