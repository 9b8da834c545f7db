"""Finished parts kept beside the packet's folder, so that an interrupted run can go on.

In: a folder, shares. Out: parts, by key. Promise: a part is stored whole or not at all. It is used again only
where the program, the job, the board and the share are exactly the same and the part's own digest is right;
anything else found there is ignored. The number of parts is bounded, and all of them are removed once the
packet is written.
"""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
import os
import pickle
import re
import sys
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from stockwright.batching.part import as_text, from_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.batching.doing import Work
    from stockwright.batching.part import Lost, Part
    from stockwright.batching.shares import Share

__all__ = ["Kept", "keys"]

LARGEST = 100_000_000  # bytes of one part; a board with clamps that move comes to a megabyte
ROUNDS = 3  # times as many parts as shares: a job with boards left out has two numberings
LIBRARIES = ("numpy", "shapely", "highspy", "jinja2", "pydantic")
NAME = re.compile(r"[0-9a-f]{64}\.part")


class Kept:
    """The folder of parts that belongs to a packet's folder."""

    def __init__(self, packet: Path, shares: int) -> None:
        target = Path(os.path.realpath(packet))
        self.folder = target.with_name(f".{target.name}.kept")
        self.most = ROUNDS * shares

    def find(self, key: str) -> Part | Lost | None:
        """Return the part with this key; None where no valid one is kept."""
        path = self._path(key)
        with contextlib.suppress(OSError, UnicodeDecodeError):
            if self._ours() and not path.is_symlink() and path.stat().st_size <= LARGEST:
                return from_text(path.read_bytes().decode(), key)
        return None

    def keep(self, key: str, found: Part | Lost) -> None:
        """Write a part; where it cannot be written, a later run has to make it again."""
        path = self._path(key)
        half = path.with_name(f"half-{os.getpid()}")
        with contextlib.suppress(OSError):
            self.folder.mkdir(exist_ok=True)
            if not self._ours():
                return
            self._bound(path)
            with half.open("wb") as stream:
                stream.write(as_text(found, key).encode())
                stream.flush()
                os.fsync(stream.fileno())
            half.replace(path)

    def clear(self) -> None:
        """Remove every part, and the folder unless something else lies in it."""
        with contextlib.suppress(OSError):
            if not self._ours():
                return
            for path in [*self._parts(), *self.folder.glob("half-*")]:
                path.unlink()
            self.folder.rmdir()

    def _path(self, key: str) -> Path:
        return self.folder / f"{key}.part"

    def _ours(self) -> bool:
        return self.folder.is_dir() and not self.folder.is_symlink()

    def _parts(self) -> list[Path]:
        return sorted(path for path in self.folder.iterdir() if NAME.fullmatch(path.name))

    def _bound(self, but: Path) -> None:
        """Let the oldest go where there are too many: those of a job as it once was."""
        there = [path for path in self._parts() if path != but]
        there.sort(key=lambda path: path.stat().st_mtime_ns)
        for path in there[: max(0, len(there) + 1 - self.most)]:
            path.unlink()


def keys(work: Work, shares: tuple[Share, ...]) -> list[str]:
    """Return each share's key: a digest of everything that its part depends on, and of nothing else."""
    # What is asked of one board alone is no other one's business; the bed is cut as the job says.
    job = dataclasses.replace(work.job, boards=(), own={})
    asked = (work.request.accept_unproven, len(work.job.boards))
    common = _digest([*_program(work), *_plain(job), *_plain(work.post), *_plain(asked)])
    names = [board.name for board in work.job.boards]
    return [
        _digest(
            [
                common.encode(),
                *_plain(() if share.board is None else work.job.boards[share.board]),
                *_plain(() if share.board is None else work.job.own.get(names[share.board])),
                *_plain(names),
                *_plain(share),
            ]
        )
        for share in shares
    ]


def _digest(pieces: list[bytes]) -> str:
    found = hashlib.sha256()
    for piece in pieces:
        found.update(len(piece).to_bytes(8, "big") + piece)
    return found.hexdigest()


def _program(work: Work) -> Iterator[bytes]:
    """Yield what does the work: our own files, those of the post, the libraries' versions."""
    import stockwright

    module = sys.modules[type(work.post).__module__]
    folders = {Path(str(stockwright.__file__)).parent}
    if module.__file__ is not None:
        folders.add(Path(module.__file__).parent)
    for folder in sorted(folders):
        for path in sorted(folder.rglob("*")):
            if path.suffix in {".py", ".html", ".css", ".yaml"} and path.is_file():
                yield path.relative_to(folder).as_posix().encode()
                yield path.read_bytes()
    yield " ".join([sys.version, *(f"{name} {version(name)}" for name in LIBRARIES)]).encode()


def _plain(value: Any) -> Iterator[bytes]:
    """Yield a value as bytes, the same for equal values in every process."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        yield type(value).__qualname__.encode()
        for field in dataclasses.fields(value):
            yield field.name.encode()
            yield from _plain(getattr(value, field.name))
    elif isinstance(value, np.ndarray):
        yield f"{value.dtype.str} {value.shape}".encode()
        yield np.ascontiguousarray(value).tobytes()
    elif isinstance(value, shapely.Geometry):
        yield shapely.to_wkb(value)
    elif isinstance(value, str | bytes | int | float | complex | None):
        yield f"{type(value).__name__} {value!r}".encode()
    elif isinstance(value, list | tuple):
        yield f"row {len(value)}".encode()
        for each in value:
            yield from _plain(each)
    elif isinstance(value, set | frozenset):
        yield f"set {len(value)}".encode()
        yield from sorted(_digest(list(_plain(each))).encode() for each in value)
    elif isinstance(value, dict):
        yield f"table {len(value)}".encode()
        yield from sorted(_digest([*_plain(key), *_plain(each)]).encode() for key, each in value.items())
    elif isinstance(value, type):
        yield f"{value.__module__}.{value.__qualname__}".encode()
    elif hasattr(value, "__dict__"):
        yield type(value).__qualname__.encode()
        yield from _plain(vars(value))
    else:
        # What is none of these makes a key of its own at worst, and is then done again.
        yield pickle.dumps(value)
