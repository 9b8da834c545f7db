"""Many trials in pieces that can be stopped and taken up again. In: seeds, a file. Out: a `Piece` for each.

Promise: a piece stands in the file only once all its trials are done; a piece that stands there is not done
again.
"""

from __future__ import annotations

import dataclasses
import itertools
import json
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spoilt.trial import Outcome, trials

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

__all__ = ["SIZE", "Piece", "pieces"]

SIZE = 520  # seeds of one piece: forty of each kind
SLOWEST = 5


@dataclass(frozen=True)
class Piece:
    """What came of some seeds: exit codes by kind, the slowest, and all that was not as it must be."""

    first: int
    count: int
    codes: dict[str, dict[str, int]]
    slowest: tuple[tuple[float, str, int], ...]
    wrong: tuple[Outcome, ...]


def pieces(seeds: range, processes: int, kept: Path | None = None) -> Iterator[Piece]:
    """Yield the pieces of these seeds: those that stand in `kept`, then those that are done now."""
    parts = [range(at, min(at + SIZE, seeds.stop)) for at in range(seeds.start, seeds.stop, SIZE)]
    done = {range(piece.first, piece.first + piece.count): piece for piece in _standing(kept)}
    found = trials([seed for some in parts if some not in done for seed in some], processes)
    for some in parts:
        piece = done.get(some)
        if piece is None:
            piece = _piece(some, itertools.islice(found, len(some)))
            if kept is not None:
                with kept.open("a", encoding="utf-8") as file:
                    # A line of its own, even after one that was cut off.
                    file.write(f"\n{json.dumps(dataclasses.asdict(piece))}\n")
        yield piece


def _standing(kept: Path | None) -> Iterator[Piece]:
    if kept is None or not kept.exists():
        return
    for line in kept.read_text(encoding="utf-8").splitlines():
        try:
            found = json.loads(line)
        except ValueError:
            continue  # cut off while it was written, or an empty line
        found["slowest"] = tuple((each[0], each[1], each[2]) for each in found["slowest"])
        found["wrong"] = tuple(Outcome(**{**each, "call": tuple(each["call"])}) for each in found["wrong"])
        yield Piece(**found)


def _piece(seeds: range, outcomes: Iterable[Outcome]) -> Piece:
    codes: dict[str, Counter[str]] = {}
    slow: list[tuple[float, str, int]] = []
    wrong = []
    for each in outcomes:
        codes.setdefault(each.kind, Counter())[str(each.code)] += 1
        slow = sorted([*slow, (each.seconds, each.kind, each.seed)], reverse=True)[:SLOWEST]
        if each.wrong:
            wrong.append(each)
    told = {kind: dict(sorted(counts.items())) for kind, counts in sorted(codes.items())}
    return Piece(seeds.start, len(seeds), told, tuple(slow), tuple(wrong))
