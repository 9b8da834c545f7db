"""How a command answers.

In: what a stage returned or raised. Out: text or one JSON document, and an exit code. Promise: every command
reports what is wrong in the same form, also a wrong call: mistakes with exit code 2, findings with exit code
1; with `--json` standard output holds one document and standard error nothing.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from typing import TYPE_CHECKING

import typer

from stockwright.findings import Refused
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from stockwright.units import System

__all__ = [
    "CallError",
    "answering",
    "asking",
    "called_wrongly",
    "cannot_answer",
    "closed_ones_opened",
    "give",
    "nobody_reads",
    "not_one_of",
    "noted",
    "tell",
    "units_said",
    "values_said",
]

NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO}  # as writing into a stream says
BROKEN_PIPE, INTERRUPTED = 128 + 13, 128 + 2  # as shells count a signal

# The base of every error of a call, told by a public heir: where typer keeps the base itself has changed.
CallError: type[Exception] = typer.BadParameter.__mro__[2]


def not_one_of(place: str, got: str, names: Sequence[str]) -> InputError:
    """Return the one mistake for a word that is not among `names`, with the nearest of them."""
    from difflib import get_close_matches

    from stockwright.documents.source import clipped

    close = get_close_matches(got, names, n=1)
    hint = f"did you mean '{close[0]}'?" if close else ""
    message = f"got '{clipped(got)}', expected one of {', '.join(names)}"
    return InputError([Mistake(place, 0, 0, "unknown-word", message, hint)])


def units_said(units: str | None, mistakes: list[Mistake]) -> System | None:
    """Return the units of a call's `--units`, None where it says none; a wrong word joins the `mistakes`."""
    if units not in {None, "mm", "inch"}:
        mistakes += not_one_of(f"--units {units}", str(units), ("mm", "inch")).mistakes
    return "mm" if units == "mm" else "inch" if units == "inch" else None


def values_said(texts: Sequence[str]) -> tuple[dict[str, str], list[Mistake]]:
    """Return the values that `--set` gives to inputs, by name, and the mistakes in how they are written."""
    given: dict[str, str] = {}
    mistakes = []
    for text in texts:
        name, equals, value = (part.strip() for part in text.partition("="))
        if not equals or not name:
            message = "expected INPUT=VALUE, such as thickness=24mm"
            mistakes.append(Mistake(f"--set {text}", 0, 0, "wrong-type", message))
        elif name in given:
            message = f"'{name}' is set twice, expected once"
            mistakes.append(Mistake(f"--set {text}", 0, 0, "duplicate-key", message))
        else:
            given[name] = value
    return given, mistakes


def give(value: object) -> None:
    """Write one JSON document."""
    from stockwright.calls.terminal import as_json

    sys.stdout.write(as_json(value) + "\n")


def tell(lines: Iterable[str], *, instead_of_it: bool = False) -> None:
    """Write lines for people: the answer, or on standard error what is reported in its place."""
    from stockwright.calls.terminal import coloured, folded

    stream = sys.stderr if instead_of_it else sys.stdout
    stream.write("".join(f"{line}\n" for line in coloured(folded(lines), stream)))


def noted(text: str, as_json: bool) -> None:
    """Report beside the answer what was put right first, if anything; with JSON the answer stands alone."""
    if text and not as_json:
        tell([f"note: {text}"], instead_of_it=True)


def asking(as_json: bool) -> Callable[[str], str | None] | None:
    """Return a way to ask the person at the terminal; None where nobody is there or a program reads."""
    if as_json or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return None

    def ask(question: str) -> str | None:
        sys.stderr.write(question)  # standard output is for what was asked for
        sys.stderr.flush()
        line = sys.stdin.readline()
        return line.strip() if line else None

    return ask


@contextlib.contextmanager
def answering(as_json: bool) -> Iterator[None]:
    """Turn what a stage raises into text or JSON, and an exit code."""
    from stockwright import progress
    from stockwright.calls import terminal
    from stockwright.memory import keep_freed

    keep_freed()
    try:
        with progress.watched(sys.stderr, silent=as_json):
            yield
    except InputError as error:
        _mistaken(error.mistakes, as_json)
        raise typer.Exit(2) from None
    except Refused as refused:
        if as_json:
            give(terminal.findings_json(refused.findings))
        else:
            writing = None
            if refused.job is not None:
                from stockwright.calls.told_job import writing_of_job

                writing = writing_of_job(refused.job)
            elif refused.shop is not None:
                from stockwright.calls.told_job import writing_of_shop

                writing = writing_of_shop(refused.shop)
            tell(terminal.refused_lines(refused.findings, writing), instead_of_it=True)
        raise typer.Exit(1) from None
    except BrokenPipeError:
        raise typer.Exit(nobody_reads()) from None
    except KeyboardInterrupt:
        sys.stderr.write("stopped\n")
        raise typer.Exit(INTERRUPTED) from None


def nobody_reads() -> int:
    """Discard what is still to be written, as after `| head`, and return the exit code for it."""
    # Python would complain at its end about what it cannot write.
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return BROKEN_PIPE


def cannot_answer(error: OSError) -> int:
    """Say that the answer could not be written, as on a full disk; what a packet's call made stands.

    Raises the error again where it is of a file, or no stream's.
    """
    if error.filename is not None or error.errno not in NO_ROOM:
        raise error
    nobody_reads()
    with contextlib.suppress(OSError):
        message = f"the answer could not be written: {error.strerror or type(error).__name__}"
        sys.stderr.write(f"stockwright: cannot-write: {message}\n")
        sys.stderr.flush()
    return 2


def closed_ones_opened() -> None:
    """Open the streams that the caller had closed, to nothing: no file may get a stream's number."""
    reading, writing = ("r", os.O_RDONLY), ("w", os.O_WRONLY)
    for name, (mode, flags) in (("stdin", reading), ("stdout", writing), ("stderr", writing)):
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(os.open(os.devnull, flags), mode))


def _mistaken(mistakes: Sequence[Mistake], as_json: bool) -> None:
    from stockwright.calls import terminal

    if as_json:
        give(terminal.mistakes_json(mistakes))
    else:
        sys.stderr.write("".join(f"{line}\n" for line in terminal.mistake_lines(mistakes)))


def called_wrongly(error: Exception, as_json: bool) -> int:
    """Report what is wrong with the call itself: a missing option, an unknown command."""
    context = getattr(error, "ctx", None)
    path = context.command_path if context else "stockwright"
    if type(error).__name__ == "NoArgsIsHelpError":  # nothing was asked: the help is the answer
        sys.stderr.write(f"{error}\n")
        return 2
    said = error.format_message() if hasattr(error, "format_message") else str(error)
    said, _, meant = said.partition(" Did you mean ")
    message = said[:1].lower() + said[1:].rstrip(".")
    hint = f"did you mean {meant}" if meant else f"`{path} --help` shows how it is called"
    _mistaken([Mistake(path, 0, 0, "usage", message, hint)], as_json)
    return 2
