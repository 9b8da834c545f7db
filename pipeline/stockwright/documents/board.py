"""A board's document: what a person read of one rough board, in one of four ways.

In: a tree. Out: `BoardDocument`, mm. Promise: the model says that values are of the right kinds; `board_fit`
says whether they fit together in number, and `stockwright.board` whether they contradict each other, through
the document's locator.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, ConfigDict, Field

from stockwright.board.species import SPECIES
from stockwright.documents.fields import (
    Edge,
    End,
    Face,
    FilePath,
    Length,
    Moisture,
    Name,
    OneOf,
    Part,
    PositiveLength,
    ReadLength,
    SignedLength,
    Text,
    UnitSystem,
    YesNo,
    fault,
    nearest,
)

__all__ = [
    "BESIDE",
    "WAYS",
    "BoardDocument",
    "Calliper",
    "Corner",
    "EdgeLine",
    "Ends",
    "Grain",
    "Grid",
    "Nominal",
    "Probed",
    "Round",
    "Rows",
    "Size",
    "Straightedge",
    "Twist",
]


MOST_CORNERS = 500  # of an outline or a void
MOST_VOIDS = 50


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


def _known(value: str) -> str:
    if value in SPECIES:
        return value
    words = sorted(value.lower().replace(",", " ").replace("-", " ").split())
    same = next((name for name in SPECIES if sorted(name.split("-")) == words), None)
    hint = f"did you mean '{same}'?" if same else nearest(value, tuple(SPECIES))
    raise fault(
        "unknown-word",
        f"got '{value}', expected one of {', '.join(SPECIES)}",
        hint or "leave it out where none is yours: only how far the wood moves hangs on it",
    )


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


class Round(Part):
    """A line all the way round, such as a natural edge: the places of its corners, in order."""

    along: Annotated[tuple[SignedLength, ...], Field(min_length=3, max_length=MOST_CORNERS)]
    across: Annotated[tuple[SignedLength, ...], Field(min_length=3, max_length=MOST_CORNERS)]


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


class Calliper(Part):
    """A thickness read at a place of the board."""

    along: SignedLength
    across: SignedLength
    thickness: PositiveLength


class Probed(Part):
    """Logs of touches: CSV files with the columns `x,y,z`, beside this document or below.

    `upper` is face A's, heights above what the board lies on; `lower` face B's with the board turned edge
    over edge, its y still from edge-1 unless `lower-y` says otherwise. The thickness is one for all, or
    `callipers`.
    """

    upper: FilePath
    lower: FilePath | None = None
    lower_y: Annotated[Literal["from-edge-1", "from-edge-2"], OneOf()] = "from-edge-1"
    thickness: PositiveLength | None = None
    callipers: Annotated[tuple[Calliper, ...], Field(min_length=1)] | None = None
    units: UnitSystem = "mm"
    drop_outliers: YesNo = False


class Hollow(Part):
    """A bow or a cup: its greatest distance from the straightedge, and the face that is hollow."""

    reads: Length
    hollow: Face


class Crook(Part):
    """An edge's greatest distance from a straight line, and the edge that is hollow."""

    reads: Length
    hollow: Edge


class Twist(Part):
    """How far winding sticks of a length are out over it, or, without `sticks`, how far a corner stands off.

    `high` is the edge whose corner at end-2 stands high, face A up.
    """

    reads: Length
    high: Edge
    sticks: PositiveLength | None = None
    apart: PositiveLength | None = None


class Wedge(Part):
    """How much thicker one edge is than the other."""

    reads: Length
    thick: Edge


class Thick(Part):
    """The thickness of an end's corners."""

    near: PositiveLength
    far: PositiveLength


class Corners(Part):
    """The thickness at all four corners."""

    end_1: Thick
    end_2: Thick


class Straightedge(Part):
    """What a straightedge, winding sticks and callipers show of face A; what was not read is left out."""

    bow: Hollow | None = None
    cup: Hollow | None = None
    twist: Twist | None = None
    crook: Crook | None = None
    wedge: Wedge | None = None
    corners: Corners | None = None
    thickness: PositiveLength | None = None


class Nominal(Part):
    """The sizes that a board was sold by."""

    length: PositiveLength
    width: PositiveLength
    thickness: PositiveLength


class Grain(Part):
    """The end towards which the fibres rise out of a side, where it was seen."""

    face_a: End | None = Field(default=None, alias="face-A")
    face_b: End | None = Field(default=None, alias="face-B")
    edge_1: End | None = None
    edge_2: End | None = None


WAYS = ("heights", "probed", "straightedge", "nominal")
"""The keys that each say in their own way what the board is like; one of them stands in a document."""
BESIDE = {"heights": ("thickness",), "probed": (), "straightedge": (), "nominal": ("surface",)}


def _one_way(schema: dict[str, Any]) -> None:
    """Tell editors that one way is wanted, with what belongs to it."""
    schema["oneOf"] = [{"required": [way, *BESIDE[way]]} for way in WAYS]


class BoardDocument(Part):
    """One rough board, read in one of four ways.

    `heights` and `thickness` on a grid, `probed` logs, `straightedge` readings, or `nominal` sizes and
    `surface: rough`. The outline is `edge-1`, `edge-2` and `ends`, or `size`, or, where it follows no
    straight lines, `outline`; nominal sizes are their own. `voids` are places inside it without wood.
    """

    model_config = ConfigDict(json_schema_extra=_one_way)

    stockwright: Annotated[Literal["board/1"], OneOf()]
    name: Name
    about: Text = ""
    species: Annotated[Name, AfterValidator(_known)] | None = None
    moisture: Moisture | None = None
    sawn: Annotated[Literal["flat", "quarter", "unknown"], OneOf()] = "unknown"
    size: Size | None = None
    outline: Round | None = None
    voids: Annotated[tuple[Round, ...], Field(max_length=MOST_VOIDS)] = ()
    edge_1: EdgeLine | None = None
    edge_2: EdgeLine | None = None
    ends: Ends | None = None
    heights: Grid | None = None
    thickness: ThicknessRows | None = None
    turned_over: Rows | None = None
    probed: Probed | None = None
    straightedge: Straightedge | None = None
    nominal: Nominal | None = None
    surface: Annotated[Literal["rough"], OneOf()] | None = None
    grain: Grain | None = None
    uncertainty: PositiveLength | None = None
