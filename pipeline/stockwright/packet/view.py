"""What stands on the sheet, before it is set in type: one value for the screen, for paper and for the PDF.

In: a packet, its programs' moves, the person's units, and further words. Out: plain text, lists and drawings.
Promise: every number is the packet's; nothing here knows how a page looks.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import numpy as np

from stockwright.packet.board_drawing import HALF, WIDE, draw_board
from stockwright.packet.feeds import BY_HAND
from stockwright.packet.last_page import last_page, simulated
from stockwright.packet.lay_out import laid_out
from stockwright.packet.setup_view import setup_pages
from stockwright.packet.steps import file_name
from stockwright.packet.steps.group import run_of
from stockwright.packet.steps.laying import FORCE
from stockwright.packet.work_order import work_order
from stockwright.packet.writing import sentence, short
from stockwright.units import GAUGE

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from stockwright.packet.drawing import Moves
    from stockwright.packet.extras import Extras
    from stockwright.packet.model import MeasuredBoard, Packet, PacketFinding, Program, Setup
    from stockwright.packet.writing import Writing

__all__ = ["view"]

MEASURES = ("length", "width", "thickness")
MOST_BEYOND = 1  # measures named in the verdict
# Boards drawn before and after, and told without a table of their own; of more, the first is drawn.
MOST_DRAWN = 2
LYING = re.compile(r", with face [AB] up|, against the fence")  # as the planner words it
AIR = re.compile("outline in the air", re.IGNORECASE)  # that it is the outline, the file's name says
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

    `simulated`: what the files were cut in, a board or the bed.

    `moves` by file within the packet; a program without them is not drawn. `boards_after`: by setup, the
    drawing of the simulated board. `pages`: those of the setups, where they are made already.
    """
    if pages is None:
        pages = _pages_of(packet, moves, extras, writing)
    title = extras.job or packet.recipe.name
    return {
        "title": title,
        "unit": "inches" if writing.units == "inch" else "mm",
        "paper": packet.paper or ("letter" if writing.units == "inch" else "a4"),
        "simulated": simulated(packet),
        "first": _first(packet, title, extras, writing, len({page["index"] for page in pages})),
        "setups": list(pages),
        "pictures": list(boards_after.values()),
        "last": last_page(packet, writing),
    }


