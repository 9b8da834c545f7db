"""A board's account told. In: what `report` gave. Out: lines of text, calm, meant for 80 columns.

Promise: the three ways of seating stand side by side, so that what measuring and shims gain can be seen;
every number that rests on an assumption is said with it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from stockwright.board.report import WARPS
from stockwright.frozen import frozen
from stockwright.units import INCH, System

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

__all__ = ["board_lines"]

_FEW = 2  # places told of one thing; the rest is in the JSON
_SMALL = 10.0  # mm: what is shorter is told in hundredths


@frozen
class _Told:
    """Lengths in mm told in one system of units, and sentences that others wrote in mm."""

    inch: bool
    words: Callable[[str], str]

    @property
    def unit(self) -> str:
        return "in" if self.inch else "mm"

    def number(self, value: float, places: int) -> str:
        """Return the bare number; `places` of a mm: hundredths are thousandths of an inch."""
        return f"{value / INCH:.{max(2, places + 1)}f}" if self.inch else f"{value:.{places}f}"

    def fine(self, value: float) -> str:
        """Return what is told in hundredths of a mm, with its unit."""
        return f"{self.number(value, 2)} {self.unit}"

    def size(self, value: float) -> str:
        """Return a shim's size as the shop names it."""
        return f"{round(value / INCH, 4):g}" if self.inch else f"{value:g}"


def board_lines(
    reports: Iterable[Mapping[str, Any]],
    together: Mapping[str, Any] | None = None,
    units: System = "mm",
    words: Callable[[str], str] = str,
) -> Iterator[str]:
    """Yield the accounts for a terminal, and for several boards what all of them can give.

    `words` writes a sentence of the report, which is in mm, in `units`.
    """
    u = _Told(units == "inch", words)
    listed = list(reports)
    for r in listed:
        length, width = (_span(u, r["rough"][measure]) for measure in ("length", "width"))
        yield f"{r['name']}: {length} x {width} {u.unit} rough"
        yield from (f"  {u.words(note)}" for note in r["notes"])
        yield from _warp(r, u)
        yield from _seatings(r, u)
        yield from _shims(r, u)
        yield from _largest(r, u)
        yield from _trades(r, u)
        yield from _first(r, u)
        yield from _grain(r["rises_towards"])
        if len(listed) > 1:
            yield ""
    if together is not None:
        yield from _together(listed, together, u)


def _warp(r: Mapping[str, Any], u: _Told) -> Iterator[str]:
    for face in ("A", "B"):
        at, value = r["flatness_at"][face], r["flatness"][face]
        between = (
            f", low at {_places(u, at['low'])}, high at {_places(u, at['high'])}" if value >= 0.005 else ""
        )
        yield f"  flat   {u.fine(value):>9}  face {face}{between}"
    for kind in WARPS:
        yield f"  {kind:<6} {u.fine(r['warp'][kind]['value']):>9}  {u.words(r['warp'][kind]['where'])}"


def _seatings(r: Mapping[str, Any], u: _Told) -> Iterator[str]:
    doubt = 2.0 * r["uncertainty"]
    yield (
        f"  thickness it can give, before anything is left for doubt "
        f"({u.fine(doubt)} to be sure of both faces)"
    )
    rocks = f", rocking by {u.fine(r['rocking'])}" if r["rocking"] >= 0.005 else ""
    yield f"    {u.fine(r['at_rest']):>9}  as it lies{rocks}"
    yield f"    {u.fine(r['no_rocking']):>9}  shimmed only until it does not rock"
    yield f"    {u.fine(r['thickest']):>9}  shimmed for the most"
    yield f"  {u.words(r['limiting'])}"


def _shims(r: Mapping[str, Any], u: _Told) -> Iterator[str]:
    card = r["shim_card"]
    if not r["shims"]:
        yield "  shims for the most: none"
    elif card["sizes"]:
        yield "  shims for the most, under face B; along and across as the board was read"
        yield "       along   across      gap     shim  stacked"
        for shim, gap, stack in zip(r["shims"], card["gaps"], card["stacks"], strict=True):
            pieces = " + ".join(u.size(piece) for piece in stack)
            row = f"{_under(u, shim)} {u.number(gap, 2):>8} {u.number(shim['thickness'], 2):>8}"
            yield f"    {row}  {pieces} {u.unit}"
    else:
        yield "  shims for the most, under face B; along and across as the board was read"
        yield "       along   across     shim"
        for shim in r["shims"]:
            yield f"    {_under(u, shim)} {u.number(shim['thickness'], 2):>8} {u.unit}"
    yield from (f"  {u.words(note)}" for note in r["seating_notes"])
    if card["sizes"] and abs(card["rounding_costs"]) < 0.005:
        yield u.words("  Rounding the shims to the shop's set costs less than 0.01 mm.")


