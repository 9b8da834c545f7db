"""A program split over files that are short enough. In: a program and a post's limits. Out: whole programs.

Promise: a split comes where the program travels at the clear height, above everything; only a single stretch
that is too long by itself is interrupted: straight up, and in the next file straight down where the cutter
stood.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.findings import Refused
from stockwright.motion.nodes import Arc, Feed, Probe, Rapid, Remark, SpindleOff, SpindleOn
from stockwright.posting.refusing import too_big
from stockwright.posting.traits import Traits
from stockwright.posting.word_address import WordAddress

if TYPE_CHECKING:
    from stockwright.findings import Finding
    from stockwright.motion.nodes import Node, Program
    from stockwright.posting.post import Post
    from stockwright.posting.traits import Units

__all__ = ["parts"]

APPROACH = 2.0  # mm over the place where a stretch is taken up again; common practice, no source
# Of the room that is left beside start and end, what a broken stretch is measured to fill.
FILLED = 0.8
Place = list[float | None]


def parts(post: Post, program: Program, units: Units) -> tuple[Program, ...]:
    """Give the program as files within the post's limits: itself, or its parts in order.

    Raises `Refused` where start and end alone are too long.
    """
    traits = post.traits
    if not isinstance(post, WordAddress) or not isinstance(traits, Traits):
        return (program,)
    if not (traits.file_bytes or traits.file_lines) or program.purpose == "probe":
        return (program,)
    limits = (traits.file_bytes or 10**12, traits.file_lines or 10**12)
    if _within(_size(_endless(post, widest=False), program, units), limits):
        return (program,)
    return _Split(post, program, units, limits).parts()


class _Split:
    """One program on its way into parts."""

    def __init__(self, post: WordAddress, program: Program, units: Units, limits: tuple[int, int]) -> None:
        self.post, self.program, self.units, self.limits = post, program, units, limits
        self.endless = _endless(post, widest=True)
        nodes = program.nodes
        self.top = max((n.z for n in nodes if isinstance(n, Rapid) and n.z is not None), default=0.0)
        first = next((k for k, n in enumerate(nodes) if _goes_along(n)), len(nodes))
        last = max((k for k, n in enumerate(nodes) if isinstance(n, SpindleOff)), default=len(nodes))
        turning = any(isinstance(n, SpindleOn) for n in nodes[:first])
        self.begin = nodes[:first]
        self.end = nodes[last:] if turning and last > first else ()
        self.middle = nodes[first : len(nodes) - len(self.end)]

    def parts(self) -> tuple[Program, ...]:
        """Fill one part after another."""
        empty = self._alone([])
        if not _within(empty, self.limits):
            raise Refused((self._too_big(empty),))
        filled: list[list[Node]] = [[]]
        used = list(empty)
        for stretch in self._stretches(empty):
            size = self._alone(stretch)
            more = [size[0] - empty[0], size[1] - empty[1]]
            if filled[-1] and not _within((used[0] + more[0], used[1] + more[1]), self.limits):
                filled.append([])
                used = list(empty)
            filled[-1] += stretch
            used = [used[0] + more[0], used[1] + more[1]]
        count = len(filled)
        return tuple(self._part(nodes, number, count) for number, nodes in enumerate(filled, 1))

    def _part(self, nodes: list[Node], number: int, count: int) -> Program:
        title = f"part {number} of {count}"
        return replace(
            self.program,
            stem=f"{self.program.stem}-part-{number}",
            title=f"{self.program.title}, {title}",
            nodes=(*self.begin, Remark(title), *nodes, *self.end),
        )

    def _stretches(self, empty: tuple[int, int]) -> list[list[Node]]:
        """Give the middle in stretches that begin over a stated place and end raised."""
        found: list[list[Node]] = [[]]
        at: Place = [None, None]
        for node in self.middle:
            if not found[-1] and not (isinstance(node, Rapid) and node.x is not None and node.y is not None):
                found[-1] += self._over(at)
            found[-1].append(node)
            at = _after(at, node)
            if isinstance(node, Rapid) and node.z is not None and node.z >= self.top:
                found.append([])
        broken: list[list[Node]] = []
        for stretch in filter(None, found):
            pieces, share = [stretch], 1.0
            while (size := self._first_too_big(pieces)) is not None:
                share = self._room(stretch, empty) if share == 1.0 else share / 2
                if share * _points(stretch) < 1:
                    raise Refused((self._too_big(size),))
                pieces = self._broken(stretch, share)
            broken += pieces
        return broken

    def _first_too_big(self, pieces: list[list[Node]]) -> tuple[int, int] | None:
        """Give bytes and lines of the first piece that alone is too much for a file."""
        sizes = map(self._alone, pieces)
        return next((size for size in sizes if not _within(size, self.limits)), None)

    def _alone(self, stretch: list[Node]) -> tuple[int, int]:
        """Give bytes and lines of a part with this alone in it, its line numbers as long as they can be."""
        size, lines = _size(self.endless, self._part(stretch, 9999, 9999), self.units)
        traits = self.post.traits
        return size + lines * (len(f"{traits.line_number_limit}") - 3) * bool(traits.line_number_step), lines

    def _room(self, stretch: list[Node], empty: tuple[int, int]) -> float:
        """Give the share of a stretch that fills a file."""
        sizes = zip(self.limits, empty, self._alone(stretch), strict=True)
        return FILLED * min((limit - bare) / max(1, size - bare) for limit, bare, size in sizes)

    def _too_big(self, size: tuple[int, int]) -> Finding:
        what = 0 if self.limits[0] - size[0] < self.limits[1] - size[1] else 1
        name = ("bytes", "lines")[what]
        return too_big(self.post, self.program, size[what], self.limits[what], name)

    @staticmethod
    def _over(at: Place) -> list[Node]:
        return [Rapid(x=at[0], y=at[1])] if at[0] is not None and at[1] is not None else []

    def _broken(self, stretch: list[Node], share: float) -> list[list[Node]]:
        """Break a stretch after about every `share` of its points, out straight up and in straight down."""
        most = int(_points(stretch) * share)
        found: list[list[Node]] = [[]]
        held = 0
        for node in stretch:
            for piece in _pieces(node, most):
                if held >= most and isinstance(piece, Feed | Arc):
                    held = 0
                    place = _end(found[-1])
                    if place is not None:
                        x, y, z = place
                        found[-1].append(Rapid(z=self.top))
                        found.append([Rapid(x=x, y=y), *self._down(x, y, z)])
                found[-1].append(piece)
                held += len(piece.points) if isinstance(piece, Feed) else 1
        return found

    def _down(self, x: float, y: float, z: float) -> list[Node]:
        import numpy as np

        near = self.post.snap(z + APPROACH, self.units, "up")
        feed = self.program.tool.plunge_feed
        return [*([Rapid(z=near)] if near < self.top else []), Feed(np.array([[x, y, z]]), feed)]


def _goes_along(node: Node) -> bool:
    return isinstance(node, Feed | Arc | Probe) or (
        isinstance(node, Rapid) and (node.x is not None or node.y is not None)
    )


def _after(at: Place, node: Node) -> Place:
    if isinstance(node, Rapid):
        return [at[0] if node.x is None else node.x, at[1] if node.y is None else node.y]
    if isinstance(node, Feed) and len(node.points):
        return [float(node.points[-1][0]), float(node.points[-1][1])]
    return [node.end[0], node.end[1]] if isinstance(node, Arc) else at


def _end(nodes: list[Node]) -> tuple[float, float, float] | None:
    """Give where a stretch has come to, if its last move was a cutting one."""
    for node in reversed(nodes):
        if isinstance(node, Feed) and len(node.points):
            x, y, z = (float(v) for v in node.points[-1])
            return (x, y, z)
        if isinstance(node, Arc):
            return node.end
        if isinstance(node, Rapid):
            return None
    return None


def _points(nodes: list[Node]) -> int:
    return sum(len(n.points) if isinstance(n, Feed) else 1 for n in nodes)


def _pieces(node: Node, most: int) -> list[Node]:
    """Give a node in pieces of at most `most` points."""
    if not isinstance(node, Feed) or len(node.points) <= most:
        return [node]
    return [Feed(node.points[k : k + most], node.feed) for k in range(0, len(node.points), most)]


def _endless(post: WordAddress, *, widest: bool) -> WordAddress:
    """Give the post without limits; `widest`: with every line number three digits long."""
    traits = replace(post.traits, file_bytes=0, file_lines=0)
    if widest and traits.line_number_step:
        traits = replace(traits, line_number_step=999, line_number_limit=999)
    return post.like(name=post.name, about=post.about, traits=traits)


def _size(post: WordAddress, program: Program, units: Units) -> tuple[int, int]:
    """Give bytes and lines of a program as written by a post without limits."""
    size = lines = 0
    for line in post.lines(program, units):
        size += len(line)
        lines += 1
    return size, lines


def _within(size: tuple[int, int], limits: tuple[int, int]) -> bool:
    return all(s <= limit for s, limit in zip(size, limits, strict=True))
