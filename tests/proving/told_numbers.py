"""What the proof works out beside its reasons, as text to be read: sizes, edges, pictures and wrong zeros.

In: nothing. Out: `TOLD`, by name a function that gives the lines of a page. Promise: every number of what is
worked out stands in them, to six digits.
"""

from __future__ import annotations

import math
from dataclasses import fields
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from proving.outcomes import outcome_as
from proving.test_boards_on_edge import document, end_cut, ended, planed, proof
from small_packet import small_document, small_lines, small_texts
from stockwright.packet.model import Packet
from stockwright.proving import prove
from stockwright.proving.frames import Lay
from stockwright.proving.lying import Lying
from stockwright.proving.measure import measure
from stockwright.proving.on_edge import edge_upright, seen_along_width
from stockwright.proving.seen import seen
from stockwright.proving.wood import Wood, plank, slab
from stockwright.proving.wrong_zero import Fitted, wrong_zeros

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from shapely.geometry.base import BaseGeometry

    from stockwright.proving.seen import Seen

__all__ = ["TOLD"]

UPRIGHT = np.array([0.0, 0.0, 1.0])


def number(value: object) -> str:
    """Tell a number to six digits, whatever else as it is; names are kept, containers are told in order."""
    if isinstance(value, dict):
        return " ".join(f"{key}={number(each)}" for key, each in value.items())
    if isinstance(value, list | tuple):
        return " ".join(map(number, value))
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def sized(
    outline: BaseGeometry,
    shape: Callable[[Any, Any], Any] | None = None,
    uprights: Mapping[str, Any] | None = None,
    hollow: Mapping[str, float] | None = None,
    rough: BaseGeometry | None = None,
    sure: BaseGeometry | None = None,
) -> list[str]:
    """Measure a slab of 20 whose face A is bent by a function of x and y."""
    wood = slab(outline, 20.0, 0.0)
    wood.sure = outline if sure is None else sure
    if shape is not None:
        x, y = wood.grid.centres()
        bent = shape(x[None, :], y[:, None])
        for each in (wood.hi, wood.lo):
            each[1] = each[1] + np.where(np.isfinite(each[1]), bent, 0.0)
    done = measure(wood, dict(uprights or {}), dict(hollow or {}), rough)
    return [f"{what} {number(value)}" for what, value in done.model_dump().items() if value]


def barrel(depth: float) -> BaseGeometry:
    """Give an outline of 80 by 30 whose edge-1 is hollow by so much in the middle."""
    x = np.linspace(0.0, 80.0, 41)
    low = depth * (1.0 - ((x - 40.0) / 40.0) ** 2)
    return shapely.Polygon([*zip(x.tolist(), low.tolist(), strict=True), (80.0, 30.0), (0.0, 30.0)])


PLAIN = shapely.box(2.0, 1.0, 82.0, 31.0)
SKEW = shapely.Polygon([(0.0, 0.0), (80.0, 1.0), (81.0, 31.0), (0.5, 30.0)])
BELLY = shapely.Polygon([(0.0, 8.0), (20.0, 1.0), (60.0, 0.0), (80.0, 9.0), (80.0, 30.0), (0.0, 30.0)])
LEANT = {"edge-1": np.array([0.0, 0.02, 0.9998]), "edge-2": np.array([0, -0.01, 1])}
CUT = dict.fromkeys(("edge-1", "edge-2", "end-1", "end-2"), UPRIGHT)


def zeros(
    apply: Callable[[dict[str, Any]], None], fitted: Mapping[int, Fitted | None] | None = None
) -> list[str]:
    """Tell every wrong zero of the small packet changed by a function."""
    changed = small_document()
    apply(changed)
    boards: list[Seen] = []
    prove(Packet.model_validate(changed), small_texts(small_lines()), boards.append)
    return [
        ", ".join(f"{field.name} {number(getattr(wrong, field.name))}" for field in fields(wrong))
        for wrong in wrong_zeros(boards, fitted)
    ]


def put(**values: object) -> Callable[[dict[str, Any]], None]:
    """Give a function that sets values: `setups_0_zero_z` is z of the first setup's zero."""

    def apply(changed: dict[str, Any]) -> None:
        for path, value in values.items():
            where: Any = changed
            *steps, last = path.split("__")
            for step in steps:
                where = where[int(step) if isinstance(where, list) else step]
            where[int(last) if isinstance(where, list) else last] = value

    return apply


