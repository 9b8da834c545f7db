"""What is wrong with a document or a call: where, what, and what would be right.

In: nothing. Out: `Mistake`, one value for each mistake, and `InputError`, which carries all of them at once;
`MisreadError` for text whose place is not known yet.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["InputError", "MisreadError", "Mistake"]


@dataclass(frozen=True, order=True)
class Mistake:
    """One mistake of the input.

    `file` is the path as the user gave it; `line` and `column` count from 1, and are 0 where the mistake
    has no place (a missing file). `code` is a word that never changes meaning. `message` says what is
    wrong and what was expected, `hint` what to do (the nearest right spelling, where there is one).
    """

    file: str
    line: int
    column: int
    code: str
    message: str
    hint: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        text = f"{place}: {self.code}: {self.message}"
        return f"{text}; {self.hint}" if self.hint else text


class MisreadError(ValueError):
    """Text that does not say what it should: a `Mistake` before anyone knows where it stands."""

    def __init__(self, code: str, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.hint = hint


class InputError(Exception):
    """The input or the call is wrong: every mistake found, in file order. Exit code 2."""

    def __init__(self, mistakes: list[Mistake]) -> None:
        files = list(dict.fromkeys(m.file for m in mistakes))  # as they were read: the job's own first
        in_order = sorted(mistakes, key=lambda m: (files.index(m.file), m.line, m.column))
        self.mistakes: tuple[Mistake, ...] = tuple(dict.fromkeys(in_order))
        super().__init__("\n".join(str(m) for m in self.mistakes))
