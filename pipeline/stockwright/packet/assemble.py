"""pack: setups, programs and findings -> `Packet`.

In: what the stages before have made, and each program's text. Out: the packet's facts, first without a proof,
then with it. Promise: only physical facts and what was asked for go in, as plain rounded numbers; nothing
that only the planner believes.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Literal, Protocol, cast

import numpy as np

from stockwright import __version__
from stockwright.frozen import frozen
from stockwright.job import EdgeStep
from stockwright.packet import model
from stockwright.packet.expected import expected_of
from stockwright.planning.setup import EdgeCut, PlaneGoal

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import ArrayLike, NDArray

    from stockwright.board.surface import Board
    from stockwright.findings import Finding
    from stockwright.job import Job
    from stockwright.machine import Machine
    from stockwright.motion.nodes import Program
    from stockwright.planning.setup import Goal, Setup, Slid
    from stockwright.tooling import Tool

__all__ = ["Emitted", "Outcome", "Written", "assemble", "digest", "file_in_packet", "with_proof"]


# One program's file: its name without a folder, its text, how long it runs (s), its lines.
Written = tuple[str, str, float, int]


@frozen(eq=False)
class Emitted:
    """What was written and by which post: its name, the reader of its dialect (None: there is none).

    `files` by the programs' stems; `machine_zero`: where its return to it goes; `control`: what that takes.
    """

    post: str
    reader: str | None
    files: Mapping[str, Written]
    machine_zero: tuple[float, float, float] | None = None
    control: model.Control | None = None


class Outcome(Protocol):
    """What the proof hands back."""

    @property
    def proof(self) -> model.Proof:
        """The verdict and its reasons."""

    @property
    def finished(self) -> Mapping[str, model.Finished]:
        """What each simulated board measures at the end."""

    @property
    def program_verdicts(self) -> Mapping[str, model.Verdict]:
        """File within the packet -> its own verdict."""


def file_in_packet(file_name: str) -> str:
    """Return where a program's file stands within the packet."""
    return f"programs/{file_name}"


def digest(text: str) -> str:
    """Return the digest of a program's text as it stands on the disk (UTF-8)."""
    return f"sha256:{hashlib.sha256(text.encode()).hexdigest()}"


def assemble(
    job: Job,
    setups: tuple[Setup, ...],
    programs: tuple[tuple[Program, ...], ...],
    findings: Iterable[Finding],
    emitted: Emitted,
) -> model.Packet:
    """Build the packet, not yet proven. `programs[i]` are those of `setups[i]`, in the order they are run.

    Raises `KeyError` where a program was not written, `pydantic.ValidationError` where the parts contradict
    one another.
    """
    stems = {p.stem: file_in_packet(emitted.files[p.stem][0]) for group in programs for p in group}
    of_boards = frozenset(note for board in job.boards for note in board.notes)
    used: dict[str, Tool] = {}
    for group in programs:
        for program in group:
            used.setdefault(program.tool.name, program.tool)
    return model.Packet(
        job=job.name,
        units=job.shop.units,
        inch_as=job.shop.inch_as,
        paper=job.shop.paper,
        shim_stock=[_number(thickness) for thickness in job.shop.shims],
        guesses=[f"{board.name}: {note}" for board in job.boards for note in board.notes],
        made_with=model.MadeWith(name="stockwright", version=__version__),
        recipe=model.RecipeUsed(name=job.recipe, version=job.recipe_version, digest=job.recipe_digest),
        wanted={board.name: _wanted(job.of(board.name), job.part(board.name)) for board in job.boards},
        boards={board.name: _board(board) for board in job.boards},
        machine=_machine(job.shop.machine, emitted),
        tools={name: _tool(tool, *_bites(tool, setups)) for name, tool in used.items()},
        setups=[
            _setup(setup, group, emitted, of_boards) for setup, group in zip(setups, programs, strict=True)
        ],
        findings=[_finding(f, stems) for f in findings],
        expected=expected_of(job, setups),
    )


def with_proof(packet: model.Packet, outcome: Outcome) -> model.Packet:
    """Return the packet with the proof's verdict, each program's verdict, and the finished sizes."""
    verdicts = outcome.program_verdicts
    setups = [
        setup.model_copy(
            update={
                "programs": [
                    program.model_copy(update={"verdict": verdicts.get(program.file, program.verdict)})
                    for program in setup.programs
                ]
            }
        )
        for setup in packet.setups
    ]
    return packet.model_copy(
        update={"setups": setups, "finished": dict(outcome.finished), "proof": outcome.proof}
    )


def _number(value: float) -> float:
    return round(float(value), model.DECIMALS) + 0.0


