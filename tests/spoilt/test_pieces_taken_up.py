"""A long run of trials in pieces: what stands in its file is not done again, and half a line is no piece."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import pytest

from spoilt import pieces as sut
from spoilt.trial import Outcome

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path


@pytest.fixture
def tried(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Let each seed come to nothing but its own number, and every hundredth go wrong."""
    seen: list[int] = []

    def trials(seeds: Sequence[int], _processes: int) -> Iterator[Outcome]:
        for seed in seeds:
            seen.append(seed)
            yield Outcome(
                "job", seed, ("check",), seed % 3, 0.001 * seed, "" if seed % 100 else "a traceback"
            )

    monkeypatch.setattr(sut, "trials", trials)
    return seen


def test_a_run_that_is_stopped_goes_on_where_it_was(tried: list[int], tmp_path: Path) -> None:
    """Two pieces done, one cut off while it was written: the next run does that one and the rest."""
    kept = tmp_path / "kept.jsonl"
    seeds = range(1000, 1000 + 3 * sut.SIZE + 40)
    running = sut.pieces(seeds, 1, kept)
    first = list(itertools.islice(running, 2))
    kept.write_text(kept.read_text(encoding="utf-8") + '{"first": 2040, "cou', encoding="utf-8")
    done = 1000 + 2 * sut.SIZE
    assert tried == list(range(1000, done))
    tried.clear()
    again = list(sut.pieces(seeds, 1, kept))
    assert again[:2] == first
    assert tried == list(range(done, seeds.stop))
    assert [piece.count for piece in again] == [sut.SIZE] * 3 + [40]
    tried.clear()
    assert list(sut.pieces(seeds, 1, kept)) == again
    assert tried == []


def test_a_piece_tells_codes_the_slowest_and_what_went_wrong(tried: list[int], tmp_path: Path) -> None:
    """Every trial is counted by its code, and each wrong one is told with its seed."""
    (piece,) = sut.pieces(range(300), 1, tmp_path / "kept.jsonl")
    assert piece.codes == {"job": {"0": 100, "1": 100, "2": 100}}
    assert [seed for _, _, seed in piece.slowest] == [299, 298, 297, 296, 295]
    assert [each.seed for each in piece.wrong] == [0, 100, 200]
    assert list(sut.pieces(range(300), 1, tmp_path / "kept.jsonl")) == [piece]
