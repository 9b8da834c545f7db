"""A board's account told. In: what `report` gave. Out: lines of text, calm, meant for 80 columns.

Promise: the three ways of seating stand side by side, so that what measuring and shims gain can be seen;
every number that rests on an assumption is said with it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from stockwright.board.report import WARPS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

__all__ = ["board_lines"]

_FEW = 2  # places told of one thing; the rest is in the JSON
_SMALL = 10.0  # mm: what is shorter is told in hundredths


def board_lines(
    reports: Iterable[Mapping[str, Any]], together: Mapping[str, Any] | None = None
) -> Iterator[str]:
    """Yield the accounts for a terminal, and for several boards what all of them can give."""
    listed = list(reports)
    for r in listed:
        yield f"{r['name']}: {_span(r['rough']['length'])} x {_span(r['rough']['width'])} mm rough"
        yield from (f"  {note}" for note in r["notes"])
        yield from _warp(r)
        yield from _seatings(r)
        yield from _shims(r)
        yield from _largest(r)
        yield from _trades(r)
        yield from _first(r)
        yield from _grain(r["rises_towards"])
        if len(listed) > 1:
            yield ""
    if together is not None:
        yield from _together(listed, together)


def _warp(r: Mapping[str, Any]) -> Iterator[str]:
    for face in ("A", "B"):
        at, value = r["flatness_at"][face], r["flatness"][face]
        between = f", low at {_places(at['low'])}, high at {_places(at['high'])}" if value >= 0.005 else ""
        yield f"  flat   {value:>6.2f} mm  face {face}{between}"
    for kind in WARPS:
        yield f"  {kind:<6} {r['warp'][kind]['value']:>6.2f} mm  {r['warp'][kind]['where']}"


def _seatings(r: Mapping[str, Any]) -> Iterator[str]:
    doubt = 2.0 * r["uncertainty"]
    yield (
        f"  thickness it can give, before anything is left for doubt "
        f"({doubt:.2f} mm to be sure of both faces)"
    )
    rocks = f", rocking by {r['rocking']:.2f} mm" if r["rocking"] >= 0.005 else ""
    yield f"    {r['at_rest']:>6.2f} mm  as it lies{rocks}"
    yield f"    {r['no_rocking']:>6.2f} mm  shimmed only until it does not rock"
    yield f"    {r['thickest']:>6.2f} mm  shimmed for the most"
    yield f"  {r['limiting']}"


def _shims(r: Mapping[str, Any]) -> Iterator[str]:
    card = r["shim_card"]
    if not r["shims"]:
        yield "  shims for the most: none"
    elif card["sizes"]:
        yield "  shims for the most, under face B; along and across as the board was read"
        yield "       along   across      gap     shim  stacked"
        for shim, gap, stack in zip(r["shims"], card["gaps"], card["stacks"], strict=True):
            pieces = " + ".join(f"{piece:g}" for piece in stack)
            yield (
                f"    {shim['x']:>8.1f} {shim['y']:>8.1f} {gap:>8.2f} {shim['thickness']:>8.2f}  {pieces} mm"
            )
    else:
        yield "  shims for the most, under face B; along and across as the board was read"
        yield "       along   across     shim"
        for shim in r["shims"]:
            yield f"    {shim['x']:>8.1f} {shim['y']:>8.1f} {shim['thickness']:>8.2f} mm"
    yield from (f"  {note}" for note in r["seating_notes"])
    if card["sizes"] and abs(card["rounding_costs"]) < 0.005:
        yield "  Rounding the shims to the shop's set costs less than 0.01 mm."


def _largest(r: Mapping[str, Any]) -> Iterator[str]:
    big = r["largest"]
    first, last = big["edge_1_line"]
    if not big["length"] * big["width"]:
        yield "  largest it can give, squared: nothing; so askew no rectangle lies inside it at both faces"
        return
    yield f"  largest it can give, squared: {_box(big)}"
    angle, way = abs(big["angle"]), "anticlockwise" if big["angle"] > 0 else "clockwise"
    turned = f"{angle:.2f} deg {way} of the line it was read from, " if angle >= 0.005 else ""
    yield (
        f"    its edge-1 runs {turned}{first['from_edge_1']:.1f} mm in from edge-1 at {first['x']:.0f} mm "
        f"along and {last['from_edge_1']:.1f} mm in at {last['x']:.0f} mm along"
    )


def _trades(r: Mapping[str, Any]) -> Iterator[str]:
    big = r["largest"]
    thick = big["thickness"]
    yield "  if it is cut first, and every part seated on its own (saw kerf not taken off)"
    for each in r["cut_first"]:
        count, what = (each["pieces"], "pieces") if each["pieces"] > 1 else (each["strips"], "strips")
        if not each["length"] * each["width"]:
            yield f"    {'nothing':<24} {count} {what}: too small, or so askew that no rectangle lies in each"
            continue
        yield f"    {_box(each):<24} {count} {what}, {each['thickness'] - thick:.2f} mm thicker"
    share = 100.0 * r["skips"]["share"]
    yield f"  if skips may stay on {share:g} % of a hidden face, the other clean"
    for face, each in r["skips"]["hidden"].items():
        gain = each["thickness"] - thick
        deepest = f", deepest {each['deepest']:.2f} mm at {_place(each)}" if each["deepest"] >= 0.005 else ""
        yield f"    {each['thickness']:>6.2f} mm  face {face} hidden, {gain:.2f} mm thicker{deepest}"


def _first(r: Mapping[str, Any]) -> Iterator[str]:
    first = r["first_face"]
    cut = f"cut face {first['face']} first" if first["face"] else "cut either face first"
    yield f"  {cut}: {first['why']}"


def _grain(sides: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    if not sides:
        return
    yield "  against tear-out, with a cutter that turns clockwise"
    for each in sides:
        taken = "" if each["read"] else ", if the fibres run straight through"
        yield f"    {each['side']} rises towards {each['towards']}{taken}: {each['cut']}"


def _together(listed: Sequence[Mapping[str, Any]], all_of: Mapping[str, Any]) -> Iterator[str]:
    yield f"largest each can give, and all {len(listed)}"
    for r in listed:
        yield f"  {_box(r['largest']):<26} {r['name']}"
    by = all_of["limited_by"]
    names = list(dict.fromkeys(by.values()))
    if len(names) == 1:
        limited = f"{names[0]} limits it"
    else:
        limited = "limited by " + ", ".join(f"{by[m]} in {m}" for m in ("length", "width", "thickness"))
    yield f"  {_box(all_of['largest']):<26} all of them: {limited}"
    thinnest = all_of["thickest_limited_by"]
    yield f"all {len(listed)} boards can give {all_of['thickest']:.2f} mm; {thinnest} limits it"
    crowned = [each for each in all_of["faces_up"] if each["crown"] != "flat"]
    if not crowned:
        yield "side by side: no board is cupped enough to tell which face goes up"
        return
    yield "side by side, crowns up and down in turn"
    for each in all_of["faces_up"]:
        shape = "either, it is flat enough" if each["crown"] == "flat" else f"crown {each['crown']}"
        yield f"  face {each['face']} up  {each['name']}: {shape}"


def _places(places: Sequence[Mapping[str, float]]) -> str:
    return "; ".join(_place(place) for place in places[:_FEW])


def _place(place: Mapping[str, float]) -> str:
    return f"x {place['x']:.0f}, y {place['y']:.0f}"


def _box(size: Mapping[str, float]) -> str:
    """Return length and width that are surely there, of a board in whole mm, and the thickness."""
    length, width = (_span(size[measure], down=True) for measure in ("length", "width"))
    return f"{length} x {width} x {size['thickness']:.2f} mm"


def _span(value: float, *, down: bool = False) -> str:
    """Return a length in whole mm, a small one in hundredths; with `down` no more than there is."""
    places = 0 if value >= _SMALL else 2
    if down:
        value = math.floor(value * 10**places + 1e-6) / 10**places
    return f"{value:.{places}f}"
