"""A packet arrives in its folder whole, or nothing changes."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from stockwright.mistakes import InputError
from stockwright.packet.deliver import completed, deliver, may_deliver
from stockwright.packet.exchange import aside

OURS = json.dumps({"packet_format": 1, "made_with": {"name": "stockwright", "version": "0"}}).encode()
FILES = {"packet.json": OURS, "programs/s1-face-a.ngc": b"G21\n", "sheet.html": b"<p>new</p>"}
EARLIER = {"packet.json": OURS, "programs/old.ngc": b"M2\n"}


def tree(folder: Path) -> dict[str, bytes]:
    """Return every file below `folder` with its bytes."""
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()
    }


def code(caught: pytest.ExceptionInfo[InputError]) -> str:
    """Return the code of the one mistake raised."""
    [mistake] = caught.value.mistakes
    return mistake.code


def test_a_packet_goes_into_a_new_folder_with_its_parents(tmp_path: Path) -> None:
    """Parent folders are made, every file arrives, and nothing else stands beside it."""
    deliver(tmp_path / "jobs" / "tread", FILES)
    assert tree(tmp_path / "jobs" / "tread") == FILES
    assert [p.name for p in (tmp_path / "jobs").iterdir()] == ["tread"]


def test_an_empty_folder_may_be_filled(tmp_path: Path) -> None:
    """An empty folder holds nothing that could be lost, so it needs no word."""
    (tmp_path / "out").mkdir()
    deliver(tmp_path / "out", FILES)
    assert tree(tmp_path / "out") == FILES


def test_an_earlier_packet_is_kept_without_the_word(tmp_path: Path) -> None:
    """A packet that stands is not replaced; the mistake says which word replaces it."""
    deliver(tmp_path / "out", EARLIER)
    with pytest.raises(InputError) as caught:
        deliver(tmp_path / "out", FILES)
    assert code(caught) == "exists"
    assert "--force" in caught.value.mistakes[0].hint
    assert tree(tmp_path / "out") == EARLIER


def test_an_earlier_packet_is_replaced_as_a_whole(tmp_path: Path) -> None:
    """With the word, no file of the earlier packet remains among the new ones."""
    deliver(tmp_path / "out", EARLIER)
    deliver(tmp_path / "out", FILES, replace=True)
    assert tree(tmp_path / "out") == FILES
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


@pytest.mark.parametrize(
    "holds",
    [
        {"notes.txt": b"mine"},
        {"packet.json": b"{}"},
        {"packet.json": b"not json"},
        {"packet.json": b"[" * 100_000},
        {"packet.json": json.dumps({"packet_format": 1, "made_with": {"name": "other"}}).encode()},
    ],
)
def test_a_folder_that_is_no_packet_is_never_replaced(tmp_path: Path, holds: dict[str, bytes]) -> None:
    """Not even with the word: only a packet.json of ours says that a folder may go."""
    (tmp_path / "out").mkdir()
    for name, content in holds.items():
        (tmp_path / "out" / name).write_bytes(content)
    with pytest.raises(InputError) as caught:
        deliver(tmp_path / "out", FILES, replace=True)
    assert code(caught) == "not-a-packet"
    assert tree(tmp_path / "out") == holds


def test_a_file_in_the_way_is_named(tmp_path: Path) -> None:
    """A file where the folder should stand is left as it is."""
    (tmp_path / "out").write_bytes(b"mine")
    with pytest.raises(InputError) as caught:
        deliver(tmp_path / "out", FILES, replace=True)
    assert code(caught) == "not-a-folder"
    assert (tmp_path / "out").read_bytes() == b"mine"


def test_a_file_for_a_parent_is_a_mistake_and_no_traceback(tmp_path: Path) -> None:
    """A folder below a file cannot be made; the user reads why."""
    (tmp_path / "out").write_bytes(b"mine")
    with pytest.raises(InputError) as caught:
        deliver(tmp_path / "out" / "tread", FILES)
    assert code(caught) == "cannot-write"


@pytest.mark.parametrize(
    "name",
    [
        "../x",
        "a/../../x",
        "/etc/x",
        "C:/x",
        "c:x",
        "//host/x",
        "a\\..\\x",
        "",
        ".",
        "..",
        "a//b",
        "a/",
        "x\0y",
    ],
)
def test_no_path_leaves_the_folder(tmp_path: Path, name: str) -> None:
    """A file's path that could leave the folder on any system is refused before anything is written."""
    with pytest.raises(ValueError, match="inside its folder"):
        deliver(tmp_path / "deep" / "out", {**FILES, name: b"x"})
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("at", range(12))
def test_a_failure_at_any_rename_leaves_the_earlier_packet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: int
) -> None:
    """Whichever system call fails, the folder holds the earlier packet whole or the new one whole."""
    deliver(tmp_path / "out", EARLIER)
    count = 0
    real_rename, real_open = Path.rename, Path.open

    def counted() -> None:
        nonlocal count
        count += 1
        if count == at + 1:
            raise OSError(28, "No space left on device", "out")

    def rename(self: Path, other: Path) -> Path:
        counted()
        return real_rename(self, other)

    def opened(self: Path, mode: str = "r") -> object:
        counted()
        return real_open(self, mode)

    monkeypatch.setattr(Path, "rename", rename)
    monkeypatch.setattr(Path, "open", opened)
    try:
        deliver(tmp_path / "out", FILES, replace=True)
    except InputError as caught:
        assert [m.code for m in caught.mistakes] == ["cannot-write"]  # noqa: PT017 - both ways are right here
    monkeypatch.undo()
    assert tree(tmp_path / "out") in (EARLIER, FILES)
    deliver(tmp_path / "out", FILES, replace=True)
    assert tree(tmp_path / "out") == FILES
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_an_interruption_between_the_two_renames_is_completed(tmp_path: Path) -> None:
    """Where names are exchanged in two steps, the next run completes what a dead one began, and says so."""
    deliver(tmp_path / "out", EARLIER)
    (tmp_path / "out").rename(tmp_path / ".out.earlier-4242")
    deliver(tmp_path / ".out.new-4242", FILES)
    with pytest.raises(InputError) as caught:
        deliver(tmp_path / "out", FILES)
    assert code(caught) == "exists"
    assert "the new one stands now" in caught.value.mistakes[0].message
    assert tree(tmp_path / "out") == FILES
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_an_earlier_packet_set_aside_alone_is_brought_back(tmp_path: Path) -> None:
    """Where nothing new stands beside it, it gets its name again, also when it is only to be read."""
    deliver(tmp_path / "out", EARLIER)
    (tmp_path / "out").rename(tmp_path / ".out.earlier-4242")
    assert "the earlier one stands again" in completed(tmp_path / "out")
    assert tree(tmp_path / "out") == EARLIER
    assert completed(tmp_path / "out") == ""


