"""pack, for a single drawing: its bytes go to the file that the user named, whole or not at all.

In: a path and bytes. Out: the file. Promise: only an earlier drawing of this program is replaced, never
anything else; whatever happens, a reader finds the whole earlier file or the whole new one.
"""

from __future__ import annotations

import contextlib
import os
from typing import TYPE_CHECKING

from stockwright.mistakes import InputError, Mistake
from stockwright.packet.exchange import aside, left_behind, locked

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["deliver_file"]

_LOOKED_AT = 4096  # bytes in which an earlier drawing says that it is one


def deliver_file(path: Path, content: bytes, mark: bytes | None, what: str = "drawing") -> None:
    """Write `content` to `path`; a file that stands there gives way only where `mark` is in its first bytes.

    Without a mark nothing gives way.

    Raises `InputError` (`exists`, `cannot-write`) and then leaves everything as it was.
    """
    shown = str(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)  # as for a packet
        with locked(path.parent):  # what stands aside there is then of a run that was killed
            if path.is_symlink() or path.exists():
                _may_give_way(path, mark, what)
            _put(path, content)
    except OSError as error:
        message = f"the {what} could not be written: {error.strerror or type(error).__name__}"
        raise InputError([Mistake(shown, 0, 0, "cannot-write", message, "nothing was changed")]) from error


def _put(path: Path, content: bytes) -> None:
    """Write beside `path`, under a name of this process's own, and put it there."""
    for leftover in left_behind(path, "new"):
        leftover.unlink()
    fresh = aside(path, "new")
    try:
        with fresh.open("xb") as stream:
            stream.write(content)
        fresh.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            fresh.unlink()
        raise


def _may_give_way(path: Path, mark: bytes | None, what: str) -> None:
    if mark is not None and path.is_file() and not path.is_symlink():
        with path.open("rb") as file:
            start = file.read(_LOOKED_AT)
        if mark in start:
            return
    kind = "folder" if path.is_dir() else "file"
    message = f"a {kind} that is no {what} of this program stands there, expected none"
    raise InputError(
        [Mistake(os.fspath(path), 0, 0, "exists", message, "take another name, or move it away")]
    )
