"""The page itself. In: a packet, its programs' texts. Out: HTML.

Promise: nothing is fetched and nothing else runs: the page's policy names its one script by digest. Names and
lines are data in it, never code, whatever is written in them; equal packets give equal pages.
"""

from __future__ import annotations

import base64
import hashlib
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from markupsafe import Markup

from stockwright.hold_downs import thing_of
from stockwright.packet.counted import numbered
from stockwright.packet.model import PlaneGoal, WallGoal
from stockwright.packet.templating import templates
from stockwright.playback.board import MOST_READINGS, bed_of, board_of
from stockwright.playback.clock import move_seconds
from stockwright.playback.lines import lines_of
from stockwright.playback.packing import STEP, packed, packed_path, quantised
from stockwright.playback.steps import HEIGHT_WEIGHT, rows, steps_of
from stockwright.proving.readers import read_in_setup

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.packet.model import Packet, Program, Setup, Tool
    from stockwright.playback.steps import Steps
    from stockwright.proving.program import Reading

__all__ = ["playback"]

PARTS = Path(__file__).with_name("parts")
SCRIPTS = (
    "unpacking.js",
    "wood.js",
    "course.js",
    "ink.js",
    "above.js",
    "section.js",
    "lines.js",
    "controls.js",
)
LONGEST = 366 * 86_400  # s; beyond it no page carries the time, and nobody waits for it
EDGEWISE = ("edge-1", "edge-2")


def playback(packet: Packet, texts: Mapping[str, str], readings: Mapping[str, Reading] | None = None) -> str:
    """Return the page. `texts` by file as the packet names it; a file that is missing is not played.

    `readings` are what the proof's readers have read already; any other text is read here by the same
    readers, so that the page shows the text and nothing else.
    """
    known = readings or {}
    laid_out = {}
    for setup in packet.setups:
        for program in setup.programs:
            if program.file not in texts:
                continue
            reading = known.get(program.file)
            if reading is None:
                reading = read_in_setup(packet, setup, program, texts[program.file])
            if reading is not None and not reading.unread:
                seconds = move_seconds(reading, packet.machine, program.seconds)
                laid_out[program.file] = rows(reading, seconds)
    steps = steps_of(laid_out)
    lines = lines_of({file: texts[file] for file in laid_out}, steps)
    data = _data(packet, steps, lines)
    script = "\n".join((PARTS / name).read_text(encoding="utf-8") for name in SCRIPTS)
    script = f'"use strict";\n(() => {{\n{script}}})();\n'
    environment = templates(PARTS)
    # All three are ours: the style and the script are files beside this one, the data is escaped by `_plain`.
    return environment.get_template("playback.html").render(
        title=packet.job or packet.recipe.name,
        boards=list(packet.boards),
        verdict=packet.proof.verdict,
        unit="in" if packet.units == "inch" else "mm",
        digest=base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii"),
        style=Markup((PARTS / "playback.css").read_text(encoding="utf-8")),  # noqa: S704
        script=Markup(script),  # noqa: S704
        data=Markup(_plain(data)),  # noqa: S704
    )


