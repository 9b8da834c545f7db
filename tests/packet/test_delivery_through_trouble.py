"""Whatever happens to a run, a whole packet stands: killed, two at once, a full disk, odd names."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

import pytest

from packet.replacing import packet, run, standing
from stockwright.mistakes import InputError
from stockwright.packet import exchange
from stockwright.packet.deliver import deliver, may_deliver

if TYPE_CHECKING:
    from collections.abc import Callable

LINUX = sys.platform.startswith("linux")


def code(caught: pytest.ExceptionInfo[InputError]) -> str:
    """Return the code of the one mistake raised."""
    [mistake] = caught.value.mistakes
    return mistake.code


@pytest.mark.skipif(not LINUX, reason="names are exchanged in one step on Linux only")
def test_a_run_killed_at_any_moment_leaves_one_whole_packet(tmp_path: Path) -> None:
    """Read at once, without any repair, the earlier packet or the new one stands; nothing stays for long."""
    assert set(run("killed", tmp_path, 12, 1)) <= {"a", "b", "c"}


@pytest.mark.wide
def test_where_names_are_not_exchanged_the_next_reader_completes_it(tmp_path: Path) -> None:
    """Whichever call a run dies at, the next command finds one packet whole, and says what it mended."""
    found = run("stopped", tmp_path)
    assert len(found) > 40  # calls that the last run, which did not die, made too
    assert {stands for _, stands, *_ in found} == {"a", "b"}
    assert not [litter for _, _, *litter in found if litter]
    assert {said for said, *_ in found} == {"", exchange.COMPLETED}
    assert all(stands == "b" for said, stands in found if said)


def test_runs_at_once_on_one_place_all_finish(tmp_path: Path) -> None:
    """Three put their packets in one place many times; one of them stands whole, and nothing beside it."""
    assert run("at-once", tmp_path, 20) == [0, 0, 0]
    assert standing(tmp_path / "out") in {"a", "b", "c"}
    assert [each.name for each in tmp_path.iterdir()] == ["out"]


def test_what_a_living_run_writes_is_left_alone(tmp_path: Path) -> None:
    """A fresh folder that another process holds is no leftover; once it is let go, it is."""
    other = tmp_path / ".out.new-4242"
    other.mkdir()
    held = exchange._hold(other)
    deliver(tmp_path / "out", packet("a"))
    assert other.is_dir()
    exchange.release(held)
    deliver(tmp_path / "out", packet("b"), replace=True)
    assert not other.exists()


@pytest.mark.parametrize("call", ["open", "write", "fsync", "mkdir", "rename"])
@pytest.mark.parametrize("at", range(0, 30, 3))
def test_a_full_disk_at_any_call_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str, at: int
) -> None:
    """The system's call fails once, for want of room: the earlier packet stands, or the new one."""
    deliver(tmp_path / "out", packet("a"))
    count = 0

    def fails() -> None:
        nonlocal count
        count += 1
        if count == at + 1:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), "out")

    if call == "write":
        real_open = Path.open

        def opened(self: Path, *args: Any, **more: Any) -> Any:
            stream = real_open(self, *args, **more)
            return Full(stream, fails) if "x" in args else stream

        monkeypatch.setattr(Path, "open", opened)
    else:
        owner = os if call == "fsync" else Path
        real = getattr(owner, call)

        def once(*args: object, **more: object) -> object:
            fails()
            return real(*args, **more)

        monkeypatch.setattr(owner, call, once)
    said = []
    try:
        deliver(tmp_path / "out", packet("b"), replace=True)
    except InputError as error:
        said = [(each.code, "No space left" in each.message) for each in error.mistakes]
    monkeypatch.undo()
    assert said in ([], [("cannot-write", True)])
    assert standing(tmp_path / "out") == ("a" if said else "b")
    may_deliver(tmp_path / "out", replace=True)  # what could not be cleaned up then is now
    assert [each.name for each in tmp_path.iterdir()] == ["out"]


@dataclass
class Full:
    """A stream whose writing may find no room."""

    stream: Any
    fails: Callable[[], None]

    def write(self, content: bytes) -> int:
        """Write it, or fail."""
        self.fails()
        written: int = self.stream.write(content)
        return written

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.stream.close()


