"""How the board comes to lie and to be held. In: a setup's page. Out: groups of steps."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from stockwright.packet.counted import stack
from stockwright.packet.drawing import cutting_moves
from stockwright.packet.feeds import held_by_hand
from stockwright.packet.steps.group import Group, count, earlier
from stockwright.packet.steps.setting import BOLTED, set_after, set_before, stops_for_length
from stockwright.packet.steps.turning import NOT_MOVED, SLID, lies_still, of_each, turned_from_before

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stockwright.packet.drawing import Moves
    from stockwright.packet.model import Lies, Packet, Setup, Solid
    from stockwright.packet.page import Page
    from stockwright.packet.wood import Wood
    from stockwright.packet.writing import Writing

__all__ = ["FORCE", "hold", "how_it_lies", "lay"]

FEELER = 0.1  # mm: below it a feeler or a dial is read and no rule; common practice, no source
# Of the planner's notes, those that tell a force and nothing else.
FORCE = re.compile(
    r"(?:(?!\. [A-Z]).)*\b(?:pushes|presses|carries)\b(?:(?!\. [A-Z]).)* \d+ N\b(?:(?!\. [A-Z]).)*"
)
_AT = re.compile(r"(?P<far>.+?) (?P<what>from .+), at x = (?P<x>.+)")  # as the planner words a distance
_ALONG = re.compile(
    r"(?P<before>.*[:;,] )?(?P<far>[^:;,]+?) along x from the mark to (?P<end>.+?), "
    r"which lies (?P<side>left|right) of it"
)
# As the planner words it; a step of its own.
PUSHED = re.compile(r"Push the trued edge hard against every piece of the fence\b.*")
TRY = "Try it by hand: push and lift hard at every corner and every end. Nothing may move."
WHERE = {"near": "towards you", "far": "away from you", "left": "on your left", "right": "on your right"}


def how_it_lies(up: str, sides: Mapping[str, str]) -> str:
    """Say which way a board lies, seen by the person standing at the near side."""
    return f"face {up} up, edge-1 {WHERE[sides['edge-1']]}, end-1 {WHERE[sides['end-1']]}"


def lay(page: Page) -> Group:
    """Return how every board of a setup is laid: each in its place before anything goes under one."""
    setup, woods, writing = page.setup, page.woods, page.writing
    group = Group("Lay the board" if woods else "Clear the bed", handled=True)
    deep = _into_the_bed(setup, page.moves) if woods else 0.0
    group.add(
        "Spindle stopped and locked out. Brush and vacuum the bed"
        f"{', the fence and the board' if woods else ''}: no chip, no fuzz.",
        f"The cut goes {writing.fine(deep)} into the bed: nothing hard may lie in it there." if deep else "",
    )
    if not woods:
        group.add("Take everything off the bed but what the drawing shows.")
    alike = _alike(page.packet, setup, woods)
    _shims_off(group, page)
    still = lies_still(page.packet, setup)
    set_before(group, page)
    stops = stops_for_length(page.packet, setup)
    places = [_shortly(writing.words(p.text), _against(stops, page)) for p in setup.placing]
    for boards in alike:
        _lay_alike(group, page, boards, places if len(setup.lies) == 1 else [])
    if places and len(setup.lies) > 1:
        group.add("Lay them so, each fresh end brushed:" if stops else "Set the distances:", *_joined(places))
    for boards in alike:
        _put_under(group, page, boards, still=still)
    for name in dict.fromkeys(cut.name for cut in setup.cuts):  # once for all the boards of a row
        if name.startswith("face "):
            group.add(f"Draw pencil lines across {name}, a hand's breadth apart.")
    notes = page.extras.notes.get(setup.index, ())
    # How hard a thing holds is told before the job begins, not while the board is laid.
    group.notes.extend(
        writing.words(note)
        for note in notes
        if not any(told.fullmatch(note) for told in (FORCE, PUSHED, BOLTED))
    )
    return group


def _shims_off(group: Group, page: Page) -> None:
    """Say that shims of the setup before come off, where none are wanted now."""
    before = earlier(page.packet, page.setup)
    if before and any(s.thickness > 0 for s in before[-1].shims):
        bare = {lie.board for lie in page.setup.lies} - {s.board for s in page.setup.shims if s.thickness > 0}
        if bare:
            group.add("Take every shim off the bed, and count them back.")


def _into_the_bed(setup: Setup, moves: Mapping[str, Moves]) -> float:
    """Return how far the deepest cut goes below the bed's surface, mm; 0.0 where none does."""
    lowest = 0.0
    for program in setup.programs:
        if program.purpose == "cut" and not program.done and program.file in moves:
            _, end = cutting_moves(moves[program.file])
            if len(end):
                lowest = min(lowest, float(end[:, 2].min()) + setup.work_origin[2])
    return round(-lowest, 2)


def _alike(packet: Packet, setup: Setup, woods: Mapping[str, Wood]) -> list[list[Lies]]:
    """Return the boards of a setup, those together of which the same is to be said."""
    found: dict[tuple[object, ...], list[Lies]] = {}
    for lie in setup.lies:
        wood = woods[lie.board]
        how = (turned_from_before(packet, setup, lie.board, wood.sides), how_it_lies(lie.up, wood.sides))
        on_shims = any(s.board == lie.board and s.thickness > 0 for s in setup.shims)
        found.setdefault((how, on_shims, wood.lower_is_flat, lie.moved), []).append(lie)
    return list(found.values())


