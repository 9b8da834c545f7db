"""Drawings as SVG text: a page in paper millimetres with a part to scale inside it.

In: shapes in work-frame millimetres and words. Out: one `<svg>` element. Promise: what is to scale keeps its
work-frame numbers in the file, under one transform; every name is escaped; words do not overlap while a free
place is near; nothing depends on colour.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

import numpy as np
from markupsafe import Markup, escape

from stockwright.frozen import frozen
from stockwright.packet.ink import INK, LINE, drawn_as, is_bold, written_as
from stockwright.packet.ink import number as _n
from stockwright.packet.placing import LETTERS, Paper, box_at, size_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from stockwright.packet.placing import Box, Place

__all__ = ["ALONG", "AROUND", "FIXED", "LEVEL", "UPRIGHT", "Canvas", "Moves", "Window", "cutting_moves"]

Point = tuple[float, float]
GAP = 1.2  # paper mm between what is measured and its extension line, as ISO 129-1 allows; from memory
LEVEL = (4.6, 4.0)  # paper mm: how wide and high the mark of a height is
SHORTEST_STEP = 4.0  # paper mm: a short word moves at least so far aside
# Where else a word may stand, in its own widths and heights: round about, or along a line.
AROUND = tuple(
    (dx, dy) for dy in (0.0, -1.0, 1.0, -2.0, 2.0, -3.0, 3.0) for dx in (0.0, 0.55, -0.55, 1.1, -1.1)
)
ALONG = tuple((dx * side, 0.0) for dx in (0.0, 0.7, 1.4, 2.1, 2.8, 3.5) for side in (1.0, -1.0))
FIXED = ((0.0, 0.0),)
UPRIGHT = tuple((0.0, dy * side) for dy in (0.0, 1.0, 2.0, 3.0, 4.0) for side in (1.0, -1.0))


class Moves(Protocol):
    """A program's straight moves in order, work frame: whoever has read or built them may hand them in."""

    @property
    def start(self) -> NDArray[np.float64]:
        """Where each begins, (n, 3) mm."""

    @property
    def end(self) -> NDArray[np.float64]:
        """Where each ends, (n, 3) mm."""

    @property
    def rapid(self) -> NDArray[np.bool_]:
        """Which are not at a feed, (n,)."""


@frozen
class Window:
    """The part of the work plane that is drawn, mm, and the free paper round it, paper mm."""

    low: Point
    high: Point
    left: float = 8.0
    right: float = 8.0
    above: float = 8.0
    below: float = 8.0


