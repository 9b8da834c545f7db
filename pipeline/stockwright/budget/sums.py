"""The budget itself.

In: a shop and what is cut. Out: for each measure the expected error, the worst, and why. Promise: every
contributor stands in its measure's list with size, kind and source. The worst is their plain sum; the
expected is their root sum of squares with k = 2 (NIST TN 1297), and never more than the worst. mm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.budget.combining import expanded, standard
from stockwright.budget.figures import figure
from stockwright.budget.sliding import apart, same_clamping
from stockwright.forces.bending import out_of_upright, tip_bends
from stockwright.forces.mechanics import FACTOR, PRESSURE, side_force
from stockwright.frozen import frozen
from stockwright.traces import bevel, ridge_across, ridge_along, taper

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.budget.combining import Kind
    from stockwright.budget.figures import Source
    from stockwright.budget.work import Facing, Siding, Work
    from stockwright.machine import Shop
    from stockwright.planning.setup import Slid

__all__ = ["Contributor", "Sum", "bending", "budget", "titled"]

GRID = {"mm": 0.01, "inch": 0.0254}  # mm: the coarsest step a post writes (0.01 mm, 0.001 in)

ROCKS = 2  # risers: on so few a board lies as it is, however high they are


@frozen
class Contributor:
    """One cause's share of one measure, mm: `key` of its figure, "" for what is no figure of the shop's."""

    key: str
    words: str
    size: float
    kind: Kind
    source: Source


@frozen
class Sum:
    """One measure: `name` ("flatness"), `of` what ("A", "edge-1", ""), its contributors, largest first."""

    name: str
    of: str
    parts: tuple[Contributor, ...]

    @property
    def expected(self) -> float:
        """What is to be expected, about 95 in 100 boards being truer, mm."""
        return _expected(self.parts)

    @property
    def worst(self) -> float:
        """What comes out where everything adds up, mm."""
        return sum(part.size for part in self.parts)

    @property
    def known(self) -> float:
        """What is to be expected of what was stated or measured alone, mm."""
        return _expected(tuple(part for part in self.parts if part.source != "guess"))

    def without(self, key: str) -> float:
        """Return what would be expected if one figure were none at all, mm."""
        return _expected(tuple(part for part in self.parts if part.key != key))

    @property
    def title(self) -> str:
        """What it is called: "flatness of face A", "squareness of end-1"."""
        return titled(self.name, self.of)


def titled(name: str, of: str) -> str:
    """Return what a measure is called: its name, and of which face or side."""
    return f"{name} of {'face ' if len(of) == 1 else ''}{of}" if of else name


def _expected(parts: tuple[Contributor, ...]) -> float:
    # One bound alone, expanded, would come out wider than itself: the sum of the bounds is never exceeded.
    return min(expanded(standard(p.size, p.kind) for p in parts), sum(p.size for p in parts))


def budget(shop: Shop, work: Work) -> tuple[Sum, ...]:
    """Return the sums of every measure that the work makes, in the order they are told."""
    return tuple(_Budget(shop, work).sums())


def bending(siding: Siding, pressure: float = PRESSURE) -> tuple[float, float]:
    """Return (how far a side's wall is out of upright, how far it stands proud) by the cutter's bending, mm.

    A second last pass cuts only what the first one left standing. `pressure` is the cutting pressure of wood,
    N/mm2.
    """
    tool = siding.tool
    width = siding.light
    if siding.spring:
        width = tip_bends(tool, side_force(tool, width, siding.height, pressure, FACTOR))
    force = side_force(tool, min(width, tool.diameter), siding.height, pressure, FACTOR)
    return out_of_upright(tool, force, siding.height), tip_bends(tool, force)


class _Budget:
    """Adds up, measure by measure."""

    def __init__(self, shop: Shop, work: Work) -> None:
        self.shop, self.work = shop, work
        machine = shop.machine
        # Of a whole travel's crookedness a board sees as much as it is long; more than all of it is none.
        self.travels = {"x": machine.x[1] - machine.x[0], "y": machine.y[1] - machine.y[0]}
        self.area = {"x": shop.bed.x[1] - shop.bed.x[0], "y": shop.bed.y[1] - shop.bed.y[0]}

    def sums(self) -> Iterator[Sum]:
        work = self.work
        for facing in work.facings:
            parts = [*self.face(facing), *self.crooked_face(), *self.slid_face(facing)]
            parts.append(self.pressed(facing))
            yield self.sum("flatness", facing.face, parts)
        made = [each for each in work.facings if each.rests]
        if made:
            yield self.sum("thickness", "", self.thickness(made[-1]))
            yield self.sum("parallelism", "", self.parallelism())
        for siding in work.sidings:
            if siding.side.startswith("edge"):
                yield self.sum("squareness", siding.side, self.upright(siding))
                yield self.sum("straightness", siding.side, self.straight(siding, work.length))
            elif work.siding("edge-1") is not None:
                yield self.sum("squareness", siding.side, self.square(siding))
        for name, size, one, other in (
            ("width", work.width, "edge-1", "edge-2"),
            ("length", work.length, "end-1", "end-2"),
        ):
            first, last = work.siding(one), work.siding(other)
            if first is not None and last is not None:
                yield self.sum(name, "", self.size(size, first, last))

    def sum(self, name: str, of: str, parts: list[Contributor | None]) -> Sum:
        """Give a sum of what is more than nothing; ties keep their order."""
        real = [part for part in parts if part is not None and part.size > 0]
        return Sum(name, of, tuple(sorted(real, key=lambda part: -part.size)))

    def by(self, key: str, share: float) -> Contributor | None:
        """Give a figure's share of a measure: its size times `share`."""
        found = figure(self.shop, key)
        if found is None:
            return None
        return Contributor(key, found.told.words, found.size * share, found.kind, found.source)

    def tilt(self, key: str, height: float) -> Contributor | None:
        found = figure(self.shop, key)
        if found is None:
            return None
        return Contributor(key, found.told.words, bevel(height, found.size), found.kind, found.source)

    def face(self, facing: Facing) -> list[Contributor | None]:
        """Give what a leaning spindle and moved clamps leave in a face."""
        parts: list[Contributor | None] = []
        for key in ("tilt-x", "tilt-y"):
            found = figure(self.shop, key)
            if found is None:
                continue
            along = key[-1] == facing.travels
            radius = facing.tool.radius
            size = (
                ridge_along(radius, facing.stepover, found.size)
                if along
                else ridge_across(facing.stepover, found.size)
            )
            parts.append(Contributor(key, found.told.words, size, found.kind, found.source))
        if facing.clamp_step > 0:
            words = "the step where the clamps were moved"
            parts.append(Contributor("", words, facing.clamp_step, "rectangular", "guess"))
        return parts

    def pressed(self, facing: Facing) -> Contributor | None:
        """Give how a face springs back that was cut pressed down onto three risers, the middle one unlike."""
        bends = facing.risers is not None and facing.risers.count > ROCKS
        return self.on_risers(facing, 2.0) if bends else None

    def crooked(self, axis: str, over: float) -> Contributor | None:
        return self.by(f"straightness-{axis}", min(over / self.travels[axis], 1.0))

    def crooked_face(self) -> list[Contributor | None]:
        return [self.crooked("x", self.work.length), self.crooked("y", self.work.width)]

    def bed(self) -> Contributor | None:
        """Give the bed's wedge over the board, lengthwise and crosswise together."""
        share = min(self.work.length / self.area["x"], 1.0) + min(self.work.width / self.area["y"], 1.0)
        return self.by("bed", min(share, 1.0))

    def apart(self, slid: Slid | None, what: str) -> list[Contributor | None]:
        """Give the step between the parts of a board that was slid along, and how they lean."""
        found = apart(self.shop, slid)
        if found is None:
            return []
        words = (f"the step where the board was slid, {what}", f"one part leaning on the next, {what}")
        sizes = (found.step, found.lean)
        return [
            Contributor(found.key, said, size, found.kind, found.source)
            for said, size in zip(words, sizes, strict=True)
        ]

    def slid_face(self, facing: Facing) -> list[Contributor | None]:
        """Give what sliding leaves in a face; one that lies on a face cut so takes over what that has."""
        parts = self.apart(facing.slid, f"face {facing.face}")
        if facing.slid is not None and facing.slid.on == "bed":
            parts.append(self.by("bed", min(facing.slid.new / self.area["x"], 1.0)))
        if facing.rests:
            below = self.work.below(facing)
            parts += [] if below is None else self.apart(below.slid, f"face {below.face}")
        return parts

    def bridged(self, facing: Facing) -> list[Contributor | None]:
        """Give how hollow a face lies that was cut in parts, over which another is cut."""
        below = self.work.below(facing)
        found = None if below is None else apart(self.shop, below.slid)
        if below is None or found is None or not facing.rests:
            return []
        words = f"face {below.face} lying hollow where its parts meet"
        return [Contributor("", words, found.step + found.bridged, found.kind, found.source)]

    def thickness(self, facing: Facing) -> list[Contributor | None]:
        return [
            self.by("touch", 1.0),
            self.by("seating", 1.0),
            self.bed(),
            *self.crooked_face(),
            *self.face(facing),
            *self.bridged(facing),
            # z is taken on what is as high as they are, and that is out by as much.
            self.on_risers(facing, 1.0 + self.reach(facing)),
            self.by("scale", self.work.thickness / 1000.0),
            self.rounding(1),
        ]

    def parallelism(self) -> list[Contributor | None]:
        ridges = [part for facing in self.work.facings for part in self.face(facing)]
        made = [each for each in self.work.facings if each.rests]
        hollow = self.bridged(made[-1])
        leans = self.on_risers(made[-1], 2.0 * self.reach(made[-1]))
        return [self.by("seating", 1.0), self.bed(), *self.crooked_face(), *hollow, leans, *_merged(ridges)]

    def on_risers(self, cut: Facing | Siding, share: float) -> Contributor | None:
        """Give what unlike risers do: each may be out by the figure, up or down, from end to end too."""
        return None if cut.risers is None else self.by("risers", share)

    def reach(self, facing: Facing) -> float:
        """Give how much more a board leans over all of it than over what it is borne on."""
        on = facing.risers
        return 0.0 if on is None else max(self.work.length / on.along, self.work.width / on.across, 1.0)

    def upright(self, siding: Siding) -> list[Contributor | None]:
        """Give what an edge is out of square to face A by."""
        thick, width = self.work.thickness, self.work.width
        return [
            self.tilt("tilt-y" if siding.lies == "x" else "tilt-x", thick),
            self.bending_of(siding, self.bent(siding)[0]),
            self.by("seating", min(thick / width, 1.0)),
            None if siding.risers is None else self.on_risers(siding, 2.0 * thick / siding.risers.across),
        ]

    def bent(self, siding: Siding) -> tuple[float, float]:
        return bending(siding, self.shop.pressure_in((self.work.species,)))

    def bending_of(self, siding: Siding, size: float) -> Contributor:
        """Give what a cutter's bending comes to: the shop's word where it states all that counts."""
        told = self.shop.cutting_pressure is not None and siding.tool.material is not None
        source: Source = "stated" if told else "guess"
        return Contributor("", f"{siding.tool.name} bending", size, "rectangular", source)

    def square(self, siding: Siding) -> list[Contributor | None]:
        """Give what an end is out of square to edge-1 by, over the width."""
        width, length = self.work.width, self.work.length
        parts = [self.angle("squareness", width), self.crooked("y" if siding.lies == "y" else "x", width)]
        first = self.work.siding("edge-1")
        if siding.fenced:
            parts += self.fence(width, width / length)
        elif first is not None and first.setup != siding.setup:
            # Laid a second time without a fence, by sighting two places of the edge.
            parts.append(self.by("mark", width / length))
        return parts

    def fence(self, over: float, share: float) -> list[Contributor | None]:
        """Give what a fence does over a distance, `share` of which its own crookedness and a chip make."""
        fence = self.shop.fence
        crooked = None
        if fence is not None:
            size = fence.straightness * share
            crooked = Contributor("", "the fence not straight", size, "rectangular", "stated")
        return [self.angle("fence-angle", over), crooked, self.by("seating", share)]

    def angle(self, key: str, over: float) -> Contributor | None:
        found = figure(self.shop, key)
        if found is None:
            return None
        return Contributor(key, found.told.words, taper(over, found.size), found.kind, found.source)

    def straight(self, siding: Siding, over: float) -> list[Contributor | None]:
        parts = [self.crooked(siding.lies, over), self.rounding(1)]
        if siding.slid is not None:
            parts += self.apart(siding.slid, siding.side)
        first = self.work.siding("edge-1")
        if siding.fenced and siding.slid is not None and first is not None:
            # Slid along a fence that is out of line with the axis, every part is cut a little off the last.
            parts += [self.angle("fence-angle", siding.slid.new), *self.apart(first.slid, first.side)]
        return parts

    def size(self, size: float, first: Siding, last: Siding) -> list[Contributor | None]:
        """Give what a width or a length is out by: from one cut side, or from the fence, to the other."""
        cut = [last] if last.fenced and last.lies == "x" and first.setup != last.setup else [first, last]
        parts: list[Contributor | None] = [
            # The radius counts at every side that is cut: half the diameter's error each.
            self.by("diameter", len(cut) / 2),
            self.by("scale", size / 1000.0),
            self.by("thermal", size / 1000.0),
            self.rounding(len(cut)),
            self.crooked(last.lies, self.work.length if last.lies == "x" else self.work.width),
        ]
        proud = sum(self.bent(each)[1] for each in cut)
        parts.append(self.bending_of(last, proud))
        if len(cut) == 1:
            parts += [self.by("mark", 1.0), *self.fence(self.work.length, 1.0)]
        elif same_clamping((first.setup, first.slid), (last.setup, last.slid)):
            parts.append(self.slide(last))
        elif first.setup != last.setup:
            parts.append(self.by("mark", 2.0))
        return parts

    def slide(self, siding: Siding) -> Contributor | None:
        """Give what the slides between two ends may be out by, both cut at one mark."""
        if siding.slid is None or siding.slid.count < 2:
            return None
        size = (siding.slid.count - 1) * self.shop.slide.within
        source: Source = "stated" if "within" in self.shop.slide.said else "guess"
        return Contributor("", "how far the board was slid", size, "rectangular", source)

    def rounding(self, count: int) -> Contributor:
        size = count * GRID[self.shop.units] / 2
        return Contributor("", "rounding in the program", size, "rectangular", "stated")


def _merged(parts: list[Contributor | None]) -> list[Contributor | None]:
    """Add up what one cause does twice: a lean stays the same from face to face."""
    sums: dict[str, Contributor] = {}
    for part in parts:
        if part is None:
            continue
        key = part.key or part.words
        size = part.size + (sums[key].size if key in sums else 0.0)
        sums[key] = Contributor(part.key, part.words, size, part.kind, part.source)
    return list(sums.values())
