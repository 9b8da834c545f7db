"""One spoilt document through the command line, and many of them in processes of their own.

In: a kind and a seed. Out: `Outcome`: the exit code, or what was wrong with how the program took it. A trial
is bounded twice: by an alarm within the process, and by what the system lends the process. What is the same
for every trial is done once a process: whole documents, what stands beside them, what a process asks once.
"""

from __future__ import annotations

import contextlib
import ctypes
import dataclasses
import gc
import io
import json
import multiprocessing
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING

import typer.main

from spoilt.kinds import KINDS, Kind, prepare, used
from stockwright.cli import main

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

__all__ = ["SECONDS", "Outcome", "spoilt", "trial", "trials"]

SECONDS = 2.0  # of the process's own time, one document
JOBS = 1.7  # on a crowded machine: times what the whole main job takes there, which alone takes 1.2 s
LIBRARIES = 100  # MB that a process of its own holds before it reads a document
MEGABYTES = 500  # the most that a process held, all its libraries included
RIGHT = 2  # times as long for what is right: a board may have become a much larger one, which is work
HANGS = 60  # s by the clock: whatever waits so long waits for ever
LENT = 3_000_000_000  # bytes of address space, libraries and their threads' stacks included
WHOLE_JOBS = 0.15  # the share of trials that do the whole job rather than read
MEMORY = Path("/dev/shm")  # files in memory, where the system has them
_HELD: list[tempfile.TemporaryDirectory[str]] = []


@dataclass(frozen=True)
class Outcome:
    """What came of one trial; `wrong` is empty where all was as it must be."""

    kind: str
    seed: int
    call: tuple[str, ...]
    code: int | None
    seconds: float
    wrong: str = ""


class _TooLong(BaseException):
    """No handler of the program's own may take this for its own error."""


@cache
def _home(_process: int) -> Path:
    """Return this process's own folder with every kind of document, whole."""
    held = tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None)
    _HELD.append(held)
    folder = Path(held.name)
    prepare(folder)
    with contextlib.chdir(folder):
        used(folder)
    gc.collect()
    gc.freeze()  # libraries and whole documents: nothing to look through again after every trial
    return folder


@cache
def _before(process: int) -> frozenset[str]:
    """Return what stands in this process's folder before every trial, for each leaves it so."""
    return frozenset(_standing(_home(process)))


@cache
def _whole(process: int, name: str) -> bytes:
    """Return a whole document's bytes."""
    return (_home(process) / name).read_bytes()


@cache
def _allowed(process: int) -> float:
    """Return the most that one document may take in this process, s: the bound, or what the machine does."""
    began = time.process_time()
    with contextlib.chdir(_home(process)), contextlib.redirect_stdout(io.StringIO()):
        main(["make", "job.yaml", "--out", "whole"])
        shutil.rmtree("whole")
    return max(SECONDS, JOBS * (time.process_time() - began))


def spoilt(kind: Kind, seed: int) -> tuple[str, bytes, tuple[str, ...]]:
    """Return the file to write, its bytes, and the call that reads it: always the same for one seed."""
    chance = random.Random(f"{kind.name} {seed}")
    name = chance.choice(kind.files)
    content = _whole(os.getpid(), name)
    content = chance.choice(kind.ways)(content, chance)
    whole = kind.does and (not kind.reads or chance.random() < WHOLE_JOBS)
    return kind.aim or name, content, chance.choice(kind.does if whole else kind.reads)


def trial(name: str, seed: int) -> Outcome:
    """Spoil one document and let the command line take it."""
    kind = next(each for each in KINDS if each.name == name)
    folder = _home(os.getpid())
    _allowed(os.getpid())
    before = _before(os.getpid())
    file, content, call = spoilt(kind, seed)
    place = folder / file
    earlier = _whole(os.getpid(), file) if file in before else None
    try:
        place.write_bytes(content)
        with contextlib.chdir(folder):
            return _called(kind.name, seed, call, before | {file})
    finally:
        _put_back(place, earlier)


