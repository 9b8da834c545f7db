"""How an answer is judged at once. In: a document's part, a key, what its other keys say. Out: what reads it.

Promise: an answer is accepted or refused by the same model that will read the document, so that nothing is
refused at the end that could have been refused at its question.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from stockwright.documents.fields import Context, InputName, Part, PositiveLength, fault, nearest
from stockwright.documents.source import Word
from stockwright.starting.writing import plain, reads
from stockwright.units import LENGTH, MeasureError, parse, parse_range

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping

__all__ = ["above_the_bed", "fresh_name", "fresh_size", "installed_post", "judged", "listed", "words_of"]


def judged(part: type[Part], key: str, said: Mapping[str, str] | None = None) -> Callable[[str], object]:
    """Return what reads an answer as a key of `part`, beside `said`, the other answers so far."""
    return _by_model(part, key, said or {}, _word)


def listed(part: type[Part], key: str, words: Callable[[str], list[str]]) -> Callable[[str], object]:
    """Return what reads an answer as a list of values, `words` its parts, of a key of `part`."""
    return _by_model(part, key, {}, lambda text: [_word(each) for each in words(text)])


def _by_model(
    part: type[Part], key: str, said: Mapping[str, str], written: Callable[[str], object]
) -> Callable[[str], object]:
    others = {each: _word(text) for each, text in said.items()}

    def read(text: str) -> object:
        try:
            part.model_validate({**others, key: written(text)}, context=Context())
        except ValidationError as error:
            for found in error.errors(include_url=False):
                if found["loc"][:1] == (key,):  # what is still missing is asked for next
                    context = found.get("ctx", {})
                    message = str(context.get("message", found["msg"]))
                    raise fault(found["type"], message, str(context.get("hint", ""))) from None
        return text

    return read


def _word(text: str) -> Word:
    word = Word(text)
    word.quoted = plain(text) != text  # as it will stand in the document
    return word


def words_of(text: str) -> list[str]:
    """Return the parts of a list, between which commas, spaces or both stand."""
    return [word for word in re.split(r"[,\s]+", text) if word]


def above_the_bed(read: Callable[[str], object]) -> Callable[[str], object]:
    """Return what reads heights of the spindle nose, and knows a controller's figures when it sees them."""

    def judge(text: str) -> object:
        found = read(text)
        try:
            _, high = parse_range(text, LENGTH)
        except MeasureError:
            return found
        if high <= 0:
            raise fault(
                "out-of-range",
                f"got {text}, which looks like a controller's figures, counted down from the top; expected "
                "heights of the spindle nose above the bed, such as 40 mm to 160 mm",
                "measure how high the nose stands above the bed, all the way down and all the way up",
            )
        return found

    return judge


def installed_post(read: Callable[[str], object]) -> Callable[[str], object]:
    """Return what reads a post's name that is installed, or that of a profile's file, there or not yet."""

    def judge(text: str) -> object:
        value = read(text)
        if text.endswith((".yaml", ".yml")):
            return value
        from stockwright.posting.load import found

        names = found()
        if text not in names:
            message = f"no post is called '{text}', expected one of {', '.join(names)}, or a profile's file"
            raise fault("unknown-post", message, nearest(text, names))
        return value

    return judge


def fresh_name(taken: Collection[str]) -> Callable[[str], object]:
    """Return what reads a name that is not among `taken`."""
    read = reads(InputName)

    def judge(text: str) -> object:
        if text in taken:
            raise fault("repeated", f"'{text}' is called so already, expected another name")
        return read(text)

    return judge


def fresh_size(taken: Collection[str]) -> Callable[[str], object]:
    """Return what reads a length that is not among `taken`, however it was written."""
    read = reads(PositiveLength)

    def judge(text: str) -> Any:
        found = read(text)
        if found in {parse(each, LENGTH) for each in taken}:
            raise fault("repeated", f"{text} was said already, expected another size")
        return found

    return judge
