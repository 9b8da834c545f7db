"""How a board comes from one setup to the next. In: packet and setup. Out: sentences.

Promise: what is said ahead, at the end of a setup, is what the next setup's own page says.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.packet.counted import things
from stockwright.packet.steps.group import count, earlier
from stockwright.packet.wood import side_names

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stockwright.packet.model import Packet, Setup, Solid

__all__ = [
    "NOT_MOVED",
    "SLID",
    "comes_off",
    "lies_still",
    "next_setup",
    "of_each",
    "stand_on",
    "standing_first",
    "turned_from_before",
]

STAYS = 0.05  # mm: what is laid with a tape does not show less; common practice, no source
NOT_MOVED = "the board does not move."
SLID = "as said here."  # how the step ends by which a board goes to its next position
OVER_IT = ("top-clamp", "screw")  # they reach over a board or through it: it comes off after them


def next_setup(packet: Packet, setup: Setup) -> str:
    """Say in a line what comes after `setup`: how the board is turned, which face is up, what stays.

    Of another board's setup no more than its number is said: a share of a batch knows nothing of the others.
    """
    later = [s for s in packet.setups if s.index > setup.index and not _over(s)]
    if not later:
        return ""
    then = later[0]
    mine = {lie.board for lie in setup.lies}
    again = [lie for lie in then.lies if lie.board in mine]
    if not again:
        return f"Next, setup {then.index}{_with(mine, then, later)}."
    turned = {turned_from_before(packet, then, lie.board, side_names(lie)) for lie in again}
    ups = {lie.up for lie in again}
    if len(turned) != 1 or len(ups) != 1:  # each of a row in another way
        return f"Next, setup {then.index}: {then.title[:1].upper()}{then.title[1:]}."
    how = turned.pop().replace(", the same face up", "").replace("as said here", "as said there")
    how = f"Next, setup {then.index}: {how[:1].lower()}{how[1:]}"
    still = how.endswith(NOT_MOVED)
    if len(again) > 1:
        how = of_each(how)
    elif len(mine) > 1:  # two lay there: which one goes on
        how = how.replace("the board", f"“{again[0].board}”", 1)
    if still:
        return how
    stay = _told([s.name for s in _unmoved(setup, then) if s.kind not in OVER_IT])
    return f"{how} Face {ups.pop()} up{f'; on the bed stays: {stay}' if stay else ''}."


def _over(setup: Setup) -> bool:
    """Say whether a setup has been run; one of which nothing is known has not."""
    return bool(setup.programs) and all(program.done for program in setup.programs)


def _with(mine: set[str], then: Setup, later: Sequence[Setup]) -> str:
    """Say what lies in the next setup, where that is not what lies in this one."""
    if not mine:
        return f": {then.title[:1].upper()}{then.title[1:]}" if then.programs and not then.lies else ""
    again = next((s.index for s in later if mine & {lie.board for lie in s.lies}), None)
    these = "this one" if len(mine) == 1 else "these"
    other = "other boards" if len({lie.board for lie in then.lies}) > 1 else "another board"
    if again is None:
        return f", with {other}; {these} {'is' if len(mine) == 1 else 'are'} done"
    return f", with {other}; {these} again in setup {again}"


def of_each(turned: str) -> str:
    """Return how one board is turned, said of several that are turned alike."""
    turned = turned.replace(NOT_MOVED, "no board moves.")
    return turned.replace("the board", "each board", 1).replace("The board", "Each board", 1)


def turned_from_before(packet: Packet, setup: Setup, board: str, sides: Mapping[str, str]) -> str:
    """Say how a board, `sides` whose ways it has here, comes from where it lay in the setup before."""
    before = [
        (s, lie) for s in packet.setups for lie in s.lies if lie.board == board and s.index < setup.index
    ]
    if any(program.done for program in setup.programs) and not _over(setup):  # it lay here, and was moved
        return "Bring the board back as it lay."
    if not before:
        return "Knock off loose knots, bark and grit; look for nails and staples."
    _, last = before[-1]
    now = next(lie for lie in setup.lies if lie.board == board)
    was = side_names(last)
    if last.up != now.up:
        if was["end-1"] == sides["end-1"]:
            return "Turn the board over, edge over edge: the ends stay left and right."
        return "Turn the board over, end over end: the edges stay near and far."
    if was == sides and before[-1][0].index < setup.index - 1:  # meanwhile another board lay there
        return f"Bring the board back, lying as in setup {before[-1][0].index}."
    if was == sides:
        if setup.position is not None and setup.position.number > 1:
            to = "right" if setup.position.by > 0 else "left"
            return f"Take off what held it and slide the board along to the {to}, {SLID}"
        there, here = np.array(last.matrix)[:2], np.array(now.matrix)[:2]
        if np.allclose(there, here, atol=STAYS) and before[-1][0].work_origin == setup.work_origin:
            return f"{_exchanged(before[-1][0], setup)}; {NOT_MOVED}"
        return "The board keeps the way it lies; take off what held it, and move it to its new place."
    half = {was["end-1"], sides["end-1"]} in ({"left", "right"}, {"near", "far"})
    return f"Turn the board {'half round' if half else 'a quarter round'} on the bed, the same face up."


def lies_still(packet: Packet, setup: Setup) -> bool:
    """Say whether the boards of a setup lie as they lay in the one before, and never come off the bed."""
    return bool(setup.lies) and all(
        turned_from_before(packet, setup, lie.board, side_names(lie)).endswith(NOT_MOVED)
        for lie in setup.lies
    )


def comes_off(packet: Packet, setup: Setup) -> str:
    """Return what of the setup before comes off once a board that lies still is held anew; "" for nothing."""
    if not lies_still(packet, setup):
        return ""
    off, on = _changes(earlier(packet, setup)[-1], setup)
    return _told([s.name for s in off]) if _before_it(on, off) else ""


def stand_on(packet: Packet, setup: Setup, solids: Sequence[Solid]) -> bool:
    """Say whether all these things of a setup stand where they stood in the one before."""
    before = earlier(packet, setup)
    return bool(before) and {s.name for s in solids} <= {s.name for s in _unmoved(before[-1], setup)}


def standing_first(setup: Setup) -> list[Solid]:
    """Return what stands for the first file that is to be run: taken up after a stop, what stood then."""
    first = next((p for p in setup.programs if not p.done), None)
    return [s for s in setup.solids if first is None or s.name in first.standing]


def _exchanged(before: Setup, setup: Setup) -> str:
    """Say which things come off and which go on between two setups in which a board lies alike.

    Where there is room, and nothing is wanted twice, the new ones go on first: else for a moment nothing
    holds the board.
    """
    changed = _changes(before, setup)
    off, on = (_told([s.name for s in solids]) for solids in changed)
    if not (off and on):
        changes = [f"{off} off" if off else "", f"{on} on" if on else ""]
        return "Change only what holds: " + ", ".join(filter(None, changes)) if off or on else "All stays"
    if _before_it(changed[1], changed[0]):
        return f"Change only what holds: first {on} on, only then {off} off"
    return f"Change only what holds, a hand on it all the while: {off} off, {on} on"


def _changes(before: Setup, setup: Setup) -> tuple[list[Solid], list[Solid]]:
    """Return the things of the one setup that come off, and those of the other that go on."""
    there, here = _standing_last(before), standing_first(setup)
    was, now = ({(s.name, str(s.outline)) for s in each} for each in (there, here))
    off = [s for s in there if (s.name, str(s.outline)) not in now]
    return off, [s for s in here if (s.name, str(s.outline)) not in was]


def _before_it(on: Sequence[Solid], off: Sequence[Solid]) -> bool:
    """Say whether things can go on while others stand: none in another's place, nor the same thing twice."""
    if not on or not off or set(things([s.name for s in on])) & set(things([s.name for s in off])):
        return False
    one, other = (
        np.array([[np.min(s.outline, axis=0), np.max(s.outline, axis=0)] for s in solids])
        for solids in (on, off)
    )
    apart = (one[:, None, 0] >= other[None, :, 1]) | (other[None, :, 0] >= one[:, None, 1])
    return bool(apart.any(axis=-1).all())


def _unmoved(before: Setup, setup: Setup) -> list[Solid]:
    """Return the things of a setup that stand on just where they stood when the one before ended."""
    was = {(s.name, str(s.outline)) for s in _standing_last(before)}
    return [s for s in standing_first(setup) if (s.name, str(s.outline)) in was]


def _standing_last(setup: Setup) -> list[Solid]:
    """Return what stands for the last file of a setup: clamps that moved, in their last places."""
    return [s for s in setup.solids if not setup.programs or s.name in setup.programs[-1].standing]


def _told(names: list[str]) -> str:
    return " and ".join(count(number, name) for name, number in sorted(things(names).items()))