@dataclass
class Canvas:
    """One drawing. `across` and `down` are measured in work mm; words are set in paper mm."""

    key: str
    title: str
    window: Window
    width: float
    greatest_height: float
    letters: float = LETTERS
    scale: float = field(init=False)
    height: float = field(init=False)
    _drawn: list[str] = field(default_factory=list, init=False)
    _lined: list[str] = field(default_factory=list, init=False)
    _written: list[str] = field(default_factory=list, init=False)
    _paper: Paper = field(init=False)
    _hatches: set[str] = field(default_factory=set, init=False)

    def __post_init__(self) -> None:
        w = self.window
        wide, high = w.high[0] - w.low[0], w.high[1] - w.low[1]
        self.scale = min(
            (self.width - w.left - w.right) / wide, (self.greatest_height - w.above - w.below) / high
        )
        self.height = high * self.scale + w.above + w.below
        self._paper = Paper(self.width, self.height)
        # A drawing narrower than the page stands in its middle.
        self._shift = (self.width - w.left - w.right - wide * self.scale) / 2

    def at(self, point: Point) -> Point:
        """Return the place on paper of a work-frame point."""
        w = self.window
        return (
            w.left + self._shift + (point[0] - w.low[0]) * self.scale,
            w.above + (w.high[1] - point[1]) * self.scale,
        )

    def polygon(self, kind: str, points: Iterable[Point], name: str = "") -> None:
        """Draw a closed outline, to scale; `name` becomes its data-name."""
        self._shape("polygon", kind, points, name)

    def patches(self, kind: str, outlines: Iterable[Iterable[Point]], hatch: str) -> None:
        """Draw many closed outlines as one shape filled with a hatching, to a tenth of a millimetre."""
        path = "".join(
            "M" + "L".join(f"{_n(x, 1)} {_n(y, 1)}" for x, y in outline) + "Z" for outline in outlines
        )
        if path:
            self._drawn.append(
                Markup('<path class="{}"{} d="{}"/>').format(
                    kind, drawn_as(kind, self.scale, self.filled(hatch)), path
                )
            )

    def line(self, kind: str, points: Iterable[Point], name: str = "") -> None:
        """Draw an open line, to scale."""
        self._shape("polyline", kind, points, name)

    def dot(self, kind: str, point: Point, name: str = "", radius: float = 1.2) -> None:
        """Mark a place with a disc of `radius` paper mm."""
        named = Markup(' data-name="{}"').format(name) if name else ""
        self.keep_free(self.at(point), radius)
        self._drawn.append(
            Markup('<circle class="{}"{} cx="{}" cy="{}" r="{}"{}/>').format(
                kind,
                drawn_as(kind, self.scale),
                _n(point[0]),
                _n(point[1]),
                _n(radius / self.scale),
                named,
            )
        )

    def level(self, point: Point, name: str) -> None:
        """Mark a height: a triangle on its tip, half of it black, as levels are marked on builders' drawings.

        Common practice, no source.
        """
        half, high = LEVEL[0] / 2 / self.scale, LEVEL[1] / self.scale
        x, y = point
        self.polygon("level", ((x, y), (x + half, y + high), (x - half, y + high)), name)
        self.polygon("solid-ink", ((x, y), (x, y + high), (x - half, y + high)))
        across, down = self.at(point)
        self.keep_free((across, down - LEVEL[1] / 2), LEVEL[0] / 2 + 0.3, LEVEL[1] / 2 + 0.3)

    def stroke(self, kind: str, a: Point, b: Point) -> None:
        """Draw a line between two places on paper."""
        self._lined.append(
            Markup('<line class="{}"{} x1="{}" y1="{}" x2="{}" y2="{}"/>').format(
                kind, drawn_as(kind), _n(a[0]), _n(a[1]), _n(b[0]), _n(b[1])
            )
        )

    def sample(self, at: Point, size: Point, hatch: str) -> None:
        """Draw a box with its upper left corner at a place on paper, filled with a hatching, for a legend."""
        w = self.window
        x, y = (at[0] - w.left - self._shift) / self.scale, (at[1] - w.above) / self.scale
        wide, high = size[0] / self.scale, size[1] / self.scale
        left, top = w.low[0] + x, w.high[1] - y
        corners = ((left, top), (left + wide, top), (left + wide, top - high), (left, top - high))
        self.hatched("sample", corners, hatch)

    def arrow(self, kind: str, tip: Point, direction: Point, size: float = 3.4) -> None:
        """Draw an arrow head on paper, `direction` in paper sense (y down)."""
        length = (direction[0] ** 2 + direction[1] ** 2) ** 0.5 or 1.0
        dx, dy = direction[0] / length, direction[1] / length
        back = (tip[0] - dx * size, tip[1] - dy * size)
        half = size * 0.38
        points = (tip, (back[0] - dy * half, back[1] + dx * half), (back[0] + dy * half, back[1] - dx * half))
        self._lined.append(
            Markup('<polygon class="{}"{} points="{}"/>').format(
                kind, drawn_as(kind), " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
            )
        )

    def word(
        self,
        at: Point,
        text: str,
        kind: str = "word",
        anchor: str = "middle",
        tries: Iterable[Point] = AROUND,
        lead: Point | None = None,
    ) -> Point:
        """Write `text` with its middle line at the paper place `at`, or at the first free place of `tries`.

        `lead`: the place on paper that it names, as in `put`. Returns how far it had to move, paper mm.
        """
        wide, high = self._size(text, kind)
        step = max(wide, SHORTEST_STEP)
        fixed = tries is FIXED
        places = [(at[0] + dx * step, at[1] + dy * high, anchor) for dx, dy in (*FIXED, *tries)]
        box = self.put(places, text, kind, lead, fixed=fixed)
        first = box_at(*at, (wide, high), anchor)
        return (box[0] - first[0], box[1] - first[1])

    def put(
        self,
        places: Sequence[Place],
        text: str,
        kind: str = "word",
        lead: Point | None = None,
        rivals: Sequence[Point] = (),
        *,
        fixed: bool = False,
    ) -> Box:
        """Write `text` at the first free one of `places` on paper, else on the nearest free paper.

        `lead`: the place on paper that it names; standing too far off, or nearer to one of `rivals`, it is
        led back there by a line.
        """
        box, anchor = self._paper.put(self._size(text, kind), places, lead, rivals, fixed=fixed)
        met = None if lead is None else self._paper.led(box, lead, rivals)
        if lead is not None and met is not None:
            self.stroke("lead", lead, met)
            # Letters may be narrower than the box: they begin or end where the line meets it.
            anchor = "start" if met[0] <= box[0] else "end" if met[0] >= box[2] else anchor
        x = {"start": box[0], "middle": (box[0] + box[2]) / 2, "end": box[2]}[anchor]
        self._written.append(
            Markup('<text class="{}"{} x="{}" y="{}" text-anchor="{}">{}</text>').format(
                kind, written_as(kind), _n(x), _n((box[1] + box[3]) / 2 + self.letters * 0.36), anchor, text
            )
        )
        return box

    def room_for(self, words: Iterable[tuple[Sequence[Place], str, Point]], kind: str) -> bool:
        """Say whether every word finds one of its places, near what it names and nothing else of `words`."""
        every = list(words)
        wanted = [(self._size(text, kind), places, lead) for places, text, lead in every]
        return self._paper.room_for(wanted, [lead for _, _, lead in every])

    def fitting(self, texts: Sequence[str], kind: str, room: float) -> str:
        """Return the first of `texts` that is no wider than `room`, paper mm; else the last."""
        return next((text for text in texts if self._size(text, kind)[0] <= room), texts[-1])

    def in_words(self, text: str, shift: Point) -> Point:
        """Return a shift on paper in widths and heights of `text`, as `word` tries it."""
        wide, high = self._size(text, "word")
        return (shift[0] / max(wide, SHORTEST_STEP), shift[1] / high)

    def keep_free(self, at: Point, half: float, half_up: float | None = None) -> None:
        """Keep words off the paper round a place on it."""
        up = half if half_up is None else half_up
        self._paper.keep_free((at[0] - half, at[1] - up, at[0] + half, at[1] + up))

    def free(self, at: Point, half: float, half_up: float) -> bool:
        """Say whether the paper round a place on it is free."""
        return self._paper.free((at[0] - half, at[1] - half_up, at[0] + half, at[1] + half_up))

    def span_across(
        self, x0: float, x1: float, paper_y: float, text: str, edge: tuple[float, float] | None = None
    ) -> None:
        """Draw a dimension between two work x, at a paper height.

        `edge`: the work y of what is measured at either end; extension lines come from there.
        """
        a, b = self.at((x0, 0.0))[0], self.at((x1, 0.0))[0]
        self.stroke("measure", (a, paper_y), (b, paper_y))
        for x, y in zip((a, b), edge or (None, None), strict=True):
            self.stroke("measure", (x - 1.0, paper_y + 1.0), (x + 1.0, paper_y - 1.0))
            begin = paper_y - 1.8 if y is None else self.at((0.0, y))[1]
            sense = 1.0 if paper_y > begin else -1.0
            gap = 0.0 if y is None else GAP
            if abs(paper_y - begin) > gap:
                self.stroke("extension", (x, begin + sense * gap), (x, paper_y + sense * 1.8))
        self.keep_free(((a + b) / 2, paper_y), abs(b - a) / 2, 0.5)
        self.word(((a + b) / 2, paper_y - 2.7), text, tries=ALONG)  # just clear of its line

    def span_up(
        self,
        y0: float,
        y1: float,
        paper_x: float,
        text: str,
        anchor: str = "start",
        edge: tuple[float, float] | None = None,
    ) -> None:
        """Draw a dimension between two work heights, at a paper place across; `edge` as above, work x."""
        a, b = self.at((0.0, y0))[1], self.at((0.0, y1))[1]
        self.stroke("measure", (paper_x, a), (paper_x, b))
        for y, x in zip((a, b), edge or (None, None), strict=True):
            self.stroke("measure", (paper_x - 1.0, y + 1.0), (paper_x + 1.0, y - 1.0))
            begin = paper_x - 1.8 if x is None else self.at((x, 0.0))[0]
            along = 1.0 if paper_x > begin else -1.0
            gap = 0.0 if x is None else GAP
            if abs(paper_x - begin) > gap:
                self.stroke("extension", (begin + along * gap, y), (paper_x + along * 1.8, y))
        self.keep_free((paper_x, (a + b) / 2), 1.0, abs(b - a) / 2)
        sense = 1.0 if anchor == "start" else -1.0
        across, _ = self.in_words(
            text, (-sense * (self._size(text, "word")[0] + 4.8), 0.0)
        )  # to the line's other side
        tries = ((0.0, -0.5), (0.0, 0.5), (0.0, -1.0), (across, 0.0), *UPRIGHT, *AROUND)
        high = self._size(text, "word")[1]
        # Between lines that are closer than it is high they would strike it out: it stands above them.
        middle = (a + b) / 2 if abs(b - a) > high + 0.6 else min(a, b) - high / 2 - 0.3
        self.word((paper_x + sense * 2.4, middle), text, "word", anchor, tries, (paper_x, (a + b) / 2))

    def svg(self) -> Markup:
        """Return the drawing: the to-scale part first, words over it."""
        x, y = self.at((0.0, 0.0))
        # Hatching is laid out on paper, not to scale, so that it looks alike in every drawing.
        hatches = Markup("").join(
            Markup(
                '<pattern id="{}-{}" width="{}" height="{}" patternUnits="userSpaceOnUse" '
                'patternTransform="scale({}) rotate({})"><path d="{}" class="hatch" fill="none" '
                'stroke="#777" stroke-width="0.28"/></pattern>'
            ).format(self.key, name, size, size, _n(1 / self.scale, 6), turn, path)
            for name, size, turn, path in (*HATCHES, *(h for h in MORE_HATCHES if h[0] in self._hatches))
        )
        return Markup(
            '<svg class="drawing {}" viewBox="0 0 {} {}" role="img" aria-label="{}">'
            "<title>{}</title><defs>{}</defs>"
            '<g data-frame="work" fill="none" stroke="{}" stroke-width="{}" '
            'transform="matrix({} 0 0 {} {} {})">{}</g>'
            '<g fill="none" stroke="{}" stroke-width="{}">{}</g>'
            '<g class="words" fill="{}" stroke="#fff" stroke-width="0.9" stroke-linejoin="round" '
            'paint-order="stroke" font-size="{}">{}</g></svg>'
        ).format(
            self.key,
            _n(self.width),
            _n(self.height),
            self.title,
            self.title,
            hatches,
            INK,
            _n(LINE / self.scale),
            _n(self.scale, 6),
            _n(-self.scale, 6),
            _n(x, 6),
            _n(y, 6),
            Markup("").join(self._drawn),
            INK,
            LINE,
            Markup("").join(self._lined),
            INK,
            self.letters,
            Markup("").join(self._written),
        )

    def filled(self, hatch: str) -> str:
        """Return the fill of a named hatching."""
        self._hatches.add(hatch)
        return f"url(#{self.key}-{hatch})"

    def hatched(self, kind: str, points: Sequence[Point], hatch: str, name: str = "") -> None:
        """Draw a closed outline filled with a hatching."""
        named = Markup(' data-name="{}"').format(name) if name else ""
        self._drawn.append(
            Markup('<polygon class="{}"{} points="{}"{}/>').format(
                kind, drawn_as(kind, self.scale, self.filled(hatch)), _listed(points), named
            )
        )

    def _shape(self, element: str, kind: str, points: Iterable[Point], name: str) -> None:
        named = Markup(' data-name="{}"').format(name) if name else ""
        self._drawn.append(
            Markup('<{} class="{}"{} points="{}"{}/>').format(
                element, kind, drawn_as(kind, self.scale), _listed(points), named
            )
        )

    def _size(self, text: str, kind: str) -> Point:
        return size_of(text, bold=is_bold(kind), letters=self.letters)


HATCHES = (
    ("slant", 2.0, 45, "M0 0V2"),
    ("back", 2.0, -45, "M0 0V2"),
    ("wide", 3.2, 45, "M0 0V3.2"),
    ("cross", 2.4, 45, "M0 0V2.4M0 0H2.4"),
    ("dots", 1.8, 0, "M0.5 0.5h0.35"),
)
MORE_HATCHES = (  # of drawings that need more than one density
    ("grid", 2.4, 0, "M0 0V2.4M0 0H2.4"),
    ("close-slant", 1.1, 45, "M0 0V1.1"),
    ("close-grid", 1.2, 0, "M0 0V1.2M0 0H1.2"),
)


def cutting_moves(moves: Moves) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return start and end, (m, 3) each, of the moves at a feed whose ends are both known."""
    known = np.isfinite(moves.start).all(axis=1) & np.isfinite(moves.end).all(axis=1)
    feeds = known & ~np.asarray(moves.rapid, dtype=bool)
    return moves.start[feeds], moves.end[feeds]


def _listed(points: Iterable[Point]) -> Markup:
    return escape(" ".join(f"{_n(x)},{_n(y)}" for x, y in points))
