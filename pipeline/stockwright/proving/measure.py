"""The size of the simulated board at the end.

In: its wood. Out: `Finished`, and reasons where the wish is not met. Promise: bounds, not guesses: least
sizes from wood that is surely there, greatest from wood that may be there.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.frozen import frozen
from stockwright.packet.model import Finished, Reason, Wanted
from stockwright.proving.sweep import polygon_cells
from stockwright.proving.wood import rings

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.proving.wood import Wood

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

__all__ = ["judge_sizes", "measure"]

SIZE = 0.5  # mm a size may be out where nothing is asked; common practice, no source
INSET = 0.5  # mm from a corner at which a side is first measured: a corner broken by less is no fault
STATIONS = 61  # along a side
BAND = 64  # rows of cells looked at together
NONE: Mapping[str, float] = MappingProxyType({})
MORE = 0.01  # mm: sizes are not known finer than walls are judged


@frozen(eq=False)
class _Sides:
    """Chords: at `at` (n,), the outer ends (may) and the inner ends (sure) on the low and high side."""

    at: Floats
    low_may: Floats
    low_sure: Floats
    high_may: Floats
    high_sure: Floats

    def size(self) -> tuple[float, float]:
        least = float((self.high_sure - self.low_sure).min())
        return max(0.0, least), float((self.high_may - self.low_may).max())


def _chords(may: BaseGeometry, sure: BaseGeometry, axis: int, at: Floats) -> _Sides | None:
    """Measure across: lines along `axis` at the stations `at` of the other one."""
    far = 1e5
    ends = np.empty((len(at), 2, 2))
    ends[:, 0, axis], ends[:, 1, axis] = -far, far
    ends[:, :, 1 - axis] = at[:, None]
    lines = np.asarray(shapely.linestrings(ends), dtype=np.object_)
    outer = np.asarray(shapely.bounds(shapely.intersection(lines, may)))
    inner = np.asarray(shapely.bounds(shapely.intersection(lines, sure)))
    if not np.isfinite(outer).all():
        return None
    inner = np.where(np.isfinite(inner), inner, np.repeat(outer[:, [axis]], 4, axis=1))
    return _Sides(at, outer[:, axis], inner[:, axis], outer[:, axis + 2], inner[:, axis + 2])


def _main(geometry: BaseGeometry) -> BaseGeometry | None:
    parts = [p for p in shapely.get_parts(geometry) if p.geom_type == "Polygon" and not p.is_empty]
    return max(parts, key=lambda part: part.area) if parts else None


def _stations(low: float, high: float) -> Floats | None:
    if high - low <= 2 * INSET:
        return None
    return np.linspace(low + INSET, high - INSET, STATIONS)


def measure(
    wood: Wood,
    uprights: dict[str, Floats],
    hollow: Mapping[str, float] = NONE,
    rough: BaseGeometry | None = None,
) -> Finished:
    """Measure a board. `uprights`: by side that was cut, the direction (3,) of its wall, grid frame.

    `hollow`: how far the middle of an edge is to lie inside the line of its ends; its straightness is then
    how far it stands off that arc. `rough`: the outline as it arrived, where no width is wanted: beyond its
    corners at the ends a natural edge's belly has no ends, and no length is measured there.
    """
    may, sure = _main(wood.may), _main(wood.sure)
    if may is None or sure is None:
        return Finished()
    x0, _, x1, _ = may.bounds
    middle = _chords(may, sure, 1, np.array([(x0 + x1) / 2]))
    across = None if middle is None else _stations(float(middle.low_may[0]), float(middle.high_may[0]))
    lengths = None if across is None else _chords(may, sure, 0, across)
    if lengths is not None and rough is not None and {"end-1", "end-2"} <= uprights.keys():
        lengths = _between_corners(may, sure, lengths, rough, uprights.keys())
    along = None
    if lengths is not None:
        along = _stations(float(lengths.low_sure.max()), float(lengths.high_sure.min()))
    widths = None if along is None else _chords(may, sure, 1, along)
    cells, _ = polygon_cells(wood.grid, rings(sure.buffer(-INSET / 10)))
    cells &= wood.known()
    if not cells.any():
        return Finished()
    thin = float(np.min(wood.lo[1] + wood.lo[-1], where=cells, initial=np.inf))
    thick = float(np.max(wood.hi[1] + wood.hi[-1], where=cells, initial=-np.inf))
    planes = {side: _plane(wood, side, cells) for side in (1, -1)}
    flatness = {"A": planes[1][1], "B": planes[-1][1]}
    squareness: dict[str, float | None] = {}
    straightness: dict[str, float | None] = {}
    if lengths is not None and widths is not None:
        lines = {
            "edge-1": _line(widths.at, widths.low_may, widths.low_sure, hollow.get("edge-1", 0.0)),
            "edge-2": _line(widths.at, widths.high_may, widths.high_sure, -hollow.get("edge-2", 0.0)),
            "end-1": _line(lengths.at, lengths.low_may, lengths.low_sure),
            "end-2": _line(lengths.at, lengths.high_may, lengths.high_sure),
        }
        for side in ("edge-1", "edge-2"):
            straightness[side] = round(lines[side][1], 3)
            squareness[side] = None
            if side in uprights:
                lean = uprights[side][1] / uprights[side][2] + planes[1][0][1]
                squareness[side] = round(abs(lean) * thick, 3) + 0.0
        width = widths.size()[1]
        # Square to edge-1, but where edge-2 is the only edge that was cut: a natural edge is no reference.
        alone = rough is not None and "edge-2" in uprights and "edge-1" not in uprights
        along_edge = lines["edge-2" if alone else "edge-1"][0]
        for side in ("end-1", "end-2"):
            squareness[side] = round(abs(lines[side][0] + along_edge) * width, 3) + 0.0
    return Finished(
        length=None if lengths is None else _rounded(lengths.size()),
        width=None if widths is None else _rounded(widths.size()),
        thickness=_rounded((max(0.0, thin), thick)),
        flatness={key: round(value, 3) + 0.0 for key, value in flatness.items()},
        parallelism=round(_parallelism(wood, cells, planes[-1][0]), 3) + 0.0,
        squareness=squareness,
        straightness=straightness,
    )


def _between_corners(
    may: BaseGeometry, sure: BaseGeometry, lengths: _Sides, rough: BaseGeometry, cut: Collection[str]
) -> _Sides | None:
    """Measure the length anew, only where the wood as it arrived went across where both ends were cut.

    Only beside an edge that nobody cut: a corner that a cut edge lacks is a fault. And what the wood was
    before any cut decides, so that what a program takes too much still counts as missing.
    """
    ends = np.array([np.median(lengths.low_may), np.median(lengths.high_may)])
    there = _chords(rough, rough, 1, ends)
    if there is None:
        return lengths
    low, high = float(lengths.at[0]) - INSET, float(lengths.at[-1]) + INSET
    if "edge-1" not in cut:
        low = max(low, float(there.low_sure.max()))
    if "edge-2" not in cut:
        high = min(high, float(there.high_sure.min()))
    at = _stations(low, high)
    return None if at is None else _chords(may, sure, 0, at)


def _rounded(span: tuple[float, float]) -> tuple[float, float]:
    return (round(span[0], 3) + 0.0, round(span[1], 3) + 0.0)


def _plane(wood: Wood, side: int, cells: Mask) -> tuple[tuple[float, float], float]:
    """Fit a plane to a face: its slopes (of outward height), and a bound on its flatness."""
    hi, lo = wood.hi[side], wood.lo[side]
    zone = _zone(wood, side, cells, (0.0, 0.0))
    if zone < 1e-6:
        return (0.0, 0.0), 0.0
    x, y = wood.grid.centres()
    index = np.flatnonzero(cells)
    row, column = np.divmod(index[:: max(1, len(index) // 20_000)], wood.grid.columns)
    # Any plane gives a bound; a sample fits one well.
    basis = np.column_stack([x[column], y[row], np.ones(len(row))])
    z = (hi[row, column] + lo[row, column]) / 2
    (a, b, _), *_ = np.linalg.lstsq(basis, z, rcond=None)
    return (float(a), float(b)), min(_zone(wood, side, cells, (float(a), float(b))), zone)


def _zone(wood: Wood, side: int, cells: Mask, slope: tuple[float, float]) -> float:
    """Bound how far a face stands off a plane of these slopes, from lowest to highest; in bands of rows."""
    x, y = wood.grid.centres()
    highest, lowest = -np.inf, np.inf
    for first in range(0, len(y), BAND):
        rows = slice(first, first + BAND)
        level = slope[0] * x[None, :] + slope[1] * y[rows, None]
        off = wood.hi[side][rows] - level
        highest = max(highest, float(np.max(off, where=cells[rows], initial=-np.inf)))
        np.subtract(wood.lo[side][rows], level, out=off)
        lowest = min(lowest, float(np.min(off, where=cells[rows], initial=np.inf)))
    return highest - lowest


def _parallelism(wood: Wood, cells: Mask, base: tuple[float, float]) -> float:
    """Bound how far face A is from parallel to face B: its zone along B's plane."""
    # B's outward height falls where the board's own height rises, hence the sign.
    return _zone(wood, 1, cells, (-base[0], -base[1]))


