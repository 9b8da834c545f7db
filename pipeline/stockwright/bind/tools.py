"""Tool roles -> the shop's own cutters.

In: a recipe's roles, a shop. Out: a cutter for each role, or why not. Promise: everything that the shop lacks
is reported at once, each with its reason. Of the cutters that can do a role the stiffest is taken: for faces
and beds the widest, then the one with the shortest cutting length; for edges and ends the one whose tip bends
least at its stick-out; then the first by name.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.findings import Finding
from stockwright.forces.bending import tip_bends

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.documents.recipe import Role
    from stockwright.documents.shop import ShopDocument, ToolPart
    from stockwright.machine import Shop
    from stockwright.tooling import Tool

__all__ = ["bind_tools", "choices", "wanted", "why_not"]

PUSH = 50.0  # N, about the weight of 5 kg, by which cutters are compared; common practice, no source
_CUTS = {"face": "faces", "edge": "edges", "end": "ends", "bed": "the bed"}


def bind_tools(
    roles: Mapping[str, Role], reaches: Mapping[str, float | None], shop: Shop, document: ShopDocument
) -> tuple[dict[str, Tool], tuple[Finding, ...]]:
    """Return the cutter for each role, and a refusing finding for each role that no cutter can do.

    `reaches` are the roles' reaches in mm, None where none is asked.
    """
    chosen: dict[str, Tool] = {}
    found: list[Finding] = []
    for name, role in roles.items():
        reasons = {t.name: why_not(t, role, reaches[name]) for t in shop.tools}
        able = [t for t in shop.tools if reasons[t.name] is None]
        if able:
            chosen[name] = min(able, key=lambda t: _stiffest(t, role.does))
            continue
        collets: dict[float, list[str]] = {}  # that would do too, with the cutters they would hold
        for tool, part in document.tools.items():
            if part.shank not in document.spindle.collets:
                reasons[tool] = f"no collet holds its {part.shank:g} mm shank"
                if why_not(part, role, reaches[name]) is None:
                    collets.setdefault(part.shank, []).append(tool)
        listed = "; ".join(f"{tool}: {why}" for tool, why in reasons.items())
        reach = reaches[name]
        best = max((t.cutting_length for t in shop.tools if role.does in _does(t)), default=0.0)
        short = reach is not None and 0 < best < reach
        found.append(
            Finding(
                rule="no-tool-for-role",
                level="refuse",
                message=f"no cutter here can be the {name} ({wanted(role, reaches[name])}): {listed}",
                remedy=f"add to the shop's tools one that {wanted(role, reaches[name])}"
                + "".join(
                    f"; or add a {size:g} mm collet, for {' or '.join(collets[size])}" for size in collets
                ),
                measured=round(best, 3) if short else 0,  # else of cutters: none here, one is needed
                limit=round(reach or 0.0, 3) if short else 1,
            )
        )
    return chosen, tuple(found)


def choices(
    roles: Mapping[str, Role], reaches: Mapping[str, float | None], shop: Shop, chosen: Mapping[str, Tool]
) -> tuple[str, ...]:
    """Return why each role's cutter was taken and the shop's others were not, where there was a choice."""
    found = []
    for name, role in roles.items():
        taken = chosen.get(name)
        if taken is None:
            continue
        others = [t for t in shop.tools if t.name != taken.name and role.does in _does(t)]
        if not others:
            continue
        on_edge = role.does in {"edge", "end"}
        why = f"its tip bends {_bends(taken)} under {PUSH:g} N from the side" if on_edge else _wide(taken)
        not_taken = [
            f"{t.name} {why_not(t, role, reaches[name]) or (f'bends {_bends(t)}' if on_edge else _wide(t))}"
            for t in others
        ]
        found.append(f"{taken.name} is the {name}: {why}; {'; '.join(not_taken)}")
    return tuple(found)


def _stiffest(tool: Tool, does: str) -> tuple[float, float, float, str]:
    bends = round(tip_bends(tool, PUSH), 6) if does in {"edge", "end"} else 0.0
    return (bends, -tool.diameter, tool.cutting_length, tool.name)


def _bends(tool: Tool) -> str:
    return f"{tip_bends(tool, PUSH):.3f} mm"


def _wide(tool: Tool) -> str:
    return f"is {tool.diameter:g} mm wide"


def _does(tool: Tool | ToolPart) -> set[str]:
    return set(tool.does) | ({"end"} if "edge" in tool.does else set())


def why_not(tool: Tool | ToolPart, role: Role, reach: float | None) -> str | None:
    """Return why a cutter cannot do a role that reaches so deep, mm; None where it can."""
    if role.does not in _does(tool):
        return f"is not for {_CUTS[role.does]}"
    if role.diameter and not role.diameter[0] <= tool.diameter <= role.diameter[1]:
        return f"is {tool.diameter:g} mm wide, not {role.diameter[0]:g} to {role.diameter[1]:g} mm"
    if reach is not None and tool.cutting_length < reach:
        return f"cuts {tool.cutting_length:g} mm deep, not {reach:g} mm"
    if role.flutes is not None and tool.flutes != role.flutes:
        return f"has {tool.flutes} flutes, not {role.flutes}"
    if role.centre_cutting and not tool.centre_cutting:
        return "does not cut to its centre"
    return None


def wanted(role: Role, reach: float | None) -> str:
    """Return what a role asks of a cutter, after "one that"."""
    parts = [f"is for {_CUTS[role.does]}"]
    if role.diameter:
        parts.append(f"is {role.diameter[0]:g} to {role.diameter[1]:g} mm wide")
    if reach is not None:
        parts.append(f"cuts {reach:g} mm deep or more")
    if role.flutes is not None:
        parts.append(f"has {role.flutes} flute{'' if role.flutes == 1 else 's'}")
    if role.centre_cutting:
        parts.append("cuts to its centre")
    return ", ".join(parts)
