"""Names of new files. In: a setup's programs. Out: stems that sort in a folder in the order they are run.

Every stem begins with the setup's number and a letter; the parts of one interrupted program share the letter
and are numbered.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from stockwright.motion.stems import LETTERS, LONGEST_STEM, letter, plain

if TYPE_CHECKING:
    from stockwright.packet.model import Program, Setup

__all__ = ["after_all", "parts"]

_STEM = re.compile(r"(?P<setup>\d+)(?P<letter>[a-z])(?P<part>\d*)(?:-(?P<words>.*))?")


def _stem_of(program: Program) -> str:
    """Return a file's name without folder and extension, in lower case."""
    return program.file.rpartition("/")[2].rpartition(".")[0].lower()


def after_all(setup: Setup, words: str) -> str:
    """Return a stem that comes after every program of the setup, as "2c-face-b-again"."""
    found = [_STEM.fullmatch(_stem_of(program)) for program in setup.programs]
    letters = [LETTERS.index(match["letter"]) for match in found if match]
    number = max([*letters, len(setup.programs) - 1 if None in found else -1]) + 1
    which = next((match["setup"] for match in found if match), str(setup.index))  # as "01", of many setups
    return _cut(f"{which}{letter(number)}-{words}")


def parts(setup: Setup, program: Program) -> tuple[str, str]:
    """Return stems for what was cut of a program, "2b1-done-...", and for what takes it up, "2b2-on-..."."""
    found = _STEM.fullmatch(_stem_of(program))
    if found is None:
        place = min(setup.programs.index(program), len(LETTERS) - 1)
        start, part, words = f"{setup.index}{letter(place)}", 1, _stem_of(program)
    else:
        start, part = found["setup"] + found["letter"], int(found["part"] or 1)
        words = re.sub(r"^(done|on)-", "", found["words"] or "")
    return _cut(f"{start}{part}-done-{words}"), _cut(f"{start}{part + 1}-on-{words}")


def _cut(stem: str) -> str:
    return plain(stem)[:LONGEST_STEM].rstrip("-")
