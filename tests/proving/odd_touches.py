"""Odd measuring programs, as changes to the small packet: a probe of 2 mm that gives by 3, on its rough face.

In: nothing. Out: `TOUCHES`, as the cases of `odd_cases`. The clamps stand 14 high, the wood about 32.
"""

from __future__ import annotations

from proving.outcomes import A, Changes
from small_packet import PREAMBLE, small_document

__all__ = ["TOUCHES"]

PARTS = [
    {"diameter": 2, "from": 0, "to": 20},
    {"diameter": 30, "from": 20, "to": 50},
    {"diameter": 70, "from": 50, "to": 140},
]
SHORT = [{"diameter": 2, "from": 0, "to": 1}, {"diameter": 30, "from": 1, "to": 50}, PARTS[2]]
PROBE: dict[str, object] = {
    "number": 9,
    "kind": "touch-probe",
    "diameter": 2,
    "cutting_length": 20,
    "shank_diameter": 10,
    "overall_length": 76,
    "gripped": 26,
    "stickout": 50,
    "flutes": 0,
    "centre_cutting": False,
    "ramp": 0,
    "over_travel": 3.0,
    "assembly": PARTS,
}
UP = ["G0 Z60"]


def probing(*lines: str, **tool: object) -> Changes:
    """Measure with lines between the first way up and the end; `tool` changes the probe."""
    tools: Changes = {"tools.probe": PROBE | tool}
    return tools | {
        "setups.0.programs.0.tool": "probe",
        "setups.0.programs.0.purpose": "probe",
        "wanted": {},
        "setups.0.goals": [],
        "setups.0.cuts": [],
        "setups": 1,
        A: [*PREAMBLE, "M5", "F150", *UP, *lines, "M30"],
    }


def at(x: float, y: float, z: float) -> list[str]:
    """Touch a place from above."""
    return [f"G0 X{x} Y{y}", "G0 Z35", f"G38.2 Z{z}", *UP]


def beside(y: float) -> Changes:
    """Lay a second board, of the same measures, so far across the bed."""
    whole = small_document()
    matrix = whole["setups"][0]["lies"][0]["matrix"]
    matrix[1][3] += y
    other = {"board": "other", "up": "A", "quarter_turns": 0, "matrix": matrix}
    return {"boards.other": whole["boards"]["plank"], "setups.0.lies.1": other}


TOUCHES: dict[str, Changes] = {
    "touch: three places": probing(*at(10, 50, 29.5), *at(80, 20, 29), *at(140, 90, 28.8)),
    "touch: two boards, each in its place": probing(*at(80, 20, 29), *at(80, 220, 29)) | beside(200.0),
    "touch: between two boards": probing(*at(80, 153, 29)) | beside(200.0),
    "touch: too deep on the second board": probing(*at(80, 220, 27)) | beside(200.0),
    "touch: as deep as it gives": probing(*at(80, 20, 28.308)),
    "touch: deeper than it gives": probing(*at(80, 20, 26.9)),
    "touch: deeper than half of what it gives": probing(*at(80, 20, 28.2), over_travel=1.5),
    "touch: at the rim": probing(*at(1.2, 50, 30)),
    "touch: over the rim": probing(*at(0.8, 50, 30)),
    "touch: beside the board": probing(*at(-20, 50, 5)),
    "touch: to the margin above the bed": probing(*at(80, 20, 3)),
    "touch: below the margin above the bed": probing(*at(80, 20, 2.9)),
    "touch: sideways": probing("G0 X80 Y20", "G0 Z35", "G38.2 Z29 Y21", *UP),
    "touch: along x": probing("G0 X80 Y20", "G0 Z35", "G38.2 X90", "G0 Z60"),
    "touch: upwards": probing("G0 X80 Y20", "G0 Z35", "G38.2 Z36", *UP),
    "touch: on along": probing("G0 X80 Y20", "G0 Z35", "G38.2 Z29", "G0 X81", *UP),
    "touch: on up by little": probing("G0 X80 Y20", "G0 Z35", "G38.2 Z29", "G0 Z31", *UP),
    "touch: on up just enough": probing("G0 X80 Y20", "G0 Z35", "G38.2 Z29", "G0 Z32.524", *UP),
    "touch: the end follows": probing("G0 X80 Y20", "G0 Z35", "G38.2 Z29"),
    "touch: the end follows with no height": probing("G0 X80 Y20", "G0 Z35", "G38.2 Z29", "G0 X81"),
    "touch: a stop, and up": probing("G0 X80 Y20", "M0", *UP, "M1"),
    "touch: a stop, and along": probing("G0 X80 Y20", "M0", "G0 X90", *UP),
    "touch: a stop, and down": probing("G0 X80 Y20", "M1", "G0 Z35", *UP),
    "touch: across too low": probing("G0 X80 Y20", "G0 Z31", "G0 X90", *UP),
    "touch: across just high enough": probing("G0 X80 Y20", "G0 Z32.524", "G0 X90", *UP),
    "touch: across aslant": probing("G0 X80 Y20", "G0 X90 Z31", *UP),
    "touch: down without touching": probing("G0 X80 Y20", "G0 Z29", *UP),
    "touch: down at a feed without touching": probing("G0 X80 Y20", "G1 Z29", *UP),
    "touch: the spindle on": probing("S9000 M3", *at(80, 20, 29)),
    "touch: no probe": probing(*at(80, 20, 29), kind="end-mill"),
    "touch: a probe that does not say how it gives": probing(*at(80, 20, 29), over_travel=None),
    "touch: a short stylus": probing(*at(80, 20, 29), assembly=SHORT, cutting_length=1),
    "touch: an outline that touches": probing(*at(80, 20, 29)) | {"setups.0.programs.0.purpose": "outline"},
    "touch: a cut that touches": probing(*at(80, 20, 29)) | {"setups.0.programs.0.purpose": "cut"},
    "touch: in doubt by half": probing(*at(80, 20, 28)) | {"boards.plank.uncertainty": 0.5},
}
