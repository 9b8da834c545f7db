"""Try one change: run tests in a process where one module's text is the changed one.

In: a change and the tests that may notice it. Out: how it ended. Promise: nothing on the disk is altered, so
several changes are tried side by side; a process that hangs is ended, with all it started.
"""

from __future__ import annotations

import importlib.abc
import importlib.machinery
import importlib.util
import os
import signal
import sys
import time
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

import pytest

from strength.changes import altered, module_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from importlib.machinery import ModuleSpec
    from pathlib import Path
    from types import CodeType, ModuleType

    from strength.changes import Change

__all__ = ["QUIET", "Ended", "side_by_side", "try_change"]

T = TypeVar("T")
# Hypothesis is imported before pytest, once for all processes.
QUIET = ("-W", "ignore::pytest.PytestAssertRewriteWarning")
POLL = 0.02  # s between two looks at a process


@dataclass(frozen=True)
class Ended:
    """How a process ended: pytest's exit code, or None where it ran out of time or was ended by a signal."""

    code: int | None
    seconds: float
    in_time: bool


class _Changed(importlib.machinery.SourceFileLoader):
    """Loads one module from a text instead of from its file."""

    def __init__(self, name: str, path: str, text: str) -> None:
        super().__init__(name, path)
        self.text = text

    def get_code(self, fullname: str) -> CodeType:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of the changed text; it is the tests that have to notice
            return compile(self.text, self.get_filename(fullname), "exec", dont_inherit=True)


class _Finder(importlib.abc.MetaPathFinder):
    """Finds the one changed module; everything else is found as always."""

    def __init__(self, name: str, path: Path, text: str) -> None:
        self.name, self.path, self.text = name, path, text

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname != self.name:
            return None
        loader = _Changed(fullname, str(self.path), self.text)
        return importlib.util.spec_from_file_location(fullname, self.path, loader=loader)


class _Chosen:
    """Leaves of what pytest collects the tests that were chosen, in that order."""

    def __init__(self, tests: Sequence[str]) -> None:
        self.rank = {test: at for at, test in enumerate(tests)}

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        items[:] = sorted((i for i in items if i.nodeid in self.rank), key=lambda i: self.rank[i.nodeid])


def try_change(
    root: Path,
    change: Change,
    tests: Sequence[str],
) -> int:
    """Run tests against a change, until one notices; return pytest's exit code.

    Called in a process of its own that has not imported the program yet.
    """
    name = module_of(change.path)
    sys.meta_path.insert(0, _Finder(name, root / change.path, altered(root, change)))
    options = [
        "-x",
        "-q",
        "--tb=line",
        "-p",
        "no:cacheprovider",
        "-p",
        "no:xdist",
        "--hypothesis-seed=0",
        *QUIET,
    ]
    files = dict.fromkeys(test.split("::")[0] for test in tests)
    return int(pytest.main([*options, *files], plugins=[_Chosen(tests)]))


def side_by_side(
    jobs: Iterable[tuple[T, Callable[[], int], float]], count: int, told: Path
) -> Iterator[tuple[T, Ended]]:
    """Do jobs, `count` at a time, each in a process of its own; yield each one's name as it ends, and how.

    A job is a name, what to do, and the seconds it may take; what it prints goes to files in `told`.
    """
    told.mkdir(parents=True, exist_ok=True)
    waiting, free = iter(jobs), list(range(count))
    running: dict[int, tuple[int, T, float, float]] = {}
    more = True
    while more or running:
        while more and free:
            job = next(waiting, None)
            if job is None:
                more = False
                break
            slot = free.pop()
            running[_started(job[1], told / f"{slot}.txt")] = (slot, job[0], time.perf_counter(), job[2])
        for child, (slot, name, began, allowed) in list(running.items()):
            end = _ended(child, began, allowed)
            if end is not None:
                del running[child]
                free.append(slot)
                yield name, end
        time.sleep(POLL)


def _started(work: Callable[[], int], told: Path) -> int:
    """Start `work` in a process of its own, what it prints going to a file; return the process's number."""
    sys.stdout.flush()
    child = os.fork()
    if child:
        return child
    code = 70  # of no use to pytest, so that a fault here is told apart
    try:
        os.setsid()
        out = os.open(told, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(out, 1)
        os.dup2(out, 2)
        code = work()
        sys.stdout.flush()
    except BaseException as fault:  # noqa: BLE001 (the process ends here, whatever happened)
        sys.stdout.write(f"fault: {fault!r}\n")
        sys.stdout.flush()
    finally:
        os._exit(code)


def _ended(child: int, began: float, allowed: float) -> Ended | None:
    """Tell how a process ended, or None while it runs; end it once it has taken longer than is allowed."""
    seconds = time.perf_counter() - began
    done, status = os.waitpid(child, os.WNOHANG)
    if done:
        code = os.waitstatus_to_exitcode(status)
        return Ended(code if code >= 0 else None, seconds, in_time=True)
    if seconds > allowed:
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return Ended(None, seconds, in_time=False)
    return None
