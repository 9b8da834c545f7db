"""Motion in word-address lines. In: nodes that move, and what has been said. Out: the words of their lines.

Promise: positions are absolute and rounded once, to whole counts of the resolution; a word already said is
left out only where the traits allow it and it still holds; an arc that rounding would spoil is written as
chords.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stockwright.findings import Refused
from stockwright.motion.nodes import Arc, Feed, Probe, Rapid
from stockwright.posting.arc_words import centre_counts, radius_count
from stockwright.posting.digits import Numbers, count, digits, grid, step_of
from stockwright.posting.file_name import file_name
from stockwright.posting.refusing import cannot_say, slanting, too_near_to_touch

if TYPE_CHECKING:
    from collections.abc import Iterator

    import numpy as np
    from numpy.typing import NDArray

    from stockwright.posting.said import Said
    from stockwright.posting.traits import Traits, Units

__all__ = ["MotionWords"]

# How far the radii at both ends of an arc may differ: mm, inch (NISTIR 6556, 3.5.3.2).
RADII_MM, RADII_INCH = 0.002, 0.0002
LEAST_TOUCH = 0.254  # mm: from nearer a probing move is an error (NISTIR 6556, 3.5.9)


_BLOCK = 4096  # points that are rounded and written together


class MotionWords:
    """The part of a word-address dialect that moves."""

    name: str = ""
    traits: Traits

    def __init__(self, traits: Traits) -> None:
        self.traits = traits
        self._numbers: dict[Units, Numbers] = {}

    def file_name(self, stem: str) -> str:
        """Give the file name for a program's stem. Raises ValueError for what is no stem."""
        return file_name(stem, self.traits)

    def resolution(self, units: Units) -> float:
        """Give the smallest step of a position, mm."""
        return step_of(self.traits.decimals(units), units)

    def code(self, letter: str, number: int) -> str:
        """Give a G or M word with the dialect's number of digits."""
        return f"{letter}{number:0{self.traits.code_digits}d}"

    def modes(self, said: Said) -> Iterator[str]:
        """State units, modes and work frame, a line each."""
        word = self.traits.units_word(said.units)
        if word is not None:
            yield word
        yield from self.traits.start_words
        if self.traits.work_frame is not None:
            yield self.traits.work_frame

    def retract(self, said: Said) -> Iterator[str]:
        """Go up to a declared height of the machine frame, Z alone (NISTIR 6556, 3.5.12)."""
        if self.traits.retract != "machine" or said.top is None:
            return
        z = count(self.traits.retract_z, said.units, self.traits.decimals(said.units))
        words = [self.code("G", 53), self.code("G", 0), "Z" + self.numbers(said.units).one(z)]
        if self.traits.rapid_feed:
            words[1:2] = [self.code("G", 1)]
            words.append(self._f(self.traits.rapid_feed, said.units))
        yield (" " if self.traits.spaced else "").join(words)
        said.at[2] = said.word = said.feed = None

    def rapid(self, node: Rapid, said: Said) -> Iterator[str]:
        """Move without cutting, up, along or down; never slantwise: machines differ in how they go."""
        decimals = self.traits.decimals(said.units)
        to: list[int | None] = [
            None if mm is None else count(mm, said.units, decimals) for mm in (node.x, node.y, node.z)
        ]
        moved = [new is not None and new != old for new, old in zip(to, said.at, strict=True)]
        if moved[2] and (moved[0] or moved[1]):
            raise Refused((slanting(self, said.program),))
        if not any(moved):
            return
        before = said.at[2]
        said.feed = None  # stated again with the next cutting move
        if self.traits.rapid_feed:
            yield self._move(self.code("G", 1), to, said, self._f(self.traits.rapid_feed, said.units))
        else:
            yield self._move(self.code("G", 0), to, said, "")
        raised = before is not None and said.at[2] is not None and before < said.at[2] == said.top
        if raised and self.traits.restate_modes:
            yield from self.modes(said)
            said.word = None

    def cut(self, node: Feed, said: Said) -> Iterator[str]:
        """Move in straight lines at a feed; a point that rounds to where the tool is needs no line."""
        decimals = self.traits.decimals(said.units)
        for first in range(0, len(node.points), _BLOCK):
            yield from self._cut(
                grid(node.points[first : first + _BLOCK], said.units, decimals), node.feed, said
            )

    def _cut(self, to: NDArray[np.int64], feed: float, said: Said) -> Iterator[str]:
        """Say a stretch of cutting moves, whole counts (n, 3), by columns."""
        import numpy as np

        traits, f_word = self.traits, self._f(feed, said.units)
        # An axis that is not known is said, wherever it goes: -1 - to is never to.
        here = [-1 - int(to[0, axis]) if at is None else at for axis, at in enumerate(said.at)]
        moved = to != np.vstack([here, to[:-1]])
        keep = moved.any(axis=1)
        to, moved = to[keep], moved[keep]
        if len(to) == 0:
            return
        whole = self.feed_count(feed, said.units)
        restated = said.feed != whole or not traits.modal_feed
        yield self._move(self.code("G", 1), to[0].tolist(), said, f_word if restated else "")
        said.feed = whole
        if len(to) == 1:
            return
        gap, numbers = " " if traits.spaced else "", self.numbers(said.units)
        columns = []
        for axis, letter in enumerate("XYZ"):
            column, named = to[1:, axis], moved[1:, axis] | (not traits.modal_axes)
            if named.all():
                columns.append(numbers.many(column, f"{gap}{letter}"))
            else:
                words = [""] * len(column)
                places = np.flatnonzero(named)
                for k, word in zip(
                    places.tolist(), numbers.many(column[places], f"{gap}{letter}"), strict=True
                ):
                    words[k] = word
                columns.append(words)
        head = "" if traits.modal_motion else self.code("G", 1)
        tail = "" if traits.modal_feed else f"{gap}{f_word}"
        said.at = list(to[-1].tolist())
        lines = [f"{head}{x}{y}{z}{tail}" for x, y, z in zip(*columns, strict=True)]
        yield from lines if head or not gap else [line[1:] for line in lines]

    def arc(self, node: Arc, said: Said) -> Iterator[str]:
        """Move along an arc by its word; by chords where there is none, or rounding would spoil it."""
        import numpy as np

        from stockwright.motion.arcs import bow_of, chords

        traits, step = self.traits, self.resolution(said.units)
        start = [math.nan if at is None else at * step for at in said.at]
        if math.dist(start[:2], node.end[:2]) <= 2 * step:
            # Rounding may have turned its ends about: so short an arc is a line.
            yield from self.cut(Feed(np.array([node.end]), node.feed), said)
            return
        try:
            bow_of(start, node)
        except ValueError as error:
            remedy = "begin at a known place, and keep to a quarter turn about one centre"
            raise Refused((cannot_say(self, said.program, f"{error}", remedy),)) from error
        words = self._arc_words(node, said)
        if words is None:
            yield from self.cut(Feed(chords(start, node, traits.sagitta), node.feed), said)
            return
        feed = self.feed_count(node.feed, said.units)
        if said.feed != feed or not traits.modal_feed:
            words.append(self._f(node.feed, said.units))
        said.feed = feed
        yield (" " if traits.spaced else "").join(words)

    def _arc_words(self, node: Arc, said: Said) -> list[str] | None:
        """Give the words of an arc's line without its feed; None where it is to be chorded."""
        traits, decimals = self.traits, self.traits.decimals(said.units)
        if traits.arcs == "none":
            return None
        numbers, step = self.numbers(said.units), self.resolution(said.units)
        x, y, z = (count(mm, said.units, decimals) for mm in node.end)
        assert said.at[0] is not None
        assert said.at[1] is not None
        start, centre = (said.at[0], said.at[1]), (node.centre[0] / step, node.centre[1] / step)
        if traits.arcs == "centre":
            unlike = (RADII_MM if said.units == "mm" else RADII_INCH) * 10.0**decimals
            found = centre_counts(start, (x, y), centre, unlike, clockwise=node.clockwise)
            how = None if found is None else [f"I{numbers.one(found[0])}", f"J{numbers.one(found[1])}"]
        else:
            radius = radius_count(start, (x, y), centre, clockwise=node.clockwise)
            how = None if radius is None else [f"R{numbers.one(radius)}"]
        if how is None:
            return None
        word = self.code("G", 2 if node.clockwise else 3)
        words = [] if traits.modal_motion and word == said.word else [word]
        words += [f"X{numbers.one(x)}", f"Y{numbers.one(y)}"]
        if z != said.at[2] or not traits.modal_axes:
            words.append(f"Z{numbers.one(z)}")
        said.word, said.at = word, [x, y, z]
        return [*words, *how]

    def probe(self, node: Probe, said: Said) -> Iterator[str]:
        """Go straight down until something is touched, its feed on the line; then z must be said again."""
        f_word = self._f(node.feed, said.units)
        floor = count(node.z, said.units, self.traits.decimals(said.units))
        least = math.ceil(LEAST_TOUCH / self.resolution(said.units) - 1e-9)
        if None in said.at or (said.at[2] or 0) - floor < least:
            raise Refused((too_near_to_touch(self, said.program, LEAST_TOUCH),))
        assert self.traits.probe_word is not None
        yield self._move(self.traits.probe_word, [None, None, floor], said, f_word)
        said.at[2] = said.word = said.feed = None

    def _move(self, word: str, to: list[int | None] | list[int], said: Said, f_word: str) -> str:
        traits = self.traits
        numbers = self.numbers(said.units)
        words = []
        if not traits.modal_motion or word != said.word:
            words.append(word)
        for axis, letter in enumerate("XYZ"):
            new, old = to[axis], said.at[axis]
            whole = old if new is None else new
            if whole is not None and (whole != old or not traits.modal_axes):
                words.append(letter + numbers.one(whole))
            said.at[axis] = whole
        if f_word:
            words.append(f_word)
        said.word = word
        return (" " if traits.spaced else "").join(words)

    def numbers(self, units: Units) -> Numbers:
        """Give the way positions are written in."""
        if units not in self._numbers:
            traits = self.traits
            self._numbers[units] = Numbers(
                traits.decimals(units),
                point=traits.point_always,
                full=traits.trailing_zeros,
                plus=traits.plus_sign,
                least=traits.least_digits,
            )
        return self._numbers[units]

    def _f(self, mm_per_minute: float, units: Units) -> str:
        decimals = self.traits.feed_decimals(units)
        return "F" + digits(self.feed_count(mm_per_minute, units), decimals, point=decimals > 0)

    def feed_count(self, mm_per_minute: float, units: Units) -> int:
        """Give a feed in mm/min as a whole count of the last decimal of F."""
        return count(mm_per_minute, units, self.traits.feed_decimals(units))
