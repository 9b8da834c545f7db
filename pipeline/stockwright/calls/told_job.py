"""What the terminal shows of a job: what was decided and why, its setups, the findings, what to do next.

In: results of the stages. Out: lines of plain text. Promise: that of `terminal`; lengths are in the shop's
own units, also inside sentences of the planner and of the checks.
"""

from __future__ import annotations

import textwrap
from itertools import zip_longest
from typing import TYPE_CHECKING

import numpy as np

from stockwright.calls.terminal import WIDTH, clock, count, finding_lines, plain, verdict_line
from stockwright.packet.writing import Writing
from stockwright.planning.setup import BedCut, EdgeCut, FaceCut

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from pathlib import Path

    from stockwright.board.surface import Board
    from stockwright.findings import Finding
    from stockwright.job import Job
    from stockwright.machine import Shop
    from stockwright.packet.model import Packet
    from stockwright.planning import Plan
    from stockwright.planning.piece import Piece
    from stockwright.planning.setup import Lies, Setup
    from stockwright.run import Checked
    from stockwright.units import System

__all__ = [
    "Row",
    "checked_lines",
    "decided_lines",
    "delivered_lines",
    "finished_lines",
    "piece_line",
    "seconds_of",
    "setup_rows",
    "table_lines",
    "writing_of_job",
    "writing_of_shop",
]

Row = tuple[str, ...]  # setup, title, cutters, depth, thickness left: as they are told

_SEATED = {
    "thickest": "laid so that it gives the most",
    "no-rocking": "laid so that it does not rock",
    "as-it-lies": "as it lies",
}


def writing_of_job(job: Job) -> Writing:
    """Return how the people of a job read lengths; names from its documents are left as they are."""
    return writing_of_shop(job.shop, job.name, *(b.name for b in job.boards))


def writing_of_shop(shop: Shop, *more: str) -> Writing:
    """Return how the people of a shop read lengths; its names, and `more`, are left as they are."""
    names = {shop.name, *more, *(t.name for t in shop.tools), *(h.name for h in shop.hold_downs)}
    return Writing(shop.units, shop.inch_as, tuple(sorted(names)))


def checked_lines(checked: Checked) -> Iterator[str]:
    """Yield what was decided, when nothing is to be written."""
    job, plan = checked.job, checked.plan
    pieces = (piece_line(piece, job) for piece in plan.pieces)
    yield from decided_lines(job, pieces, setup_rows(plan, job), checked.findings)
    programs = sum(len(group) for group in checked.programs)
    yield f"nothing refuses it so far: {count(programs, 'program')} to write and to prove"
    yield "what to do next: `stockwright make` writes and proves them"


def decided_lines(
    job: Job,
    pieces: Iterable[str],
    setups: Sequence[Row],
    findings: Iterable[Finding],
    seconds: Mapping[str, float] | None = None,
) -> Iterator[str]:
    """Yield what is made from what, the setups, then the findings; `seconds` of each setup, where known."""
    yield f"{job.name}: recipe {job.recipe} {job.recipe_version}, shop {job.shop.name}"
    yield from pieces
    yield ""
    yield from table_lines(setups, job.shop.units, seconds)
    yield ""
    found = list(finding_lines(findings, writing_of_job(job)))
    if found:
        yield from found
        yield ""


def piece_line(piece: Piece, job: Job) -> str:
    """Say what a board can give, how it is laid for its first face, and why not otherwise."""
    s, writing = piece.seating, writing_of_job(job)
    shims = f"on {count(len(s.shims), 'shim')}" if s.shims else "without shims"
    why = f"; {writing.words(s.why)}" if len(job.boards) == 1 and s.why else ""
    gives = writing.fine(s.thickness)
    name = piece.wood.board.name
    return (
        f"  {name}{_becomes(job, name, writing)}: can give {gives}, {_SEATED.get(s.policy, s.policy)}, "
        f"{shims}{why}"
    )


def _becomes(job: Job, board: str, writing: Writing) -> str:
    """Say which part a board becomes, and how large, where the job says so of each."""
    own = job.own.get(board)
    if own is None:
        return ""
    asked = (own.wanted.length, own.wanted.width, own.wanted.thickness)
    size = " x ".join("as it is" if each is None else writing.length(each) for each in asked)
    return f", {own.part}, {size}" if own.part else f", {size}"


def setup_rows(plan: Plan, job: Job) -> tuple[Row, ...]:
    """Return for each setup its number, title, cutters, how deep they go, and the thickness it leaves."""
    boards = {piece.wood.board.name: piece.wood.board for piece in plan.pieces}
    true = {(name, face) for name in boards for face in ("AB" if "faces" in job.already else "")}
    writing = writing_of_job(job)
    rows = []
    for setup in plan.setups:
        depth = max((_depth(cut) for cut in setup.cuts), default=0.0)
        left = [each for lie in setup.lies for each in _left(setup, lie, boards, true)]
        true |= {(lie.board, lie.up) for lie in setup.lies if any(_cuts(c, lie.board) for c in setup.cuts)}
        tools = ", ".join(dict.fromkeys(cut.tool.name for cut in setup.cuts))
        told = list(dict.fromkeys(writing.decimal(each) for each in (min(left), max(left)))) if left else []
        rows.append((str(setup.index), setup.title, tools, writing.decimal(depth), " to ".join(told)))
    return tuple(rows)


