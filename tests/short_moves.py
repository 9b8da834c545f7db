"""Long programs for measuring. In: a number of lines, or a program. Out: texts of many short moves."""

from __future__ import annotations

import math
import re

__all__ = ["LINE", "in_short_moves", "lines_of"]

LINE = re.compile(
    r"(?:G([01]))? ?(?:X([-.\d]+))? ?(?:Y([-.\d]+))? ?(?:Z([-.\d]+))? ?(?:F([-.\d]+))?", re.ASCII
)


def lines_of(count: int) -> str:
    """Give a program of about `count` lines, straight moves along a curve: every seventh line spelled out."""
    found = ["G21 G90 G94 G17", "M3 S18000", "G0 Z50.000", "G0 X0.000 Y0.000", "G1 Z5.000 F3000"]
    for k in range(count - 8):
        x, y = 600 + 500 * math.sin(k * 0.01), 300 + 200 * math.cos(k * 0.013)
        found.append(f"G1 X{x:.3f} Y{y:.3f} F{3000 + k % 5}" if k % 7 == 0 else f"X{x:.3f} Y{y:.3f}")
    return "\n".join([*found, "G0 Z50.000", "M5", "M2", ""])


def in_short_moves(text: str, step: float, sway: float = 0.4) -> str:
    """Split every level cut of a program into moves of about `step` mm that sway to both sides of it.

    They sway so that no two of them can be joined: each is a move of its own.
    """
    found: list[str] = []
    at: dict[str, float] = {}
    motion = ""
    for line in text.split("\n"):
        words = LINE.fullmatch(line)
        if words is None or not any(words.groups()):
            found.append(line)
            continue
        motion = words[1] or motion
        to = at | {axis: float(words[k]) for k, axis in enumerate("XYZ", 2) if words[k]}
        length = math.dist([at.get(c, 0.0) for c in "XY"], [to.get(c, 0.0) for c in "XY"])
        if motion == "1" and len(at) == 3 and at["Z"] == to["Z"] and length > 0:
            dx, dy = (to["X"] - at["X"]) / length, (to["Y"] - at["Y"]) / length
            pieces = max(1, math.ceil(length / step))
            feed = f" F{words[5]}" if words[5] else ""
            for k in range(1, pieces + 1):
                off = 0.0 if k == pieces else sway * math.sin(0.7 * k)
                x = at["X"] + dx * length * k / pieces - dy * off
                y = at["Y"] + dy * length * k / pieces + dx * off
                found.append(f"G1 X{x:.3f} Y{y:.3f}{feed if k == 1 else ''}")
        else:
            found.append(line)
        at = to
    return "\n".join(found)