def _largest(r: Mapping[str, Any], u: _Told) -> Iterator[str]:
    big = r["largest"]
    first, last = big["edge_1_line"]
    if not big["length"] * big["width"]:
        yield "  largest it can give, squared: nothing; so askew no rectangle lies inside it at both faces"
        return
    yield f"  largest it can give, squared: {_box(u, big)}"
    angle, way = abs(big["angle"]), "anticlockwise" if big["angle"] > 0 else "clockwise"
    turned = f"{angle:.2f} deg {way} of the line it was read from, " if angle >= 0.005 else ""
    yield (
        f"    its edge-1 runs {turned}{u.number(first['from_edge_1'], 1)} {u.unit} inside edge-1 at "
        f"{u.number(first['x'], 0)} {u.unit} "
        f"along and {u.number(last['from_edge_1'], 1)} {u.unit} at {u.number(last['x'], 0)} {u.unit} along"
    )


def _trades(r: Mapping[str, Any], u: _Told) -> Iterator[str]:
    big = r["largest"]
    thick = big["thickness"]
    yield "  if it is cut first, and every part seated on its own (saw kerf not taken off)"
    for each in r["cut_first"]:
        count, what = (each["pieces"], "pieces") if each["pieces"] > 1 else (each["strips"], "strips")
        if not each["length"] * each["width"]:
            yield f"    {'nothing':<24} {count} {what}: too small, or so askew that no rectangle lies in each"
            continue
        yield f"    {_box(u, each):<24} {count} {what}, {_gained(u, each['thickness'] - thick)}"
    share = 100.0 * r["skips"]["share"]
    yield f"  if skips may stay on {share:g} % of a hidden face, the other clean"
    for face, each in r["skips"]["hidden"].items():
        gain = each["thickness"] - thick
        deepest = (
            f", deepest {u.fine(each['deepest'])} at {_place(u, each)}" if each["deepest"] >= 0.005 else ""
        )
        yield f"    {u.fine(each['thickness']):>9}  face {face} hidden, {_gained(u, gain)}{deepest}"


def _gained(u: _Told, gain: float) -> str:
    return f"{u.fine(abs(gain))} {'thinner' if gain < 0 else 'thicker'}"


def _first(r: Mapping[str, Any], u: _Told) -> Iterator[str]:
    first = r["first_face"]
    cut = f"cut face {first['face']} first" if first["face"] else "cut either face first"
    yield f"  {cut}: {u.words(first['why'])}"


def _grain(sides: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    if not sides:
        return
    yield "  against tear-out, with a cutter that turns clockwise"
    for each in sides:
        taken = "" if each["read"] else ", if the fibres run straight through"
        yield f"    {each['side']} rises towards {each['towards']}{taken}: {each['cut']}"


def _together(listed: Sequence[Mapping[str, Any]], all_of: Mapping[str, Any], u: _Told) -> Iterator[str]:
    yield f"largest each can give, and all {len(listed)}"
    for r in listed:
        yield f"  {_box(u, r['largest']):<26} {r['name']}"
    by = all_of["limited_by"]
    names = list(dict.fromkeys(by.values()))
    if len(names) == 1:
        limited = f"{names[0]} limits it"
    else:
        limited = "limited by " + ", ".join(f"{by[m]} in {m}" for m in ("length", "width", "thickness"))
    yield f"  {_box(u, all_of['largest']):<26} all of them: {limited}"
    thinnest = all_of["thickest_limited_by"]
    yield f"all {len(listed)} boards can give {u.fine(all_of['thickest'])}; {thinnest} limits it"
    crowned = [each for each in all_of["faces_up"] if each["crown"] != "flat"]
    if not crowned:
        yield "side by side: no board is cupped enough to tell which face goes up"
        return
    yield "side by side, crowns up and down in turn"
    for each in all_of["faces_up"]:
        shape = "either, it is flat enough" if each["crown"] == "flat" else f"crown {each['crown']}"
        yield f"  face {each['face']} up  {each['name']}: {shape}"


def _places(u: _Told, places: Sequence[Mapping[str, float]]) -> str:
    return "; ".join(_place(u, place) for place in places[:_FEW])


def _under(u: _Told, shim: Mapping[str, float]) -> str:
    return f"{u.number(shim['x'], 1):>8} {u.number(shim['y'], 1):>8}"


def _place(u: _Told, place: Mapping[str, float]) -> str:
    return f"x {u.number(place['x'], 0)}, y {u.number(place['y'], 0)}"


def _box(u: _Told, size: Mapping[str, float]) -> str:
    """Return length and width that are surely there, of a board in whole mm or 0.01 in, and the thickness."""
    length, width = (_span(u, size[measure], down=True) for measure in ("length", "width"))
    return f"{length} x {width} x {u.fine(size['thickness'])}"


def _span(u: _Told, value: float, *, down: bool = False) -> str:
    """Return a length in whole mm, a small one in hundredths; with `down` no more than there is."""
    places = 0 if value >= _SMALL else 2
    if u.inch:
        value, places = value / INCH, 2 if places == 0 else 3
    if down:
        value = math.floor(value * 10**places + 1e-6) / 10**places
    return f"{value:.{places}f}"
