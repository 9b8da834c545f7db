"""What is being done, shown on a terminal.

In: a stream, the stages' words. Out: one line, rewritten again and again. Promise: nothing is shown without a
terminal, to a program that reads the output, or for work of less than a second; at the end the line is gone.
A stage names its work with `doing`; the command decides who is shown it.
"""

from __future__ import annotations

import contextlib
import shutil
import threading
import time
from contextvars import ContextVar
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from typing import TextIO

__all__ = ["Line", "doing", "watched"]

AFTER = 1.0  # s: what is done sooner needs no line
OFTEN = 0.5  # s between two looks

_listens: ContextVar[Callable[[str, bool], None] | None] = ContextVar("listens", default=None)


def doing(what: str, *, of_all: bool = False) -> None:
    """Say what begins now, or how far it is; nothing happens where nobody listens."""
    listens = _listens.get()
    if listens is not None:
        listens(what, of_all)


class Line:
    """One line on a stream that is a terminal, written over and over."""

    def __init__(self, stream: TextIO, *, silent: bool = False) -> None:
        self.stream = stream
        self.silent = silent or not stream.isatty()
        self.wide = 0

    def write(self, line: str) -> None:
        """Write over what stands there."""
        if self.silent:
            return
        from stockwright.calls.terminal import plain

        line = plain(line)[: shutil.get_terminal_size().columns - 1]
        self.stream.write(f"\r{line:<{self.wide}}\r{line}")
        self.stream.flush()
        self.wide = len(line)

    def gone(self) -> None:
        """Take the line away, if there is one."""
        if self.wide:
            self.write("")


@contextlib.contextmanager
def watched(stream: TextIO, *, silent: bool = False, after: float = AFTER) -> Iterator[None]:
    """Show what `doing` says inside this block, and for how long, once it has taken `after` seconds."""
    line = Line(stream, silent=silent)
    if line.silent:
        yield
        return
    said: dict[bool, str] = {}
    begun: list[float] = []  # nothing shows before a stage begins: a person may still be answering
    over = threading.Event()

    def listen(what: str, of_all: bool) -> None:
        said[of_all] = what
        begun.append(time.monotonic())

    def show() -> None:
        while not over.wait(min(after, OFTEN)):
            if begun and (for_long := time.monotonic() - begun[0]) >= after:
                line.write(f"{'; '.join(said[key] for key in sorted(said, reverse=True))} ({for_long:.0f} s)")

    thread = threading.Thread(target=show, daemon=True)
    thread.start()
    token = _listens.set(listen)
    try:
        yield
    finally:
        _listens.reset(token)
        over.set()
        thread.join()
        line.gone()