def _depth(cut: FaceCut | EdgeCut | BedCut) -> float:
    return float(cut.ceiling - (cut.bottom if isinstance(cut, EdgeCut) else cut.z))


def _cuts(cut: FaceCut | EdgeCut | BedCut, board: str) -> bool:
    return isinstance(cut, FaceCut) and cut.of(board)


def _left(
    setup: Setup, lie: Lies, boards: Mapping[str, Board], true: set[tuple[str, str]]
) -> tuple[float, ...]:
    """Return the least and the greatest thickness that a board has once its face is cut, mm."""
    z = next((cut.z for cut in setup.cuts if isinstance(cut, FaceCut) and cut.of(lie.board)), None)
    board = boards.get(lie.board)
    if z is None or board is None:
        return ()
    if (lie.board, "B" if lie.up == "A" else "A") in true:  # it rests on a flat face
        return (z,)
    own = board.bottom if lie.up == "A" else board.top
    x, y = np.meshgrid(board.x, board.y, indexing="ij")
    below = lie.matrix[2, 0] * x + lie.matrix[2, 1] * y + lie.matrix[2, 2] * own + lie.matrix[2, 3]
    return (float(z - below.max()), float(z - below.min()))


def table_lines(rows: Sequence[Row], units: System, seconds: Mapping[str, float] | None) -> Iterator[str]:
    """Yield the setups as a table of 80 columns; what is too long for its column goes on below."""
    unit = "in" if units == "inch" else "mm"
    time = seconds is not None
    left = 14 if units == "mm" else 16
    wide = [3, WIDTH - 32 - left - (7 if time else 0), 16, 9, left]
    heads: list[Row] = [("", "setup", "cutter", f"depth, {unit}", f"left, {unit}", "time")]
    told = [(*row, clock(seconds.get(row[0], 0.0)) if seconds is not None else "") for row in rows]
    for row in (*heads, *told):
        cells = [
            textwrap.wrap(plain(cell), width, break_on_hyphens=False) or [""]
            for cell, width in zip(row[:5], wide, strict=True)
        ]
        if time:
            cells.append([row[5]])
        for line in zip_longest(*cells, fillvalue=""):
            number, title, tool, *numbers = line
            aligned = [f"{cell:>{w}}" for cell, w in zip(numbers, (*wide[3:], 6), strict=False)]
            start = f"{number:>{wide[0]}} {title:<{wide[1]}} {tool:<{wide[2]}}"
            yield f"{start} {' '.join(aligned)}".rstrip()
    if seconds is not None:
        yield f"    the machine runs {clock(sum(seconds.values()))} in all, the handling between not counted"


def delivered_lines(packet: Packet, job: Job, out: Path) -> Iterator[str]:
    """Yield a packet's boards' sizes, its verdict, where it lies, and what to do next."""
    yield from finished_lines(packet, job.shop.units)
    assert packet.proof is not None
    programs = sum(len(setup.programs) for setup in packet.setups)
    yield verdict_line(packet.proof, programs)
    yield (
        "no proof can know: zero as it is taken, the cutter as it is fitted, hold-downs as they stand, the "
        "wood inside. The sheet says how to check each"
    )
    yield ""
    yield f"the packet is in {out}"
    yield (
        f"what to do next: print {out / 'sheet.pdf'} and work from it; {out / 'playback.html'} shows every "
        "program before it runs"
    )


def finished_lines(packet: Packet, units: System = "mm") -> Iterator[str]:
    """Yield the finished sizes as the simulated board has them."""
    from stockwright.packet.as_cut import as_cut
    from stockwright.units import INCH

    scale, decimals, unit = (INCH, 3, "in") if units == "inch" else (1.0, 2, "mm")
    for name, done in packet.finished.items():
        sizes = []
        f = as_cut(packet, name)
        for measure, measured in ((f.length, done.length), (f.width, done.width), (f.thickness,) * 2):
            if measure is None and measured is not None:
                sizes.append("as it is")
            elif measure is not None:
                low, high = (f"{each / scale:.{decimals}f}" for each in measure)
                sizes.append(low if low == high else f"{low} to {high}")
        if sizes:
            part = packet.wanted[name].part if name in packet.wanted else ""
            yield f"{name}{f', {part},' if part else ''} in the simulated board: {' x '.join(sizes)} {unit}"


def seconds_of(packet: Packet) -> dict[str, float]:
    """Return how long the programs of each setup run, s, by its number as it is told."""
    return {str(s.index): sum(p.seconds for p in s.programs if not p.done) for s in packet.setups}
