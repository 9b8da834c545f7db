"""A board's warp drawn. In: `Account`s. Out: SVG, or a page of HTML that holds it and the account in words.

Public:
    svg(accounts, shown=None, units="mm") -> str    `shown`: by the board's name, what is drawn instead of
                                                    the thickest; `units`: the person's, mm or inch
    html(accounts, lines, shown=None, units="mm") -> str
Promise: black on white and grey, no colour needed; nothing from outside; equal bytes for equal boards;
printed on a leaf as wide as A4 no word is smaller than nine points.
"""

from __future__ import annotations

import html as escaping
import math
import textwrap
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.contours import at_least
from stockwright.board.in_units import InUnits
from stockwright.board.sections import STOPS, Section, cross_sections, long_sections, nice_factor, section_svg
from stockwright.board.shown import Shown
from stockwright.board.strokes import FONT, Frame, number, text
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from stockwright.board.account import Account
    from stockwright.units import System

    Floats = NDArray[np.float64]

__all__ = ["html", "svg"]

# In the drawing's own units, which a browser prints 96 to the inch: a leaf of A4 within its margins. Nine
# points are 12 of them.
WIDE = 700.0
# No higher, it goes on one leaf of Letter, 263 mm within its margins, with words of nine points and more.
_LEAF, _ONE_LEAF = 263, 994.0
_SIDE = 46.0  # left and right of a plan, for its dimensions
_LEAD = 16.0  # from line to line
_TALLEST = 156.0  # of a plan
_FINE = 12  # steps between two stations, for smooth contours
_MOST_BANDS = 7  # of height: more shades of grey are not told apart
_RING = 8.0  # radius of the ring about a place that limits the thickness
_NARROW, _APART = 130.0, 36.0  # of sections side by side, which have titles
_READINGS_ALONG, _READINGS_ACROSS = (9, 56.0), (5, 34.0)  # told at most, and how far apart; drawn
_STYLE = f"""
text {{ font: 13px {FONT}; fill: #000; }}
.title {{ font-size: 19px; font-weight: bold; }}
.head {{ font-weight: bold; }}
.small {{ font-size: 12px; }}
.halo {{ stroke: #fff; stroke-width: 3px; paint-order: stroke; stroke-linejoin: round; }}
.line {{ fill: none; stroke: #000; stroke-width: 1.6; }}
.contour {{ stroke: #555; stroke-width: .7; fill-rule: evenodd; }}
.squared {{ fill: none; stroke: #000; stroke-width: 1.4; stroke-dasharray: 9 5; }}
.dot {{ fill: #000; }}
.ring {{ fill: none; stroke: #000; stroke-width: 2; }}
.waste {{ fill: #ccc; stroke: #000; stroke-width: 1.2; }}
.slab {{ fill: #fff; stroke: #000; stroke-width: 1.6; }}
.shim {{ fill: #000; }}
.bed {{ stroke: #000; stroke-width: 2.4; }}
.level {{ stroke: #000; stroke-width: .9; stroke-dasharray: 2 3; }}
.thin {{ stroke: #000; stroke-width: .7; fill: none; }}
"""


@frozen
class _Face:
    """One face as the plan shows it: wood to cut off at each place, mm."""

    name: str
    caption: str
    x: Floats
    y: Floats
    off: Floats
    at_stations: Floats


def svg(accounts: Sequence[Account], shown: Mapping[str, Shown] | None = None, units: System = "mm") -> str:
    """Return the drawing of all boards, one under the other."""
    told = InUnits(units)
    parts: list[str] = []
    below = 8.0
    for index, account in enumerate(accounts):
        drawn, below = _board(
            account, (shown or {}).get(account.board.name) or _thickest(account), below, index, told
        )
        parts += drawn
    tall = number(below)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(WIDE)} {tall}" '
        f'width="{number(WIDE)}" height="{tall}" role="img">\n'
        f"<title>{escaping.escape(', '.join(a.board.name for a in accounts))}: warp and seating</title>\n"
        f"<style>{_STYLE}</style>\n"
        f'<rect width="{number(WIDE)}" height="{tall}" fill="#fff"/>\n' + "\n".join(parts) + "\n</svg>\n"
    )


