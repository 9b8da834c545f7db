"""The order in which the setups of many boards are done, to tick off. In: a packet. Out: rows, a sentence.

Promise: the order is the packet's own; the saving that is named is counted, not guessed.
"""

from __future__ import annotations

from itertools import groupby, pairwise
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stockwright.packet.model import Packet, Setup

__all__ = ["work_order"]


def work_order(packet: Packet) -> dict[str, Any] | None:
    """Return `groups` of setups that are alike, with their rows, and `says`; None for a single board."""
    to_run = [setup for setup in packet.setups if any(not program.done for program in setup.programs)]
    if len(packet.boards) < 2:
        return None
    return {
        "groups": [
            {"title": _title(alike), "rows": [_row(setup) for setup in alike]}
            for alike in (tuple(each) for _, each in groupby(to_run, key=_kind))
        ],
        "says": _says(to_run),
    }


def _kind(setup: Setup) -> tuple[object, ...]:
    """Return what setups share that are done one after another without another arrangement of the bed."""
    return [cut.name for cut in setup.cuts], [(lie.up, lie.quarter_turns) for lie in setup.lies[:1]]


def _title(alike: Sequence[Setup]) -> str:
    names = list(dict.fromkeys(cut.name for cut in alike[0].cuts))
    what = " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
    return what[:1].upper() + what[1:]


def _row(setup: Setup) -> dict[str, str]:
    boards = ", ".join(lie.board for lie in setup.lies) or "the bed"
    tools = dict.fromkeys(program.tool for program in setup.programs if program.tool and not program.done)
    return {"setup": str(setup.index), "boards": boards, "tools": ", then ".join(tools)}


def _says(setups: Sequence[Setup]) -> str:
    """Say how often the cutter is changed, and how often it were if each board were finished by itself."""
    now = _changes(setups)
    by_board: dict[tuple[str, ...], list[Setup]] = {}
    for setup in setups:
        by_board.setdefault(tuple(lie.board for lie in setup.lies), []).append(setup)
    alone = _changes([setup for one in by_board.values() for setup in one])
    said = f"The cutter is changed {_times(now)}" if now else "The cutter is never changed"
    if alone > now:
        said += f"; board by board it would be {_times(alone)}"
    return f"{said}. Zero is taken anew after every change." if now else f"{said}."


def _changes(setups: Iterable[Setup]) -> int:
    tools = [program.tool for setup in setups for program in setup.programs if program.tool]
    return sum(a != b for a, b in pairwise(tools))


def _times(number: int) -> str:
    return {1: "once", 2: "twice"}.get(number, f"{number} times")
