"""One block of the ISO 6983 family taken apart. In: a line's text. Out: a `Block`, or why it is none.

Written from ISO 6983-1 and DIN 66025 as remembered, and from a public copy of the EIA RS-274-D list; shares
nothing with any writer. Promise: a block is whole, in the standard's order of words, or refused.
"""

from __future__ import annotations

import re

from stockwright.frozen import frozen

__all__ = ["Block", "NotABlock", "block_of"]

# Capitals, digits and the signs of the code table; no small letters, no tab.
PRINTED = re.compile(r"[A-Z0-9 ()+\-./]*", re.ASCII)
COMMENT = re.compile(r"\([A-Z0-9 +\-./]*\)", re.ASCII)
WITHIN = re.compile(r"\) *[0-9.+-]", re.ASCII)  # some controls join the digits on its two sides, some do not
# N, then G words, X Y Z, I J, F, S, T, M: the order of words (from memory of both standards).
NUMBER = r"[+-]?[0-9]{1,8}\.[0-9]{1,8}"
ORDER = re.compile(
    rf"(?:N[0-9]{{1,5}})?((?:G[0-9]{{2}})*)"
    rf"(?:X({NUMBER}))?(?:Y({NUMBER}))?(?:Z({NUMBER}))?(?:I({NUMBER}))?(?:J({NUMBER}))?"
    r"(?:F([0-9]{1,8}\.[0-9]{1,8}))?(?:S([0-9]{1,6}))?(?:T([0-9]{1,4}))?(?:M([0-9]{2}))?",
    re.ASCII,
)
LETTERS = "XYZIJFST"
GROUPS = {
    0: "motion",
    1: "motion",
    2: "motion",
    3: "motion",
    4: "dwell",
    17: "plane",
    40: "cutter radius",
    70: "units",
    71: "units",
    80: "cycle",
    90: "distance",
    94: "feed mode",
}
# Known, and not to be proven: what each would do to what follows is told differently in different lists.
REFUSED = {
    33: "threads",
    41: "cutter radius",
    42: "cutter radius",
    43: "tool offset",
    44: "tool offset",
    53: "it cancels shifts, and holds on",
    **dict.fromkeys(range(54, 60), "a stored zero in one list, a shift along an axis in another"),
    64: "corners are rounded, by how much is not said",
    74: "one quadrant an arc",
    75: "arcs beyond a quadrant",
    91: "steps instead of places",
    92: "another zero",
    93: "inverse time",
    95: "feed a turn",
    96: "cutting speed",
}
ACTIONS = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 30}


class NotABlock(Exception):  # noqa: N818 - it says what the text is not
    """The text is not a block of the family, or not one that can be proven."""


@frozen
class Block:
    """A block's words: its G codes in order, its M code, and the rest by letter."""

    g: tuple[int, ...]
    m: int | None
    values: dict[str, float]


def block_of(line: str) -> Block | None:
    """Take a block apart; None for a line with nothing in it but blanks and a comment. Raises NotABlock."""
    if PRINTED.fullmatch(line) is None:
        bad = next(k for k, char in enumerate(line) if PRINTED.fullmatch(char) is None)
        raise NotABlock(f"the character U+{ord(line[bad]):04X} in column {bad + 1} is not of the code table")
    if WITHIN.search(line) is not None:
        raise NotABlock("a comment inside a word; it belongs between words, or in a block of its own")
    plain = COMMENT.sub("", line).replace(" ", "")
    if not plain:
        return None
    found = ORDER.fullmatch(plain)
    if found is None:
        raise NotABlock(
            f"cannot read {plain[:40]!r}: words in the order N G X Y Z I J F S T M, each once, codes of two "
            "digits, lengths and feeds with a decimal sign"
        )
    codes = tuple(int(found[1][k + 1 : k + 3]) for k in range(0, len(found[1]), 3))
    values = {letter: float(text) for letter, text in zip(LETTERS, found.groups()[1:9], strict=True) if text}
    held: set[str] = set()
    for code in codes:
        group = GROUPS.get(code)
        if group is None:
            why = f" ({REFUSED[code]})" if code in REFUSED else ""
            raise NotABlock(f"G{code:02d} is not used in programs that can be proven{why}")
        if group in held:
            raise NotABlock(f"G{code:02d}: a second word of its kind, {group}")
        held.add(group)
    action = None if found[10] is None else int(found[10])
    if action is not None and action not in ACTIONS:
        raise NotABlock(f"M{action:02d} is not used in programs that can be proven")
    if not codes and not values and action is None:
        return None
    return Block(codes, action, values)
