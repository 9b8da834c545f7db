"""Programs' names in the order in which they are run. In: numbers, words. Out: stems of file names.

Promise: a folder that sorts by name lists a setup's programs as they are run; a stem holds small letters,
digits and hyphens, and no more of them than old controllers show.
"""

from __future__ import annotations

import re

__all__ = ["LETTERS", "LONGEST_STEM", "letter", "plain"]

LETTERS = "abcdefghijklmnopqrstuvwxyz"
# Old controllers show few characters of a name; our own choice.
LONGEST_STEM = 24


def letter(number: int) -> str:
    """Return the letter, or what sorts after all letters, of a setup's program `number`, from 0."""
    return LETTERS[number] if number < len(LETTERS) else f"z{number:03d}"


def plain(words: str) -> str:
    """Return words in what a stem may hold."""
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")