def field_of(wood: Wood) -> list[str]:
    """Tell a wood's four fields by their sums, extremes and places, and its outlines by bounds and area."""
    grid = wood.grid
    said = [f"grid {number((grid.x0, grid.y0, grid.cell, grid.rows, grid.columns))}"]
    for name, sides in (("hi", wood.hi), ("lo", wood.lo)):
        for side, field in sides.items():
            there = np.isfinite(field)
            row, column = np.nonzero(there)
            told = (len(row), float(field[there].sum()), float(field[there].min()), float(field[there].max()))
            said.append(
                f"{name} {side}: {number(told)} by place {number((int(row.sum()), int(column.sum())))}"
            )
    for name, outline in (("may", wood.may), ("sure", wood.sure)):
        said.append(f"{name}: {number((*outline.bounds, outline.area))}")
    return said


def on_edge(lean: float, cut: float | None = None) -> list[str]:
    """Tell the small board seen along its width, tilted in its frame, after a groove into face A."""
    c, s = math.cos(lean), math.sin(lean)
    frame = np.array([[c, 0, s, 0], [0, 1.0, 0, 0], [-s, 0, c, 0], [0, 0, 0, 1.0]])
    changed = small_document()
    changed["boards"]["plank"]["outline"] = [[0, 0], [60, 0], [60, 40], [0, 42]]
    wood = plank("plank", Packet.model_validate(changed).boards["plank"], frame)
    if cut is not None:
        level = Lay(np.eye(4), np.eye(4), 1, flat=True, wobble=0.0, slope=0.0)
        wood.cut(level, np.array([-9.0, 12.0, cut]), np.array([70.0, 12.0, cut]), 6.0, 0.0)
        wood.cut(level, np.array([30.0, -9.0, cut]), np.array([30.0, 5.0, cut]), 4.5, 0.0)
    turned = seen_along_width(wood)
    to_grid = number(turned.to_grid.ravel().tolist())
    return [*field_of(turned), f"sides {number(turned.sides)}", f"to grid {to_grid}"]


def picture(lay: Lay, size: tuple[float, float]) -> list[str]:
    """Tell what is seen of a slab with a groove, of such a size, lying so."""
    outline = shapely.box(3.0, 4.0, 3.0 + size[0], 4.0 + size[1])
    wood = slab(outline, 10.0, -2.0)
    wood.hi[1][5:9, 10:30] = 6.0
    wood.lo[1][4:10, 9:31] = 5.5
    wood.hi[1][12:14, 3:60] = -np.inf
    wood.lo[-1][20:22] = -np.inf
    setup = Packet.model_validate(small_document()).setups[0]
    found = seen(setup, Lying(wood, lay, outline, outline), outline, (1.0, 2.0), 0.1, ())
    high, low = found.high, found.low
    along, across = np.arange(high.shape[1]), np.arange(high.shape[0])
    return [
        f"up {found.up}, board {found.board}, tops {number(found.tops)}, within {found.within}",
        f"x {number((len(found.x), float(found.x[0]), float(found.x[-1])))}",
        f"y {number((len(found.y), float(found.y[0]), float(found.y[-1])))}",
        *(
            f"{name} {number((float(np.nansum(field)), float(np.nanmin(field)), float(np.nanmax(field))))}"
            f" none {np.isnan(field).sum()}"
            for name, field in (("high", high), ("low", low))
        ),
        f"places {number((float(np.nansum(high * along)), float(np.nansum(low.T * across))))}",
        f"outlines {number((*found.before.bounds, *found.after.bounds))}",
    ]


def edge(whole: dict[str, Any], lines: list[str] | None = None) -> list[str]:
    """Tell the outcome of a board on its edge."""
    return outcome_as(proof(whole, lines))


GROOVE = ["G0 X-32 Y13", "G1 Z95 F500", "G1 X100", "G0 Z112", "M5", "M30"]
BEFORE = {1: Fitted("mill", 86.0, (200, 140, 0)), 2: None, 3: Fitted("mill", 86.0, (200, 141, 0.5))}
NARROW = {"x": [168, 540], "y": [0, 900], "z": [40, 160]}
LEVEL = Lay(np.eye(4), np.eye(4), 1, flat=True, wobble=0.0, slope=0.0)
C, S = math.cos(0.1), math.sin(0.1)
TILTED = np.array([[C, 0, S, 0], [0, 1, 0, 0], [-S, 0, C, 4.0], [0, 0, 0, 1]])
LEANING = Lay(TILTED, np.linalg.inv(TILTED), 1, flat=False, wobble=0.0, slope=math.tan(0.1))