def html(
    accounts: Sequence[Account],
    lines: Iterable[str],
    shown: Mapping[str, Shown] | None = None,
    units: System = "mm",
) -> str:
    """Return a page with the drawing and the account in words below it."""
    title = escaping.escape(", ".join(a.board.name for a in accounts))
    below = escaping.escape("\n".join(lines))
    drawing = svg(accounts, shown, units)
    high = float(drawing.partition(' height="')[2].partition('"')[0])
    one_leaf = f"svg {{ max-height: {_LEAF}mm; }} " if high <= _ONE_LEAF else ""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>\n"
        "body { margin: 0 auto; max-width: 56rem; padding: 1rem; background: #fff; color: #000; }\n"
        f"@media print {{ @page {{ margin: 8mm; }} {one_leaf}body {{ max-width: none; padding: 0; }} }}\n"
        "svg { display: block; width: 100%; height: auto; }\n"
        ".wide { overflow-x: auto; }\n.wide:focus-visible { outline: 3px solid #555; }\n"
        "@media screen and (max-width: 44rem) { svg { min-width: 42rem; } }\n"  # words large enough to read
        "pre { font-size: .85rem; line-height: 1.35; white-space: pre-wrap; }\n"
        "</style>\n</head>\n<body>\n"
        '<div class="wide" tabindex="0" role="group" aria-label="Drawing">\n'
        f"{drawing}</div>\n"
        f"<pre>{below}</pre>\n</body>\n</html>\n"
    )


def _thickest(account: Account) -> Shown:
    return Shown(account.seatings["thickest"], "seated for the most")


def _board(account: Account, shown: Shown, top: float, index: int, told: InUnits) -> tuple[list[str], float]:
    """Return one board's drawing and where it ends."""
    board, best = account.board, shown.seating
    lean = math.sqrt(1.0 + best.a**2 + best.b**2)
    x_low, y_low, x_high, y_high = board.bounds
    length, width = x_high - x_low, y_high - y_low
    scale = min((WIDE - 2 * _SIDE) / length, _TALLEST / width)
    parts = [text(_SIDE, top + 22, board.name, "title")]
    below = top + 42
    for line in _broken(
        f"{told.size(length)} x {told.size(width)} {told.name} rough, "
        f"{shown.words}: {told.height((best.top - best.bottom) / lean)} {told.name}. "
        f"The readings are right within {told.doubt(board.uncertainty)}."
    ):
        parts.append(text(_SIDE, below, line))
        below += _LEAD
    below += 4
    faces = _faces(account, shown, told)
    bands = _Bands.of(faces, told)
    for face in faces:
        parts.append(text(_SIDE, below + 12, face.caption, "head"))
        frame = Frame((WIDE - scale * length) / 2 - scale * x_low, below + 40 + scale * y_high, scale, scale)
        parts += _plan(account, shown, face, frame, bands, f"b{index}{face.name}", told)
        below += 40 + scale * width + 26
    parts += _legend(bands, shown, below, told)
    below += 44
    factor, sections = _sections(account, shown, scale, told)
    larger = f"Sections: heights {factor:g} times as large as lengths; the slab's own thickness not to scale"
    lines = [(line, "head") for line in _broken(larger)]
    lines += [(line, "small") for line in _broken(_how_to_read(shown))]
    for line, kind in lines:
        parts.append(text(_SIDE, below + 12, line, kind))
        below += _LEAD
    below += 6
    for row in sections:
        left = _SIDE if len(row) > 1 else (WIDE - scale * (row[0].high - row[0].low)) / 2
        deepest = below
        for section in row:
            drawn, end = section_svg(section, left, below, scale, factor, told)
            parts += drawn
            left += max(scale * (section.high - section.low), _NARROW) + _APART
            deepest = max(deepest, end)
        below = deepest + 8
    return parts, below + 16


def _broken(words: str) -> list[str]:
    """Return words in lines that a drawing holds, by the wide side of a letter's mean width."""
    return textwrap.wrap(words, int((WIDE - 2 * _SIDE) / 7.0))