def _line(at: Floats, may: Floats, sure: Floats, rise: float = 0.0) -> tuple[float, float]:
    """Fit a line to a side, or an arc that rises by `rise`: its slope, and a bound on its straightness."""
    middle, half = (at[0] + at[-1]) / 2, (at[-1] - at[0]) / 2 + INSET
    arc = rise * (1.0 - ((at - middle) / half) ** 2)
    may, sure = may - arc, sure - arc
    slope, offset = np.polyfit(at, (may + sure) / 2, 1)
    off = np.concatenate([may, sure]) - np.tile(slope * at + offset, 2)
    return float(slope), float(off.max() - off.min())


def judge_sizes(name: str, wanted: Wanted, finished: Finished, made: Collection[str]) -> list[Reason]:
    """Compare with what was wanted: wrong-size, out-of-flat, -parallel, -square, -straight.

    `made` names the faces ("face A") and sides that goals were set for: only of them can it be asked how
    flat, square and straight they are; a rough one is not held to it.
    """
    found: list[Reason] = []

    def tell(rule: str, what: str, measured: float, limit: float) -> None:
        text = f"{name}: {what} is {measured:.3f} mm in the simulated board; {limit:g} mm is the limit"
        found.append(Reason(rule=rule, measured=round(measured, 3), limit=round(limit, 4), message=text))

    allowed = wanted.tolerance
    sizes = (
        ("length", wanted.length, allowed.length, finished.length),
        ("width", wanted.width, allowed.width, finished.width),
        ("thickness", wanted.thickness, allowed.thickness, finished.thickness),
    )
    for what, want, within, got in sizes:
        if want is None:
            continue
        if got is None:
            text = f"{name}: no {what} can be measured on the simulated board; {want:g} mm is wanted"
            found.append(Reason(rule="wrong-size", limit=want, message=text))
            continue
        give = SIZE if within is None else within
        # Hollow edges make it narrower in the middle, on purpose.
        low = want - give - (sum(wanted.hollow.values()) if what == "width" else 0.0)
        if got[0] < low - MORE:
            tell("wrong-size", f"the least {what}", got[0], low)
        if got[1] > want + give + MORE:
            tell("wrong-size", f"the greatest {what}", got[1], want + give)
    faces = {f"face {face}": value for face, value in finished.flatness.items()}
    # What was cut must be measured too, or nobody knows whether it is true. An end is judged by squareness.
    edges = {"edge-1", "edge-2"}
    for rule, what, limit, values, asked in (
        ("out-of-flat", "flatness", allowed.flatness, faces, {"face A", "face B"}),
        ("out-of-square", "squareness", allowed.squareness, finished.squareness, {*edges, "end-1", "end-2"}),
        ("out-of-straight", "straightness", allowed.straightness, finished.straightness, edges),
    ):
        for cut in sorted(asked & set(made)) if limit is not None else ():
            value = values.get(cut)
            if value is None:
                text = f"{name}: no {what} of {cut} can be measured; {limit:g} mm is the limit"
                found.append(Reason(rule=rule, limit=limit, message=text))
            elif limit is not None and value > limit + MORE:
                tell(rule, f"{cut}'s {what}", value, limit)
    if allowed.parallelism is not None and (finished.parallelism or 0.0) > allowed.parallelism + MORE:
        tell("out-of-parallel", "parallelism", finished.parallelism or 0.0, allowed.parallelism)
    return found