def _points(outline: ArrayLike) -> list[tuple[float, float]]:
    return [(_number(x), _number(y)) for x, y in np.asarray(outline, dtype=float)]


def _span(ends: tuple[float, float]) -> tuple[float, float]:
    return (_number(ends[0]), _number(ends[1]))


def _wanted(job: Job, part: str) -> model.Wanted:
    wanted = job.wanted
    asked = wanted.tolerance
    edges = ("edge-1", "edge-2")
    hollow = {s.side: s.hollow for s in job.steps if isinstance(s, EdgeStep) and s.side in edges and s.hollow}
    return model.Wanted(
        part=part,
        length=wanted.length,
        width=wanted.width,
        thickness=wanted.thickness,
        tolerance=model.Tolerance(
            length=asked.length,
            width=asked.width,
            thickness=asked.thickness,
            flatness=asked.flatness,
            parallelism=asked.parallelism,
            squareness=asked.squareness,
            straightness=asked.straightness,
        ),
        hollow=cast("dict[Literal['edge-1', 'edge-2'], float]", hollow),
    )


def _board(board: Board) -> model.MeasuredBoard:
    every_x, every_y = _thinned(len(board.x), len(board.y))
    top, bottom = np.asarray(board.top), np.asarray(board.bottom)
    few_top, few_bottom = top[np.ix_(every_x, every_y)], bottom[np.ix_(every_x, every_y)]
    # A reading left out is still honoured: by as much as the coarser grid misses it, the uncertainty grows.
    missed = max(
        float(np.abs(_read(board, every_x, every_y, few) - full).max())
        for few, full in ((few_top, top), (few_bottom, bottom))
    )
    return model.MeasuredBoard(
        outline=_points(board.outline),
        holes=[_points(hole) for hole in board.holes],
        x=[_number(x) for x in board.x[every_x]],
        y=[_number(y) for y in board.y[every_y]],
        top=[[_number(z) for z in row] for row in few_top],
        bottom=[[_number(z) for z in row] for row in few_bottom],
        uncertainty=_number(board.uncertainty + missed),
    )


def _thinned(n: int, m: int) -> tuple[list[int], list[int]]:
    """Return which rows and columns to keep: all, or evenly spread ones, ends included, within the bound."""
    step = 1
    while True:
        rows = sorted({*range(0, n, step), n - 1})
        columns = sorted({*range(0, m, step), m - 1})
        if len(rows) * len(columns) <= model.GRID_POINTS:
            return rows, columns
        step += 1