def _plain(data: dict[str, Any]) -> str:
    """Write JSON that ends no element and begins none, wherever it stands in a page."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def _data(
    packet: Packet, steps: Mapping[str, Steps | None], lines: Mapping[str, dict[str, Any]]
) -> dict[str, Any]:
    """Gather everything that the page plays."""
    share = MOST_READINGS // max(1, len(packet.boards))
    boards = [board_of(name, board, share) for name, board in packet.boards.items()]
    numbers = {name: index for index, name in enumerate(packet.boards)}
    setups = []
    for setup in packet.setups:
        found = _setup(setup, numbers, steps, lines)
        bed = bed_of(packet, setup)
        if bed is not None:
            found["lies"].append({"board": len(boards), "up": "", "matrix": np.eye(4)[:3].ravel().tolist()})
            boards.append(bed)
        setups.append(found)
    return {
        "step": STEP,
        "weight": HEIGHT_WEIGHT,
        "cell": packet.proof.cell,
        "units": packet.units,
        "rapids": packet.machine.rapids,
        "boards": boards,
        "tools": {name: _tool(tool) for name, tool in packet.tools.items()},
        "attached": [
            {"name": part.name, "outline": _corners(part.outline), "from": part.bottom, "to": part.top}
            for part in packet.machine.attached
            if part.moves_with == "z"
        ],
        "setups": setups,
    }


def _tool(tool: Tool) -> dict[str, Any]:
    return {
        "number": tool.number,
        "parts": [[part.diameter, part.bottom, part.top] for part in tool.assembly],
    }


def _setup(
    setup: Setup,
    numbers: Mapping[str, int],
    steps: Mapping[str, Steps | None],
    lines: Mapping[str, dict[str, Any]],
) -> dict[str, Any]:
    solids = {solid.name: index for index, solid in enumerate(setup.solids)}
    known = numbered(solid.name for solid in setup.solids)  # as on the sheet
    return {
        "index": setup.index,
        "title": setup.title,
        "bed": round(-setup.work_origin[2], 3),
        "lies": [
            {
                "board": numbers[lie.board],
                "up": lie.up,
                "matrix": [value for row in lie.matrix[:3] for value in row],
            }
            for lie in setup.lies
            if lie.up not in EDGEWISE
        ],
        "edgewise": [lie.board for lie in setup.lies if lie.up in EDGEWISE],
        "planes": sorted({round(goal.z, 3) for goal in setup.goals if isinstance(goal, PlaneGoal)}),
        "walls": [_corners(goal.path) for goal in setup.goals if isinstance(goal, WallGoal)],
        "solids": [
            {
                "name": solid.name,
                "number": int(known[solid.name]),
                "thing": thing_of(solid.name),
                "kind": solid.kind,
                "outline": _corners(solid.outline),
                "from": round(solid.bottom, 2),
                "to": round(solid.top, 2),
            }
            for solid in setup.solids
        ],
        "shims": [[round(s.x, 2), round(s.y, 2), round(s.thickness, 2)] for s in setup.shims],
        "programs": [_program(program, solids, steps, lines) for program in setup.programs],
    }


def _program(
    program: Program,
    solids: Mapping[str, int],
    steps: Mapping[str, Steps | None],
    lines: Mapping[str, dict[str, Any]],
) -> dict[str, Any]:
    found: dict[str, Any] = {
        "file": program.file,
        "title": program.title,
        "tool": program.tool,
        "done": program.done,
        "seconds": program.seconds,
        "standing": sorted(solids[name] for name in program.standing),
        "lines": lines.get(program.file),
        "why": "",
        "steps": None,
    }
    if program.file not in steps:
        return {**found, "why": "no reader could read this file whole, so nobody can show what it does"}
    drawn = steps[program.file]
    if drawn is None:
        return {**found, "why": "this file makes more separate passes than one page can carry"}
    ends = np.cumsum(drawn.seconds)
    if len(ends) and ends[-1] > LONGEST:
        return {**found, "why": "by the figures of this packet's machine it would run for more than a year"}
    path = quantised(drawn.path)
    till = quantised(ends)
    turns = np.flatnonzero(np.diff(drawn.rpm, prepend=np.nan) != 0)
    found["steps"] = {
        "count": len(drawn),
        "kind": packed(drawn.kind),
        "x": packed_path(path[:, 0]),
        "y": packed_path(path[:, 1]),
        "z": packed_path(path[:, 2]),
        "till": packed_path(till),
        "line": packed_path(drawn.line),
        "moves": packed(drawn.moves),
        "rpm": [[int(k), round(float(drawn.rpm[k]), 1)] for k in turns],
        "off": round(drawn.off, 3),
    }
    return found


def _corners(outline: Any) -> list[list[float]]:
    return [[round(float(x), 2), round(float(y), 2)] for x, y in outline]
