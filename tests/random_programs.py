"""Programs of RS274/NGC made at random, and damaged at random, for tests. In: a seed. Out: a program's text.

Most lines are plain straight moves, as in real programs; between them stands everything else that the
language has, and much that it has not.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import random

__all__ = ["damaged", "program"]

OTHER = [
    "(a note)",
    "(X1 Y2)",
    "G20",
    "G21",
    "G90",
    "G91",
    "G93",
    "G94",
    "G17",
    "G18",
    "G19",
    "M3 S12000",
    "M4",
    "M5",
    "S9000",
    "T2 M6",
    "M8",
    "M9",
    "G4 P1.5",
    "F900",
    "G1",
    "G0",
    "M0",
    "G80",
    "G40 G49 G54",
    "g1 x5 y6",
    "X 1 0 Y2",
    "G01X5.Y.5Z-3.F+200",
    "/G1 X5",
    "N10 (n)",
    "O100",
    "G38.2 Z-9 F50",
    "Z50",
    "G1 X5 F0",
    "G1 X5 F-3",
    "X1e3",
    "X1,5",
    "X1X2",
    "G2 X10 Y0 I5 J0",
    "G3 X10 Y0 R20",
    "G1 X5 (end)",
    "M2",
    "M30",
    "G55",
    "G41",
    "A5",
    "G1 Y\t5",
    "N123456 X1",
]
OTHER += ["", " ", "%", "X" + "1" * 300, "X0." + "0" * 30 + "1", "X1" + " " * 260 + "Y2"]
LETTERS = "GXYZFMNSPIJR%()/;. -+\r\t\n0123456789ABé١"


def _number(rng: random.Random) -> str:
    kind = rng.random()
    if kind < 0.8:
        return f"{rng.uniform(-300, 300):.{rng.randint(0, 4)}f}"
    return rng.choice(["0", "-0", "+5", "5.", ".5", "-.25", "007", "1" * rng.randint(1, 9), "0." + "3" * 22])


def _usual(rng: random.Random) -> str:
    gap = rng.choice(["", " ", " ", " "])
    words = [f"N{rng.randint(0, 99999)}"] if rng.random() < 0.1 else []
    words += [rng.choice(["G0", "G1", "G1", "G00", "G01"])] if rng.random() < 0.5 else []
    axes = [axis for axis in "XYZ" if rng.random() < 0.6] or ["X"]
    words += [axis + _number(rng) for axis in axes]
    words += [f"F{rng.randint(1, 4000)}"] if rng.random() < 0.2 else []
    return gap.join(words) + rng.choice(["", "", "", "", "\r", " "])


def program(rng: random.Random) -> str:
    """Make a program: a usual beginning, mostly usual lines, an end; some of it left out."""
    lines = ["G21 G90 G94 G17", "M3 S12000", "G0 Z50.", "G0 X0 Y0", "G1 Z5 F300"]
    lines = [line for line in lines if rng.random() < 0.95]
    if rng.random() < 0.1:
        lines.insert(0, "%")
    strange = rng.choice([0.0, 0.0, 0.01, 0.1, 0.4])
    for _ in range(rng.randint(0, 60)):
        lines.append(rng.choice(OTHER) if rng.random() < strange else _usual(rng))
    lines += ["M5", "M2"] if rng.random() < 0.9 else []
    if rng.random() < 0.1:
        lines.append("%")
    return "\n".join(lines) + rng.choice(["\n", "\n", "\n", "", "\r\n", "\nX1\n"])


def damaged(text: str, rng: random.Random) -> str:
    """Damage a text as life does, at up to four places."""
    for _ in range(rng.randint(0, 4)):
        at = rng.randrange(len(text) + 1)
        kind = rng.randrange(5)
        if kind == 0:
            text = text[:at] + text[at + 1 :]
        elif kind == 1:
            text = text[:at] + rng.choice(LETTERS) + text[at:]
        elif kind == 2:
            text = text[:at] + rng.choice(LETTERS) + text[at + 1 :]
        else:
            lines = text.split("\n")
            k, j = rng.randrange(len(lines)), rng.randrange(len(lines))
            if kind == 3:
                lines[k], lines[j] = lines[j], lines[k]
            else:
                lines[k : k + 1] = [] if rng.random() < 0.5 else [lines[k], lines[k]]
            text = "\n".join(lines)
    return text
