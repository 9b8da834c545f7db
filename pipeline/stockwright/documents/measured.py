"""A document of readings: what was measured on boards that this machine has cut.

In: a tree. Out: `MeasuredDocument`, mm. Promise: every table has at least two readings, because one reading
does not show how far readings scatter; lists that belong together have the same length.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import Field

from stockwright import units
from stockwright.documents.fields import (
    Bounds,
    Measured,
    Name,
    OneOf,
    Part,
    PositiveLength,
    Text,
)
from stockwright.documents.source import Items, Table

__all__ = [
    "DiagonalsRead",
    "GapsRead",
    "MeasuredDocument",
    "StepsRead",
    "StraightRead",
    "ThicknessRead",
    "WidthsRead",
    "misfits",
]

# A larger step or gap is no error of a machine but a wrong cut; common practice, no source.
Small = Annotated[float, Measured(units.LENGTH, Bounds(least=0.0, most=25.0))]
Smalls = Annotated[tuple[Small, ...], Field(min_length=2, max_length=1000)]
Lengths = Annotated[tuple[PositiveLength, ...], Field(min_length=2, max_length=1000)]
Sides = Annotated[Literal["edges", "ends"], OneOf()]
FEELER = 0.05  # mm: what feeler gauges under a straightedge resolve; common practice, no source
CALLIPER = 0.05  # mm, likewise of callipers in wood
TAPE = 0.25  # mm: half of a tape's millimetre, read between its lines; common practice, no source


def _reads(value: float) -> Any:
    return Field(default=value, json_schema_extra={"default": f"{value:g} mm"})


class StepsRead(Part):
    """Steps from one pass to the next, across passes that ran along or across the machine's x axis."""

    passes: Annotated[Literal["along", "across"], OneOf()]
    stepover: PositiveLength
    readings: Smalls
    reads: Small = _reads(FEELER)


class GapsRead(Part):
    """Gaps over a height: of two cut sides put together, or of one side against a square."""

    of: Sides
    height: PositiveLength
    readings: Smalls
    reads: Small = _reads(FEELER)


class DiagonalsRead(Part):
    """Both diagonals of panels whose sides were cut in one clamping, from end-1's near corner and its far."""

    length: PositiveLength
    width: PositiveLength
    near: Lengths
    far: Lengths
    reads: Small = _reads(TAPE)


class WidthsRead(Part):
    """Widths of boards cut along the fence, near end-1 and near end-2, `length` apart."""

    length: PositiveLength
    end_1: Lengths
    end_2: Lengths
    reads: Small = _reads(CALLIPER)


class ThicknessRead(Part):
    """Thicknesses near the corners of boards faced on both sides: end-1's two, then end-2's, edge-1 first.

    `length` and `width` are between the places read.
    """

    length: PositiveLength
    width: PositiveLength
    corners: Annotated[
        tuple[Annotated[tuple[PositiveLength, ...], Field(min_length=4, max_length=4)], ...],
        Field(min_length=2, max_length=250),
    ]
    reads: Small = _reads(CALLIPER)


class StraightRead(Part):
    """Gaps under a straightedge held along cut edges or ends over a length."""

    of: Sides
    length: PositiveLength
    readings: Smalls
    reads: Small = _reads(FEELER)


Some = Field(max_length=50)


class MeasuredDocument(Part):
    """What was read: of each kind a list of tables."""

    stockwright: Annotated[Literal["measured/1"], OneOf()]
    name: Name
    about: Text = ""
    steps: Annotated[tuple[StepsRead, ...], Some] = ()
    edges_together: Annotated[tuple[GapsRead, ...], Some] = ()
    square: Annotated[tuple[GapsRead, ...], Some] = ()
    diagonals: Annotated[tuple[DiagonalsRead, ...], Some] = ()
    widths: Annotated[tuple[WidthsRead, ...], Some] = ()
    thickness: Annotated[tuple[ThicknessRead, ...], Some] = ()
    straightness: Annotated[tuple[StraightRead, ...], Some] = ()


def misfits(root: Table) -> Iterator[tuple[tuple[str | int, ...], str, str, str]]:
    """Yield (path, code, message, hint) of lists that should be as long as one another, and of no reading."""
    tables = ("steps", "edges-together", "square", "diagonals", "widths", "thickness", "straightness")
    if "stockwright" in root and not any(each in root for each in (*tables, *_nearly(root, tables))):
        yield (), "missing-key", f"no reading stands here, expected one of {', '.join(tables)}", ""
    for key, one, other in (("diagonals", "near", "far"), ("widths", "end-1", "end-2")):
        for path, table in _tables(root.get(key), key):
            first, second = table.get(one), table.get(other)
            if isinstance(first, Items) and isinstance(second, Items) and len(first) != len(second):
                yield (
                    (*path, other),
                    "wrong-count",
                    f"{len(second)} here and {len(first)} in '{one}', expected as many",
                    "read both of each board, in the same order",
                )


def _nearly(root: Table, tables: tuple[str, ...]) -> list[str]:
    """Return keys that are no others of the document: perhaps a table misspelt, which is said already."""
    return [key for key in root if key not in {"stockwright", "name", "about", *tables}]


def _tables(value: object, key: str) -> Iterator[tuple[tuple[str | int, ...], Mapping[str, Any]]]:
    if isinstance(value, Items):
        for index, each in enumerate(value):
            if isinstance(each, Mapping):
                yield (key, index), each
