"""plan: job -> setups. Each setup knows the wood it receives and hands on the wood it leaves.

In: a bound job. Out: `Plan`, the setups in the order of work and the findings. Promise: every reference was
made in an earlier setup; the board's measured shape is carried through every flip and turn; a job that cannot
be planned is refused with all its reasons.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import takewhile
from typing import TYPE_CHECKING

from stockwright.findings import Finding, Refused
from stockwright.frozen import frozen
from stockwright.job import MateStep
from stockwright.planning.bed import plan_bed
from stockwright.planning.board_setup import board_setup
from stockwright.planning.common_face import common_takes, first_face_of
from stockwright.planning.groups import group
from stockwright.planning.mating import mate_setup, no_neighbour
from stockwright.planning.movement import movement_found
from stockwright.planning.piece import find_piece
from stockwright.planning.risers import not_raised, raised_zone
from stockwright.planning.row_setup import row_setup
from stockwright.planning.rows import Member
from stockwright.planning.setup import EdgeCut
from stockwright.planning.sliding import positions, steps_here

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.job import Job
    from stockwright.planning.groups import Group
    from stockwright.planning.piece import Piece
    from stockwright.planning.setup import Setup

__all__ = ["Plan", "before_the_fence", "plan", "plan_board"]

LEAST_TRIM = 0.2  # mm of a side that a cutter can be asked to take; common practice, no source


@frozen(eq=False)
class Plan:
    """The setups in the order of work, the pieces by board name, and what planning noticed."""

    setups: tuple[Setup, ...]
    pieces: tuple[Piece, ...]
    findings: tuple[Finding, ...]


def plan(job: Job) -> Plan:
    """Plan every board of the job, then the bed where the recipe skims it.

    All boards go through one clamping before any goes on to the next: tools and fences stay as they are.
    Raises `Refused` with every reason of every board at once.
    """
    setups: list[Setup] = []
    found: list[Finding] = []
    members = _members(job, found)
    pieces = tuple(m.piece for m in members)
    _go_on(job, members, setups, found)
    setups.extend(plan_bed(job, len(setups) + 1))
    found.extend(_nothing_to_cut(setups))
    if any(f.level == "refuse" for f in found):
        raise Refused(tuple(found))
    return Plan(tuple(replace(setup, of=len(setups)) for setup in setups), pieces, tuple(found))


def before_the_fence(job: Job) -> tuple[Finding, ...]:
    """Return what planning finds in a job whose shop has no fence, up to the first clamping against it."""
    found: list[Finding] = []
    try:
        members = [
            replace(m, groups=tuple(takewhile(lambda g: not g.against_fence, m.groups)))
            for m in _members(job, found)
        ]
        _go_on(job, members, [], found)
    except Refused as refused:
        found.extend(refused.findings)
    return tuple(found)


def _go_on(job: Job, members: list[Member], setups: list[Setup], found: list[Finding]) -> None:
    """Plan the clampings of all boards in the order of work; `setups` and `found` take what comes of it."""
    pieces = len(members)
    for at in range(max((len(m.groups) for m in members), default=0)):
        here = [m for m in members if at < len(m.groups)]
        if here and not _each_alone(here[0].groups[at]):
            if len(members) < pieces:
                break  # boards that make no row: what comes after it cannot be told
            members = _side_by_side(job, members, at, setups, found)
        else:
            gone_on = {id(m): _alone(job, m, at, len(setups) + 1, setups, found) for m in here}
            members = [after for m in members if (after := gone_on.get(id(m), m)) is not None]


def plan_board(job: Job, place: int, first: Sequence[int], of: int) -> Plan:
    """Plan one board of a job by itself, the `place`th from 0, exactly as `plan` plans it among all.

    `first` numbers the first setup of each of its clampings; `of` is how many setups the whole job has. Only
    for jobs in which each board lies alone in every clamping. Raises `Refused` with every reason.
    """
    setups: list[Setup] = []
    found: list[Finding] = []
    members = _members(job, found, place)
    pieces = tuple(m.piece for m in members)
    for m in members:
        board: Member | None = m
        for at in range(len(m.groups)):
            board = None if board is None else _alone(job, board, at, first[at], setups, found)
    found.extend(_nothing_to_cut(setups))
    if any(f.level == "refuse" for f in found):
        raise Refused(tuple(found))
    return Plan(tuple(replace(setup, of=of) for setup in setups), pieces, tuple(found))


def _nothing_to_cut(setups: Sequence[Setup]) -> list[Finding]:
    """Find the clampings in which no cutter would meet wood: their boards reach no farther than is wanted."""
    found = []
    for setup in setups:
        sides = [cut for cut in setup.cuts if isinstance(cut, EdgeCut) and cut.board is not None]
        if not sides or len(sides) < len(setup.cuts) or any(cut.waste for cut in sides):
            continue
        names = " and ".join(dict.fromkeys(cut.name for cut in sides))
        sizes = {"width" if cut.name.startswith("edge") else "length" for cut in sides}
        # A piece may be laid in the middle of what there is; of a last pass of nothing no cutter takes hold.
        less = 2 * max(LEAST_TRIM, *(cut.light for cut in sides))
        found.append(
            Finding(
                rule="nothing-to-cut",
                level="refuse",
                message=f"beyond {names} there is no wood: the board reaches no farther than the piece",
                remedy=f"ask for {less:g} mm less {' and '.join(sorted(sizes))}, or leave the step out",
                measured=0.0,
                limit=less,
                setup=setup.index,
            )
        )
    return found


def _members(job: Job, found: list[Finding], only: int | None = None) -> list[Member]:
    """Return every board with its piece; `found` takes what there is to say, and why a board has none.

    `only`: none but that one, counted from 0.
    """
    takes = common_takes(job)
    members = []
    for number, board in enumerate(job.boards, 1):
        if only not in {None, number - 1}:
            continue
        own = job.of(board.name)
        first, take = first_face_of(own), takes.get(board.name)
        if isinstance(take, Finding):
            found.append(take)
            continue
        if first is not None and take is not None:
            first = replace(first, take=take)
        try:
            piece = find_piece(own, board, first)
        except Refused as refused:
            found.extend(refused.findings)
            continue
        found.extend(piece.findings)
        found.extend(movement_found(own, piece))
        members.append(Member(board, piece, piece.wood, group(own.steps, number)))
    return members


def _each_alone(g: Group) -> bool:
    """Say whether a clamping takes one board at a time."""
    return g.together == 1 and not isinstance(g.steps[0], MateStep)


def _side_by_side(
    job: Job, members: list[Member], at: int, setups: list[Setup], found: list[Finding]
) -> list[Member]:
    """Plan a clamping that takes several boards; return what they then are, fewer where some cannot be."""
    g = members[0].groups[at]
    if raised_zone(g.hold) is not None:
        found.append(not_raised(min(g.together, len(members)), len(setups) + 1))
        return []
    if isinstance(g.steps[0], MateStep):
        return _mated(job, members, at, setups, found)
    rows = [members[i : i + g.together] for i in range(0, len(members), g.together)]
    return [m for row in rows for m in _in_a_row(job, row, at, setups, found)]


def _in_a_row(
    job: Job, row: list[Member], at: int, setups: list[Setup], found: list[Finding]
) -> list[Member]:
    """Plan one clamping of several boards; return what they then are, none where they make no row."""
    if len(row) == 1:
        after = _alone(job, row[0], at, len(setups) + 1, setups, found)
        return [] if after is None else [after]
    try:
        setup, woods, more = row_setup(job, row, at, len(setups) + 1)
    except Refused as refused:
        found.extend(refused.findings)
        return []
    setups.append(setup)
    found.extend(more)
    return [replace(m, wood=wood) for m, wood in zip(row, woods, strict=True)]


def _mated(
    job: Job, members: list[Member], at: int, setups: list[Setup], found: list[Finding]
) -> list[Member]:
    """Plan the clampings in which each two neighbours' edges are cut; return what the boards then are."""
    if len(members) < 2:
        found.append(no_neighbour(job, len(setups) + 1))
        return []
    done = list(members)
    for i in range(len(done) - 1):
        try:
            setup, woods, more = mate_setup(job, done[i], done[i + 1], at, len(setups) + 1)
        except Refused as refused:
            found.extend(refused.findings)
            return []
        setups.append(setup)
        found.extend(more)
        done[i], done[i + 1] = replace(done[i], wood=woods[0]), replace(done[i + 1], wood=woods[1])
    return done


def _alone(
    job: Job, m: Member, clamping: int, first: int, setups: list[Setup], found: list[Finding]
) -> Member | None:
    """Plan one clamping of one board, its setups numbered from `first`; return what it then is.

    None where it cannot be planned, and `found` says why.
    """
    job = job.of(m.board.name)
    g = m.groups[clamping]
    slid = positions(job, m.wood, g, first)
    if isinstance(slid, Finding):
        found.append(slid)
        return None
    made = 0
    for at in slid or (None,):
        here = g if at is None else steps_here(m.piece, m.wood, g, at)
        if not here.steps:
            continue
        setup, wood, more = board_setup(job, m, here, first + made, at)
        m = replace(m, wood=wood)
        made += 1
        setups.append(setup)
        found.extend(more)
    return m