def _read(
    board: Board, every_x: list[int], every_y: list[int], few: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Read the kept heights bilinearly at every station of the board, (n, m)."""
    along = np.array([np.interp(board.x, board.x[every_x], column) for column in few.T]).T
    return np.array([np.interp(board.y, board.y[every_y], row) for row in along])


def _machine(machine: Machine, emitted: Emitted) -> model.Machine:
    return model.Machine(
        name=machine.name,
        travel=model.Travel(x=_span(machine.x), y=_span(machine.y), z=_span(machine.z)),
        zero=emitted.machine_zero,
        rapid=machine.rapid,
        rapids=machine.rapids,
        acceleration=machine.acceleration,
        max_feed=machine.max_feed,
        min_rpm=machine.min_rpm,
        max_rpm=machine.max_rpm,
        power=machine.power,
        spoilboard=machine.spoilboard,
        margin=machine.margin,
        attached=[
            model.Attached(
                name=part.name,
                outline=_points(part.outline),
                bottom=_number(part.bottom),
                top=_number(part.top),
                moves_with=part.moves_with,
                soft=part.soft,
            )
            for part in machine.attached
        ],
        controls={} if emitted.control is None else {emitted.post: emitted.control},
    )


def _bites(tool: Tool, setups: tuple[Setup, ...]) -> tuple[float, float]:
    """Return the thickest cut that shop and recipe let a tool take, and the widest full-height trim."""
    cuts = [cut for setup in setups for cut in setup.cuts if cut.tool.name == tool.name]
    trims = [cut.light for cut in cuts if isinstance(cut, EdgeCut)]
    return max([tool.stepdown, *(cut.stepdown for cut in cuts)]), max(trims, default=0.0)


def _tool(tool: Tool, deepest: float, trim: float) -> model.Tool:
    return model.Tool(
        number=tool.number,
        kind=tool.kind,
        diameter=_number(tool.diameter),
        cutting_length=_number(tool.cutting_length),
        shank_diameter=_number(tool.shank_diameter),
        overall_length=_number(tool.overall_length),
        gripped=_number(tool.gripped),
        stickout=_number(tool.stickout),
        marked_max_rpm=tool.marked_max_rpm,
        flutes=tool.flutes,
        centre_cutting=tool.centre_cutting,
        ramp=_number(tool.ramp),
        deepest=_number(deepest) or None,
        trim=_number(trim),
        corner_radius=_number(tool.corner_radius),
        assembly=[
            model.Part(diameter=_number(part.diameter), bottom=_number(part.bottom), top=_number(part.top))
            for part in tool.assembly
        ],
    )


def _setup(
    setup: Setup,
    programs: tuple[Program, ...],
    emitted: Emitted,
    said_before: frozenset[str],
) -> model.Setup:
    rows = [tuple(_number(v) for v in row) for lie in setup.lies for row in lie.matrix]
    matrices = [rows[i : i + 4] for i in range(0, len(rows), 4)]
    return model.Setup(
        index=setup.index,
        title=setup.title,
        # A face cut in several regions is one cut with several goals.
        cuts=[
            model.Cut(board=board, name=name)
            for board, name in dict.fromkeys(
                (board, cut.name)
                for cut in setup.cuts
                for board in (getattr(cut, "board", None), *getattr(cut, "also", ()))
            )
        ],
        lies=[
            model.Lies.model_validate(
                {
                    "board": lie.board,
                    "up": lie.up,
                    "quarter_turns": lie.quarter_turns,
                    "matrix": matrix,
                    "moved": _number(lie.moved),
                }
            )
            for lie, matrix in zip(setup.lies, matrices, strict=True)
        ],
        work_origin=(
            _number(setup.work_origin[0]),
            _number(setup.work_origin[1]),
            _number(setup.work_origin[2]),
        ),
        zero=model.Zero(x="bed mark", y="bed mark", z=setup.zero_z, how=setup.zero_how),
        goals=[_goal(goal) for goal in setup.goals],
        solids=[
            model.Solid(
                name=solid.name,
                kind=solid.kind,
                outline=_points(solid.outline),
                bottom=_number(solid.bottom),
                top=_number(solid.top),
                may_cut_to=None if solid.may_cut_to is None else _number(solid.may_cut_to),
            )
            for solid in setup.solids
        ],
        beneath=[
            model.Beneath(
                name=grip.name,
                kind="vacuum" if grip.how == "draw" else "tape",
                outline=_points(grip.outline),
            )
            for grip in setup.grips
            if grip.outline
        ],
        shims=[
            model.Shim(board=s.board, x=_number(s.x), y=_number(s.y), thickness=_number(s.thickness))
            for s in setup.shims
        ],
        placing=[model.Placing(x=_number(p.x), y=_number(p.distance), text=p.text) for p in setup.placing],
        seat_check=[
            (_number(x), _number(y), _number(reads), _number(within))
            for x, y, reads, within in setup.seat_check
        ],
        # What a board's readings left open is said once, among the guesses.
        notes=[note for note in setup.notes if note not in said_before],
        position=None if setup.slid is None else _position(setup.slid),
        programs=[_program(program, setup, emitted) for program in programs],
    )


def _position(slid: Slid) -> model.Position:
    return model.Position(
        number=slid.number, count=slid.count, by=_number(slid.by), reach=_span(slid.reach), then=slid.then
    )


def _goal(goal: Goal) -> model.PlaneGoal | model.WallGoal:
    if isinstance(goal, PlaneGoal):
        return model.PlaneGoal(board=goal.board, cut=goal.cut, z=_number(goal.z), region=_points(goal.region))
    return model.WallGoal(
        board=goal.board,
        cut=goal.cut,
        path=_points(goal.path),
        inside=goal.inside,
        z=_span(goal.z),
        clear=_number(goal.clear),
    )


def _program(program: Program, setup: Setup, emitted: Emitted) -> model.Program:
    name, text, seconds, blocks = emitted.files[program.stem]
    return model.Program(
        file=file_in_packet(name),
        title=program.title,
        purpose=program.purpose,
        tool=program.tool.name,
        post=emitted.post,
        reader=emitted.reader,
        touch_off=model.TouchOff(z=setup.zero_z, how=program.touch_off),
        digest=digest(text),
        seconds=round(float(seconds), 1),
        blocks=blocks,
        standing=list(program.standing),
    )


def _finding(finding: Finding, stems: Mapping[str, str]) -> model.PacketFinding:
    # A check knows a program by its stem; whoever reads the packet knows it by its file.
    program = finding.program
    at = finding.at
    return model.PacketFinding(
        rule=finding.rule,
        level=finding.level,
        setup=finding.setup,
        program=None if program is None else stems.get(program, program),
        at=None if at is None else (_number(at[0]), _number(at[1]), _number(at[2])),
        measured=None if finding.measured is None else _number(finding.measured),
        limit=None if finding.limit is None else _number(finding.limit),
        message=finding.message,
        remedy=finding.remedy,
    )
