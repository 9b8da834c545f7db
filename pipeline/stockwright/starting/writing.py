"""What both kinds of begun documents share. In: an answer's kind, a text. Out: what reads it, a file.

Promise: an answer is read exactly as the document will be read; no file is ever overwritten.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

from stockwright.documents.loaded import validate
from stockwright.documents.parents import whole_recipe
from stockwright.documents.shipped import recipes_folder
from stockwright.documents.source import Word, parse_yaml
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

__all__ = ["begin", "commented", "draft", "none_stands_at", "plain", "quoted", "reads"]

_PLAIN = re.compile(r"[0-9A-Za-z][0-9A-Za-z ./%-]*[0-9A-Za-z%]|[0-9A-Za-z]", re.ASCII)
COLUMN = 34  # where comments begin, where the line is not longer


def reads(kind: Any) -> Callable[[str], object]:
    """Return what reads a value of a kind (`fields.PositiveLength`, or its own reader) or finds fault."""
    reader = kind if hasattr(kind, "read") else kind.__metadata__[0]
    read: Callable[[str], object] = reader.read

    def answered(text: str) -> object:
        word = Word(text)
        word.quoted = True  # text goes into the document in quotes
        return read(word)

    return answered


def quoted(text: str) -> str:
    """Return text as YAML takes it for text, whatever stands in it."""
    return json.dumps(text, ensure_ascii=False)


def plain(text: str) -> str:
    """Return a measure or a word as people write it in YAML, in quotes only where it needs them."""
    return text if _PLAIN.fullmatch(text) else quoted(text)


def commented(line: str, comment: str) -> str:
    """Return a line with a comment behind it."""
    return f"{line:<{COLUMN}} # {comment}" if comment else line


def none_stands_at(path: Path, what: str) -> None:
    """Raise `InputError` where a path exists already, before anything is asked."""
    if path.exists() or path.is_symlink():
        message = f"something stands there already, expected a name for a new {what}"
        raise InputError([Mistake(str(path), 0, 0, "exists", message, "take another name")])
    if not path.parent.is_dir():
        message = f"there is no folder {path.parent}"
        raise InputError([Mistake(str(path), 0, 0, "missing-file", message, "make the folder first")])


def begin(path: Path, text: str, kind: str) -> None:
    """Write a document that reads without a mistake, in a file that does not exist yet.

    Raises `InputError` with the mistakes it would have, and then writes nothing.
    """
    tree = parse_yaml(str(path), text)
    if "extends" in tree.root:
        tree, mistakes = whole_recipe(tree, str(path), recipes_folder())
        if mistakes:
            raise InputError(mistakes)
    if validate(tree, kind) is None:
        raise InputError(tree.mistakes)
    _write(path, text, kind)


def draft(path: Path, text: str, mistakes: Iterable[Mistake]) -> None:
    """Write a document that has mistakes, and name them at its end, so that places in it stay as they are."""
    named = "".join(f"#   line {m.line}: {m.message}{f'; {m.hint}' if m.hint else ''}\n" for m in mistakes)
    _write(path, f"{text}\n# a draft; not right yet:\n{named}", "draft")


def _write(path: Path, text: str, kind: str) -> None:
    try:
        file = path.open("x", encoding="utf-8", newline="\n")
        try:
            with file:
                file.write(text)
        except OSError:
            path.unlink()  # begun and not done, as on a full disk
            raise
    except FileExistsError:
        none_stands_at(path, kind)
    except OSError as error:
        message = f"the {kind} could not be written: {error.strerror or type(error).__name__}"
        raise InputError([Mistake(str(path), 0, 0, "cannot-write", message, "")]) from None