def test_only_leftovers_of_this_folder_are_cleaned(tmp_path: Path) -> None:
    """Hidden things of other names beside the packet are none of ours."""
    (tmp_path / ".out.new-mine").mkdir()
    (tmp_path / ".other.new-7").mkdir()
    deliver(tmp_path / "out", FILES)
    assert sorted(p.name for p in tmp_path.iterdir()) == [".other.new-7", ".out.new-mine", "out"]


def test_a_link_is_followed_once_and_then_its_own_folder_is_filled(tmp_path: Path) -> None:
    """A folder reached by a link is written where it stands; links inside an old packet lead nowhere."""
    (tmp_path / "keep").mkdir()
    (tmp_path / "keep" / "mine.txt").write_bytes(b"mine")
    deliver(tmp_path / "real", EARLIER)
    (tmp_path / "real" / "elsewhere").symlink_to(tmp_path / "keep")
    (tmp_path / "link").symlink_to(tmp_path / "real")
    deliver(tmp_path / "link", FILES, replace=True)
    assert tree(tmp_path / "real") == FILES
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "keep" / "mine.txt").read_bytes() == b"mine"


def test_the_new_folder_is_as_open_as_any_other(tmp_path: Path) -> None:
    """The packet may be read by whoever may read a folder made here by hand."""
    (tmp_path / "by-hand").mkdir()
    deliver(tmp_path / "out", FILES)
    assert (tmp_path / "out").stat().st_mode == (tmp_path / "by-hand").stat().st_mode


def test_names_of_what_stands_aside_carry_no_secret(tmp_path: Path) -> None:
    """What is set aside is named for its folder and its process, so a later run can find it."""
    assert aside(tmp_path / "out", "new").name == f".out.new-{os.getpid()}"


def test_the_question_before_the_work_gets_the_same_answer(tmp_path: Path) -> None:
    """What would be refused at the end is refused before the work begins, and asking changes nothing."""
    may_deliver(tmp_path / "new" / "out")
    assert not (tmp_path / "new").exists()
    deliver(tmp_path / "out", EARLIER)
    with pytest.raises(InputError) as caught:
        may_deliver(tmp_path / "out")
    assert code(caught) == "exists"
    may_deliver(tmp_path / "out", replace=True)
    assert tree(tmp_path / "out") == EARLIER
