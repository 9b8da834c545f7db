"""Small sums in documents, such as `=thickness + 2 mm`.

In: text that begins with `=`, then the values of the names in it. Out: a quantity that knows whether it is a
length or a plain number. Promise: no code of a document is ever run; sums are bounded in length, size and
depth and their results are finite; `=thickness + 2` is a mistake, because 2 of what is not said.
"""

from __future__ import annotations

import math
from functools import cached_property
from typing import TYPE_CHECKING

from stockwright.documents.sum_parts import (
    ExpressionError,
    Part,
    Quantity,
    by_zero,
    dimension,
    names_in,
    power_of,
    unknown_name,
    value_of,
)
from stockwright.documents.sum_reading import read_sum
from stockwright.frozen import frozen
from stockwright.units import LENGTH

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

__all__ = ["Expression", "ExpressionError", "Quantity", "length_of"]


@frozen
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
    def _root(self) -> Part:
        return read_sum(self.text)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The names that the sum uses, in order, each once."""
        return tuple(dict.fromkeys(names_in(self._root)))

    def unknown(self, known: Iterable[str]) -> ExpressionError | None:
        """Return what is wrong where the sum uses a name that is not among `known`."""
        among = list(known)
        for name in self.names:
            if name not in among:
                return unknown_name(name, among)
        return None

    def check_dimension(self, powers: Mapping[str, int]) -> None:
        """Raise `ExpressionError` where units do not fit together; `powers` says what each name is."""
        try:
            power = power_of(self._root, powers)
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
        wanted, got = dimension(self.power), dimension(power)
        raise ExpressionError("bad-expression", f"'{self.text}' comes to {got}, expected {wanted}")

    def evaluate(self, values: Mapping[str, Quantity]) -> Quantity:
        """Return the sum's value: of the dimension `power`, finite, within `least` and `above`.

        Raises `ExpressionError`: unit-missing, out-of-range, bad-expression, unknown-name, division-by-zero.
        """
        if wrong := self.unknown(values):
            raise wrong
        self.check_dimension({name: value.power for name, value in values.items()})
        try:
            value = value_of(self._root, values)
        except ZeroDivisionError:
            raise by_zero(self.text) from None
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


def length_of(value: float | Expression | None, values: Mapping[str, Quantity]) -> float | None:
    """Return what a field says that may hold a length or a sum, mm; None where it was left out."""
    return value.evaluate(values).value if isinstance(value, Expression) else value