def _how_to_read(shown: Shown) -> str:
    shims = "black blocks are shims with their thickness" if shown.seating.shims else "no shims are needed"
    marks = "dotted: where each level cuts" if shown.levels else "triangles mark where the slab is stopped"
    return f"Grey comes off; {shims}; {marks}. Across, edge-1 is at the left."


def _faces(account: Account, shown: Shown, told: InUnits) -> tuple[_Face, _Face]:
    board, best = account.board, shown.seating
    x_low, y_low, x_high, y_high = board.bounds
    x, y = _between(board.x, x_low, x_high), _between(board.y, y_low, y_high)
    lean = math.sqrt(1.0 + best.a**2 + best.b**2)

    def off(xs: Floats, ys: Floats) -> tuple[Floats, Floats]:
        xx, yy = np.meshgrid(xs, ys, indexing="ij")
        xy = np.column_stack([xx.ravel(), yy.ravel()])
        tilt = xy @ np.array([best.a, best.b])
        above = (board.top_at(xy) - tilt - best.top) / lean
        below = (best.bottom - board.bottom_at(xy) + tilt) / lean
        return above.reshape(xx.shape), below.reshape(xx.shape)

    above, below = off(x, y)
    above_read, below_read = off(board.x, board.y)
    return (
        _Face(
            "A",
            f"Face A, seen from above: {told.name} to come off above the finished face",
            x,
            y,
            above,
            above_read,
        ),
        _Face(
            "B", f"Face B, seen through from above: {told.name} to come off below", x, y, below, below_read
        ),
    )


def _between(stations: Floats, low: float, high: float) -> Floats:
    """Return a lattice's places: the stations, the rim, and fine steps between them where they are few."""
    knots = np.unique(np.concatenate([[low], np.clip(stations, low, high), [high]]))
    steps = max(1, min(_FINE, math.ceil(120 / len(knots))))
    fine = [np.linspace(a, b, steps, endpoint=False) for a, b in pairwise(knots)]
    return np.concatenate([*fine, knots[-1:]])


@frozen
class _Bands:
    """Bands of height, numbered from 0 in steps of `step` mm; the drawing has `first` to `last`."""

    step: float
    first: int
    last: int

    @classmethod
    def of(cls, faces: Sequence[_Face], told: InUnits) -> _Bands:
        """Return bands for all the faces, few enough to be told apart."""
        least = max(min(float(face.off.min()) for face in faces), 0.0)
        most = max(float(face.off.max()) for face in faces)
        for step in told.steps():
            first, last = math.floor(least / step), math.floor(most / step)
            if last - first < _MOST_BANDS:
                break
        return cls(step, first, last)

    def grey(self, band: int) -> str:
        """Return the tone of a band: white where least comes off, never too dark for the numbers on it."""
        tone = 255 - round(min(band - self.first, _MOST_BANDS) * 105 / _MOST_BANDS)
        return f"#{tone:02x}{tone:02x}{tone:02x}"


def _plan(
    account: Account, shown: Shown, face: _Face, frame: Frame, bands: _Bands, name: str, told: InUnits
) -> list[str]:
    board = account.board
    outline = frame.points(board.outline)
    parts = [
        f'<clipPath id="{name}"><polygon points="{outline}"/></clipPath>',
        f'<g clip-path="url(#{name})">',
    ]
    parts.append(f'<polygon points="{outline}" fill="{bands.grey(bands.first)}"/>')
    for band in range(bands.first + 1, bands.last + 1):
        loops = at_least(face.x, face.y, face.off, band * bands.step)
        path = "".join(f"M{frame.points(loop)}Z" for loop in loops if len(loop) > 2)
        if path:
            parts.append(f'<path class="contour" fill="{bands.grey(band)}" d="{path}"/>')
    parts.append("</g>")
    parts.append(f'<polygon class="line" points="{outline}"/>')
    parts.append(f'<polygon class="squared" points="{frame.points(account.whole.region)}"/>')
    parts += _readings(account, shown, face, frame, told)
    return parts + _names(board.bounds, frame)


