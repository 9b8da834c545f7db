"""What is looked at, written down and marked after a setup, and what to do when it went wrong.

In: a setup's page. Out: groups of steps.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.packet.clamp_states import states_of
from stockwright.packet.steps.group import Blank, Group, earlier, file_name
from stockwright.packet.steps.turning import NOT_MOVED, next_setup, of_each

if TYPE_CHECKING:
    from stockwright.packet.model import Packet, Setup
    from stockwright.packet.page import Page
    from stockwright.packet.writing import Writing

__all__ = ["afterwards", "readings", "when_wrong"]

ENDS = {"end-1", "end-2"}


def afterwards(page: Page) -> Group:
    """Return what is looked at and marked once the files of a setup have run."""
    packet, setup, woods, writing = page.packet, page.setup, page.woods, page.writing
    group = Group("Afterwards")
    if not setup.programs:
        return group
    group.add("Wait for standstill, lock out, vacuum; feel for hot chips.")
    names = list(dict.fromkeys(cut.name for cut in setup.cuts))
    in_parts = len(states_of(setup)) > 1
    for cut in reversed({cut.name: cut for cut in reversed(setup.cuts)}.values()):  # a row's boards: once
        wanted = packet.wanted.get(cut.board) if cut.board is not None else None
        asked = wanted.tolerance if wanted is not None else None
        if cut.name.startswith("face "):
            flat = f" No light wider than {writing.fine(asked.flatness)}." if asked and asked.flatness else ""
            group.add(
                f"Still clamped: look along {cut.name} against the light for pencil left and spots the "
                f"cutter missed; measure these, and steps between passes. Straightedge along, across and "
                f"cornerwise.{flat}"
            )
            wood = woods.get(cut.board) if cut.board is not None else None
            if (
                wood is not None
                and wood.lower_is_flat
                and wanted is not None
                and wanted.thickness is not None
            ):
                within = (
                    f", give or take {writing.fine(asked.thickness)}" if asked and asked.thickness else ""
                )
                where = "near the four corners and in the middle" if _whole(setup) else "where it is cut"
                # A first visit leaves the board thicker than it will be in the end.
                group.add(
                    f"Measure the thickness {where}: {writing.shown(wood.top_after - wood.bottom)}{within}."
                )
        elif cut.name.startswith(("edge-", "end-")):
            square = f", within {writing.fine(asked.squareness)}" if asked and asked.squareness else ""
            against = "to the upper face" if cut.name.startswith("edge-") else "to edge-1"
            straight = ""
            if cut.name.startswith("edge-"):
                bound = f", within {writing.fine(asked.straightness)}" if asked and asked.straightness else ""
                straight = f", and with a straightedge along it{bound}"
            group.add(
                f"Try {cut.name} with a square {against}{square}{straight}; look for burns and torn fibres."
            )
    slid, whole = setup.position, _whole(setup)
    if whole and ("edge-2" in names or _long_as_wanted(packet, setup)):
        sizes = _sizes(packet, setup, names, writing)
        if len(sizes) > 1:  # else nothing is asked
            group.add(*sizes)
    if whole and _diagonals(packet, names):
        group.add("Measure both diagonals, from end-1's near corner and from its far one.")
    if in_parts:
        group.add(
            "Draw a fingernail across the lines where the parts meet; lay a straightedge over them.",
            "If a step is more than the notes above reckon with, chips lay under the board, or an arm "
            "pressed it down where nothing carries it.",
        )
    _marks(group, setup)
    if slid is not None and slid.then:
        group.add(writing.words(slid.then), halt=True)
    then = next_setup(packet, setup)
    stays = then.endswith((NOT_MOVED, of_each(NOT_MOVED)))  # what holds it anew goes on first
    if any(s.kind == "top-clamp" for s in setup.solids) and woods and not stays:
        group.add("Hold the board with one hand while the last clamp comes off.")
    if then:
        group.add(then)
    return group


def _marks(group: Group, setup: Setup) -> None:
    """Say which marks the cut has taken off, to be made again before the board is moved."""
    names = list(dict.fromkeys(cut.name for cut in setup.cuts))
    marks = [f"“{name[-1]}” on the face" for name in names if name.startswith("face ")]
    if marks:
        marks[-1] += ", an arrow on it to end-1"
    # A figure alone could be an edge's or an end's.
    marks += [f"“{name}”" for name in names if name.startswith(("edge-", "end-"))]
    if marks:
        group.add(f"Before it is moved, mark again what the cut took off: {', '.join(marks)}.")


def _sizes(packet: Packet, setup: Setup, names: list[str], writing: Writing) -> tuple[str, ...]:
    details = []
    for lie in setup.lies:
        wanted = packet.wanted.get(lie.board)
        if wanted is None:
            continue
        if wanted.length is not None and _long_as_wanted(packet, setup):
            give = _give(wanted.tolerance.length, writing)
            details.append(f"length at both edges {writing.shown(wanted.length)}{give}")
        if wanted.width is not None and "edge-2" in names:
            details.append(
                f"width at both ends {writing.shown(wanted.width)}{_give(wanted.tolerance.width, writing)}"
            )
    if not details:  # left as it is: nothing to hold it against, yet it is to be written down
        sizes = (("length at both edges", {"end-1", "end-2"}), ("width at both ends", {"edge-2"}))
        told = " and the ".join(size for size, sides in sizes if sides & set(names))
        return (f"Measure the {told}, and write it down.", "")
    return ("Measure the size:", "; ".join(dict.fromkeys(details)))


def _give(tolerance: float | None, writing: Writing) -> str:
    return f", give or take {writing.fine(tolerance)}" if tolerance else ""


def readings(page: Page) -> Group:
    """Return lines to write readings on, named as the steps and the documents that take them name them."""
    setup = page.setup
    checks = len(page.tags.checks)
    unit = "mm" if page.writing.units == "mm" else "inches"
    group = Group(f"Write down, {unit}, for `again` and `shop check`", numbered=False)
    names = [cut.name for cut in setup.cuts]
    if not setup.programs:
        return group
    if checks:
        group.blanks.append(Blank("heights", tuple(f"H{number}" for number in range(1, checks + 1))))
    if any(name.startswith("face ") for name in names):
        spot = Blank("spot left, from the mark", ("x", "y", "high"))
        group.blanks += [spot, spot]
        group.blanks.append(Blank("steps, from pass to pass", ("", "", "")))
    if "face B" in names and _whole(setup):
        group.blanks.append(Blank("thickness, end-1", ("edge-1", "edge-2")))
        group.blanks.append(Blank("end-2", ("edge-1", "edge-2", "middle")))
    sides = [name for name in dict.fromkeys(names) if name.startswith(("edge-", "end-"))]
    edges = [name for name in sides if name.startswith("edge-")]
    if sides:
        group.blanks.append(Blank("square: gaps", tuple(sides)))
    if edges:
        group.blanks.append(Blank("straight: gaps", tuple(edges)))
    if _long_as_wanted(page.packet, setup) and _whole(setup):
        group.blanks.append(Blank("length", ("edge-1", "edge-2")))
    if "edge-2" in names and _whole(setup):
        group.blanks.append(Blank("width", ("end-1", "end-2")))
    if _diagonals(page.packet, names):
        group.blanks.append(Blank("diagonals from end-1", ("near", "far")))
    if setup.lies:
        group.blanks.append(Blank("if it stopped", ("line", "x", "y", "z")))
    return group


def _whole(setup: Setup) -> bool:
    """Say whether a setup's cuts then go from end to end: of a board slid along, at its last position."""
    return setup.position is None or setup.position.number == setup.position.count