def _called(name: str, seed: int, call: tuple[str, ...], before: frozenset[str]) -> Outcome:
    out, err = io.StringIO(), io.StringIO()
    wrong, code = "", None
    held_before = _begin_to_count()
    began = time.process_time()
    old = signal.signal(signal.SIGALRM, _alarm), signal.signal(signal.SIGPROF, _alarm)
    signal.alarm(HANGS)
    most = _allowed(os.getpid())
    signal.setitimer(signal.ITIMER_PROF, 1.5 * RIGHT * most)
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = main(call)
    except _TooLong as error:
        wrong = "took too long\n" + _where(error)
    except BaseException as error:  # noqa: BLE001 - that nothing comes out is what is tried
        wrong = _where(error)
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.alarm(0)
        signal.signal(signal.SIGALRM, old[0])
        signal.signal(signal.SIGPROF, old[1])
    seconds = time.process_time() - began
    held = LIBRARIES + _holds("VmHWM") - held_before
    new = _standing(Path()) - before
    if not wrong:
        wrong = _wrong(code, out.getvalue(), err.getvalue(), new)
    if code in {0, 1}:
        most *= RIGHT
    if not wrong and seconds > most:
        wrong = f"took {seconds:.1f} s of {most:.1f}"
    if held > MEGABYTES:
        wrong = wrong or f"held {held:.0f} MB"
    _clear(new)
    return Outcome(name, seed, call, code, seconds, wrong)


def _wrong(code: int | None, out: str, err: str, new: set[str]) -> str:
    """Return what is wrong with an answer, or nothing."""
    if code not in {0, 1, 2}:
        return f"exit code {code}"
    if "Traceback" in out + err:
        return "a traceback was printed"
    drawn = "pictures are in" in out  # asked for, of a packet that is refused: that is what they are for
    if code and new and not drawn:
        return f"it failed and wrote {sorted(new)}"
    if code == 2 and not err.strip():
        return "refused as input without a word"
    if code == 1 and not (out + err).strip():
        return "refused without a word"
    return ""


def _holds(which: str) -> float:
    """Return what this process holds now (`VmRSS`), or held at most (`VmHWM`), MB; 0 where it is not told."""
    # What getrusage says begins with what the process held that started this one.
    with contextlib.suppress(OSError):
        for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
            if line.startswith(f"{which}:"):
                return int(line.split()[1]) / 1000
    return 0.0


def _begin_to_count() -> float:
    """Give back what earlier trials have freed, count the most from now on; return what is held, MB."""
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None).malloc_trim(0)
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")
    return _holds("VmRSS")


def _where(error: BaseException) -> str:
    """Return an error with the innermost of the program's own places."""
    frames = [f for f in traceback.extract_tb(error.__traceback__) if "spoilt" not in f.filename]
    places = "\n".join(f"  {Path(f.filename).name}:{f.lineno} {f.name}" for f in frames[-6:])
    return f"{type(error).__name__}: {str(error)[:200]}\n{places}"


def _alarm(_number: int, _frame: object) -> None:
    raise _TooLong


def _standing(folder: Path) -> set[str]:
    """Return everything below a folder, by its path there."""
    found: set[str] = set()
    waiting = [(os.fspath(folder), "")]
    while waiting:
        where, within = waiting.pop()
        with os.scandir(where) as entries:
            for each in entries:
                found.add(within + each.name)
                if each.is_dir(follow_symlinks=False):
                    waiting.append((each.path, f"{within}{each.name}/"))
    return found


def _clear(new: set[str]) -> None:
    for each in sorted(new, reverse=True):
        path = Path(each)
        path.rmdir() if path.is_dir() else path.unlink()


def _put_back(place: Path, earlier: bytes | None) -> None:
    if earlier is None:
        place.unlink()
    else:
        place.write_bytes(earlier)


def _bounded() -> None:
    """Make this process one for trials alone: never the one that runs the suite."""
    # What a call may be, and which posts are installed, is asked once a process, as it is for a user.
    typer.main.get_command = cache(typer.main.get_command)
    metadata.entry_points = cache(metadata.entry_points)  # type: ignore[assignment]
    resource.setrlimit(resource.RLIMIT_AS, (LENT, LENT))


def _some(work: Sequence[tuple[str, int]]) -> list[Outcome]:
    return [trial(name, seed) for name, seed in work]


def trials(seeds: Sequence[int], processes: int = 2, together: int = 50) -> Iterator[Outcome]:
    """Yield the outcome of every seed for each kind in turn; a process that dies is an error here."""
    work = [(KINDS[seed % len(KINDS)].name, seed) for seed in seeds]
    parts = [work[start : start + together] for start in range(0, len(work), together)]
    context = multiprocessing.get_context("fork")
    with ProcessPoolExecutor(processes, mp_context=context, initializer=_bounded) as pool:
        for found in pool.map(_some, parts):
            yield from found


if __name__ == "__main__":
    _bounded()
    some = range(*map(int, sys.argv[1:]))
    found = [dataclasses.asdict(trial(KINDS[seed % len(KINDS)].name, seed)) for seed in some]
    sys.stdout.write(json.dumps(found))
