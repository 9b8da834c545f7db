"""Where each thing stands, in few words. In: solids of one setup. Out: a line for those alike."""

from __future__ import annotations

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


def where_they_stand(
    setup: Setup, solids: Iterable[Solid], tags: Mapping[str, str], writing: Writing
) -> list[str]:
    """Return lines: numbers, name, left and near sides from the mark, size, height; without units."""
    alike: dict[tuple[str, str], list[tuple[Solid, str]]] = {}
    for solid in solids:
        (x0, y0), (x1, y1) = np.min(solid.outline, axis=0).tolist(), np.max(solid.outline, axis=0).tolist()
        size = f"{writing.spot(x1 - x0)} × {writing.spot(y1 - y0)}"
        bed = -setup.work_origin[2]  # heights are told above the bed, whatever the board rests on
        high = writing.bare(solid.top - bed)
        if solid.bottom > bed:
            high = f"{writing.bare(solid.bottom - bed)} to {high}"
        files = [i for i, p in enumerate(setup.programs, 1) if solid.name in p.standing]
        when = "" if _all_along(setup, solid) else f" (for file {', '.join(map(str, files))})"
        alike.setdefault((_beyond_its_kind(solid.name) + when, size), []).append((solid, high))
    lines = []
    for (name, size), those in alike.items():
        corners = [np.min(solid.outline, axis=0).tolist() for solid, _ in those]
        across, along = ([writing.spot(corner[axis]) for corner in corners] for axis in (0, 1))
        numbers = run_of([tags[solid.name] for solid, _ in those])
        high = _same([high for _, high in those])
        lines.append(
            f"{numbers}{f' {name}' if name else ''}: x {_same(across)}; y {_same(along)}; {size}; high {high}"
        )
    return lines


def _beyond_its_kind(name: str) -> str:
    """Return what a name says beside the thing and its number: `at edge-1` of `side-clamp 2 at edge-1`."""
    found = re.fullmatch(r".+? \d+,?(?P<rest>.*)", name)
    return found["rest"].strip() if found else name


def _all_along(setup: Setup, solid: Solid) -> bool:
    """Say whether it stands for all files of the part, or of the setup, that it stands in."""
    states = [state for state in states_of(setup) if solid.name in state.standing]
    return len(states) == 1 or len(states) == len(states_of(setup))


def _same(values: list[str]) -> str:
    return values[0] if len(set(values)) == 1 else ", ".join(values)