def _pages_of(
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
    # Boards that become the same are drawn once: what they measure stands in the table.
    parts = {_wanted(packet, name, writing) for name in names}
    drawn = names if len(parts) > 1 and len(names) <= MOST_DRAWN else names[:1]
    blocks = sorted(set(extras.comes_down.values())) or ([GAUGE[writing.units]] if to_run else [])
    count = f"{setups} {'setup' if setups == 1 else 'setups'}"
    order = work_order(packet)
    few = order is not None and len(names) <= MOST_DRAWN  # the table of files shows their order as well
    return {
        "title": title,
        "under": f"Recipe {packet.recipe.name} {packet.recipe.version} · machine {packet.machine.name} · "
        f"{count} · lengths in {'inches' if writing.units == 'inch' else 'millimetres'}",
        "total": f"{order['says'] + ' ' if order is not None and few else ''}"
        f"Machine time about {writing.time(seconds)}, without the handling.",
        "now": [sentence(each) for each in extras.now_says],
        "verdict": _verdict(packet, writing),
        "drawings": [
            draw_board(
                packet,
                name,
                number,
                writing,
                42.0 if len(names) == 1 else 30.0,
                WIDE if len(drawn) == 1 else HALF,
            )
            for number, name in enumerate(drawn, 1)
        ],
        "drawn_says": f"Drawn: {', '.join(drawn)}." if len(names) > 1 else "",
        "boards": [
            {
                "name": name,
                "rough": _rough(packet.boards[name], writing),
                "wanted": _wanted(packet, name, writing),
            }
            for name in names
        ],
        "tolerances": list(_tolerances(packet, writing)),
        "movement": _told_once((f"{n}: {words}." for n, words in extras.movement.items()), extras.movement),
        "order": None if few else order,
        "files": [
            {
                "setup": str(setup.index) if program is _first_to_run(setup) else "",
                "file": file_name(program.file),
                "what": sentence(_what(setup, program, extras), stop=False),
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
        "guesses": [sentence(writing.words(each)) for each in _told_once(extras.guesses, names)],
        "otherwise": [sentence(each) for each in extras.said_otherwise],
        # How well a board is held is said where it is tried by hand.
        "findings": _findings(packet, writing),
        "holding": _holding(packet, extras, writing),
    }


def _findings(packet: Packet, writing: Writing) -> list[dict[str, str]]:
    """Return what the checks say, worst first; what is said alike of several setups or boards, once."""
    told: dict[tuple[str, str, str], list[str]] = {}
    ranked = [f for f in packet.findings if f.rule != BY_HAND]
    ranked.sort(key=lambda f: tuple(LEVELS).index(f.level))
    said = {id(f): writing.words(f.message) for f in ranked}
    alike: dict[tuple[str, str, str], list[PacketFinding]] = {}
    for f in ranked:
        if f.setup is None:  # of a board by itself
            alike.setdefault((f.level, f.rule, f.remedy), []).append(f)
    for same in alike.values():
        if len(once := _told_once((said[id(f)] for f in same), packet.boards)) == 1:
            said.update((id(f), once[0]) for f in same)
    for f in ranked:
        text = f"{sentence(said[id(f)])} {sentence(writing.words(f.remedy))}".strip()
        setups = told.setdefault((LEVELS[f.level], text, f.rule), [])
        if f.setup is not None and str(f.setup) not in setups:
            setups.append(str(f.setup))
    return [
        {"lead": level + (f", setup {run_of(setups)}" if setups else ""), "text": text, "rule": rule}
        for (level, text, rule), setups in told.items()
    ]


def _told_once(sentences: Iterable[str], names: Iterable[str]) -> list[str]:
    """Return sentences that begin with a name; those that say the same of several boards, once."""
    known = sorted(names, key=len, reverse=True)
    told: dict[str, list[str]] = {}
    for text in sentences:
        name = next((n for n in known if text.startswith(f"{n}: ")), "")
        told.setdefault(text.removeprefix(f"{name}: ") if name else text, []).append(name)
    return [f"{', '.join(whose)}: {text}" if whose[0] else text for text, whose in told.items()]


def _holding(packet: Packet, extras: Extras, writing: Writing) -> list[str]:
    """Return with what force each thing holds, and where that is known from, once for all setups alike."""
    told: dict[str, list[str]] = {}
    for setup in packet.setups:
        for note in extras.notes.get(setup.index, ()):
            if FORCE.fullmatch(note):
                told.setdefault(writing.words(note), []).append(str(setup.index))
    return [sentence(f"Setup {run_of(setups)}: {note}") for note, setups in told.items()]


def _what(setup: Setup, program: Program, extras: Extras) -> str:
    """Say what a file does; what its setup is called is said once, beside the setup's first file.

    How the board lies for it stands on the setup's own page.
    """
    title = extras.titles.get(program.file, program.purpose)
    if program is _first_to_run(setup):
        return AIR.sub("in the air", LYING.sub("", title))
    return re.sub(f"^{re.escape(setup.title)}: ", "", title, flags=re.IGNORECASE)


def _first_to_run(setup: Setup) -> Program | None:
    return next((p for p in setup.programs if not p.done), None)


def _verdict(packet: Packet, writing: Writing) -> dict[str, str]:
    kind = packet.proof.verdict
    lead, text = {
        "proven": (
            "Proven.",
            (
                f"The files were read back and cut in a simulated {simulated(packet)} of "
                f"{writing.cells(packet.proof.cell)}; nothing spoke against them."
                f"{_at_worst(packet, writing)} See the last page."
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


def _at_worst(packet: Packet, writing: Writing) -> str:
    """Say which measures the machine's own errors may take beyond what is asked."""
    beyond: dict[str, tuple[float, float]] = {}
    for measures in packet.expected.values():
        for each in measures:
            if each.asked and each.worst > each.asked:
                worst, _ = beyond.get(each.name, (0.0, 0.0))
                if each.worst > worst:
                    beyond[each.name] = (each.worst, each.asked)
    if not beyond:
        return ""
    most = sorted(beyond, key=lambda name: -beyond[name][0] / beyond[name][1])
    told = [
        f"{name} {writing.fine(beyond[name][0])} for {writing.fine(beyond[name][1])}"
        for name in most[:MOST_BEYOND]
    ]
    told += [f"and {len(most) - MOST_BEYOND} more"] if len(most) > MOST_BEYOND else []
    return f" The machine's own errors come on top, at worst beyond what is asked: {' '.join(told)}."


def _wanted(packet: Packet, name: str, writing: Writing) -> str:
    wanted = packet.wanted.get(name)
    size = writing.sizes([getattr(wanted, measure, None) for measure in MEASURES])
    return f"{wanted.part}: {size}" if wanted is not None and wanted.part else size


def _rough(board: MeasuredBoard, writing: Writing) -> str:
    (x0, y0), (x1, y1) = np.min(board.outline, axis=0).tolist(), np.max(board.outline, axis=0).tolist()
    thick = np.array(board.top) - np.array(board.bottom)
    least, most = (writing.length(float(each)) for each in (thick.min(), thick.max()))
    deep = least if least == most else f"{least} to {most}"
    return f"{writing.length(x1 - x0)} × {writing.length(y1 - y0)} × {deep}"


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
