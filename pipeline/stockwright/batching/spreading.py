"""Shares spread over processes. In: the work, its shares. Out: each share's part as soon as it is finished.

Promise: the result depends on the share alone, not on which process did it or when. Where no process can be
started, or one dies, the work is done in this one; an interrupted run leaves no process behind.
"""

from __future__ import annotations

import contextlib
import os
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from multiprocessing.synchronize import Event

__all__ = ["MOST", "here", "spread"]

W = TypeVar("W")
S = TypeVar("S")
R = TypeVar("R")

MOST = 8  # processes that nobody asked for: each takes 100 MB; our own choice
EACH = 3  # shares a process must have, or starting it takes longer than it saves; measured, see the bench

_common: list[Any] = []  # in a worker: what all shares have in common


def here() -> int:
    """Return how many processes this computer has processors for, within reason."""
    count = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(count, MOST)


def spread(do: Callable[[W, S], R], work: W, shares: Sequence[S], processes: int) -> Iterator[tuple[int, R]]:
    """Yield (place, result) of every share as it is done, in whatever order."""
    left = dict(enumerate(shares))
    processes = min(processes, len(shares) // EACH)
    if processes > 1:
        for place, result in _in_processes(do, work, shares, processes):
            del left[place]
            yield place, result
    for place, share in left.items():
        yield place, do(work, share)


def _in_processes(
    do: Callable[[W, S], R], work: W, shares: Sequence[S], processes: int
) -> Iterator[tuple[int, R]]:
    """Yield what processes have done; fewer than all, or none, where they cannot be started or die."""
    import multiprocessing
    import pickle
    from concurrent.futures import ProcessPoolExecutor, as_completed
    from concurrent.futures.process import BrokenProcessPool

    try:
        given = pickle.dumps((do, work))
        context = multiprocessing.get_context("spawn")
        stop = context.Event()
        pool = ProcessPoolExecutor(processes, context, initializer=_begin, initargs=(given, stop))
    except (OSError, ImportError, NotImplementedError, pickle.PicklingError, TypeError, AttributeError):
        return
    try:
        waiting = {pool.submit(_one, share): place for place, share in enumerate(shares)}
        for future in as_completed(waiting):
            place = waiting.pop(future)  # and with it the result, which may be large
            yield place, future.result()
            del future
    except (BrokenProcessPool, OSError):
        return
    except BaseException:  # stopped, or a fault: what the processes are at is not waited for
        stop.set()
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _begin(given: bytes, stop: Event) -> None:
    """Begin a worker: it ends when it is told to, and where the one who started it is gone."""
    import multiprocessing
    import pickle
    import signal
    import threading

    from stockwright.memory import keep_freed

    keep_freed()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # that one is asked to stop, and tells
    parent = multiprocessing.parent_process()
    for wait in (stop.wait, *([parent.join] if parent is not None else [])):
        threading.Thread(target=_ends_after, args=(wait,), daemon=True).start()
    _common[:] = pickle.loads(given)  # noqa: S301 - written by the process that started this one


def _ends_after(wait: Callable[[], object]) -> None:
    with contextlib.suppress(OSError, EOFError):
        wait()
    os._exit(1)


def _one(share: Any) -> Any:
    do, work = _common
    return do(work, share)
