"""Numbers as the sheet prints them. In: millimetres and seconds. Out: words in the user's own units.

Promise: metric people read millimetres and imperial people inches, also in sentences that other stages wrote;
a fraction is never farther than `TRUE` from what it stands for, or the decimal stands beside it.
"""

from __future__ import annotations

import re
from dataclasses import field
from typing import TYPE_CHECKING, Literal

from stockwright.frozen import frozen
from stockwright.units import INCH, KILOGRAM_FORCE, POUND_FORCE, STRESS, format_feed, format_length

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.packet.model import Packet

__all__ = ["Row", "Writing", "in_fractions", "sentence", "short", "writing_of"]

SMALLEST = 64  # parts of an inch: the finest marks of a common rule
TRUE = 0.05  # mm a fraction may be off without saying so: what callipers in wood resolve; common practice
# Lengths, places, feeds, areas, forces and weights in what a check or the planner wrote.
_WRITTEN = re.compile(
    r"(?P<low>-?\d+(?:\.\d+)?) to (?P<high>-?\d+(?:\.\d+)?) mm(?![/\w])"
    r"|\bx (?P<x>-?\d+(?:\.\d+)?), y (?P<y>-?\d+(?:\.\d+)?)(?![\d.]| (?:mm|in)\b)"
    r"|(?<![\w.])(?P<number>-?\d+(?:\.\d+)?) (?P<unit>mm(?:/min|2)?|in)(?![/\w])"
    r"|(?<![\w.])(?P<force>\d+(?:\.\d+)?) N(?: \(\d+ kg\))?(?! m\b|[/\w])"
    r"|(?<![\w.])(?P<stress>\d+(?:\.\d+)?) N/mm(?:2|²)(?![/\w])"
    r"|(?<![\w.])(?P<mass>\d+(?:\.\d+)?) kg(?![/\w])"
)


@frozen
class Row:
    """One line of a table: its name and its cells."""

    name: str
    cells: tuple[str, ...]


