"""What all readers of lines share: the text line by line, and what of it is not understood.

In: text. Out: numbered lines. Promise: the text is walked through and never copied as a whole; every reader
refuses a character that is not printable ASCII, a line that is too long and a last line without an end.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["MOST_UNREAD", "NotRead", "number", "numbered", "sound"]

MOST_UNREAD = 20  # enough to see what is wrong with a file
FARTHEST = 1e7  # mm: ten kilometres is no place on a machine
_UNPRINTABLE = re.compile(r"[^\x20-\x7e]", re.ASCII)
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)", re.ASCII)


class NotRead(Exception):  # noqa: N818 - it says what was not done
    """The line is not one that can be proven; the message says why and what would be right."""


def numbered(text: str) -> Iterator[tuple[int, str, bool]]:
    """Give each line with its number from 1, without its end, and whether it has one."""
    at, count = 0, 0
    while at < len(text):
        end = text.find("\n", at)
        count += 1
        if end < 0:
            yield count, text[at:], False
            return
        yield count, text[at : end - 1 if end > at and text[end - 1] == "\r" else end], True
        at = end + 1


def sound(line: str, ended: bool, longest: int) -> None:
    """Raise `NotRead` for signs that are not printable ASCII, for a line too long, and for one cut off."""
    bad = _UNPRINTABLE.search(line)
    if bad is not None:
        raise NotRead(f"the character U+{ord(bad[0]):04X} in column {bad.start() + 1} is not printable ASCII")
    if len(line) > longest:
        raise NotRead(f"the line is {len(line)} characters long; {longest} at most")
    if not ended:
        raise NotRead("the last line has no end; the file may have been cut off")


def number(text: str, what: str) -> float:
    """Read a plain decimal number. Raises `NotRead` for anything else, and for what is no place or speed."""
    if _NUMBER.fullmatch(text) is None:
        raise NotRead(f"{what}: got '{text[:20]}', expected a plain number")
    value = float(text)
    if abs(value) > FARTHEST:
        raise NotRead(f"{what}: {value:g} is beyond all machines")
    return value
