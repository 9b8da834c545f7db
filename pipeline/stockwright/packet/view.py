"""What stands on the sheet, before it is set in type: one value for the screen, for paper and for the PDF.

In: a packet, its programs' moves, the person's units, and words beside them. Out: plain text, lists and
drawings. Promise: every number is the packet's; nothing here knows how a page looks.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from stockwright.packet.board_drawing import draw_board
from stockwright.packet.expected import expected_tables
from stockwright.packet.feeds import BY_HAND
from stockwright.packet.lay_out import laid_out
from stockwright.packet.setup_view import setup_pages
from stockwright.packet.steps import file_name
from stockwright.packet.steps.cutting import GAUGE
from stockwright.packet.steps.laying import FORCE
from stockwright.packet.work_order import work_order
from stockwright.packet.writing import sentence, short

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from stockwright.packet.drawing import Moves
    from stockwright.packet.extras import Extras
    from stockwright.packet.model import Finished, MeasuredBoard, Packet
    from stockwright.packet.writing import Writing

__all__ = ["pages_of", "view"]

MEASURES = ("length", "width", "thickness")
MOST_DRAWN = 2  # boards drawn before and after; a first page holds no more
LEVELS = {"refuse": "Refused", "warn": "Take care", "note": "Note"}


def view(
    packet: Packet,
    moves: Mapping[str, Moves],
    extras: Extras,
    boards_after: Mapping[int, str],
    writing: Writing,
    pages: Sequence[dict[str, Any]] | None = None,
) -> dict[str, Any]:
    """Return the sheet's contents: `first`, `setups`, `pictures`, `last`, and what all pages share.

    `moves` by file within the packet; a program without them is not drawn. `boards_after`: by setup, the
    drawing of the simulated board. `pages`: those of the setups, where they are made already.
    """
    if pages is None:
        pages = pages_of(packet, moves, extras, writing)
    title = extras.job or packet.recipe.name
    return {
        "title": title,
        "unit": "inches" if writing.units == "inch" else "mm",
        "paper": packet.paper or ("letter" if writing.units == "inch" else "a4"),
        "first": _first(packet, title, extras, writing, len({page["index"] for page in pages})),
        "setups": list(pages),
        "pictures": list(boards_after.values()),
        "last": _last(packet, writing),
    }


def pages_of(
    packet: Packet, moves: Mapping[str, Moves], extras: Extras, writing: Writing
) -> list[dict[str, Any]]:
    """Return the pages of every setup that is still to be run."""
    return [
        page
        for setup in packet.setups
        if not setup.programs or any(not program.done for program in setup.programs)
        for page in setup_pages(packet, setup, moves, extras, writing)
    ]


def _first(packet: Packet, title: str, extras: Extras, writing: Writing, setups: int) -> dict[str, Any]:
    seconds = sum(p.seconds for setup in packet.setups for p in setup.programs if not p.done)
    to_run = [(s, p) for s in packet.setups for p in s.programs if not p.done]
    names = list(packet.boards)
    blocks = sorted(set(extras.comes_down.values())) or ([GAUGE] if to_run else [])
    count = f"{setups} {'setup' if setups == 1 else 'setups'}"
    return {
        "title": title,
        "under": f"Recipe {packet.recipe.name} {packet.recipe.version} · machine {packet.machine.name} · "
        f"{count} · lengths in {'inches' if writing.units == 'inch' else 'millimetres'}",
        "total": f"Machine time about {writing.time(seconds)}, without the handling.",
        "now": [sentence(each) for each in extras.now_says],
        "verdict": _verdict(packet, writing),
        "drawings": [
            draw_board(packet, name, number, writing, 46.0 if len(names) == 1 else 36.0)
            for number, name in enumerate(names[:MOST_DRAWN], 1)
        ],
        "boards": [
            {
                "name": name,
                "rough": _rough(packet.boards[name], writing),
                "wanted": _wanted(packet, name, writing),
            }
            for name in names
        ],
        "tolerances": list(_tolerances(packet, writing)),
        "movement": [f"{name}: {words}." for name, words in extras.movement.items()],
        "order": work_order(packet),
        "files": [
            {
                "setup": str(setup.index) if program is _first_to_run(setup) else "",
                "file": file_name(program.file),
                "what": sentence(extras.titles.get(program.file, program.purpose), stop=False),
                "tool": program.tool or "none",
                "time": writing.time(program.seconds),
                "digest": short(program.digest),
                "verdict": "" if program.verdict in (packet.proof.verdict, "proven") else program.verdict,
            }
            for setup, program in to_run
        ],
        "folder": "/".join(sorted({p.file.rpartition("/")[0] for _, p in to_run})),
        "cutters": [_cutter(packet, name, extras, writing) for name in packet.tools],
        "lay_out": laid_out(packet, blocks, writing),
        "choices": [sentence(writing.words(each)) for each in extras.choices],
        "guesses": [sentence(writing.words(each)) for each in extras.guesses],
        "otherwise": [sentence(each) for each in extras.said_otherwise],
        # How well a board is held is said where it is tried by hand.
        "findings": [
            {
                "lead": LEVELS[f.level] + (f", setup {f.setup}" if f.setup is not None else ""),
                "text": f"{sentence(writing.words(f.message))} {sentence(writing.words(f.remedy))}".strip(),
                "rule": f.rule,
            }
            for f in sorted(packet.findings, key=lambda f: tuple(LEVELS).index(f.level))
            if f.rule != BY_HAND
        ],
        "holding": _holding(packet, extras, writing),
    }


def _holding(packet: Packet, extras: Extras, writing: Writing) -> list[str]:
    """Return with what force each thing holds, and where that is known from, once for all setups alike."""
    told: dict[str, list[str]] = {}
    for setup in packet.setups:
        for note in extras.notes.get(setup.index, ()):
            if FORCE.fullmatch(note):
                told.setdefault(writing.words(note), []).append(str(setup.index))
    return [sentence(f"Setup {', '.join(setups)}: {note}") for note, setups in told.items()]


def _first_to_run(setup: Any) -> Any:
    return next((p for p in setup.programs if not p.done), None)


def _verdict(packet: Packet, writing: Writing) -> dict[str, str]:
    kind = packet.proof.verdict
    lead, text = {
        "proven": (
            "Proven.",
            (
                f"The files were read back and cut in a simulated board of {writing.fine(packet.proof.cell)} "
                "cells; nothing spoke against them. What that cannot know stands on the last page."
            ),
        ),
        "unproven": (
            "Not proven.",
            (
                "Nothing has read these files back. Whoever runs them does so on their own word: run every "
                "file high above the work first."
            ),
        ),
        "refused": ("Refused. Do not run these files.", "The reasons stand on the last page."),
    }[kind]
    return {"kind": kind, "lead": lead, "text": text}


def _last(packet: Packet, writing: Writing) -> dict[str, Any]:
    return {
        "verdict": packet.proof.verdict,
        "cell": writing.fine(packet.proof.cell),
        "reasons": [
            {
                "place": (reason.program or "")
                + (f":{reason.line}" if reason.program and reason.line else ""),
                "text": sentence(writing.words(reason.message)),
                "rule": reason.rule,
            }
            for reason in packet.proof.reasons
        ],
        "finished": [
            {"name": name, "rows": _finished(done, writing)}
            for name, done in packet.finished.items()
            if name in packet.boards
        ],
        "held": [sentence(writing.words(f.message)) for f in packet.findings if f.rule == BY_HAND],
        "expected": [
            {
                "name": table.name,
                # A name does not break at its hyphen.
                "rows": [
                    {"name": row.name.replace("-", "\u2011"), "cells": list(row.cells)} for row in table.rows
                ],
                "says": [sentence(each) for each in table.says],
            }
            for table in expected_tables(packet, writing)
        ],
        "cannot_know": [sentence(each) for each in packet.proof.cannot_know],
        "made_with": f"{packet.made_with.name} {packet.made_with.version}",
        "digest": packet.recipe.digest,
    }


def _wanted(packet: Packet, name: str, writing: Writing) -> str:
    wanted = packet.wanted.get(name)
    asked = [getattr(wanted, measure, None) for measure in MEASURES]
    return " × ".join("as it is" if value is None else writing.length(value) for value in asked)


def _rough(board: MeasuredBoard, writing: Writing) -> str:
    (x0, y0), (x1, y1) = np.min(board.outline, axis=0).tolist(), np.max(board.outline, axis=0).tolist()
    thick = np.array(board.top) - np.array(board.bottom)
    return (
        f"{writing.length(x1 - x0)} × {writing.length(y1 - y0)} × "
        f"{writing.length(float(thick.min()))} to {writing.length(float(thick.max()))}"
    )


def _tolerances(packet: Packet, writing: Writing) -> Iterator[str]:
    """Yield what boards may be out by, those of which the same is asked together."""
    told: dict[str, list[str]] = {}
    for name, wanted in packet.wanted.items():
        alike: dict[str, list[str]] = {}
        for measure, value in wanted.tolerance.model_dump().items():
            if value is not None:
                alike.setdefault(writing.fine(value), []).append(measure)
        if alike:
            each = "; ".join(f"{', '.join(measures)} {size}" for size, measures in alike.items())
            told.setdefault(each, []).append(name)
    for each, names in told.items():
        whose = "May" if len(told) == 1 else f"{', '.join(names)}: may"
        yield f"{whose} be out by: {each}."


def _finished(done: Finished, writing: Writing) -> list[list[str]]:
    def span(ends: tuple[float, float] | None) -> str:
        return "" if ends is None else f"{writing.fine(ends[0])} to {writing.fine(ends[1])}"

    def each(values: Mapping[str, float | None]) -> str:
        return ", ".join(
            f"{name} {writing.fine(value)}" for name, value in values.items() if value is not None
        )

    rows = [
        ["Length", span(done.length)],
        ["Width", span(done.width)],
        ["Thickness", span(done.thickness)],
        ["Out of flat", each(done.flatness)],
        ["Faces out of parallel", "" if done.parallelism is None else writing.fine(done.parallelism)],
        ["Out of square", each(done.squareness)],
        ["Out of straight", each(done.straightness)],
    ]
    return [row for row in rows if row[1]]


def _cutter(packet: Packet, name: str, extras: Extras, writing: Writing) -> list[str]:
    tool = packet.tools[name]
    speed = extras.speeds.get(name)
    return [
        name,
        str(tool.number),
        writing.length(tool.diameter),
        writing.shown(tool.stickout),
        writing.length(tool.gripped),
        "" if speed is None else f"{speed[0]:.0f} rpm, {writing.feed(speed[1])}",
    ]