def _long_as_wanted(packet: Packet, setup: Setup) -> bool:
    """Say whether a setup cuts the end that makes a board as long as it is wanted, the other cut already."""
    here = {cut.name for cut in setup.cuts} & ENDS
    return bool(here) and here | {c.name for each in earlier(packet, setup) for c in each.cuts} >= ENDS


def _diagonals(packet: Packet, names: list[str]) -> bool:
    """Say whether diagonals tell of a corner: both edges are straight, for one cut leaves the other."""
    sides = {cut.name for each in packet.setups for cut in each.cuts}
    return {"end-1", "end-2"} <= set(names) and ("edge-1" in sides) == ("edge-2" in sides)


def when_wrong(setup: Setup) -> Group:
    """Return what to do when spots are left, when it burns and when something moves."""
    group = Group("If something is wrong", numbered=False)
    cut = next((p for p in setup.programs if p.purpose == "cut" and not p.done), None)
    if cut is None:
        return group
    if any(c.name.startswith("face ") for c in setup.cuts):
        group.add(
            "Spots left: clamps have moved; read this face anew and make a job of it."
            if len(states_of(setup)) > 1
            else "Spots left: touch nothing, measure how high they stand, `stockwright again PACKET --setup "
            f"{setup.index} --spot X,Y --height H`."
        )
    group.add("It burns: stop (dull cutter, low feed); look for glowing chips.")
    group.add(
        "It moves: stop, lock out, hold and zero anew, `stockwright again PACKET --stopped "
        f"{file_name(cut.file)}:LINE`."
    )
    return group
