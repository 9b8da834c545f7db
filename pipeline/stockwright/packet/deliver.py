"""pack, the last step: a packet's files go to their folder whole, or not at all.

In: the folder that the user named and the bytes of every file. Out: the folder. Other folders that the
program makes are delivered in the same way; each kind is recognised by a file of its own (`Sort`). Promise:
whatever happens, a reader finds the whole earlier packet or the whole new one, and no file lands outside the
folder; what an interrupted run left behind is put right by the next one.
"""

from __future__ import annotations

import json
import os
import unicodedata
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import TYPE_CHECKING

from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake
from stockwright.packet.exchange import exchange, locked, put_right, release, remove, written_aside

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

__all__ = [
    "LARGEST_PACKET_FILE",
    "PACKET",
    "Sort",
    "completed",
    "deliver",
    "may_deliver",
    "one_elsewhere",
    "stays_inside",
]

LARGEST_PACKET_FILE = 200_000_000  # bytes; a forty-board packet.json stays far under it


@frozen
class Sort:
    """A sort of folder that the program makes, known by a JSON `file` in it with `key` and `made_with`."""

    noun: str
    file: str
    key: str


PACKET = Sort("packet", "packet.json", "packet_format")


def deliver(folder: Path, files: Mapping[str, bytes], replace: bool = False, sort: Sort = PACKET) -> None:
    """Write `files` (path within the packet, forward slashes -> bytes) into `folder`, all of them or none.

    An earlier packet gives way only with `replace`; a folder that is neither empty nor a packet never does.
    Raises `InputError` (`exists`, `not-a-packet`, `not-a-folder`, `cannot-write`) and then leaves everything
    as it was; `ValueError` where a file's path would leave the folder, or two would be one on some system.
    """
    for name in files:
        stays_inside(name)
    if twins := one_elsewhere(files):
        raise ValueError(f"two files of a packet would be one where letters' size is nothing: {twins}")
    shown = str(folder)
    target = Path(os.path.realpath(folder))
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with locked(target.parent):
            _may_be_written(target, shown, replace, sort)
        fresh, held = written_aside(target, files)
        try:
            with locked(target.parent):  # meanwhile another run may have put its own there
                _may_be_written(target, shown, replace, sort)
                exchange(fresh, target)
        except BaseException:
            remove(fresh)
            raise
        finally:
            release(held)
    except OSError as error:
        raise _unwritable(shown, error, sort) from error


def may_deliver(folder: Path, replace: bool = False, sort: Sort = PACKET) -> str:
    """Raise `InputError` where `deliver` would, for what stands at `folder` now.

    Nothing is touched but what an interrupted run left there; returns what to say of that, "" for nothing.
    """
    target = Path(os.path.realpath(folder))
    try:
        with locked(target.parent):
            return _may_be_written(target, str(folder), replace, sort)
    except OSError as error:
        raise _unwritable(str(folder), error, sort) from error


def completed(folder: Path) -> str:
    """Put right what an interrupted run left at `folder`; return what to say of it, "" for nothing."""
    target = Path(os.path.realpath(folder))
    if not target.name or not target.parent.is_dir():
        return ""
    try:
        with locked(target.parent):
            return put_right(target)
    except OSError:
        return ""  # it may only be read here: then what stands is all there is


def _mistake(shown: str, code: str, message: str, hint: str) -> InputError:
    return InputError([Mistake(shown, 0, 0, code, message, hint)])


def _unwritable(shown: str, error: OSError, sort: Sort) -> InputError:
    what = error.strerror or type(error).__name__
    where = "" if error.filename is None else f" ({Path(os.fsdecode(error.filename)).name})"
    message = f"the {sort.noun} could not be written: {what}{where}"
    return _mistake(shown, "cannot-write", message, "nothing was changed")


def stays_inside(name: str) -> None:
    """Raise `ValueError` for a path that could leave its folder on any system, or that names no file."""
    parts = name.split("/")
    outside = PurePosixPath(name).is_absolute() or PureWindowsPath(name).drive or PureWindowsPath(name).root
    if outside or "\\" in name or "\0" in name or any(part in {"", ".", ".."} for part in parts):
        raise ValueError(f"a packet's file must stay inside its folder: {name!r}")


def one_elsewhere(files: Iterable[str]) -> tuple[str, str] | None:
    """Return two different paths that some file systems take for one; None where there are none."""
    seen: dict[str, str] = {}
    for name in files:
        other = seen.setdefault(unicodedata.normalize("NFC", name).casefold(), name)
        if other != name:
            return other, name
    return None


def _may_be_written(target: Path, shown: str, replace: bool, sort: Sort) -> str:
    """Raise `InputError` unless `target` is free, empty, or one of its sort that may be replaced.

    Return what to say of an interrupted run that was put right first, "" for nothing.
    """
    noun = sort.noun
    if not target.name:
        message = "this is the top of the file system"
        raise _mistake(shown, f"not-a-{noun}", message, f"name a folder for the {noun}")
    said = put_right(target) if target.parent.is_dir() else ""
    if not target.exists():
        return said
    if not target.is_dir():
        message = f"a file stands where the {noun}'s folder should"
        raise _mistake(shown, "not-a-folder", message, "name another folder")
    if not any(target.iterdir()):
        return said
    if not _is_earlier(target, sort):
        raise _mistake(
            shown,
            f"not-a-{noun}",
            f"this folder holds other things than an earlier {noun}, so nothing in it is touched",
            "name a new or an empty folder",
        )
    if not replace:
        message = f"an earlier {noun} stands here" + (f": {said}" if said else "")
        raise _mistake(shown, "exists", message, "write --force to replace it")
    return said


def _is_earlier(target: Path, sort: Sort) -> bool:
    """Say whether `target` holds the file by which its sort is known, made by stockwright."""
    described = target / sort.file
    if described.is_symlink() or not described.is_file() or described.stat().st_size > LARGEST_PACKET_FILE:
        return False
    try:
        content = json.loads(described.read_bytes())
    except (ValueError, RecursionError):
        return False
    if not isinstance(content, dict) or sort.key not in content:
        return False
    made_with = content.get("made_with")
    return isinstance(made_with, dict) and made_with.get("name") == "stockwright"
