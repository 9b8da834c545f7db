"""Sizes on a board's picture, in a person's own units. In: millimetres. Out: words.

Promise: a picture's words are in one system; steps between its contours are round numbers of that system.
"""

from __future__ import annotations

from stockwright.frozen import frozen
from stockwright.units import INCH, System, format_length

__all__ = ["InUnits"]

# Between contours, finest first; in inches about as far apart.
_STEPS_MM = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
_STEPS_INCH = (0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0)


@frozen
class InUnits:
    """One system of units for a whole picture."""

    units: System = "mm"

    @property
    def name(self) -> str:
        """The unit beside a number."""
        return "mm" if self.units == "mm" else "in"

    def steps(self) -> tuple[float, ...]:
        """Return the steps that contours may have, mm, finest first."""
        return _STEPS_MM if self.units == "mm" else tuple(step * INCH for step in _STEPS_INCH)

    def length(self, value: float) -> str:
        """Write a place or a size that a tape shows: `1182 mm`, `46.54 in`; in mm as it was given."""
        return f"{value:g} mm" if self.units == "mm" else f"{round(value / INCH, 2) + 0.0:g} in"

    def size(self, value: float) -> str:
        """Write how long or wide a rough board is, without its unit."""
        return f"{value:.0f}" if self.units == "mm" else f"{value / INCH:.2f}"

    def height(self, value: float) -> str:
        """Write a height or a thickness without its unit: hundredths of a mm, thousandths of an inch."""
        if self.units == "mm":
            return f"{round(value, 2) + 0.0:.2f}"
        return f"{round(value / INCH, 3) + 0.0:.3f}"

    def doubt(self, value: float) -> str:
        """Write what readings may be out by, with its unit."""
        return f"{value:.2f} mm" if self.units == "mm" else format_length(value, "inch", 2)

    def round(self, value: float) -> str:
        """Write a round number of the unit, alone."""
        return f"{value:g}" if self.units == "mm" else f"{round(value / INCH, 4):g}"
