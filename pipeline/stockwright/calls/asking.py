"""Questions one after another. In: lines, typed at a terminal or piped. Out: valid answers.

Promise: the same lines give the same answers. At a terminal a wrong answer is asked for again; from a pipe,
every wrong answer and every missing one is a mistake with its number, all of them at once. An empty answer
takes the value in brackets; where there is none, the question may stay open or must be answered. At a
terminal `?` explains a question, and `back` returns to the one before.
"""

from __future__ import annotations

import itertools
import sys
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TextIO, TypeVar

from pydantic_core import PydanticCustomError

from stockwright.documents.fields import fault, nearest
from stockwright.documents.kinds import shown
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

__all__ = ["Answers", "answers", "one_of"]

Made = TypeVar("Made")
MORE, BACK = "?", "back"
MOST_LEFT = 1000  # lines looked through behind the last answer: a pipe may never end; our own choice


class _Back(Exception):  # noqa: N818 - no error: the person goes back
    """Somebody goes back to the question before."""


@dataclass
class Answers:
    """Where answers come from. `person`: somebody is there, who is shown the questions and asked again."""

    lines: TextIO
    person: bool = False
    shown: TextIO | None = None
    number: int = 0
    mistakes: list[Mistake] = field(default_factory=list)
    given: list[str] = field(default_factory=list)  # what was answered so far, as it was typed
    again: list[str] = field(default_factory=list)  # what answers itself, somebody having gone back

    def through(self, ask: Callable[[], Made]) -> Made:
        """Ask all that `ask` asks; where somebody goes back, all before the last answer answers itself."""
        while True:
            try:
                return ask()
            except _Back:
                self.again, self.given, self.number = self.given[:-1], [], 0

    def ask(
        self,
        question: str,
        read: Callable[[str], object],
        default: str | None = None,
        *,
        needed: bool = False,
        more: str = "",
        empty: str = "not known",
    ) -> str | None:
        """Return an answer as it was written, which `read` takes without a fault; None where it stays open.

        A question that is `needed` and has no `default` is a mistake where it stays open. `more` is what `?`
        says of it, `empty` what an empty answer means where it may stay open.
        """
        self.number += 1
        open_too = "" if needed or default is not None else f" (empty: {empty})"
        asked = f"{question}{f' [{default}]' if default is not None else open_too}: "
        if self.again:
            typed = self.again.pop(0)
            self.given.append(typed)
            return typed or default
        said = asked
        while True:
            self._show(said)
            line = self.lines.readline()
            typed = line.strip()
            if self.person and typed == MORE:
                said = f"{more or question}. `{BACK}` goes back to the question before.\n{asked}"
                continue
            if self.person and typed == BACK:
                if self.given:
                    raise _Back
                said = f"this is the first question\n{asked}"
                continue
            text = typed or default
            if text is None:
                if not needed:
                    self.given.append(typed)
                    return None
                if self.person and line:
                    said = f"this has to be known\n{asked}"
                    continue
                self._wrong("missing-answer", f"nothing was answered: {question}", "")
                return None
            try:
                read(text)
            except PydanticCustomError as error:
                context = error.context or {}
                message, hint = str(context["message"]), str(context["hint"])
                if self.person and line:
                    said = f"{message}{f'; {hint}' if hint else ''}\n{asked}"
                    continue
                self._wrong(error.type, f"{message}: {question}", hint)
                return None
            self.given.append(typed)
            return text

    def choose(self, question: str, words: Sequence[str], default: str, more: str = "") -> str:
        """Return one of a few words."""
        asked = f"{question} ({', '.join(words)})"
        return self.ask(asked, one_of(words), default, more=more) or default

    def yes(self, question: str, *, default: bool) -> bool:
        """Return whether the answer is yes."""
        return self.choose(question, ("yes", "no"), "yes" if default else "no") == "yes"

    def title(self, text: str) -> None:
        """Show a heading; of what answers itself, none."""
        if not self.again:
            self._show(f"\n{text}\n")

    def finish(self) -> None:
        """Raise `InputError` with every answer that was wrong, and with those that answer nothing."""
        piped = not (self.lines.isatty() or self.person)
        left = enumerate(itertools.islice(self.lines, MOST_LEFT), 1) if piped else ()
        found = next(((at, line.strip()) for at, line in left if line.strip()), None)
        if found is not None:
            message = f"{shown(found[1])} is left over, expected no answer after the last question"
            hint = "an answer too many came before it"
            at = f"answer {self.number + found[0]}"
            self.mistakes.append(Mistake(at, 0, 0, "wrong-count", message, hint))
        if self.mistakes:
            raise InputError(self.mistakes)

    def _show(self, text: str) -> None:
        if self.shown is not None:
            self.shown.write(text)
            self.shown.flush()

    def _wrong(self, code: str, message: str, hint: str) -> None:
        self.mistakes.append(Mistake(f"answer {self.number}", 0, 0, code, message, hint))


def answers() -> Answers:
    """Return answers from standard input; the questions go to standard error where a person is there."""
    person = sys.stdin.isatty() and sys.stderr.isatty()
    return Answers(sys.stdin, person, sys.stderr if person else None)


def one_of(words: Sequence[str]) -> Callable[[str], str]:
    """Return what reads one of a few words."""

    def read(text: str) -> str:
        if text in words:
            return text
        message = f"got {shown(text)}, expected one of {', '.join(words)}"
        raise fault("unknown-word", message, nearest(text, words))

    return read
