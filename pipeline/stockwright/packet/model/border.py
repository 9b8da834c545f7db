"""The values that every packet is made of: bounded numbers, places, outlines, file names.

In: plain values. Out: the types of fields, and the base class of every part. Promise: no infinite numbers, no
name that leads out of the packet's folder, no outline whose inside is ambiguous.
"""

from __future__ import annotations

import itertools
import math
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

__all__ = [
    "DECIMALS",
    "Border",
    "FileName",
    "Length",
    "Matrix",
    "NotBelow",
    "Outline",
    "Place",
    "Point2",
    "Point3",
    "Row4",
    "Span",
    "Verdict",
]

MOST_CORNERS = 20_000  # of one outline
FARTHEST = 1e6  # mm, of any place: ten times the longest length a document may say
GREATEST = 1e9  # of any other number, as in documents
CROSSED = 0.01  # mm2; what rounding to a nanometre can fold over along the longest outline stays far below
DECIMALS = 6  # a nanometre: far below any measure here, far above a float's noise


def _uncrossed(outline: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Refuse an outline that crosses itself: of such a one nobody can say what lies within."""
    import shapely

    polygon = shapely.Polygon(outline)
    if not polygon.is_valid:
        around = abs(
            math.fsum(a[0] * b[1] - b[0] * a[1] for a, b in itertools.pairwise([*outline, outline[0]]))
        )
        within = shapely.make_valid(polygon).area
        # One that only touches itself, as rounded corners may, has the same area either way.
        if abs(around / 2 - within) > CROSSED:
            raise ValueError("the outline crosses itself")
    return outline


def _within(name: str) -> str:
    """Refuse a file's name that could lead out of the packet's folder, or to none."""
    from stockwright.packet.deliver import stays_inside

    stays_inside(name)
    return name


Verdict = Literal["proven", "unproven", "refused"]
Length = Annotated[float, Field(gt=0, le=GREATEST)]
NotBelow = Annotated[float, Field(ge=0, le=GREATEST)]
Place = Annotated[float, Field(ge=-FARTHEST, le=FARTHEST)]
Point2 = tuple[Place, Place]
Point3 = tuple[Place, Place, Place]
Outline = Annotated[list[Point2], Field(min_length=3, max_length=MOST_CORNERS), AfterValidator(_uncrossed)]
Row4 = tuple[Place, Place, Place, Place]
Matrix = tuple[Row4, Row4, Row4, Row4]
Span = tuple[Place, Place]
FileName = Annotated[str, Field(max_length=300), AfterValidator(_within)]


class Border(BaseModel):
    """What every part of a packet shares: unknown fields pass, no infinities, values do not change."""

    model_config = ConfigDict(
        extra="ignore", frozen=True, allow_inf_nan=False, populate_by_name=True, serialize_by_alias=True
    )
