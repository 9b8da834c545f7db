"""The sheet: what the person takes to the machine, on a screen or on paper.

In: a packet, its programs' moves, the user's units, and words beside them. Out: one HTML text with nothing
outside it. Promise: every number is the packet's; every name stays text, whatever is written in it; equal
packets give equal sheets.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from stockwright.packet.extras import Extras
from stockwright.packet.plan_drawing import Tagged, draw_plan
from stockwright.packet.section_drawing import draw_section
from stockwright.packet.steps import Group, file_name, how_it_lies, steps_for
from stockwright.packet.wood import wood_in
from stockwright.packet.writing import Writing

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.packet.drawing import Moves
    from stockwright.packet.model import Finished, MeasuredBoard, Packet, Setup

__all__ = ["sheet"]

TEMPLATES = Path(__file__).with_name("templates")
MEASURES = ("length", "width", "thickness")
LAID_AGAIN = (
    "A board laid again never lies quite as it did: a step may show where the cuts meet. A whole face a "
    "little deeper takes it away."
)


@dataclass(frozen=True)
class Row:
    """One line of a table: its name and its cells."""

    name: str
    cells: tuple[str, ...]


def sheet(
    packet: Packet,
    moves: Mapping[str, Moves],
    units: Literal["mm", "inch"] = "mm",
    extras: Extras | None = None,
) -> str:
    """Return the sheet as HTML. `moves` by file within the packet; a program without them is not drawn."""
    extras = extras or Extras()
    writing = Writing(units)
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    to_run = [program for setup in packet.setups for program in setup.programs if not program.done]
    environment.filters["sentence"] = _sentence
    environment.filters["file_name"] = file_name
    return environment.get_template("sheet.html").render(
        packet=packet,
        extras=extras,
        writing=writing,
        title=extras.job or packet.recipe.name,
        boards=[_board_row(packet, name, writing) for name in packet.boards],
        tolerances=_tolerances(packet, writing),
        finished=[
            Row(name, _finished_cells(done, writing))
            for name, done in packet.finished.items()
            if name in packet.boards
        ],
        tools=[_tool_row(packet, name, extras, writing) for name in packet.tools],
        folder="/".join(sorted({p.file.rpartition("/")[0] for p in to_run})),
        total=writing.time(sum(p.seconds for p in to_run)),
        findings=sorted(packet.findings, key=lambda f: ("refuse", "warn", "note").index(f.level)),
        setups=[
            _setup(packet, setup, moves, extras, writing)
            for setup in packet.setups
            if not setup.programs or any(not program.done for program in setup.programs)
        ],
    )


def _setup(
    packet: Packet, setup: Setup, moves: Mapping[str, Moves], extras: Extras, writing: Writing
) -> dict[str, Any]:
    """Gather what one setup's page shows."""
    woods = {lie.board: wood_in(packet, setup, lie.board) for lie in setup.lies}
    tags = Tagged(
        solids={solid.name: str(number) for number, solid in enumerate(setup.solids, 1)},
        shims=[_letter(number) for number in range(len(setup.shims))],
        checks=[
            (f"H{number}", x, y)
            for number, (x, y, *_) in enumerate(extras.seat_checks.get(setup.index, ()), 1)
        ],
    )
    groups = steps_for(packet, setup, woods, tags, extras, writing)
    now = extras.now.get(setup.index)
    if now is not None:
        # Cutter, zero and run are among what is done now; laying and holding stand by, if it moved.
        by = [Group(f"Only if it was moved: {g.heading}", g.steps, [*g.notes]) for g in groups[:2]]
        by[0].notes.insert(0, LAID_AGAIN)
        groups = [*now, *groups[4:], *by]
    return {
        "setup": setup,
        "lies": [Row(lie.board, (how_it_lies(lie.up, woods[lie.board].sides),)) for lie in setup.lies],
        "plan": draw_plan(setup, woods, moves, tags, writing),
        "section": draw_section(packet, setup, woods, moves, writing.length) if setup.goals else None,
        "solids": _halves([_solid_row(setup, number, writing) for number in range(len(setup.solids))]),
        "shims": [
            Row(
                tag,
                (
                    writing.spot(s.x),
                    writing.spot(s.y),
                    writing.bare(s.thickness),
                    _stack(s.thickness, extras, writing),
                ),
            )
            for tag, s in zip(tags.shims, setup.shims, strict=True)
        ],
        "groups": [group for group in groups if group.steps],
    }