@pytest.mark.skipif(not LINUX or os.geteuid() != 0, reason="only root may mount a small disk")
def test_a_disk_that_is_really_full_changes_nothing(tmp_path: Path) -> None:
    """On a file system of 1 MB: the first packet fits, one that does not is refused and leaves no litter."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(disk)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("this machine mounts nothing; the failing calls above stand for it")
    try:
        deliver(disk / "out", packet("a"))
        with pytest.raises(InputError) as caught:
            deliver(disk / "out", {**packet("b"), "more": b"x" * 2_000_000}, replace=True)
        assert code(caught) == "cannot-write"
        assert "No space left" in caught.value.mistakes[0].message
        assert standing(disk / "out") == "a"
        assert [each.name for each in disk.iterdir()] == ["out"]
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_a_folder_that_may_only_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No folder can be made there: nothing is changed, and the mistake says why."""

    def refused(self: Path, *args: object, **more: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(self))

    monkeypatch.setattr(Path, "mkdir", refused)
    with pytest.raises(InputError) as caught:
        deliver(tmp_path / "out", packet("a"))
    assert code(caught) == "cannot-write"
    assert "Permission denied" in caught.value.mistakes[0].message
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "name",
    [
        "a packet with spaces",
        "Stößel für Ömer",
        "棚板",
        "🪓",
        "-rf",
        "~",
        "$(id)",
        "a'b\"c",
        "x" * 200,
        "ß" * 120,
    ],
)
def test_any_name_that_the_system_takes_will_do(tmp_path: Path, name: str) -> None:
    """Spaces, letters of any script, signs of a shell, the longest names: made, replaced, no litter."""
    deliver(tmp_path / name, packet("a"))
    deliver(tmp_path / name, packet("b"), replace=True)
    assert standing(tmp_path / name) == "b"
    assert [each.name for each in tmp_path.iterdir()] == [name]


def test_a_name_that_is_too_long_is_a_mistake(tmp_path: Path) -> None:
    """Longer than the system takes: said as that, before and at the writing."""
    for call in (
        lambda: may_deliver(tmp_path / ("x" * 300)),
        lambda: deliver(tmp_path / ("x" * 300), packet("a")),
    ):
        with pytest.raises(InputError) as caught:
            call()
        assert code(caught) == "cannot-write"
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("one", "other"), [("A.ngc", "a.ngc"), ("Ä.ngc", "ä.ngc"), ("\u00e9.ngc", "e\u0301.ngc"), ("ß", "SS")]
)
def test_two_files_that_some_system_takes_for_one_are_refused(tmp_path: Path, one: str, other: str) -> None:
    """Names that differ in the size of letters or the writing of an accent would be one file elsewhere."""
    with pytest.raises(ValueError, match="would be one"):
        deliver(tmp_path / "out", {**packet("a"), one: b"1", other: b"2"})
    assert list(tmp_path.iterdir()) == []


def test_a_link_to_nowhere_and_a_link_to_itself(tmp_path: Path) -> None:
    """A link whose folder is gone is filled where it leads; one that leads to itself is a mistake."""
    (tmp_path / "gone").symlink_to(tmp_path / "real")
    deliver(tmp_path / "gone", packet("a"))
    assert standing(tmp_path / "real") == "a"
    (tmp_path / "ring").symlink_to(tmp_path / "ring")
    with pytest.raises(InputError) as caught:
        deliver(tmp_path / "ring", packet("a"))
    assert code(caught) in {"cannot-write", "not-a-folder"}
    assert (tmp_path / "ring").is_symlink()


def test_packets_of_other_formats_are_told_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A newer one asks for a newer program, an older one to be made anew."""
    from stockwright.cli import main

    for number, words in ((2, "install a newer version"), (0, "make it anew from its job")):
        (tmp_path / "packet.json").write_text(json.dumps({"packet_format": number}), encoding="utf-8")
        assert main(["prove", str(tmp_path)]) == 2
        said = capsys.readouterr().err
        assert f"format {number}" in said
        assert words in said


def test_a_reader_completes_an_interrupted_replacement_and_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`prove` finds the packet under its name although the run that put it there died between two steps."""
    from made_packets import packet_of
    from stockwright.cli import main

    files = {
        p.relative_to(packet_of("bed")).as_posix(): p.read_bytes()
        for p in packet_of("bed").rglob("*")
        if p.is_file()
    }
    deliver(tmp_path / ".out.new-4242", files)
    deliver(tmp_path / ".out.earlier-4242", packet("a"))
    assert main(["prove", str(tmp_path / "out")]) == 0
    assert "the new one stands now" in " ".join(capsys.readouterr().out.split())
    assert [each.name for each in tmp_path.iterdir()] == ["out"]