def _lay_alike(group: Group, page: Page, alike: list[Lies], places: list[str]) -> None:
    """Say how boards are laid of which all is alike."""
    packet, setup = page.packet, page.setup
    lie, wood = alike[0], page.woods[alike[0].board]
    boards = [each.board for each in alike]
    turned = turned_from_before(packet, setup, lie.board, wood.sides)
    still = turned.endswith((NOT_MOVED, SLID))
    if len(packet.boards) == 1:
        called = "the board"
    elif len(boards) == len(setup.lies) > 1:
        called = "each"
    else:
        called = ", ".join(f"“{board}”" for board in boards)
    if len(boards) > 1:
        turned = of_each(turned)
    how = how_it_lies(lie.up, wood.sides)
    laid = f"Still {how}." if still else f"Lay {called} with {how}."
    group.add(f"{turned} {laid}", "; ".join(_joined(places)))


def _put_under(group: Group, page: Page, alike: list[Lies], *, still: bool) -> None:
    """Say what goes under boards of which all is alike, and how it is tried that they do not rock.

    `still`: they lie as they lay before, held all the while, and no chip has come under them.
    """
    packet, setup, writing = page.packet, page.setup, page.writing
    lie, wood = alike[0], page.woods[alike[0].board]
    boards = [each.board for each in alike]
    shims = [s for s in setup.shims if s.board in boards and s.thickness > 0]
    under, each = ("it", "it") if len(boards) == 1 else ("them", "any")
    # What has once touched the tape does not rock any more.
    sticks = any(one.kind == "tape" for one in setup.beneath)
    before_held = "On the bare bed, before the tape" if sticks else "Before anything holds it"
    if shims:
        group.add(
            f"Put {count(len(shims), 'shim')} under {under} as listed, paper where daylight is left. They "
            f"carry {under}: no clamp may press a board down between them."
        )
        parts = sum(len(stack(s.thickness, packet.shim_stock)) or 1 for s in shims)
        thin = min((each for each in packet.shim_stock if each > 0), default=FEELER)
        group.add(
            f"Pull at every shim: all must be pinched, no feeler of {writing.fine(thin)} may go in over one. "
            f"All {parts} pieces are in, not one is left over.",
            halt=True,
        )
    elif wood.lower_is_flat and lie.moved > 0:
        group.add(
            f"{before_held}: press the corners one after another. Does {each} rock?",
            f"It has rested, and may have moved by up to {writing.length(lie.moved)}. Slide shims under "
            "until it lies still; if they come to more than that, stop, and plan it anew from readings.",
            halt=True,
        )
    elif wood.lower_is_flat and not still:
        group.add(
            f"{before_held}: press the corners one after another. Does {each} rock?",
            "If it does, look for chips; if it still does, the wood has moved: flatten that face again.",
            halt=True,
        )


def _against(stops: Sequence[Solid], page: Page) -> str:
    """Say which end comes against what stop, where stops decide a board's length; "" where none do."""
    if not stops:
        return ""
    numbers = list(dict.fromkeys(page.tags.solids[s.name] for s in stops))
    which = f"the stop {numbers[0]}" if len(numbers) == 1 else "its stop" if _row(page) else "the stops"
    return f"{stops[0].name.rpartition(' at ')[2]} tight against {which}"


def _row(page: Page) -> bool:
    return len(page.setup.lies) > 1


def _shortly(place: str, against: str = "") -> str:
    """Say a distance along x in fewer words than the planner does, or what the board comes `against`."""
    found = _ALONG.fullmatch(place)
    if found is None:
        return place
    if against:
        return f"{found['before'] or ''}{against}"
    return f"{found['before'] or ''}{found['end']} {found['far']} {found['side']} of the mark"


def _joined(places: list[str]) -> list[str]:
    """Return the distances to set; two from the same line are told in one."""
    joined: list[str] = []
    for place in places:
        same = _AT.fullmatch(place)
        last = _AT.fullmatch(joined[-1]) if joined else None
        if same and last and same["what"] == last["what"]:
            whose = last["far"].rpartition(": ")[0]
            far = same["far"].removeprefix(f"{whose}: ")
            joined[-1] = f"{last['far']} at x = {last['x']} and {far} at x = {same['x']} {same['what']}"
        else:
            joined.append(place)
    return joined


def _within(value: float, writing: Writing) -> str:
    """Write how far a reading may be off, finer where less than a tape shows is asked."""
    return writing.fine(value) if value < FEELER else writing.length(value)


def hold(page: Page) -> Group:
    """Return how a setup is held, tried by hand, and checked for how it lies."""
    setup, woods, tags, extras, writing = page.setup, page.woods, page.tags, page.extras, page.writing
    group = Group("Hold it", handled=True)
    notes = extras.notes.get(setup.index, ())
    set_after(group, page, pushed=any(PUSHED.fullmatch(note) for note in notes))
    if woods:
        by_hand = [writing.words(each) for each in held_by_hand(page.packet, setup.index)]
        group.add(" ".join(by_hand) or TRY, halt=True)
    checks = extras.seat_checks.get(setup.index, ())
    if checks:
        alike = len({within for *_, within in checks}) == 1
        group.add(
            "Check how it lies: read the height of the upper face above the bed at "
            f"{count(len(checks), 'place')}{_over_shims(setup)}.",
            "; ".join(
                f"{tag}, x {writing.spot(x)} y {writing.spot(y)}: "
                f"{writing.shown(reads + setup.work_origin[2])}"
                + ("" if alike else f" give or take {_within(within, writing)}")
                for (tag, _, _), (x, y, reads, within) in zip(tags.checks, checks, strict=True)
            )
            + (f"; give or take {_within(checks[0][3], writing)}" if alike else "")
            + ". If one is out, begin this setup again.",
            halt=True,
        )
    return group


def _over_shims(setup: Setup) -> str:
    return ", and over every shim as listed" if any(s.thickness > 0 for s in setup.shims) else ""
