"""Numbers as the sheet prints them. In: millimetres and seconds. Out: words in the user's own units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stockwright.units import format_feed, format_length

__all__ = ["Writing"]


@dataclass(frozen=True)
class Writing:
    """One system of units for a whole sheet."""

    units: Literal["mm", "inch"]

    def length(self, value: float) -> str:
        """Write what is set with a tape, a rule or shims: to a tenth of a millimetre, or a thou."""
        return format_length(value, self.units, 1 if self.units == "mm" else 3)

    def bare(self, value: float) -> str:
        """Write a length without its unit, for a column that names it."""
        return self.length(value).rpartition(" ")[0]

    def spot(self, value: float) -> str:
        """Write a place on the bed without its unit."""
        return self.place(value).rpartition(" ")[0]

    def fine(self, value: float) -> str:
        """Write what is read off a gauge or compared with a tolerance."""
        return format_length(value, self.units, 2 if self.units == "mm" else 4)

    def place(self, value: float) -> str:
        """Write a place on the bed: nobody marks it closer."""
        return format_length(value, self.units, 0 if self.units == "mm" else 2)

    def feed(self, value: float) -> str:
        """Write a feed."""
        return format_feed(value, self.units)

    def time(self, seconds: float) -> str:
        """Write how long something takes, no closer than anyone waits."""
        whole = round(seconds)
        if whole < 60:
            return f"{max(whole, 1)} s"
        if whole < 600:
            minutes, rest = divmod(round(whole / 10) * 10, 60)
            return f"{minutes} min {rest} s" if rest else f"{minutes} min"
        hours, minutes = divmod(round(whole / 60), 60)
        return f"{hours} h {minutes} min" if hours else f"{minutes} min"