def _readings(account: Account, shown: Shown, face: _Face, frame: Frame, told: InUnits) -> list[str]:
    board = account.board
    stops = [
        (limit.x, limit.y)
        for limit in (() if shown.levels else shown.seating.limiting)
        if (limit.side == "top") == (face.name == "A")
    ]
    for i, j in np.argwhere(face.at_stations <= STOPS):
        near = float(board.x[i]), float(board.y[j])
        # A ring around the rim's place stands for the reading beside it too.
        if all(math.dist(frame.at(*near), frame.at(*other)) > 2 * _RING for other in stops):
            stops.append(near)
    parts = []
    for place in stops:
        x, y = frame.at(*place)
        parts.append(f'<circle class="ring" cx="{number(x)}" cy="{number(y)}" r="{number(_RING)}"/>')
    for i in _told(frame.along * board.x, *_READINGS_ALONG):
        for j in _told(frame.up * board.y, *_READINGS_ACROSS):
            x, y = frame.at(float(board.x[i]), float(board.y[j]))
            parts.append(f'<circle class="dot" cx="{number(x)}" cy="{number(y)}" r="2"/>')
            first, last = i == 0, i == len(board.x) - 1
            anchor = "start" if first else "end" if last else "middle"
            shift = 11.0 if first else -11.0 if last else 0.0
            up = -7.0 if j == 0 else 16.0
            value = face.at_stations[i, j]
            parts.append(text(x + shift, y + up, told.height(float(value)), "halo", anchor))
    return parts


def _told(places: Floats, most: int, apart: float) -> list[int]:
    """Return the indices of at most `most` places (drawn, rising), the first and last among them, `apart`."""
    count = len(places)
    even = sorted({round(k * (count - 1) / (min(most, count) - 1)) for k in range(min(most, count))})
    kept = [0]
    for i in even[1:-1]:
        if places[i] - places[kept[-1]] >= apart and places[-1] - places[i] >= apart:
            kept.append(i)
    return [*kept, count - 1]


def _names(bounds: tuple[float, float, float, float], frame: Frame) -> list[str]:
    left, low = frame.at(bounds[0], bounds[1])
    right, high = frame.at(bounds[2], bounds[3])
    middle = (left + right) / 2
    return [
        text(middle, low + 17, "edge-1", "small", "middle"),
        text(middle, high - 8, "edge-2", "small", "middle"),
        text(left - 8, (low + high) / 2, "end-1", "small", "middle", turn=-90),
        text(right + 16, (low + high) / 2, "end-2", "small", "middle", turn=-90),
    ]


def _legend(bands: _Bands, shown: Shown, top: float, told: InUnits) -> list[str]:
    parts = []
    x = _SIDE
    for band in range(bands.first, bands.last + 1):
        place = f'x="{number(x)}" y="{number(top)}" width="26" height="14"'
        parts.append(f'<rect class="thin" {place} style="fill:{bands.grey(band)}"/>')
        parts.append(text(x + 31, top + 12, told.round(band * bands.step), "small"))
        x += 66
    rings = "" if shown.levels else "Rings: where the slab is stopped. "
    parts.append(text(x, top + 12, f"{told.name} and more.", "small"))
    return [*parts, text(_SIDE, top + 12 + _LEAD, f"{rings}Dashes: the largest, squared.", "small")]


def _sections(
    account: Account, shown: Shown, scale: float, told: InUnits
) -> tuple[float, list[list[Section]]]:
    """Return the factor that heights are drawn larger by, and the sections in rows."""
    along, across = long_sections(account, shown, told), cross_sections(account, shown, told)
    factor = nice_factor([*along, *across], scale)
    rows: list[list[Section]] = []
    room = 0.0
    for section in across:
        wide = scale * (section.high - section.low)
        if room < wide:
            rows.append([])
            room = WIDE - 2 * _SIDE
        rows[-1].append(section)
        room -= max(wide, _NARROW) + _APART
    return factor, [*([each] for each in along), *rows]
