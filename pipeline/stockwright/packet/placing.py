"""Where words stand on a drawing's paper. In: places a word may take, best first. Out: the box it takes.

Promise: a word takes the first of its places where it covers no other word and no mark; where none is free,
it takes the nearest free paper, and a line leads back. So it does where it would stand nearer to another mark
of its kind than to its own. All in paper millimetres, y down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import chain
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

__all__ = ["LETTERS", "LINE_HIGH", "Box", "Paper", "Place", "Wanted", "box_at", "size_of"]

Point = tuple[float, float]
Box = tuple[float, float, float, float]
Place = tuple[float, float, str]  # where, and which part of the word stands there: start, middle, end
Wanted = tuple[Point, "Sequence[Place]", Point]  # a word's size, its places, and what it names
LETTERS = 3.9  # paper mm, 11.05 points: read at arm's length
LINE_HIGH = 1.08  # of a word's box by the height of its letters: capitals, and what hangs below the line
# Widths of letters by their height, on the wide side of the plain faces that browsers have; measured against
# what a browser sets in `make sheet`.
NARROW, SLIM, USUAL, WIDE = 0.37, 0.44, 0.63, 0.97
BOLD = 1.08
STEP, FARTHEST = 1.5, 60.0  # paper mm: between the rings that are tried, and the last of them
WAYS = 16  # places on each ring
LED = 5.0  # paper mm: farther off, a word is led back to what it names
NEARER = 1.0  # paper mm by which a word's own mark must be nearer than any other of its kind


@dataclass
class Paper:
    """What is taken of a paper `wide` by `high` mm."""

    wide: float
    high: float
    _taken: list[Box] = field(default_factory=list)
    _words: list[Box] = field(default_factory=list)

    def keep_free(self, box: Box) -> None:
        """Keep words off a box."""
        self._taken.append(box)

    def free(self, box: Box) -> bool:
        """Say whether nothing stands in a box."""
        x0, y0, x1, y1 = box
        return all(x1 <= a or c <= x0 or y1 <= b or d <= y0 for a, b, c, d in self._taken)

    def room_for(self, words: Iterable[Wanted], rivals: Sequence[Point]) -> bool:
        """Say whether every word finds one of its own places, so that none has to be led back; takes none."""
        tried = Paper(self.wide, self.high, list(self._taken), list(self._words))
        for size, places, lead in words:
            boxes = (box_at(x, y, size, anchor) for x, y, anchor in places)
            fit = (b for b in boxes if tried._inside(b) and tried.free(b) and not tried.led(b, lead, rivals))
            found = next(fit, None)
            if found is None:
                return False
            tried.keep_free(found)
        return True

    def put(
        self,
        size: Point,
        places: Sequence[Place],
        lead: Point | None,
        rivals: Sequence[Point] = (),
        *,
        fixed: bool,
    ) -> tuple[Box, str]:
        """Take the paper for a word, return box and anchor; `fixed`: at the first place whatever stands.

        `rivals`: marks of the same kind as `lead`; rather than nearer to one of them, a word stands farther
        off.
        """
        boxes = [(box_at(x, y, size, anchor), anchor) for x, y, anchor in places]
        found = boxes[0] if fixed else self._found(boxes, lead, rivals)
        self._taken.append(found[0])
        self._words.append(found[0])
        return found

    def led(self, box: Box, lead: Point, rivals: Sequence[Point] = ()) -> Point | None:
        """Return where the line from what is named meets the word's box, None where it stands close by."""
        met = _nearest(box, lead)
        return met if math.dist(met, lead) > LED or _mistaken(box, lead, rivals) else None

    def _found(
        self, boxes: Sequence[tuple[Box, str]], lead: Point | None, rivals: Sequence[Point]
    ) -> tuple[Box, str]:
        # Looked through anew each time and only as far as needed: nearly every word stands at an early one.
        def every() -> Iterator[tuple[Box, str]]:
            return (each for each in chain(boxes, _about(boxes[0], lead)) if self._inside(each[0]))

        def clear() -> Iterator[tuple[Box, str]]:
            return (each for each in every() if lead is None or not _mistaken(each[0], lead, rivals))

        # A line over another word is better than a word over another.
        opened = (each for each in chain(clear(), every()) if self._open(each[0], lead, rivals))
        free = (each for each in every() if self.free(each[0]))
        inside = (each for each in boxes if self._inside(each[0]))
        return next(chain(opened, free, inside, boxes))

    def _inside(self, box: Box) -> bool:
        return box[0] >= 0 and box[1] >= 0 and box[2] <= self.wide and box[3] <= self.high

    def _open(self, box: Box, lead: Point | None, rivals: Sequence[Point]) -> bool:
        if not self.free(box):
            return False
        met = None if lead is None else self.led(box, lead, rivals)
        if met is None or lead is None:
            return True
        # A leading line must not strike out another word.
        steps = max(int(math.dist(lead, met)), 2)
        along = [
            (lead[0] + k / steps * (met[0] - lead[0]), lead[1] + k / steps * (met[1] - lead[1]))
            for k in range(1, steps)
        ]
        return not any(a < x < c and b < y < d for x, y in along for a, b, c, d in self._words)


def _about(first: tuple[Box, str], lead: Point | None) -> Iterator[tuple[Box, str]]:
    """Yield boxes farther and farther from a first one, or from what is named."""
    (x0, y0, x1, y1), anchor = first
    if lead is not None:
        dx, dy = lead[0] - (x0 + x1) / 2, lead[1] - (y0 + y1) / 2
        x0, y0, x1, y1 = x0 + dx, y0 + dy, x1 + dx, y1 + dy
    for ring in range(1, int(FARTHEST / STEP)):
        for way in range(WAYS):
            turn = 2 * math.pi * way / WAYS
            dx, dy = ring * STEP * math.cos(turn), ring * STEP * math.sin(turn)
            yield (x0 + dx, y0 + dy, x1 + dx, y1 + dy), anchor


def _nearest(box: Box, to: Point) -> Point:
    return min(max(to[0], box[0]), box[2]), min(max(to[1], box[1]), box[3])


def _mistaken(box: Box, lead: Point, rivals: Sequence[Point]) -> bool:
    """Say whether a word in a box would be read as the name of another mark."""
    own = math.dist(_nearest(box, lead), lead)
    return any(other != lead and math.dist(_nearest(box, other), other) < own + NEARER for other in rivals)


def size_of(text: str, *, bold: bool, letters: float = LETTERS) -> Point:
    """Return how wide and high a word is on paper."""
    wide = sum(
        NARROW
        if letter in " .,:;'ilj|-"
        else SLIM
        if letter in "frtI()/"
        else WIDE
        if letter in "mwMW"
        else USUAL
        for letter in text
    )
    return wide * letters * (BOLD if bold else 1.0), letters * LINE_HIGH


def box_at(x: float, y: float, size: Point, anchor: str) -> Box:
    """Return the box of a word whose anchor and middle line are at a place."""
    left = {"start": x, "middle": x - size[0] / 2, "end": x - size[0]}[anchor]
    return (left, y - size[1] / 2, left + size[0], y + size[1] / 2)
