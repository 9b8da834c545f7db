"""A recipe's roles, zones and fence compared with a shop's.

In: a recipe, values, a shop. Out: matches, and gaps. mm. Promise: for cutters the reasons are those of
`bind`; for hold-downs the kinds and heights are those that planning asks for. What is missing is described by
what it must do, never by a name.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.bind.tools import bind_tools, choices, wanted
from stockwright.documents.expressions import length_of
from stockwright.documents.recipe import BedStep, EdgeStep, EndStep, FaceStep, TurnStep
from stockwright.frozen import frozen
from stockwright.hold_downs import LeverStop, Riser, Screw, SideClamp, Stop, Tape, TopClamp, Vacuum, Wedge
from stockwright.planning.beside import PUSHERS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from stockwright.documents.expressions import Quantity
    from stockwright.documents.recipe import RecipeDocument, Role, Zone
    from stockwright.documents.shop import ShopDocument
    from stockwright.findings import Finding
    from stockwright.hold_downs import HoldDown
    from stockwright.machine import Shop
    from stockwright.tooling import Tool

__all__ = ["Match", "as_tried", "fence_match", "made_by", "reach_of", "role_matches", "zone_matches"]

BESIDE = (SideClamp, Stop, LeverStop, Wedge)
_KIND: dict[str, str] = {
    "face": "a facing cutter, or an end mill that may face",
    "bed": "a facing cutter, or an end mill that may skim the bed",
    "edge": "an end mill",
    "end": "an end mill",
}


@frozen
class Match:
    """One thing that the recipe asks for: `wants` it, `by` the shop's own, `why`, and what is missing."""

    name: str
    wants: str
    by: tuple[str, ...]
    why: tuple[str, ...] = ()
    missing: str | None = None


def role_matches(
    recipe: RecipeDocument, values: Mapping[str, Quantity], shop: Shop, document: ShopDocument
) -> tuple[Match, ...]:
    """Return for each role the cutter that is taken, why it and why not the others, or what is missing."""
    reaches = {name: length_of(role.reach, values) for name, role in recipe.tools.items()}
    chosen, lacking = bind_tools(recipe.tools, reaches, shop, document)
    told = {name: choices({name: role}, reaches, shop, chosen) for name, role in recipe.tools.items()}
    against = iter(lacking)  # in the order of the roles that have no cutter
    found = []
    for name, role in recipe.tools.items():
        tool = chosen.get(name)
        wants = f"one that {wanted(role, reaches[name])}"
        if tool is None:
            found.append(
                Match(name, wants, (), (next(against).message,), _cutter(role, reaches[name], document))
            )
        else:
            why = told[name] or (f"{tool.name} is the only one here for that",)
            found.append(Match(name, wants, (tool.name,), why))
    return tuple(found)


def _cutter(role: Role, reach: float | None, document: ShopDocument) -> str:
    """Return a cutter for a shopping list, by what it must do here."""
    collets = document.spindle.collets
    parts = [_KIND[role.does]]
    if role.diameter is not None:
        low, high = role.diameter
        parts.append(f"{low:g} mm wide" if low == high else f"{low:g} to {high:g} mm wide")
    if reach is not None:
        parts.append(f"cutting at least {reach:g} mm deep")
    if role.flutes is not None:
        parts.append(f"of {role.flutes} flutes")
    if role.centre_cutting:
        parts.append("cutting to its centre")
    shanks = " or ".join(
        f"{size:g} mm" + (f" (then {reach + collet.grip:g} mm long or more)" if reach is not None else "")
        for size, collet in sorted(collets.items())
    )
    return ", ".join([*parts, f"with a shank that a collet here holds: {shanks}", "and a speed marked on it"])


def zone_matches(recipe: RecipeDocument, values: Mapping[str, Quantity], shop: Shop) -> tuple[Match, ...]:
    """Return for each holding zone what could hold there, why not the others, and what is missing."""
    return tuple(match for name, zone in recipe.holding.items() for match in _zone(name, zone, values, shop))


def as_tried(matches: tuple[Match, ...], refused: Iterable[Finding]) -> tuple[Match, ...]:
    """Return the matches of zones, those without what a try found to be taken at other sides.

    What pushes may stand at an end too, as far as the edges leave some of it over: only a plan knows.
    """
    taken = {
        match.name: f.message
        for f in refused
        for match in matches
        if f.rule == "no-hold-down" and f.message.startswith(f"the zone {match.name} asks for a stop,")
    }
    return tuple(
        replace(
            match,
            by=(),
            why=(*match.why, taken[match.name]),
            missing="stops, one at least for each end, or more of what pushes: "
            f"{' and '.join(match.by)} could stand there, and every one is taken at other sides",
        )
        if match.by and match.name in taken and " stand firm " in match.wants
        else match
        for match in matches
    )