def _sentence(text: str) -> str:
    """Begin with a capital and end with a stop, whatever a check or a post wrote."""
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?", ":")) else ".")


def _halves(rows: list[Row]) -> list[list[Row]]:
    """Set a long table in two, side by side."""
    if len(rows) < 5:
        return [rows] if rows else []
    middle = (len(rows) + 1) // 2
    return [rows[:middle], rows[middle:]]


def _letter(number: int) -> str:
    return chr(ord("a") + number % 26) * (1 + number // 26)


def _stack(thickness: float, extras: Extras, writing: Writing) -> str:
    """Say which of the shop's shims make a thickness, the thickest first; empty where they do not."""
    left = thickness
    parts: list[float] = []
    for shim in sorted(extras.shim_stock, reverse=True):
        while shim > 0 and left >= shim - 0.005 and len(parts) < 12:
            parts.append(shim)
            left -= shim
    if not parts or abs(left) > 0.011:
        return ""
    return " + ".join(writing.bare(part) for part in parts)


def _solid_row(setup: Setup, number: int, writing: Writing) -> Row:
    solid = setup.solids[number]
    (x0, y0), (x1, y1) = np.min(solid.outline, axis=0).tolist(), np.max(solid.outline, axis=0).tolist()
    standing = [i for i, p in enumerate(setup.programs, 1) if solid.name in p.standing]
    when = "" if len(standing) == len(setup.programs) else "for file " + ", ".join(map(str, standing))
    high = writing.bare(solid.top)
    if solid.bottom > 0:
        high = f"{writing.bare(solid.bottom)} to {high}"
    name = f"{solid.name} ({when})" if when else solid.name
    cells = (
        name,
        f"{writing.spot(x0)} to {writing.spot(x1)}",
        f"{writing.spot(y0)} to {writing.spot(y1)}",
        high,
    )
    return Row(str(number + 1), cells)


def _board_row(packet: Packet, name: str, writing: Writing) -> Row:
    board, wanted = packet.boards[name], packet.wanted.get(name)
    asked = [getattr(wanted, measure, None) for measure in MEASURES]
    return Row(
        name,
        (
            _rough(board, writing),
            " × ".join("as it is" if value is None else writing.length(value) for value in asked),
        ),
    )


def _rough(board: MeasuredBoard, writing: Writing) -> str:
    (x0, y0), (x1, y1) = np.min(board.outline, axis=0).tolist(), np.max(board.outline, axis=0).tolist()
    thick = np.array(board.top) - np.array(board.bottom)
    return (
        f"{writing.length(x1 - x0)} × {writing.length(y1 - y0)} × "
        f"{writing.length(float(thick.min()))} to {writing.length(float(thick.max()))}"
    )


def _tolerances(packet: Packet, writing: Writing) -> list[Row]:
    rows = []
    for name, wanted in packet.wanted.items():
        given = wanted.tolerance.model_dump()
        cells = tuple(
            f"{measure} {writing.fine(value)}" for measure, value in given.items() if value is not None
        )
        if cells:
            rows.append(Row(name, cells))
    return rows


def _finished_cells(done: Finished, writing: Writing) -> tuple[str, ...]:
    def span(ends: tuple[float, float] | None) -> str:
        return "–" if ends is None else f"{writing.fine(ends[0])} to {writing.fine(ends[1])}"

    def each(values: Mapping[str, float | None]) -> str:
        told = [f"{name} {writing.fine(value)}" for name, value in values.items() if value is not None]
        return ", ".join(told) or "–"

    parallel = "–" if done.parallelism is None else writing.fine(done.parallelism)
    return (
        span(done.length),
        span(done.width),
        span(done.thickness),
        each(done.flatness),
        parallel,
        each(done.squareness),
        each(done.straightness),
    )


def _tool_row(packet: Packet, name: str, extras: Extras, writing: Writing) -> Row:
    tool = packet.tools[name]
    speed = extras.speeds.get(name)
    return Row(
        name,
        (
            str(tool.number),
            writing.length(tool.diameter),
            writing.length(tool.stickout),
            writing.length(tool.gripped),
            "" if speed is None else f"{speed[0]:.0f} rpm, {writing.feed(speed[1])}",
        ),
    )
