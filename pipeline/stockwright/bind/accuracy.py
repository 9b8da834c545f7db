"""A shop's document -> what it says of its machine's errors.

In: its `errors` and `zero` parts. Out: `Errors`, `ZTouch`. Promise: nothing is guessed here. A figure that is
left out stays None; the budget takes a guess and says so.
"""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING

from stockwright.machine import Errors, Figure, ZTouch

if TYPE_CHECKING:
    from stockwright.documents.accuracy import AngleError, LengthError
    from stockwright.documents.shop import ShopDocument

__all__ = ["errors_of", "z_touch_of"]


def errors_of(document: ShopDocument) -> Errors:
    """Return the figures that the shop states."""
    said = document.machine.errors
    return Errors(**{each.name: _figure(getattr(said, each.name)) for each in fields(Errors)})


def z_touch_of(document: ShopDocument) -> ZTouch | None:
    """Return what lies under the tip when z is taken; None where the shop does not say."""
    zero = document.zero
    return None if zero is None else ZTouch(zero.by, zero.thickness, zero.within)


def _figure(part: AngleError | LengthError | None) -> Figure | None:
    return None if part is None else Figure(part.value, part.within, part.measured)
