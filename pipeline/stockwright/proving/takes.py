"""What a control takes, against a program's text. In: a `Run` and the text. Out: reasons.

A reader knows a language; a small or an old control knows less of it, and the packet says how much. Promise:
a line that the control would not take, or would take otherwise, is named with the two numbers, if there are
two; where a packet says nothing, nothing is refused.
"""

# ruff: noqa: D401 - the docstring of a rule says what is bad and its cure: it is the page of the rule

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.packet.model import Control, Reason
    from stockwright.proving.run import Run

__all__ = ["RULES", "judge_takes"]

COMMENT = re.compile(r"\([^)\n]*\)?", re.ASCII)
NUMBERED = re.compile(r"^[ \t]*[Nn]([0-9 \t]+)", re.ASCII | re.MULTILINE)
WHOLE = re.compile(r"[XYZIJKR][ \t]*[+-]?[ \t]*[0-9][0-9 \t]*(?![0-9. \t])", re.ASCII | re.IGNORECASE)
# Signs that a control without small letters does not have, in comments and beside them; what is bare has
# no signs in its comments either.
NOT_CAPITALS = re.compile(r"[^A-Z0-9 ()+\-./\r\n]", re.ASCII)
NOT_BARE = re.compile(r"[^A-Z0-9 ()\r\n]", re.ASCII)
MOST_DIGITS = 12  # of a line's number that are looked at: far beyond any limit
MOVES_AND_SPINDLE = frozenset({"G0", "G1", "G2", "G3", "M2", "M3", "M4", "M5", "M30"})


def more_than_the_control_takes(run: Run, text: str) -> list[Reason]:
    """A line, a line's number or a file is longer than the control holds. Cure: shorten it, or split it.

    What a control does with a line that is too long is told nowhere: some cut it off.
    """
    control = run.control
    if control is None:
        return []
    found: list[Reason] = []
    name = "more-than-the-control-takes"

    def tell(line: int | None, words: str, measured: float, limit: float) -> None:
        found.append(run.reason(name, line, words, measured=measured, limit=limit))

    most = control.line_length
    if most is not None and (long := _longer(text, most)) is not None:
        at, size = long
        tell(_line(text, at), f"the line is {size} characters long; the control takes {most}", size, most)
    if control.line_number is not None:
        for match in NUMBERED.finditer(text):
            number = int(re.sub(r"[ \t]", "", match[1])[:MOST_DIGITS] or 0)
            if number > control.line_number:
                words = f"N{number} is above N{control.line_number}, the highest that the control counts"
                tell(_line(text, match.start()), words, number, control.line_number)
                break
    lines = text.count("\n") + (text[-1:] not in {"", "\n"})
    for size, limit, what in ((len(text), control.file_bytes, "bytes"), (lines, control.file_lines, "lines")):
        if limit is not None and size > limit:
            tell(lines, f"the file has {size} {what}; the control holds {limit}", size, limit)
    return found


def signs_unknown_to_the_control(run: Run, text: str) -> list[Reason]:
    """A comment, small letters or a place without a decimal point, and the control has none such.

    Cure: take the comment out, write capitals, write 15.0 for 15. A control without comments may do what
    stands in one; one that counts in its smallest steps takes 15 for 0.015.
    """
    control = run.control
    if control is None:
        return []
    name = "signs-unknown-to-the-control"
    if not control.comments and (comment := COMMENT.search(text)) is not None:
        size = comment.end() - comment.start()
        words = f"a comment of {size} characters, and the control is not said to take any"
        return [run.reason(name, _line(text, comment.start()), words, measured=size, limit=0.0)]
    found = (_strange(control, text), _whole(control, text))
    return [run.reason(name, _line(text, each[0]), each[1]) for each in found if each is not None]


def words_unknown_to_the_control(run: Run, text: str) -> list[Reason]:  # noqa: ARG001 - all have one shape
    """A code that the control is not said to know: it stops there, or switches a thing that nobody named.

    Cure: take it out, or let the profile of the post say it, if the control's manual does.
    """
    control = run.control
    if control is None or not control.words:
        return []
    known = MOVES_AND_SPINDLE.union(control.words)
    for code, line, _ in run.reading.words:
        if code not in known:
            words = f"{code} is no word that this control is said to know"
            return [run.reason("words-unknown-to-the-control", line, words)]
    return []


RULES: tuple[Callable[[Run, str], list[Reason]], ...] = (
    more_than_the_control_takes,
    signs_unknown_to_the_control,
    words_unknown_to_the_control,
)


def judge_takes(run: Run, text: str) -> list[Reason]:
    """Apply every rule of this file to a program that was read."""
    return [reason for rule in RULES for reason in rule(run, text)]


def _line(text: str, at: int) -> int:
    return text.count("\n", 0, at) + 1


def _longer(text: str, most: int) -> tuple[int, int] | None:
    """Give where the first line begins that is longer than `most`, and how long it is, without its end."""
    at = 0
    while at + most < len(text):
        end = text.rfind("\n", at, at + most + 1)  # the last of all the lines that this many characters hold
        if end < 0:
            end = text.find("\n", at)
            end = len(text) if end < 0 else end
            size = end - at - (text[end - 1] == "\r")
            if size > most:
                return at, size
        at = end + 1
    return None


def _ends_a_tape(text: str, sign: re.Match[str]) -> bool:
    """Say whether a sign is a % that stands alone on its line."""
    start, end = text.rfind("\n", 0, sign.start()) + 1, text.find("\n", sign.start())
    return text[start : len(text) if end < 0 else end].strip(" \r") == "%"


def _strange(control: Control, text: str) -> tuple[int, str] | None:
    """Find a sign that the control does not have, for people or not."""
    if control.characters == "plain":
        return None
    strange = next((sign for sign in NOT_CAPITALS.finditer(text) if not _ends_a_tape(text, sign)), None)
    if strange is None and control.characters == "bare":
        for comment in COMMENT.finditer(text):
            strange = NOT_BARE.search(text, comment.start(), comment.end())
            if strange is not None:
                break
    if strange is None:
        return None
    what = "small letters" if strange[0].islower() else f"the sign {strange[0]!r} there"
    column = strange.start() - text.rfind("\n", 0, strange.start())
    words = f"column {column} holds {strange[0]!r}: the control is not said to have {what}"
    return strange.start(), words


def _whole(control: Control, text: str) -> tuple[int, str] | None:
    """Find a place or a length without a decimal point, outside comments."""
    if not control.points:
        return None
    for word in WHOLE.finditer(text):
        before = text[text.rfind("\n", 0, word.start()) + 1 : word.start()]
        if before.count("(") == before.count(")"):
            short = word[0].strip()
            words = f"{short} has no decimal point: some controls take it for {short} of their smallest steps"
            return word.start(), words
    return None
