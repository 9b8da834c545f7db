"""What the sheet says beyond packet.json: words and settings for people, which the proof does not need.

In: the job, its setups, its programs. Out: `Extras`. Promise: a packet read back from disk without them still
gives a whole sheet, only with fewer words.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING

from stockwright.board.species import SPECIES
from stockwright.frozen import frozen
from stockwright.motion.nodes import Feed, Pause
from stockwright.packet.assemble import file_in_packet
from stockwright.planning.movement import finished_moves, in_words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.job import Job
    from stockwright.motion.nodes import Program
    from stockwright.packet.assemble import Written
    from stockwright.packet.steps import Group
    from stockwright.planning.setup import Setup

__all__ = ["Extras", "extras_of"]


@frozen
class Extras:
    """By setup: heights of travel, heights to read (x, y, reads, within), notes. By tool: rpm and feed.

    `titles` by file; `comes_down`, by file, how high over the bed an outline program stops for a block to be
    tried; `shim_stock` the thicknesses the shop has, mm; `guesses` what was not stated and taken;
    `said_otherwise` what the post cannot say as meant; `movement`,
    by board, what its moisture will do to it; `choices` why each
    cutter was taken. Where something is cut again, `now_says` is what the first page
    begins with, and `now`, by setup, the steps that come first.
    """

    job: str = ""
    shim_stock: tuple[float, ...] = ()
    clear_z: Mapping[int, float] = field(default_factory=dict)
    seat_checks: Mapping[int, tuple[tuple[float, float, float, float], ...]] = field(default_factory=dict)
    notes: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    speeds: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    titles: Mapping[str, str] = field(default_factory=dict)
    comes_down: Mapping[str, float] = field(default_factory=dict)
    guesses: tuple[str, ...] = ()
    said_otherwise: tuple[str, ...] = ()
    now_says: tuple[str, ...] = ()
    now: Mapping[int, tuple[Group, ...]] = field(default_factory=dict)
    movement: Mapping[str, str] = field(default_factory=dict)
    choices: tuple[str, ...] = ()


def extras_of(
    job: Job,
    setups: tuple[Setup, ...],
    programs: tuple[tuple[Program, ...], ...],
    files: Mapping[str, Written],
    said_otherwise: tuple[str, ...] = (),
) -> Extras:
    """Gather them from what the stages before have made; `files` as for `assemble`."""
    every = [program for group in programs for program in group]
    of_boards = {note for board in job.boards for note in board.notes}
    return Extras(
        job=job.name,
        shim_stock=job.shop.shims,
        clear_z={setup.index: setup.clear_z for setup in setups},
        seat_checks={setup.index: setup.seat_check for setup in setups},
        # What a board's readings left open is said once, on the first page.
        notes={s.index: tuple(n for n in s.notes if n not in of_boards) for s in setups},
        speeds={program.tool.name: (program.tool.rpm, program.tool.feed) for program in every},
        titles={file_in_packet(files[program.stem][0]): program.title for program in every},
        comes_down={
            file_in_packet(files[p.stem][0]): height + setup.work_origin[2]
            for setup, group in zip(setups, programs, strict=True)
            for p in group
            if p.purpose == "outline" and (height := _stops_at(p)) is not None
        },
        said_otherwise=said_otherwise,
        guesses=tuple(f"{board.name}: {note}" for board in job.boards for note in board.notes),
        choices=job.choices,
        movement={
            f"{board.name} ({SPECIES[board.species].title})": in_words(moves, job)
            for board in job.boards
            if board.species is not None and (moves := finished_moves(job.of(board.name), board)) is not None
        },
    )


def _stops_at(program: Program) -> float | None:
    """Return the height at which an outline program waits for the person; None where it does not."""
    height = None
    for node in program.nodes:
        if isinstance(node, Feed):
            height = float(node.points[-1][2])
        elif isinstance(node, Pause):
            return height
    return None
