"""One packet replacing another again and again, in processes that are killed or run at once.

In: a folder, as a script's arguments. Out: what stood there afterwards, as JSON. The processes are forks of a
small one of their own, so that a death costs milliseconds.
"""

from __future__ import annotations

import itertools
import json
import os
import random
import signal
import subprocess
import sys
import time
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stockwright.packet import exchange
from stockwright.packet.deliver import completed, deliver

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["packet", "run", "standing"]

DIES = {"os.rename", "os.mkdir", "os.remove", "os.rmdir", "shutil.rmtree", "open"}


def packet(mark: str) -> dict[str, bytes]:
    """Return a packet whose every file says its mark."""
    head = {"packet_format": 1, "made_with": {"name": "stockwright", "version": mark}}
    files = {f"programs/{number}{mark}.ngc": mark.encode() * 5000 for number in range(12)}
    return {"packet.json": json.dumps(head).encode(), **files}


def standing(folder: Path) -> str:
    """Return the mark of the packet that stands whole at `folder`, or what stands there instead."""
    found = {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    whole = [mark for mark in "abc" if found == packet(mark)]
    return whole[0] if whole else f"no whole packet: {sorted(found)}"


def run(do: str, folder: Path, *more: object) -> Any:
    """Do one of the things below in a process of its own and return what it found."""
    paths = os.pathsep.join([str(Path(__file__).parents[1]), *sys.path])
    done = subprocess.run(
        [sys.executable, "-m", "packet.replacing", do, str(folder), *map(str, more)],
        env={**os.environ, "PYTHONPATH": paths},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def killed(folder: Path, times: int, seed: int) -> list[str]:
    """Kill a process at random moments while packets replace each other; return what stood there at once.

    What the next run did not clean up is in the list too.
    """
    chance = random.Random(seed)
    out = folder / "out"
    deliver(out, packet("a"))
    found = []
    for _ in range(times):
        reads, writes = os.pipe()
        child = _forked(partial(_replace, out, "ba", 10_000, writes))
        os.read(reads, 1)  # it has begun: two replacements are done
        began = time.perf_counter()
        os.read(reads, 1)
        time.sleep(chance.uniform(0.0, 2 * (time.perf_counter() - began)))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(reads)
        os.close(writes)
        found.append(standing(out))
        deliver(out, packet("c"), replace=True)
        found += _litter(folder)
    return found


def stopped_in_two_steps(folder: Path) -> list[list[str]]:
    """Let a process die at each of its calls of the system in turn, names being exchanged in two steps.

    Return for each death what is said of it by the next reader, and what stands there then.
    """
    exchange._names_exchanged = lambda one, other: False
    out = folder / "out"
    found = []
    for step in itertools.count(1):
        deliver(out, packet("a"), replace=True)
        child = _forked(partial(_dying, out, step))
        died = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        found.append([completed(out), standing(out), *_litter(folder)])
        if not died:
            return found
    return found


def at_once(folder: Path, turns: int) -> list[int]:
    """Let three processes replace packets at one place; return how each ended."""
    children = [_forked(partial(_replace, folder / "out", mark, turns)) for mark in "abc"]
    return [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]


def _forked(do: Callable[[], None]) -> int:
    child = os.fork()
    if not child:
        code = 1
        try:
            do()
            code = 0
        finally:
            os._exit(code)
    return child


def _replace(out: Path, marks: str, turns: int, told: int | None = None) -> None:
    files = [packet(mark) for mark in marks]
    for turn in range(turns):
        deliver(out, files[turn % len(files)], replace=True)
        if told is not None and turn % 2:
            os.write(told, b".")


def _dying(out: Path, step: int) -> None:
    calls = itertools.count(1)

    def hook(event: str, _: object) -> None:
        if event in DIES and next(calls) == step:
            os._exit(9)

    sys.addaudithook(hook)
    deliver(out, packet("b"), replace=True)


def _litter(folder: Path) -> list[str]:
    there = sorted(each.name for each in folder.iterdir())
    return [] if there == ["out"] else [f"litter: {there}"]


if __name__ == "__main__":
    _, do, folder, *more = sys.argv
    ways: dict[str, Callable[..., object]] = {"killed": killed, "at-once": at_once}
    found = (ways | {"stopped": stopped_in_two_steps})[do](Path(folder), *map(int, more))
    sys.stdout.write(json.dumps(found))
