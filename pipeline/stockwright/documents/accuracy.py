"""What a shop's document may say of how true its machine is, and of how z is touched off.

In: a tree. Out: `ErrorsPart` and `ZeroPart`, mm and degrees. Promise: every key may be left out; what is left
out stays None here and is told as a guess later.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from stockwright import units
from stockwright.documents.fields import Bounds, Length, Measured, OneOf, Part, PositiveLength, YesNo

__all__ = ["AngleError", "ErrorsPart", "LengthError", "ZeroPart"]

# A machine further out is not to be budgeted for but to be put right; common practice, no source.
SmallAngle = Annotated[float, Measured(units.ANGLE, Bounds(least=0.0, most=5.0))]


class AngleError(Part):
    """An angle that something may be out by; `within` is how sure that is where it was measured (k = 2)."""

    value: SmallAngle
    within: SmallAngle = Field(default=0.0, json_schema_extra={"default": "0 deg"})
    measured: YesNo = False


class LengthError(Part):
    """A length that something may be out by; `within` is how sure that is where it was measured (k = 2)."""

    value: Length
    within: Length = Field(default=0.0, json_schema_extra={"default": "0 mm"})
    measured: YesNo = False


class ErrorsPart(Part):
    """How far the machine may be out; straightness over the travel, `scale` and `thermal` over each metre."""

    tilt_x: AngleError | None = None
    tilt_y: AngleError | None = None
    squareness: AngleError | None = None
    fence_angle: AngleError | None = None
    straightness_x: LengthError | None = None
    straightness_y: LengthError | None = None
    bed: LengthError | None = None
    seating: LengthError | None = None
    risers: LengthError | None = None
    touch: LengthError | None = None
    mark: LengthError | None = None
    diameter: LengthError | None = None
    scale: LengthError | None = None
    thermal: LengthError | None = None


class ZeroPart(Part):
    """What lies between tip and bed as z is taken; `within` is how closely it is known and felt."""

    by: Annotated[Literal["paper", "touch-plate"], OneOf()]
    thickness: PositiveLength
    within: Length | None = None
