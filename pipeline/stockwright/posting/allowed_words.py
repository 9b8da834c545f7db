"""Which words a table may hold at which place. In: a word and its place. Out: whether it may stand there.

Promise: only listed words are allowed, whatever their spelling; a word that is not listed for a place is
refused.
"""

from __future__ import annotations

import re

__all__ = ["ALLOWED", "STOPS", "code_of", "in_order", "is_word", "may"]

_WORD = re.compile(r"[GM][0-9]{1,3}(\.[0-9])?", re.ASCII)
# Allowed words only: a table cannot slip in motion, an offset, the machine frame, incremental mode, a spindle
# start, or a relay that may be what holds the work (M7 M8 M9 and their like stand in the dust traits alone,
# where a person says what hangs on them; words that clamp and let go in the code lists, M10 M11 M68 M69,
# stand nowhere: from memory of DIN 66025). Nor G64 (NISTIR 6556, 3.5.14): it rounds corners, by how much no
# word of that language says, so that what is proven would not be what is cut.
_MODES = frozenset({"G15", "G17", "G40", "G49", "G61", "G61.1", "G69", "G80", "G90", "G94", "G97"})
STOPS = frozenset({"M2", "M30"})
_RELAYS = (7, 8, 9, *range(20, 30), *range(50, 60), *range(61, 68), *range(70, 90))
ALLOWED = {
    "units": frozenset({"G20", "G21", "G70", "G71"}),
    "start": _MODES,
    "frame": frozenset(f"G{n}" for n in range(54, 60)),
    "end": _MODES | STOPS,
    "pause": frozenset({"M0"}),
    "probe": frozenset({"G38.2"}),  # NISTIR 6556, 3.5.9; the only one that any open standard describes
    "relay": frozenset(f"M{n}" for n in _RELAYS),
}


def code_of(word: str) -> str:
    """Give a code as the standard compares it: G01, G1 and G1.0 are one code."""
    whole, point, rest = word[1:].partition(".")
    return word[0] + (whole.lstrip("0") or "0") + (f".{rest}" if point and rest != "0" else "")


def in_order(word: str) -> tuple[str, float]:
    """Give a key that sorts words by letter and number."""
    return word[0], float(word[1:])


def is_word(word: object) -> bool:
    """Say whether something is a word of the letters G or M."""
    return isinstance(word, str) and _WORD.fullmatch(word) is not None


def may(word: str, place: str) -> bool:
    """Say whether a word may stand in a place."""
    return is_word(word) and code_of(word) in ALLOWED[place]
