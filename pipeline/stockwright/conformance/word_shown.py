"""A word-address text taken apart for the checks of its traits.

In: a program. Out: its lines, words and codes. Promise: everything is read from the text, with nothing that
writers use.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from stockwright.conformance import samples
from stockwright.motion.nodes import Rapid
from stockwright.posting.traits import Traits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.conformance.playing import Player
    from stockwright.motion.nodes import Node, Program
    from stockwright.posting.traits import Units

__all__ = [
    "AXES",
    "WORD",
    "Shown",
    "code_of",
    "decimals_of",
    "each_of",
    "limited",
    "shown_of",
    "traits_of",
    "usual_of",
    "waits_of",
]

AXES = ("X", "Y", "Z")
WORD = re.compile(r"([A-Z])([-+]?[0-9.]+)", re.ASCII)

Words = list[tuple[str, str]]


class Shown:
    """A word-address text: `lines` without ends, `said` the words of each line that acts, comments apart."""

    def __init__(self, player: Player, program: Program, units: Units) -> None:
        self.player, self.traits, self.units = player, traits_of(player), units
        self.text = player.text(program, units)
        self.lines = self.text.replace("\r\n", "\n").split("\n")[:-1]
        self.comments = [c for line in self.lines for c in re.findall(r"\([^)]*\)", line)]
        plain = [re.sub(r"\([^)]*\)", "", line) for line in self.lines]
        self.plain = [re.sub(r"^N[0-9]+ ?", "", line) for line in plain]
        self.said: list[Words] = [WORD.findall(line) for line in self.plain if line.strip() not in {"", "%"}]
        self.codes = [
            f"{letter}{float(value):g}" for words in self.said for letter, value in words if letter in "GM"
        ]

    def numbers(self, *letters: str) -> list[str]:
        """Give the numbers of some words, as they are written."""
        # The machine frame's height and cycles' letters are no positions of the program.
        return [value for words in self.said for letter, value in words if letter in letters]

    def moves(self) -> list[Words]:
        """Give the lines that name an axis."""
        return [words for words in self.said if {letter for letter, _ in words} & set(AXES)]


def traits_of(player: Player) -> Traits:
    """Give the table of a word-address post."""
    traits = player.post.traits
    assert isinstance(traits, Traits)
    return traits


def usual_of(player: Player, units: Units | None = None) -> Shown:
    """Give the text of one of everything."""
    return Shown(player, samples.usual(player.post.written()), units or traits_of(player).units[0])


def each_of(player: Player) -> Iterator[Shown]:
    """Give that text in each of the units."""
    for units in traits_of(player).units:
        yield usual_of(player, units)


def shown_of(player: Player, *nodes: Node, **more: Any) -> Shown:
    """Give the text of some nodes between a usual start and a move up."""
    program = samples.program([*samples.START, *nodes, Rapid(z=samples.TOP)], **more)
    return Shown(player, program, traits_of(player).units[0])


def code_of(word: str) -> str:
    """Give a code as the language compares it: G01 is G1."""
    return f"{word[0]}{float(word[1:]):g}"


def decimals_of(text: str) -> int:
    """Count the decimals of a number as it is written."""
    return len(text.partition(".")[2])


def waits_of(shown: Shown) -> list[float]:
    """Give the waits of a text, seconds by what the traits say of its unit."""
    traits = shown.traits
    scale = 1000 if traits.dwell_unit == "milliseconds" else 1
    lines = (w for w in shown.said if any(a == "G" and float(b) == 4 for a, b in w))
    return [
        float(value) / scale for words in lines for letter, value in words if letter == traits.dwell_letter
    ]


def limited(player: Player) -> bool:
    """Say whether files have a greatest size."""
    return bool(traits_of(player).file_bytes or traits_of(player).file_lines)
