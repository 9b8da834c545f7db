"""A packet's boards: what was measured of each, and what is wanted of it. mm, board frame."""

from __future__ import annotations

import itertools
from typing import Annotated, Any, Literal, Self

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer, model_validator

from stockwright.packet.model.border import Border, Length, NotBelow, Outline, Place

__all__ = [
    "GRID_POINTS",
    "MeasuredBoard",
    "Tolerance",
    "Wanted",
]

GRID_POINTS = 20_000  # the published bound on one board's readings


class Tolerance(Border):
    """What a finished piece may be out by, mm; None where nothing is asked."""

    length: NotBelow | None = None
    width: NotBelow | None = None
    thickness: NotBelow | None = None
    flatness: NotBelow | None = None
    parallelism: NotBelow | None = None
    squareness: NotBelow | None = None
    straightness: NotBelow | None = None


class Wanted(Border):
    """The finished size of one board, mm; None where nothing is asked.

    `part`: what it becomes, as the job names it; left out where it does not. `hollow`: how far the middle of
    an edge lies inside the line of its ends on purpose; left out where it is straight.
    """

    part: str = ""
    length: Length | None = None
    width: Length | None = None
    thickness: Length | None = None
    tolerance: Tolerance = Tolerance()
    hollow: dict[Literal["edge-1", "edge-2"], NotBelow] = Field(default={})

    @model_serializer(mode="wrap")
    def _without_empty(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        plain: dict[str, Any] = handler(self)
        return {key: value for key, value in plain.items() if value or key not in {"part", "hollow"}}


class MeasuredBoard(Border):
    """A board as measured, board frame: `top[i][j]` and `bottom[i][j]` at (`x[i]`, `y[j]`)."""

    outline: Outline
    holes: list[Outline] = Field(default=[])
    x: Annotated[list[Place], Field(min_length=1)]
    y: Annotated[list[Place], Field(min_length=1)]
    top: list[list[Place]]
    bottom: list[list[Place]]
    uncertainty: NotBelow

    @model_validator(mode="after")
    def _grid_fits(self) -> Self:
        if len(self.x) * len(self.y) > GRID_POINTS:
            raise ValueError(f"the grid has {len(self.x) * len(self.y)} points, {GRID_POINTS} at most")
        for name, stations in (("x", self.x), ("y", self.y)):
            if any(b <= a for a, b in itertools.pairwise(stations)):
                raise ValueError(f"{name} must rise strictly")
        for name, rows in (("top", self.top), ("bottom", self.bottom)):
            if len(rows) != len(self.x) or any(len(row) != len(self.y) for row in rows):
                raise ValueError(f"{name} must have {len(self.x)} rows of {len(self.y)} heights")
        return self
