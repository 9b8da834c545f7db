"""Two folders exchange their names, and what an interrupted exchange left behind is put right.

In: a target's path and a fresh folder beside it. Out: the fresh folder under the target's name. Promise: at
every moment a reader finds the earlier folder whole or the new one whole, where the system can exchange two
names in one step; where it cannot, the next command completes the exchange. What stands aside is named for
its target and its process, and nobody removes what a living process still writes.
"""

from __future__ import annotations

import contextlib
import ctypes
import errno
import hashlib
import os
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

try:
    import fcntl
except ImportError:  # a system without locks of this kind: there two runs at once are not told apart
    fcntl = None  # type: ignore[assignment]

__all__ = [
    "aside",
    "exchange",
    "left_behind",
    "locked",
    "put_right",
    "release",
    "remove",
    "settle",
    "written_aside",
]

COMPLETED = "an earlier run was stopped while it replaced a folder; the new one stands now"
BROUGHT_BACK = "an earlier run was stopped while it replaced a folder; the earlier one stands again"
LONGEST = 150  # bytes of a name that stand in the names beside it; most systems allow 255 in all
_AT_FDCWD, _RENAME_EXCHANGE = -100, 2  # Linux: fcntl.h and linux/fs.h
_NO_EXCHANGE = {errno.EINVAL, errno.ENOSYS, errno.EOPNOTSUPP, errno.EPERM}  # of the kernel or the file system


def aside(target: Path, what: str) -> Path:
    """Return the name of what this process sets aside: beside the target, hidden: it is nobody's packet."""
    return target.with_name(f"{_start(target, what)}{os.getpid()}")


def written_aside(target: Path, files: Mapping[str, bytes]) -> tuple[Path, int | None]:
    """Write every file into a hidden folder beside `target`, down to the disk.

    Returns the folder and what holds it: let go of that once the folder has its name, or is gone. Raises
    `OSError` and then leaves nothing.
    """
    fresh = aside(target, "new")
    with locked(target.parent):  # until it is held, another run would take it for left behind
        remove(fresh)  # of a process that had this number before
        fresh.mkdir()
        held = _hold(fresh)
    try:
        for name in sorted(files):
            path = fresh.joinpath(*name.split("/"))
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("xb") as stream:
                stream.write(files[name])
                stream.flush()
                os.fsync(stream.fileno())
        for folder, _, _ in os.walk(fresh):
            settle(Path(folder))
    except BaseException:
        remove(fresh)
        release(held)
        raise
    return fresh, held


def exchange(fresh: Path, target: Path) -> None:
    """Put `fresh` in the place of `target`; what stood there is removed only once the new folder stands."""
    if not target.exists() or not any(target.iterdir()):
        if target.exists():
            target.rmdir()  # not every system lets an empty folder give way by itself
        fresh.rename(target)
        settle(target.parent)
        return
    if _names_exchanged(fresh, target):
        settle(target.parent)
        remove(fresh)
        return
    earlier = aside(target, "earlier")
    target.rename(earlier)
    try:
        fresh.rename(target)
    except BaseException:
        earlier.rename(target)
        raise
    settle(target.parent)
    remove(earlier)


def put_right(target: Path) -> str:
    """Complete what an interrupted run began, and remove every leftover of it; return what to say, or ""."""
    said = ""
    for earlier in left_behind(target, "earlier"):
        if target.exists():
            continue
        fresh = target.with_name(_start(target, "new") + earlier.name.rpartition("-")[2])
        if fresh.is_dir():  # whole: the earlier one is set aside only after it
            fresh.rename(target)
            said = COMPLETED
        else:
            earlier.rename(target)
            said = BROUGHT_BACK
    for what in ("earlier", "new", "litter"):
        for leftover in left_behind(target, what):
            if _left(leftover):
                remove(leftover)
    return said


def remove(folder: Path) -> None:
    """Remove a folder; where that cannot be done, the next run does it."""
    # Renamed first: a folder half removed can then never be taken for one half written.
    litter = folder.with_name(folder.name.rpartition(".")[0] + f".litter-{os.getpid()}")
    with contextlib.suppress(OSError):
        if folder != litter:
            shutil.rmtree(litter, ignore_errors=True)
            folder.rename(litter)
        shutil.rmtree(litter)


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Let one process at a time exchange names within `folder`; where no lock is to be had, go on without."""
    handle = _opened(folder)
    try:
        if handle is not None and fcntl is not None:
            with contextlib.suppress(OSError):
                fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        release(handle)


def release(handle: int | None) -> None:
    """Let go of what `written_aside` held."""
    if handle is not None:
        os.close(handle)


def settle(folder: Path) -> None:
    """Ask the system to write a folder's own entries down; where it has no such call, nothing is lost."""
    handle = _opened(folder)
    if handle is not None:
        with contextlib.suppress(OSError):
            os.fsync(handle)
        os.close(handle)


def _start(target: Path, what: str) -> str:
    name = target.name
    if len(os.fsencode(name)) > LONGEST:
        digest = hashlib.sha256(os.fsencode(name)).hexdigest()[:16]
        name = f"{name[: LONGEST // 4]}-{digest}"
    return f".{name}.{what}-"


def left_behind(target: Path, what: str) -> list[Path]:
    """Return what any process set aside for `target`, living or not."""
    start = _start(target, what)
    there = target.parent.iterdir()
    return sorted(e for e in there if e.name.startswith(start) and e.name[len(start) :].isdecimal())


def _left(folder: Path) -> bool:
    """Say whether no living process holds a folder."""
    if fcntl is None:
        return True
    handle = _opened(folder)
    if handle is None:
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return error.errno not in {errno.EWOULDBLOCK, errno.EACCES}
    finally:
        os.close(handle)
    return True


def _hold(folder: Path) -> int | None:
    handle = _opened(folder)
    if handle is not None and fcntl is not None:
        with contextlib.suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX)
    return handle


def _opened(folder: Path) -> int | None:
    try:
        return os.open(folder, os.O_RDONLY)
    except OSError:
        return None  # some systems open no folders


def _names_exchanged(one: Path, other: Path) -> bool:
    """Exchange two names in one step; False where this system has no such step."""
    if not sys.platform.startswith("linux"):
        return False
    try:
        call = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    paths = os.fsencode(one), os.fsencode(other)
    if call(_AT_FDCWD, paths[0], _AT_FDCWD, paths[1], _RENAME_EXCHANGE) == 0:
        return True
    number = ctypes.get_errno()
    if number in _NO_EXCHANGE:
        return False
    raise OSError(number, os.strerror(number), str(other))
