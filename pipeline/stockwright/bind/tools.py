"""Tool roles -> the shop's own cutters. Promise: what the shop lacks is told as a whole, with why for each.

Of the cutters that can do a role the stiffest is taken: the widest, then the one with the shortest cutting
length, then by name.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.documents.recipe import Role
    from stockwright.documents.shop import ShopDocument
    from stockwright.machine import Shop
    from stockwright.tooling import Tool

__all__ = ["bind_tools"]

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
        why_not = {t.name: _why_not(t, role, reaches[name]) for t in shop.tools}
        able = [t for t in shop.tools if why_not[t.name] is None]
        if able:
            chosen[name] = min(able, key=lambda t: (-t.diameter, t.cutting_length, t.name))
            continue
        for tool, part in document.tools.items():
            if part.shank not in document.spindle.collets:
                why_not[tool] = f"no collet holds its {part.shank:g} mm shank"
        listed = "; ".join(f"{tool}: {why}" for tool, why in why_not.items())
        reach = reaches[name]
        best = max((t.cutting_length for t in shop.tools if role.does in t.does), default=0.0)
        short = reach is not None and 0 < best < reach
        found.append(
            Finding(
                rule="no-tool-for-role",
                level="refuse",
                message=f"no cutter here can be the {name} ({_wanted(role, reaches[name])}): {listed}",
                remedy=f"add to the shop's tools one that {_wanted(role, reaches[name])}",
                measured=round(best, 3) if short else 0,  # else of cutters: none here, one is needed
                limit=round(reach or 0.0, 3) if short else 1,
            )
        )
    return chosen, tuple(found)


def _why_not(tool: Tool, role: Role, reach: float | None) -> str | None:
    does = set(tool.does) | ({"end"} if "edge" in tool.does else set())
    if role.does not in does:
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


def _wanted(role: Role, reach: float | None) -> str:
    parts = [f"is for {_CUTS[role.does]}"]
    if role.diameter:
        parts.append(f"is {role.diameter[0]:g} to {role.diameter[1]:g} mm wide")
    if reach is not None:
        parts.append(f"cuts {reach:g} mm deep or more")
    if role.centre_cutting:
        parts.append("cuts to its centre")
    return ", ".join(parts)
