"""What a post is.

In: nothing. Out: the `Post` protocol, and the check that every post passes when it is loaded. Promise: for
every kind of motion node a post states how it is written, or why it is refused and what to do instead. There
is no fallback: a post that says nothing of one node is not used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from stockwright.frozen import frozen
from stockwright.motion.nodes import NODES
from stockwright.posting.allowed_words import is_word
from stockwright.posting.dialect import Basics
from stockwright.posting.traits import Traits

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from stockwright.findings import Finding
    from stockwright.motion.nodes import Program
    from stockwright.posting.digits import Way
    from stockwright.posting.traits import Units

__all__ = ["Post", "Refusal", "faults"]


@frozen
class Refusal:
    """Why a dialect cannot say a kind of node, and what to do instead."""

    why: str
    remedy: str


class Post(Protocol):
    """One controller dialect.

    `name` is by standard or trait; `reader` names what reads the text back to prove it, None where nothing
    does (then a packet is unproven); `about` is a sentence for `posts list`.
    """

    name: str
    reader: str | None
    about: str

    @property
    def traits(self) -> Traits | Basics:
        """What it says of itself as a table."""

    @property
    def extension(self) -> str:
        """File extension without its dot."""

    def resolution(self, units: Units) -> float:
        """Smallest step of a position, mm."""

    def snap(self, mm: float, units: Units, way: Way = "nearest") -> float:
        """Give the position in mm that the text will say."""

    def written(self) -> frozenset[type]:
        """Give the kinds of nodes it writes."""

    def refused(self) -> Mapping[type, Refusal]:
        """Give the kinds of nodes it refuses, and why."""

    def refusals(self, program: Program, units: Units) -> tuple[Finding, ...]:
        """Give what it refuses in this program, all at once."""

    def lines(self, program: Program, units: Units) -> Iterator[str]:
        """Give the text line by line, line ends included. Raises Refused."""

    def write(self, program: Program, units: Units) -> str:
        """Give the whole text. Raises Refused."""

    def file_name(self, stem: str) -> str:
        """Give the file name, extension included, for a program's stem."""

    def describe(self) -> str:
        """Say in words what the dialect does."""


_PARTS = (
    *("name", "reader", "about", "traits", "extension", "resolution", "snap", "written", "refused"),
    *("refusals", "lines", "write", "file_name", "describe"),
)


def faults(post: Post) -> tuple[str, ...]:
    """Give what is wrong with a post itself, as sentences; none when it may be used."""
    found = [f"it has no {part}" for part in _PARTS if not hasattr(post, part)]
    if found:
        return tuple(found)
    if not isinstance(post.traits, Traits | Basics):
        return ("its traits are no stockwright.posting.Traits, nor Basics",)
    written, refused = post.written(), post.refused()
    for node in NODES:
        if node in written and node in refused:
            found.append(f"it both writes and refuses {node.__name__}")
        elif node not in written and node not in refused:
            found.append(f"it neither writes nor refuses {node.__name__}")
    strangers = sorted(getattr(n, "__name__", repr(n)) for n in {*written, *refused} - set(NODES))
    found += [f"it speaks of {name}, which is no motion node" for name in strangers]
    found += [
        f"it refuses {node.__name__} without a reason or a remedy"
        for node in NODES
        if node in refused and not (refused[node].why.strip() and refused[node].remedy.strip())
    ]
    also = getattr(post, "also_takes", ())
    if not (isinstance(also, tuple) and all(map(is_word, also))):
        found.append(f"its also_takes is {also!r}, no tuple of words such as ('M48',)")
    return tuple(found)