@frozen
class Writing:
    """One system of units for a whole sheet; `names` are left alone in what others wrote."""

    units: Literal["mm", "inch"]
    inch_as: Literal["decimals", "fractions"] = "decimals"
    names: tuple[str, ...] = field(default=())

    def length(self, value: float) -> str:
        """Write what is set with a tape, a rule or shims: a tenth of a millimetre, a thou, a 64th."""
        if self._fractions:
            told, off = in_fractions(value)
            return f"{told} in" if off <= TRUE else f"{told} in ({self.decimal(value)})"
        return format_length(value, self.units, 1)

    def sizes(self, values: Sequence[float | None]) -> str:
        """Write length, width and thickness, mm, as wanted; None is left as it is."""
        if all(value is None for value in values):
            return "sizes stay as they are"
        return " × ".join("as it is" if value is None else self.length(value) for value in values)

    def bare(self, value: float) -> str:
        """Write a length without its unit, for a column that names it: a decimal in either system."""
        return self.decimal(value)

    def decimal(self, value: float) -> str:
        """Write the number alone, as a gauge or the machine shows it."""
        return format_length(value, self.units, 1).rpartition(" ")[0]

    def shown(self, value: float) -> str:
        """Write what the machine shows or a gauge reads: in inches, a fraction's decimal always beside it."""
        if self._fractions:
            return f"{in_fractions(value)[0]} in ({self.decimal(value)})"
        return self.length(value)

    def spot(self, value: float) -> str:
        """Write a place on the bed without its unit."""
        return self.place(value).rpartition(" ")[0]

    def fine(self, value: float) -> str:
        """Write what is read off a gauge or compared with a tolerance."""
        return format_length(value, self.units, 2)

    def cells(self, value: float) -> str:
        """Write what cells a simulated board has: they are made in mm, and no thou is meant."""
        if self.units == "inch":
            return f"cells about {value / INCH:.1g} in wide"
        return f"{format_length(value, 'mm', 2)} cells"

    def place(self, value: float) -> str:
        """Write a place on the bed: nobody marks it closer."""
        return format_length(value, self.units, 0)

    def feed(self, value: float) -> str:
        """Write a feed."""
        return format_feed(value, self.units)

    def words(self, text: str) -> str:
        """Write a sentence of the planner or a check in the person's own units; names stay as they are."""
        if self.units == "mm":
            return text
        kept = sorted((name for name in self.names if name), key=len, reverse=True)
        if not kept:
            return _WRITTEN.sub(self._again, text)
        parts = re.split("(" + "|".join(map(re.escape, kept)) + ")", text)
        return "".join(p if i % 2 else _WRITTEN.sub(self._again, p) for i, p in enumerate(parts))

    def _again(self, found: re.Match[str]) -> str:
        if found["low"] is not None:
            low, high = (self._written(each, "mm") for each in (found["low"], found["high"]))
            return f"{low} to {high}"
        if found["x"] is not None:  # a place: written without a unit, mm
            return f"x {self.place(float(found['x']))}, y {self.place(float(found['y']))}"
        if found["force"] is not None:  # a hand feels pounds; the shop's document may say newtons
            return f"{found['force']} N ({_pounds(float(found['force']) / POUND_FORCE)})"
        if found["stress"] is not None:
            return f"{found['stress']} N/mm2 ({_psi(float(found['stress']))})"
        if found["mass"] is not None:
            return _pounds(float(found["mass"]) * KILOGRAM_FORCE / POUND_FORCE)
        return self._written(found["number"], found["unit"])

    def _written(self, number: str, unit: str) -> str:
        value = float(number)
        if unit == "in":
            return self.length(value * INCH) if self._fractions else f"{number} in"
        if unit == "mm/min":
            return self.feed(value)
        if unit == "mm2":
            return f"{value / INCH**2:.2f} square in"
        if abs(value) < 1.0:  # what is read off a feeler gauge
            return self.fine(value)
        return self.length(value)

    @property
    def _fractions(self) -> bool:
        return self.units == "inch" and self.inch_as == "fractions"

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


def _psi(stress: float) -> str:
    """Write a pressure (N/mm2) in pounds a square inch, to two figures: none here is known closer."""
    told = float(f"{stress / STRESS.units['psi']:.2g}")
    return f"{told:.0f} psi" if told >= 10 else f"{told:g} psi"


def _pounds(value: float) -> str:
    return f"{value:.1f} lb" if value < 10 else f"{value:.0f} lb"


def in_fractions(value: float) -> tuple[str, float]:
    """Return a length in mm as inches and the nearest 64th, and how far that is off, mm."""
    parts = round(abs(value) / INCH * SMALLEST)
    off = abs(abs(value) - parts * INCH / SMALLEST)
    whole, rest = divmod(parts, SMALLEST)
    below = SMALLEST
    while rest and rest % 2 == 0:
        rest, below = rest // 2, below // 2
    told = f"{rest}/{below}" if rest else ""
    told = f"{whole}-{told}" if whole and told else told or str(whole)
    return (f"-{told}" if value < 0 and parts else told), off


def writing_of(packet: Packet, units: Literal["mm", "inch"] | None = None) -> Writing:
    """Return how a packet's people read numbers; what its documents name is left alone."""
    solids = {solid.name for setup in packet.setups for solid in setup.solids}
    names = {*packet.boards, *packet.tools, *solids, packet.machine.name, packet.job}
    return Writing(units or packet.units, packet.inch_as, tuple(sorted(names)))


def sentence(text: str, *, stop: bool = True) -> str:
    """Begin with a capital and end with a stop, whatever a check or a post wrote."""
    ended = not stop or not text or text.endswith((".", "!", "?", ":"))
    return text[:1].upper() + text[1:] + ("" if ended else ".")


def short(digest: str) -> str:
    """Return the first eight figures of a digest: enough to see that two files are not the same."""
    return digest.rpartition(":")[2][:8]
