"""A single file on a full disk, over a link, beside what a killed run left, under the longest name."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Self

import pytest

from stockwright.mistakes import InputError
from stockwright.packet.exchange import aside, left_behind
from stockwright.packet.one_file import deliver_file
from stockwright.starting.writing import draft

if TYPE_CHECKING:
    from collections.abc import Callable

MARK = b"<!-- ours -->"


class Full:
    """A file that was made and takes nothing."""

    def __init__(self, stream: IO[Any]) -> None:
        self.stream = stream

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.stream.close()

    def write(self, _: object) -> None:
        """Find no room."""
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize(
    "write",
    [
        lambda place: deliver_file(place, MARK + b"new", MARK),
        lambda place: draft(place.with_name("draft.yaml"), "stockwright: recipe/1", []),
    ],
)
def test_a_full_disk_leaves_nothing_begun(
    write: Callable[[Path], None], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A drawing, a document that is begun: the mistake says why, and what stood before stands alone."""
    place = tmp_path / "a.svg"
    place.write_bytes(MARK + b"old")
    opened = Path.open

    def begun(self: Path, mode: str = "r", **more: Any) -> Any:
        stream = opened(self, mode, **more)
        return Full(stream) if "x" in mode else stream

    with monkeypatch.context() as patched:
        patched.setattr(Path, "open", begun)
        with pytest.raises(InputError) as caught:
            write(place)
    assert [each.code for each in caught.value.mistakes] == ["cannot-write"]
    assert "No space left" in caught.value.mistakes[0].message
    assert [(each.name, each.read_bytes()) for each in tmp_path.iterdir()] == [("a.svg", MARK + b"old")]


def test_what_lies_aside_is_neither_followed_nor_kept(tmp_path: Path) -> None:
    """A link under the name that is written first, what a killed run left: gone after, no file changed."""
    place, other = tmp_path / "a.svg", tmp_path / "mine.txt"
    other.write_bytes(b"mine")
    aside(place, "new").symlink_to(other)
    place.with_name(".a.svg.new-1").write_bytes(b"half")
    assert len(left_behind(place, "new")) == 2
    deliver_file(place, MARK, MARK)
    deliver_file(place, MARK + b"2", MARK)
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == {
        "a.svg": MARK + b"2",
        "mine.txt": b"mine",
    }


@pytest.mark.parametrize("name", ["x" * 251 + ".svg", "\u00df" * 125 + ".svg"])
def test_the_longest_name_that_the_system_takes_will_do(name: str, tmp_path: Path) -> None:
    """All 255 bytes of it."""
    deliver_file(tmp_path / name, MARK, MARK)
    assert [each.name for each in tmp_path.iterdir()] == [name]
