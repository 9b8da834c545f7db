"""A board's document: the readings that someone took of one rough board.

In: a tree. Out: `BoardDocument`, mm. Promise: the readings fit together in number and order; whether they
agree with each other is for `stockwright.board.readings` to say, through the document's locator.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field

from stockwright.documents.fields import (
    Name,
    OneOf,
    Part,
    PositiveLength,
    ReadLength,
    SignedLength,
    Text,
    fault,
)
from stockwright.documents.source import Items

__all__ = ["BoardDocument", "Corner", "EdgeLine", "Ends", "Grid", "Rows", "Size", "misfits"]


def _rising(value: tuple[float, ...]) -> tuple[float, ...]:
    for index in range(1, len(value)):
        if value[index] <= value[index - 1]:
            raise fault(
                "out-of-range",
                f"got {value[index]:g} mm after {value[index - 1]:g} mm, expected stations that rise",
                "are two exchanged, or one written twice?",
                at=(index,),
            )
    return value


Stations = Annotated[tuple[SignedLength, ...], Field(min_length=2), AfterValidator(_rising)]


class EdgeLine(Part):
    """Offsets of an edge from a taut line, at stations along it."""

    along: Stations
    offset: tuple[SignedLength, ...]


class Corner(Part):
    """How far an end's two corners lie along the line: `near` at edge-1, `far` at edge-2."""

    near: SignedLength
    far: SignedLength


class Ends(Part):
    """Both ends."""

    end_1: Corner
    end_2: Corner


class Size(Part):
    """A rectangular outline, where no edge was measured."""

    length: PositiveLength
    width: PositiveLength


class Grid(Part):
    """Heights above the bed, `rows[i][j]` at `along[i]`, `across[j]`."""

    along: Stations
    across: Stations
    rows: tuple[tuple[PositiveLength, ...], ...]


class ThicknessRows(Part):
    """Thicknesses at the stations of `heights`; None where the callipers did not reach."""

    rows: tuple[tuple[ReadLength, ...], ...]


class Rows(Part):
    """Heights at the stations of `heights`."""

    rows: tuple[tuple[PositiveLength, ...], ...]


class BoardDocument(Part):
    """One rough board as read: either `edge_1`, `edge_2` and `ends` are given, or else `size`."""

    stockwright: Annotated[Literal["board/1"], OneOf()]
    name: Name
    about: Text = ""
    species: Name | None = None
    size: Size | None = None
    edge_1: EdgeLine | None = None
    edge_2: EdgeLine | None = None
    ends: Ends | None = None
    heights: Grid
    thickness: ThicknessRows
    turned_over: Rows | None = None
    uncertainty: PositiveLength | None = None


Fault = tuple[tuple[str | int, ...], str, str, str]


def misfits(root: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield (path, code, message, hint) where readings differ in number, or the outline is unclear."""
    measured = [key for key in ("edge-1", "edge-2", "ends") if key in root]
    if "size" in root and measured:
        yield (
            ("size",),
            "contradiction",
            f"'size' says a rectangle, '{measured[0]}' that the outline was measured, expected one of both",
            "keep the measured lines; they are the truer",
        )
    elif "size" not in root:
        for key in ("edge-1", "edge-2", "ends"):
            if key not in root:
                hint = "" if measured else "or, for a rectangle, 'size: {length: 800 mm, width: 150 mm}'"
                yield (), "missing-key", f"'{key}' is missing: it makes the outline", hint
    for key in ("edge-1", "edge-2"):
        along, offset = _items(root, key, "along"), _items(root, key, "offset")
        if along is not None and offset is not None and len(along) != len(offset):
            yield (
                (key, "offset"),
                "wrong-count",
                f"got {len(offset)} offsets for {len(along)} stations, expected as many",
                "",
            )
    along, across = _items(root, "heights", "along"), _items(root, "heights", "across")
    for key in ("heights", "thickness", "turned-over"):
        rows = _items(root, key, "rows")
        if rows is None:
            continue
        if along is not None and len(rows) != len(along):
            yield (
                (key, "rows"),
                "wrong-count",
                f"got {len(rows)} rows for {len(along)} stations along, expected one for each",
                "",
            )
        for index, row in enumerate(rows):
            if isinstance(row, Items) and across is not None and len(row) != len(across):
                at = f" (at {along[index]})" if along is not None and index < len(along) else ""
                yield (
                    (key, "rows", index),
                    "wrong-count",
                    f"got {len(row)} readings in row {index + 1}{at}, expected {len(across)}",
                    "put a dash where the callipers do not reach" if key == "thickness" else "",
                )


def _items(root: Mapping[str, Any], *keys: str) -> Items | None:
    node: Any = root
    for key in keys:
        if not isinstance(node, Mapping):
            return None
        node = node.get(key)
    return node if isinstance(node, Items) else None