TOLD: dict[str, Callable[[], Iterable[str]]] = {
    "sizes: plain": lambda: sized(PLAIN, uprights=CUT),
    "sizes: nothing cut": lambda: sized(PLAIN),
    "sizes: skew": lambda: sized(SKEW, uprights=CUT),
    "sizes: skew, edge-2 alone cut": lambda: sized(SKEW, uprights={"edge-2": UPRIGHT}, rough=SKEW),
    "sizes: hollow": lambda: sized(barrel(0.5), uprights=CUT),
    "sizes: hollow as asked": lambda: sized(barrel(0.5), uprights=CUT, hollow={"edge-1": 0.5}),
    "sizes: hollow at the other edge": lambda: sized(barrel(-0.4), uprights=CUT, hollow={"edge-2": 0.3}),
    "sizes: a belly, its ends cut": lambda: sized(
        BELLY, uprights={"end-1": UPRIGHT, "end-2": UPRIGHT, "edge-2": UPRIGHT}, rough=BELLY
    ),
    "sizes: a belly, all cut": lambda: sized(BELLY, uprights=CUT, rough=BELLY),
    "sizes: a belly, edge-1 cut": lambda: sized(
        BELLY, uprights={"end-1": UPRIGHT, "end-2": UPRIGHT, "edge-1": UPRIGHT}, rough=BELLY
    ),
    "sizes: rims in doubt": lambda: sized(PLAIN, uprights=CUT, sure=shapely.box(2.1, 1.05, 81.8, 30.7)),
    "sizes: a slope along": lambda: sized(PLAIN, lambda x, y: 0.01 * x + 0 * y, CUT),
    "sizes: a slope across": lambda: sized(PLAIN, lambda x, y: 0 * x - 0.02 * y, CUT),
    "sizes: a twist": lambda: sized(PLAIN, lambda x, y: 0.0004 * (x - 42.0) * (y - 16.0), CUT),
    "sizes: a cup": lambda: sized(PLAIN, lambda x, y: 0.002 * (y - 16.0) ** 2 + 0 * x, CUT),
    "sizes: leaning walls": lambda: sized(PLAIN, lambda x, y: 0 * x + 0.01 * y, LEANT),
    "sizes: two pieces": lambda: sized(
        shapely.union_all([PLAIN, shapely.box(90.0, 1.0, 95.0, 9.0)]), uprights=CUT
    ),
    "sizes: a strip of 1": lambda: sized(shapely.box(0.0, 0.0, 60.0, 1.0), uprights=CUT),
    "sizes: no wood": lambda: sized(PLAIN, sure=shapely.Polygon()),
    "edge: its upright": lambda: [number(edge_upright(np.array([0.1, 0.2, 0.9])).tolist())],
    "edge: seen along the width": lambda: on_edge(0.0),
    "edge: seen along the width, tilted": lambda: on_edge(0.03),
    "edge: seen along the width, grooved": lambda: on_edge(0.0, 17.0),
    "edge: planed, edge-2 turned": lambda: edge(document("edge-2", 2)),
    "edge: leaning": lambda: edge(document(lean=0.01)),
    "edge: leaning the other way": lambda: edge(document("edge-2", lean=-0.004)),
    "edge: a ridge left": lambda: edge(document(), planed(y=42.0)),
    "edge: a groove along": lambda: edge(document(), [*planed()[:-3], *GROOVE]),
    "edge: an end cut upright, 0.05 in": lambda: edge(ended(296.0), end_cut(301.95)),
    "edge: an end cut upright, half way": lambda: edge(ended(150.0), end_cut(156.0)),
    "picture: small": lambda: picture(LEVEL, (70.0, 30.0)),
    "picture: long": lambda: picture(LEVEL, (500.0, 30.0)),
    "picture: high": lambda: picture(LEVEL, (90.0, 300.0)),
    "picture: leaning": lambda: picture(LEANING, (70.0, 30.0)),
    "zeros: on a riser": lambda: zeros(put(setups__1__work_origin=[200.0, 140.0, 19.0])),
    "zeros: on the wood": lambda: zeros(put(setups__0__zero__z="stock-top", setups__1__zero__z="stock-top")),
    "zeros: on the wood, the mill": lambda: zeros(put(setups__2__zero__z="stock-top")),
    "zeros: another board mark, and little travel": lambda: zeros(
        put(setups__1__work_origin=[230.0, 140.0, 0.0], machine__travel=NARROW)
    ),
    "zeros: little travel": lambda: zeros(
        put(machine__travel={"x": [0, 560], "y": [0, 900], "z": [70, 146]})
    ),
    "zeros: fitted before": lambda: zeros(lambda _: None, BEFORE),
}
