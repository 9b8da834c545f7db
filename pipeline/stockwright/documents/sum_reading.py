"""The grammar of small sums in documents. In: text that begins with `=`. Out: its parts.

Promise: the text is read by this parser and never by Python: a length has a unit (`1/4 in`), a name may hold
a hyphen (`fence-take`), and nothing else that Python would accept gets in; length, size and depth are
bounded.
"""

from __future__ import annotations

import difflib
import re
from typing import TYPE_CHECKING

from stockwright.documents.sum_parts import ExpressionError, Part, Quantity, by_zero, names_in, value_of
from stockwright.units import LENGTH, MeasureError, parse

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["read_sum"]

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
_SIGNS = {"−": "-", "–": "-", "×": "*", "·": "*", "÷": "/", "⁄": "/"}  # as typesetters write them
_COMPARED = ("<", "<=", ">", ">=", "=")


def read_sum(text: str) -> Part:
    """Return the parts of a sum. Raises `ExpressionError` where it is none."""
    return _Reading(text).whole()


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
        hint = "a sum has lengths, numbers, names, + - * / ( ), min, max, abs, round and if(a < b, x, y)"
        if meant := _SIGNS.get(rest[:1]):
            hint = f"write '{meant}' for '{rest[0]}'"
        return ExpressionError("bad-expression", f"'{rest}' in '{self.text}' belongs to no sum", hint)

    def whole(self) -> Part:
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

    def _sum(self) -> Part:
        part = self._product()
        while (sign := self._peek()) in ("+", "-"):
            self.at += 1
            part = Part(sign, (part, self._product()))
        return part

    def _product(self) -> Part:
        part = self._term()
        while (sign := self._peek()) in ("*", "/"):
            self.at += 1
            term = self._term()
            if sign == "/" and not any(names_in(term)) and not value_of(term, {}):
                raise by_zero(self.text)
            part = Part(sign, (part, term))
        return part

    def _term(self) -> Part:
        self._deeper()
        try:
            if self._peek() in ("+", "-"):
                negate = self._peek() == "-"
                self.at += 1
                part = self._term()
                return Part("negate", (part,)) if negate else part
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

    def _leaf(self) -> Part:
        kind, text = self.tokens[self.at]
        self.at += 1
        if kind == "length":
            try:
                return Part("quantity", quantity=Quantity(parse(text, LENGTH), 1))
            except MeasureError as error:
                raise ExpressionError(error.code, error.message, error.hint) from None
        if kind == "number":
            return Part("quantity", quantity=Quantity(float(text)))
        return self._call(text) if self._peek() == "(" else Part("name", name=text)

    def _call(self, name: str) -> Part:
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
        return Part(name, tuple(parts))

    def _compared(self) -> Part:
        """Read what an `if` asks: two sums and what stands between them."""
        left, sign = self._sum(), self._peek()
        if sign not in _COMPARED:
            raise ExpressionError(
                "bad-expression",
                f"'if' in '{self.text}' compares nothing at first, expected one of {' '.join(_COMPARED)}",
                "as in if(width > 200 mm, 2 mm, 1 mm)",
            )
        self.at += 1
        return Part(sign, (left, self._sum()))
