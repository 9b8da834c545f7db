"""What the sheet says of a row of boards. In: the boards and where they lie. Out: titles, distances, notes.

Promise: all of it can be done with a tape, a pencil and eyes; every board is called by its name.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.planning.setup import Placing
from stockwright.planning.words import placing_of, title_of
from stockwright.units import format_length

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.machine import Shop
    from stockwright.planning.groups import Group
    from stockwright.planning.rows import Member
    from stockwright.planning.wood import Place

__all__ = ["row_notes", "row_placing", "row_title"]

FEW = 3  # boards that a title names one by one


def row_title(members: Sequence[Member], g: Group) -> str:
    """Return a clamping's title, the boards named."""
    names = [m.board.name for m in members]
    what = title_of(members[0].board, g, named=False)
    who = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) <= FEW else f"{names[0]} to {names[-1]}"
    return f"{len(names)} boards side by side ({who}): {what[0].lower()}{what[1:]}"


def row_placing(
    shop: Shop, members: Sequence[Member], places: Sequence[Place], *, against_fence: bool
) -> tuple[Placing, ...]:
    """Return the distances: the first board's as ever, every other one's left end."""
    first = placing_of(shop, members[0].wood, places[0], against_fence=against_fence)
    found = [replace(p, text=f"{members[0].board.name}: {p.text}") for p in first]
    for m, place, before in zip(members[1:], places[1:], members, strict=False):
        x0 = float(m.wood.plan(place).bounds[0])
        far = format_length(round(abs(x0), 1), shop.units)
        side = "right" if x0 >= 0 else "left"
        text = (
            f"{m.board.name}: against {before.board.name}, {far} along x from the mark to its left end, "
            f"which lies {side} of it"
        )
        found.append(Placing(x0, round(abs(x0), 1), text))
    return tuple(found)


def row_notes(members: Sequence[Member], *, against_fence: bool, on_shims: bool) -> tuple[str, ...]:
    """Return how a row is laid and squeezed."""
    down = (
        "see that each board still bears on all its shims"
        if on_shims
        else "knock each board down until it lies on the bed and sounds dull"
    )
    names = ", ".join(m.board.name for m in members)
    begin = "the fence" if against_fence else "the near side"
    return (
        f"Side by side from {begin} on: {names}. Write each name on its board, where nothing is cut.",
        "Brush the edges that touch: a chip between two boards turns every one behind it.",
        f"Squeeze lightly, {down}, then squeeze hard.",
    )
