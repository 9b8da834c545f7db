"""Cutters as they sit in the spindle. In: a bound shop. Out: `Tool`, a stack of cylinders with its limits.

Also how wide a cutter bites at the most and the room that it is lowered in: planned by, and cut by.
"""

from __future__ import annotations

from typing import Literal

from stockwright.frozen import frozen

__all__ = ["LEAD", "WIDEST_BITE", "Cylinder", "Tool", "widest_stepover"]

# How far beyond the cutter's rim wood must end where a cutter is lowered, mm; common practice, no source.
LEAD = 2.0
# The widest bite along a wall as a share of the radius, so that a trim stays under half the cutter; common
# practice, no source.
WIDEST_BITE = 0.9
# How much neighbouring lines overlap at the least, mm; common practice, no source.
OVERLAP = 1.0


def widest_stepover(reach: float) -> float:
    """Return the widest stepover that lets neighbouring lines overlap, mm; `reach` is the flat's radius.

    ValueError for a cutter without a flat bottom to speak of.
    """
    if 2 * reach <= 2 * OVERLAP:
        raise ValueError(f"a cutter flat over only {2 * reach:g} mm cannot clear a plane")
    return 2 * reach - OVERLAP


@frozen
class Cylinder:
    """One part of the assembly: `diameter`, from `bottom` to `top` above the cutter tip (mm)."""

    diameter: float
    bottom: float
    top: float

    @property
    def radius(self) -> float:
        """Half the diameter, mm."""
        return self.diameter / 2


@frozen
class Tool:
    """A cutter in its collet, mm, mm/min, rpm.

    `does` are the cuts it may be asked for ("face", "edge", "bed"); `stickout` runs from the tip to the
    nut's face; `gripped` is the shank length inside the collet; `ramp` the steepest descent in wood in
    degrees (0: none); `assembly` the stacked cylinders measured up from the tip, the cutting part first,
    the last one beginning at the spindle nose. `marked_max_rpm` is None where no mark is known;
    `material`, `fluted` (how far the flutes reach up from the tip) and `helix` (of its teeth, pulling
    upwards) are None where nobody says.
    """

    name: str
    number: int
    kind: Literal["facing-cutter", "end-mill", "touch-probe"]
    does: tuple[str, ...]
    diameter: float
    cutting_length: float
    shank_diameter: float
    overall_length: float
    gripped: float
    grip_wanted: float
    stickout: float
    marked_max_rpm: float | None
    flutes: int
    centre_cutting: bool
    ramp: float
    corner_radius: float
    rpm: float
    feed: float
    plunge_feed: float
    stepover: float
    stepdown: float
    assembly: tuple[Cylinder, ...]
    material: Literal["carbide", "steel"] | None = None
    fluted: float | None = None
    helix: float | None = None

    @property
    def fluted_length(self) -> float:
        """How far the flutes reach up from the tip, mm; where nobody says, as far as it cuts."""
        return min(self.cutting_length if self.fluted is None else self.fluted, self.stickout)

    @property
    def bends_as(self) -> Literal["carbide", "steel"]:
        """What it is made of; where nobody says, what bends more."""
        return self.material or "steel"

    @property
    def radius(self) -> float:
        """Half the cutting diameter, mm."""
        return self.diameter / 2

    @property
    def flat(self) -> float:
        """The radius of the flat of its bottom, mm: only that leaves a plane; a rounded corner, a hollow."""
        return self.radius - self.corner_radius

    @property
    def nose(self) -> float:
        """Height of the spindle nose above the tip, mm."""
        return self.assembly[-1].bottom
