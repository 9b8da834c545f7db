"""What a control takes, for the judge of mutants. In: what a packet says of it, a text. Out: harm by line.

Written from the posts' README and their pages; shares nothing with the proof. Line by line, and slow.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from mutants.second_text import Step

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mutants.second_text import Note
    from stockwright.packet.model import Control

__all__ = ["beyond", "left_over", "unready"]

MOVES = {"0", "1", "2", "3"}
SIGNS = {"capitals": set(" .+-/"), "bare": {" "}}


def beyond(control: Control | None, text: str) -> Iterator[tuple[int, str]]:
    """Give each line that the control does not take, and why."""
    if control is None:
        return
    lines = text.split("\n")
    if control.file_bytes and len(text) > control.file_bytes:
        yield len(lines), "too large a file"
    if control.file_lines and len(lines) - 1 > control.file_lines:
        yield len(lines), "too many lines"
    for number, raw in enumerate(lines, 1):
        line = raw.removesuffix("\r")
        if control.line_length and len(line) > control.line_length:
            yield number, "too long a line"
        for_people = [part.split(")")[0] for part in line.split("(")[1:]]
        if for_people and not control.comments:
            yield number, "a comment"
        words = "".join(part.split(")")[-1] for part in re.split(r"(?=\()", line)) if for_people else line
        words = words.replace(" ", "").replace("\t", "")
        if control.characters != "plain":
            signs = SIGNS[control.characters]
            of_text = [
                c for part in for_people for c in part if not (c.isdigit() or c.isupper() or c in signs)
            ]
            if of_text or "\t" in line or words != words.upper():
                yield number, "signs that it has not"
        words = words.upper()
        if control.points and re.search(r"[XYZIJKR][+-]?\d+(?![\d.])", words):
            yield number, "a place without a point"
        if control.line_number and (n := re.match(r"N(\d+)", words)) and int(n[1]) > control.line_number:
            yield number, "too high a number"
        for code in _codes(words) if control.words else ():
            free = code[1:] in MOVES if code[0] == "G" else code in {"M2", "M3", "M4", "M5", "M30"}
            if not free and code not in control.words:
                yield number, f"{code} is unknown"


def left_over(control: Control | None, text: str) -> tuple[int, str] | None:
    """Give the line of the first move and the modes that are not said before it, if there are any."""
    if control is None or not control.modes:
        return None
    said: set[str] = set()
    for number, line in enumerate(re.sub(r"\([^)\n]*\)", "", text).split("\n"), 1):
        words = re.sub(r"[ \t\r]", "", line).upper()
        said |= set(_codes(words))
        said |= {"G61"} if "G61.1" in said else set()  # it keeps to the path, and stops at corners besides
        if re.search(r"[XYZ]", words):
            lacking = sorted(set(control.modes) - said)
            return (number, f"{lacking} not said") if lacking else None
    return None


def unready(control: Control | None, items: Sequence[Step | Note]) -> Iterator[tuple[int, str]]:
    """Give the first cut that comes too soon after a spindle's start, or before its cutter is asked for."""
    if control is None:
        return
    rpm, waited, asked = 0.0, 0.0, not control.names_tool
    for item in items:
        if isinstance(item, Step):
            if not item.rapid and not asked:
                yield item.line, "the cutter is not asked for"
                return
            if not item.rapid and rpm and waited < control.spin_up - 0.001:
                yield item.line, "the spindle is not up to speed"
                return
        elif item.what == "tool":
            asked, rpm = True, 0.0
        elif item.what == "wait":
            waited += item.value
        elif item.what == "spindle":
            waited = waited if rpm and item.value else 0.0
            rpm = item.value


def _codes(words: str) -> list[str]:
    return [f"{letter}{float(number):g}" for letter, number in re.findall(r"([GM])\+?(\d+\.?\d*)", words)]