def _zone(name: str, zone: Zone, values: Mapping[str, Quantity], shop: Shop) -> Iterator[Match]:
    low = length_of(zone.below, values)
    has = shop.hold_downs
    edges: list[str] = [side for side in zone.where if side.startswith("edge")]
    ends: list[str] = [side for side in zone.where if side.startswith("end-")]
    if edges:
        yield _beside(name, edges, low, [h for h in has if isinstance(h, PUSHERS)], "push", has)
    if ends:
        low_enough = any(isinstance(h, Stop) and (low is None or h.fits_under(low)) for h in has)
        firm = [h for h in has if isinstance(h, Stop if low_enough else BESIDE)]
        yield _beside(name, ends, low, firm, "stand firm", has)
    alone: tuple[tuple[str, tuple[type, ...], str, str], ...] = (
        (
            "face",
            (TopClamp,),
            "something that presses on the upper face",
            "clamps for the upper face, two at least: an arm that reaches 15 mm or more onto the board",
        ),
        (
            "underneath",
            (Tape, Vacuum),
            "something that holds from underneath",
            "double-sided tape that is made to be taken off again, or a vacuum under part of the bed",
        ),
        ("waste", (Screw,), "something in the waste", "screws, two at least, that may go into the bed"),
        (
            "raised",
            (Riser,),
            "something that the board stands on, off the bed",
            "risers of one height, two at least, that go wholly under the board",
        ),
    )
    for word, kinds, wants, missing in alone:
        if word in zone.where:
            able = [h.name for h in has if isinstance(h, kinds)]
            yield Match(name, wants, tuple(able), (), None if able else missing)


def _beside(
    name: str,
    sides: list[str],
    low: float | None,
    kinds: Sequence[HoldDown],
    does: str,
    has: tuple[HoldDown, ...],
) -> Match:
    standing = [h for h in kinds if isinstance(h, BESIDE)]
    high = "" if low is None else f", {low:g} mm high at most"
    able = [h for h in standing if low is None or h.fits_under(low)]
    why = [f"{h.name} is {h.height:g} mm high" for h in standing if h not in able]
    why += [f"{h.name} does not {does}" for h in has if isinstance(h, BESIDE) and h not in standing]
    words = "side clamps, wedges or lever stops" if does == "push" else "stops"
    missing = f"{words}{high}, {len(sides)} at least, for {' and '.join(sides)}"
    wants = f"something that can {does} at {' and '.join(sides)}{high}"
    return Match(name, wants, tuple(h.name for h in able), tuple(why), None if able else missing)


def fence_match(recipe: RecipeDocument, shop: Shop) -> Match | None:
    """Return what the recipe wants of a fence; None where it wants none."""
    turned = any(isinstance(step, TurnStep) for step in recipe.steps)
    jointed = any(isinstance(step, BedStep) and step.bed == "fence" for step in recipe.steps)
    if not turned and not jointed:
        return None
    wants = "a fence to turn an edge to" if turned else "a wooden fence to joint in place"
    fence = shop.fence
    if fence is None:
        # A fence that is not there needs no jointing: the plan leaves that step out.
        missing = "a fence along x on the near side of the bed" if turned else None
        return Match("fence", wants, (), ("the shop has none",), missing)
    length = max(high for _, high in fence.pieces) - min(low for low, _ in fence.pieces)
    told = f"{len(fence.pieces)} pieces over {length:g} mm, {fence.height:g} mm high"
    return Match("fence", wants, ("the fence",), (told,))


def reach_of(
    recipe: RecipeDocument, values: Mapping[str, Quantity], shop: Shop, chosen: Mapping[str, str]
) -> list[tuple[str, float, float]]:
    """Return (cutter, its cutting length, the thickest wood it can edge here), for edges and ends.

    What the recipe wants a cutter to reach beyond the thickness counts, and how far its tip goes below.
    """
    tools: dict[str, Tool] = {tool.name: tool for tool in shop.tools}
    thick = length_of(recipe.finished.thickness, values)
    found: dict[str, tuple[str, float, float]] = {}
    for step in recipe.steps:
        if not isinstance(step, EdgeStep | EndStep) or step.tool not in chosen:
            continue
        tool = tools[chosen[step.tool]]
        reach = length_of(recipe.tools[step.tool].reach, values)
        beyond = max(step.below, reach - thick if reach is not None and thick is not None else 0.0)
        most = min(tool.cutting_length - beyond, found[tool.name][2] if tool.name in found else 1e9)
        found[tool.name] = (tool.name, tool.cutting_length, round(most, 3))
    return list(found.values())


def made_by(recipe: RecipeDocument) -> frozenset[str]:
    """Return the faces and sides that a recipe cuts, and what of the bed."""
    return frozenset(
        f"face {step.face}"
        if isinstance(step, FaceStep)
        else step.edge
        if isinstance(step, EdgeStep)
        else step.end
        for step in recipe.steps
        if isinstance(step, FaceStep | EdgeStep | EndStep)
    ) | {f"bed {step.bed}" for step in recipe.steps if isinstance(step, BedStep)}
