"""Against tear-out. In: the end that fibres rise towards, where it is known. Out: which way to cut.

Public:
    Rises(side, towards, read, words)           `read`: written by a person, else taken from the opposite side
    rises(known) -> tuple of Rises              `known` maps face-A, face-B, edge-1, edge-2 to end-1 or end-2
Teeth that move towards where the fibres rise out of the surface press them down; the other way they lift and
split them (common practice, no source). The cutter turns clockwise seen from above: where it travels with
the standing wood on its left its teeth move with its travel, with the wood on its right against it.
Promise: an opposite side is told only as what straight fibres would do there, and nothing of the rest.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Rises", "rises"]

_OPPOSITE = {"face-A": "face-B", "face-B": "face-A", "edge-1": "edge-2", "edge-2": "edge-1"}
_OTHER_END = {"end-1": "end-2", "end-2": "end-1"}


@frozen
class Rises:
    """Fibres of `side` rise out of it `towards` an end; `words` say how to cut."""

    side: str
    towards: str
    read: bool
    words: str


def rises(known: Mapping[str, str]) -> tuple[Rises, ...]:
    """Return what is known of each side, faces before edges."""
    found = []
    for side, opposite in _OPPOSITE.items():
        if side in known:
            found.append(Rises(side, known[side], read=True, words=_words(known[side])))
        elif opposite in known:
            # A straight fibre that comes out of one side on its way goes into the one across.
            towards = _OTHER_END[known[opposite]]
            found.append(Rises(side, towards, read=False, words=_words(towards)))
    return tuple(found)


def _words(towards: str) -> str:
    return (
        f"travel towards {towards} with the wood on the cutter's left, "
        f"or towards {_OTHER_END[towards]} with it on the right"
    )
