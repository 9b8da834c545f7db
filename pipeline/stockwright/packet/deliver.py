"""pack, the last step: a packet's files go to their folder whole, or not at all.

In: the folder the user named and the bytes of every file. Out: the folder. Promise: whatever happens, a
reader finds the earlier packet whole or the new one whole, and never a file outside the folder; what an
interrupted run left behind is put right by the next one.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import TYPE_CHECKING

from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

__all__ = ["deliver", "may_deliver"]

PACKET_FILE = "packet.json"
LARGEST_PACKET_FILE = 200_000_000  # bytes; a forty-board packet.json stays far under it


def deliver(folder: Path, files: Mapping[str, bytes], replace: bool = False) -> None:
    """Write `files` (path within the packet, forward slashes -> bytes) into `folder`, all of them or none.

    An earlier packet gives way only with `replace`; a folder that is neither empty nor a packet never does.
    Raises `InputError` (`exists`, `not-a-packet`, `not-a-folder`, `cannot-write`) and then leaves everything
    as it was; `ValueError` where a file's path would leave the folder.
    """
    for name in files:
        _stays_inside(name)
    shown = str(folder)
    target = Path(os.path.realpath(folder))
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if target.name:
            _put_right(target)
        _may_be_written(target, shown, replace)
        fresh = _written_aside(target, files)
        try:
            _exchange(fresh, target)
        except BaseException:
            _remove(fresh)
            raise
        _settle(target.parent)
        _put_right(target)
    except OSError as error:
        raise _unwritable(shown, error) from error


def may_deliver(folder: Path, replace: bool = False) -> None:
    """Raise `InputError` where `deliver` would, for what stands at `folder` now; nothing is touched."""
    target = Path(os.path.realpath(folder))
    try:
        _may_be_written(target, str(folder), replace)
    except OSError as error:
        raise _unwritable(str(folder), error) from error


def _mistake(shown: str, code: str, message: str, hint: str) -> InputError:
    return InputError([Mistake(shown, 0, 0, code, message, hint)])


def _unwritable(shown: str, error: OSError) -> InputError:
    what = error.strerror or type(error).__name__
    where = "" if error.filename is None else f" ({Path(os.fsdecode(error.filename)).name})"
    message = f"the packet could not be written: {what}{where}"
    return _mistake(shown, "cannot-write", message, "nothing was changed")


def _stays_inside(name: str) -> None:
    """Raise `ValueError` for a path that could leave its folder on any system, or that names no file."""
    parts = name.split("/")
    outside = PurePosixPath(name).is_absolute() or PureWindowsPath(name).drive or PureWindowsPath(name).root
    if outside or "\\" in name or "\0" in name or any(part in {"", ".", ".."} for part in parts):
        raise ValueError(f"a packet's file must stay inside its folder: {name!r}")


def _may_be_written(target: Path, shown: str, replace: bool) -> None:
    """Raise `InputError` unless `target` is free, empty, or an earlier packet that may be replaced."""
    if not target.name:
        message = "this is the top of the file system"
        raise _mistake(shown, "not-a-packet", message, "name a folder for the packet")
    if not target.exists():
        return
    if not target.is_dir():
        raise _mistake(
            shown, "not-a-folder", "a file stands where the packet's folder should", "name another folder"
        )
    if not any(target.iterdir()):
        return
    if not _is_packet(target):
        raise _mistake(
            shown,
            "not-a-packet",
            "this folder holds other things than an earlier packet, so nothing in it is touched",
            "name a new or an empty folder",
        )
    if not replace:
        raise _mistake(shown, "exists", "an earlier packet stands here", "write --force to replace it")


def _is_packet(target: Path) -> bool:
    """Say whether `target` holds a packet.json that stockwright made."""
    described = target / PACKET_FILE
    if described.is_symlink() or not described.is_file() or described.stat().st_size > LARGEST_PACKET_FILE:
        return False
    try:
        content = json.loads(described.read_bytes())
    except (ValueError, RecursionError):
        return False
    if not isinstance(content, dict) or "packet_format" not in content:
        return False
    made_with = content.get("made_with")
    return isinstance(made_with, dict) and made_with.get("name") == "stockwright"


def _aside(target: Path, what: str) -> Path:
    # Beside the target, so that a rename stays within one file system; hidden, as it is nobody's packet.
    return target.with_name(f".{target.name}.{what}-{os.getpid()}")


def _left_behind(target: Path, what: str) -> Iterator[Path]:
    start = f".{target.name}.{what}-"
    for entry in sorted(target.parent.iterdir()):
        if entry.name.startswith(start) and entry.name[len(start) :].isdecimal():
            yield entry


def _put_right(target: Path) -> None:
    """Bring back an earlier packet that an interrupted exchange set aside, and remove every leftover."""
    for earlier in _left_behind(target, "earlier"):
        if not target.exists():
            earlier.rename(target)
        else:
            _remove(earlier)
    for leftover in (*_left_behind(target, "new"), *_left_behind(target, "litter")):
        _remove(leftover)


def _remove(folder: Path) -> None:
    # Renamed first: a folder half removed can then never be taken for one half written.
    litter = folder.with_name(folder.name.rpartition(".")[0] + f".litter-{os.getpid()}")
    with contextlib.suppress(OSError):
        if folder != litter:
            shutil.rmtree(litter, ignore_errors=True)
            folder.rename(litter)
        shutil.rmtree(litter)


def _written_aside(target: Path, files: Mapping[str, bytes]) -> Path:
    """Write every file into a hidden folder beside `target`, down to the disk, and return that folder."""
    fresh = _aside(target, "new")
    fresh.mkdir()
    try:
        for name in sorted(files):
            path = fresh.joinpath(*name.split("/"))
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("xb") as stream:
                stream.write(files[name])
                stream.flush()
                os.fsync(stream.fileno())
        for folder, _, _ in os.walk(fresh):
            _settle(Path(folder))
    except BaseException:
        _remove(fresh)
        raise
    return fresh


def _exchange(fresh: Path, target: Path) -> None:
    """Put `fresh` in the place of `target`; what stood there is removed only once the new packet stands."""
    if not target.exists():
        fresh.rename(target)
        return
    if not any(target.iterdir()):
        target.rmdir()
        fresh.rename(target)
        return
    earlier = _aside(target, "earlier")
    target.rename(earlier)
    try:
        fresh.rename(target)
    except BaseException:
        earlier.rename(target)
        raise
    _settle(target.parent)
    _remove(earlier)


def _settle(folder: Path) -> None:
    """Ask the system to write a folder's own entries down; where it has no such call, nothing is lost."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
