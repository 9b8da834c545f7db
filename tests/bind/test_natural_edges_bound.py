"""A board's document with a line all the way round: bound as it runs, contradictions told at their places."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, bound
from stockwright.mistakes import InputError

if TYPE_CHECKING:
    from pathlib import Path

GLUE_ROOM = EXAMPLES / "glue-room"
SLAB = (GLUE_ROOM / "boards" / "walnut-slab.yaml").read_text()
VOID = (
    "  - {along: [610 mm, 690 mm, 740 mm, 700 mm, 620 mm], across: [210 mm, 190 mm, 240 mm, 300 mm, 290 mm]}"
)


def _told(folder: Path, old: str, new: str) -> list[tuple[int, str, str]]:
    """Bind the window seat with one text of its slab changed; give line, code and message of each mistake."""
    assert old in SLAB
    slab = folder / "slab.yaml"
    slab.write_text(SLAB.replace(old, new, 1))
    with pytest.raises(InputError) as error:
        bound(GLUE_ROOM / "window-seat.yaml", boards=(slab,))
    return [(m.line, m.code, m.message) for m in error.value.mistakes]


def _line(text: str) -> int:
    return SLAB[: SLAB.index(text)].count("\n") + 1


def test_an_outline_and_its_void_are_bound_as_read() -> None:
    """Eighteen corners round the slab and one void of five."""
    job, _ = bound(GLUE_ROOM / "window-seat.yaml")
    [board] = job.boards
    assert board.outline.shape == (18, 2)
    assert board.outline[2].tolist() == [330.0, 0.0]
    assert [hole.shape for hole in board.holes] == [(5, 2)]
    assert job.wanted.length is job.wanted.width is None


def test_as_many_places_across_as_along(tmp_path: Path) -> None:
    """A corner with one of its two measures is told for outline and void."""
    assert _told(tmp_path, "across: [30 mm, 12 mm,", "across: [12 mm,") == [
        (
            _line("  across: [30 mm"),
            "wrong-count",
            "got 17 places across for 18 along, expected one for each corner",
        )
    ]
    assert _told(tmp_path, "across: [210 mm, 190 mm,", "across: [190 mm,") == [
        (_line(VOID), "wrong-count", "got 4 places across for 5 along, expected one for each corner")
    ]


def test_one_outline_only(tmp_path: Path) -> None:
    """A rectangle beside a line all the way round is a contradiction that names the other's line."""
    [(line, code, message)] = _told(tmp_path, "outline:", "size: {length: 1180 mm, width: 480 mm}\noutline:")
    assert (line, code) == (_line("outline:") + 2, "contradiction")  # where its value begins
    assert f"'size' in line {_line('outline:')}" in message


def test_a_void_beyond_the_rim_is_told_at_its_place(tmp_path: Path) -> None:
    """A void that is open to the board's rim belongs to the outline."""
    [(line, code, message)] = _told(tmp_path, "740 mm, 700 mm, 620 mm", "1340 mm, 700 mm, 620 mm")
    assert (line, code) == (_line(VOID), "contradiction")
    assert message == "the void does not lie wholly inside the board's outline"
