"""One edge cut and the other left as it is: no width is asked, and what speaks of one is a mistake."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, ROOT, bound
from stockwright.job import EdgeStep
from stockwright.mistakes import InputError

if TYPE_CHECKING:
    from pathlib import Path

TREAD = EXAMPLES / "stair-tread"
RECIPE = (ROOT / "recipes" / "one-edge-straight.yaml").read_text(encoding="utf-8")
EDGE = "  - edge: edge-1\n    tool: edge-cutter\n"


def _job(folder: Path, *changed: tuple[str, str]) -> Path:
    """Return the shelf's job with its recipe changed."""
    text = RECIPE
    for old, new in changed:
        assert old in text
        text = text.replace(old, new, 1)
    (folder / "boards").mkdir()
    for file in ("shop.yaml", "boards/butternut-waney.yaml"):
        (folder / file).write_text((TREAD / file).read_text(encoding="utf-8"), encoding="utf-8")
    job = (TREAD / "mantel-shelf.yaml").read_text(encoding="utf-8")
    (folder / "job.yaml").write_text(job.replace("one-edge-straight", "own.yaml"), encoding="utf-8")
    (folder / "own.yaml").write_text(text, encoding="utf-8")
    return folder / "job.yaml"


def _mistakes(job: Path) -> list[tuple[str, str]]:
    with pytest.raises(InputError) as error:
        bound(job)
    return [(m.message, m.hint) for m in error.value.mistakes]


def test_one_edge_wants_no_width(tmp_path: Path) -> None:
    """The recipe binds with no finished width, and its step may say how much comes off."""
    job, _ = bound(_job(tmp_path, (EDGE, f"{EDGE}    take: 5 mm\n")))
    assert job.wanted.width is None
    assert [s.take for s in job.steps if isinstance(s, EdgeStep) and s.side == "edge-1"] == [5.0]


def test_a_width_is_told_both_ways_out(tmp_path: Path) -> None:
    """With a width the other edge is missing; the cure says that without it one edge alone is right."""
    said = ('finished: {length: "=length"', 'finished: {width: 150 mm, length: "=length"')
    [(message, hint)] = _mistakes(_job(tmp_path, said))
    assert message == "the finished width is 150 mm, and no step cuts edge-2"
    assert hint.endswith("the board then keeps its own, and edge-1 alone is cut")


def test_the_only_edge_is_cut_to_no_width(tmp_path: Path) -> None:
    """`to` on the only edge that is cut is a mistake, for there is nothing that it could be measured to."""
    [(message, hint)] = _mistakes(_job(tmp_path, (EDGE, f"{EDGE}    to: 150 mm\n")))
    assert message == "edge-1 is the only edge that is cut, so there is no width to cut it to"
    assert "say with `take` how much comes off it" in hint


def test_a_take_and_a_width_contradict(tmp_path: Path) -> None:
    """Where both edges are cut to a width, what comes off each follows from it."""
    last = '  - {end: end-2, tool: edge-cutter, to: "=length"}\n'
    job = _job(
        tmp_path,
        ('finished: {length: "=length"', 'finished: {width: 150 mm, length: "=length"'),
        (last, f"{last}  - {{edge: edge-2, tool: edge-cutter, take: 2 mm}}\n"),
    )
    assert [message for message, _ in _mistakes(job)] == [
        "how much comes off an edge follows from the finished width, or from the edge that is true"
    ]
