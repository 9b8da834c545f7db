"""Where each hold-down and stop stands, in few words. In: solids of one setup. Out: lines, or a table.

Promise: what all of them share is said once, above the table; every other number stands beside its own thing.
"""

from __future__ import annotations

import itertools
import re
from typing import TYPE_CHECKING

import numpy as np

from stockwright.packet.clamp_states import states_of
from stockwright.packet.steps.group import run_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from stockwright.packet.model import Setup, Solid
    from stockwright.packet.writing import Writing

__all__ = ["where_they_stand"]

Rows = tuple[tuple[str, ...], ...]
FEW = 3  # things told in a line each
ABREAST = 2  # things in one row of the table


def where_they_stand(
    setup: Setup, solids: Iterable[Solid], tags: Mapping[str, str], writing: Writing
) -> tuple[list[str], Rows]:
    """Return lines, and a table where there are more than `FEW`: number, left side x, near side y; no units.

    An arm and its body are one thing: where the body stands, and how far the arm goes beyond that. Size and
    height stand in a line above the table where several share them, things at opposite sides in one row.
    """
    by_number: dict[str, list[Solid]] = {}
    for solid in solids:
        by_number.setdefault(tags[solid.name], []).append(solid)
    sizes = {number: _size(setup, parts, writing) for number, parts in by_number.items()}
    places = {
        number: (_side(setup, parts, 0, writing), _side(setup, parts, 1, writing))
        for number, parts in by_number.items()
    }
    sides: dict[str, list[str]] = {}
    for number, parts in by_number.items():
        sides.setdefault(_beyond_its_kind(setup, parts[0]), []).append(number)
    of_size: dict[str, list[str]] = {}
    for number, size in sizes.items():
        of_size.setdefault(size, []).append(number)
    told_once = 2 * len(of_size) <= len(by_number)
    if len(by_number) <= FEW:
        return [
            f"{number}: x {places[number][0]}; y {places[number][1]}; {sizes[number]}."
            for number in by_number
        ], ()
    if len(sides) == ABREAST and told_once:
        columns = list(sides.items())
    elif told_once and len(sides) == 1:
        numbers = list(by_number)
        half = -(-len(numbers) // ABREAST)
        columns = [("", numbers[:half]), ("", numbers[half:])]
    else:
        columns = [("", list(by_number))]
    rows = [tuple(cell for side, _ in columns for cell in (side.removeprefix("at ") or "no.", "x", "y"))]
    rows += [
        tuple(cell for n in row for cell in ((n, *places[n]) if n is not None else ("", "", "")))
        for row in itertools.zip_longest(*(numbers for _, numbers in columns))
    ]
    if len(of_size) == 1:
        return [f"Each {next(iter(of_size))}."], tuple(rows)
    if told_once and len(columns) == ABREAST:
        return [f"{run_of(numbers)}: {size}." for size, numbers in of_size.items()], tuple(rows)
    shared, heights = _but_for_heights(setup, by_number, writing)
    if shared:
        sizes = heights
    of = {number: side for side, numbers in sides.items() for number in numbers}
    told = [(f"{no} {of[no]}".strip(), x, y, sizes[no]) for no, x, y in rows[1:]]
    if shared:
        return [f"Each {shared}."], (("no.", "x", "y", "arm from, to"), *told)
    return [], (("no.", "x", "y", "size"), *told)


def _but_for_heights(
    setup: Setup, by_number: Mapping[str, list[Solid]], writing: Writing
) -> tuple[str, dict[str, str]]:
    """Return what clamps with arms that differ in their heights alone share, and from where to where each is.

    Nothing shared where they differ in more, or where a body is not as high as its arm.
    """
    bed = _bed(setup)
    shared: set[str] = set()
    heights = {}
    for number, parts in by_number.items():
        arms = [part for part in parts if part.bottom > bed]
        if len(arms) != 1 or max(part.top for part in parts) != arms[0].top:
            return "", {}
        low, high = (writing.bare(end - bed) for end in (arms[0].bottom, arms[0].top))
        heights[number] = f"{low} to {high}"
        shared.add(
            _size(setup, parts, writing)
            .replace(f", arm from {low} to {high} high, ", "; its arm ")
            .replace(f", {high} high", "")
        )
    return (shared.pop(), heights) if len(shared) == 1 else ("", {})


def _bed(setup: Setup) -> float:
    return -setup.work_origin[2]  # heights are told above the bed, whatever the board rests on


def _size(setup: Setup, parts: list[Solid], writing: Writing) -> str:
    """Write `30 × 40, 14 high`, of a thing with an arm how high that is."""
    bed = _bed(setup)
    arms = [part for part in parts if part.bottom > bed]
    bodies = [part for part in parts if part.bottom <= bed]
    told = []
    if bodies:
        wide, deep = (_span(bodies, axis) for axis in (0, 1))
        told.append(f"{writing.spot(wide[1] - wide[0])} × {writing.spot(deep[1] - deep[0])}")
        told.append(f"{writing.bare(max(part.top for part in bodies) - bed)} high")
    if arms:
        low, high = (writing.bare(end - bed) for end in (arms[0].bottom, arms[0].top))
        told.append(f"arm from {low} to {high} high")
    if arms and bodies:
        ends = [(_span(parts, axis), _span(bodies, axis)) for axis in (0, 1)]
        beyond = max(abs(a - b) for whole, body in ends for a, b in zip(whole, body, strict=True))
        told.append(f"{writing.spot(beyond)} longer, over the board")
    return ", ".join(told)


def _side(setup: Setup, parts: list[Solid], axis: int, writing: Writing) -> str:
    """Write the lower side along an axis of what stands on the bed, of an arm alone its own."""
    bed = _bed(setup)
    return writing.spot(_span([part for part in parts if part.bottom <= bed] or parts, axis)[0])


def _span(parts: list[Solid], axis: int) -> tuple[float, float]:
    values = [point[axis] for part in parts for point in part.outline]
    return float(np.min(values)), float(np.max(values))


def _beyond_its_kind(setup: Setup, solid: Solid) -> str:
    """Return what a name says beside the thing and its number, `at edge-1`, and for which files it stands."""
    found = re.fullmatch(r".+? \d+,?(?P<rest>.*?)(?: arm| body)?|.+?(?P<at> at .+)", solid.name)
    name = (found["rest"] or found["at"] or "").strip() if found else solid.name
    files = [i for i, p in enumerate(setup.programs, 1) if solid.name in p.standing]
    when = "" if _all_along(setup, solid) else f"(file {', '.join(map(str, files))})"
    return f"{name} {when}".strip()


def _all_along(setup: Setup, solid: Solid) -> bool:
    """Say whether it stands for all files of the part, or of the setup, that it stands in."""
    states = [state for state in states_of(setup) if solid.name in state.standing]
    return len(states) == 1 or len(states) == len(states_of(setup))
