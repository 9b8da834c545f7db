"""The meaning of a sum in a document. In: its parts, as read. Out: names, dimension, value.

Promise: a length and a plain number are never added or compared; of an `if` only the chosen side is
evaluated.
"""

from __future__ import annotations

import difflib
import math
from typing import TYPE_CHECKING

from stockwright.frozen import frozen
from stockwright.mistakes import MisreadError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

__all__ = [
    "ExpressionError",
    "Part",
    "Quantity",
    "by_zero",
    "dimension",
    "names_in",
    "power_of",
    "unknown_name",
    "value_of",
]


class ExpressionError(MisreadError):
    """A sum that cannot be read or worked out: `code` is the mistake's word."""


@frozen
class Quantity:
    """A value with its dimension: `power` 0 is a number, 1 a length in mm, 2 an area in mm2."""

    value: float
    power: int = 0

    def __str__(self) -> str:
        return f"{self.value:g} mm" if self.power == 1 else f"{self.value:g}"


@frozen
class Part:
    """A node of the sum: `does` is `quantity`, `name`, an operator, `negate`, or a call's name."""

    does: str
    parts: tuple[Part, ...] = ()
    name: str = ""
    quantity: Quantity = Quantity(0.0)


def names_in(part: Part) -> Iterable[str]:
    """Yield the names in a part, as often as they stand there."""
    if part.does == "name":
        yield part.name
    for below in part.parts:
        yield from names_in(below)


def unknown_name(name: str, known: list[str]) -> ExpressionError:
    """Return the mistake of a name that is not known, with the nearest one."""
    shown = ", ".join(sorted(known)) or "no name at all"
    pieces = name.split("-")
    if len(pieces) > 1 and pieces[0] in known:
        hint = f"for a difference put spaces round the minus: '{' - '.join(pieces)}'"
    else:
        close = difflib.get_close_matches(name, known, n=1)
        hint = f"did you mean '{close[0]}'?" if close else ""
    return ExpressionError("unknown-name", f"got '{name}', expected one of {shown}", hint)


def by_zero(text: str) -> ExpressionError:
    """Return the mistake of a sum that divides by zero."""
    return ExpressionError("division-by-zero", f"'{text}' divides by zero", "see what stands below the '/'")


def dimension(power: int) -> str:
    """Return a dimension in words."""
    return {0: "a plain number", 1: "a length", 2: "an area"}.get(power, f"a length to the power {power}")


def power_of(part: Part, powers: Mapping[str, int]) -> int:
    """Return the dimension of a part; where a name's is not known, that of a length.

    Raises `ExpressionError` where units do not fit together.
    """
    if part.does == "quantity":
        return part.quantity.power
    if part.does == "name":
        return powers.get(part.name, 1)
    if part.does == "if":
        power_of(part.parts[0], powers)  # what is compared may be of another dimension than the result
        part = Part("max", part.parts[1:])
    below = [power_of(each, powers) for each in part.parts]
    if part.does == "round" and len(below) == 1 and below != [0]:
        raise ExpressionError(
            "bad-expression",
            f"{dimension(below[0])} is rounded to no step",
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
        shown = " and ".join(dimension(each) for each in sorted(set(below)))
        raise ExpressionError("bad-expression", f"{shown} cannot be {word}")
    return below[0]


def value_of(part: Part, values: Mapping[str, Quantity]) -> float:
    """Return what a part comes to, mm or a plain number. Raises `ZeroDivisionError`."""
    if part.does == "quantity":
        return part.quantity.value
    if part.does == "name":
        return values[part.name].value
    if part.does == "if":
        compared, yes, no = part.parts
        return value_of(yes if _holds(compared, values) else no, values)
    below = [value_of(each, values) for each in part.parts]
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


def _holds(part: Part, values: Mapping[str, Quantity]) -> bool:
    left, right = (round(value_of(each, values), 9) for each in part.parts)  # as results are
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
