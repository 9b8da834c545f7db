"""A dialect from a shop's own folder. In: the path of a `post/1` document. Out: a `Post`.

Promise: a profile is a table and nothing else. It extends an installed word-address post, is read back by
that post's reader, and every trait it states is judged as a package's would be; all its mistakes are reported
at once.
"""

from __future__ import annotations

from dataclasses import replace
from difflib import get_close_matches
from typing import TYPE_CHECKING

from stockwright.mistakes import InputError, Mistake
from stockwright.posting.load import found, load_post
from stockwright.posting.traits import TraitError
from stockwright.posting.word_address import WordAddress

if TYPE_CHECKING:
    import os

    from stockwright.documents.loaded import Loaded
    from stockwright.documents.post import PostDocument

__all__ = ["load_profile"]


def load_profile(path: str | os.PathLike[str]) -> WordAddress:
    """Give the dialect that a profile describes. Raises InputError with every mistake found."""
    from stockwright.documents.load import read_document

    document: Loaded[PostDocument] = read_document(path, "post")
    mistakes: list[Mistake] = []
    stated, names = document.model, found()
    if stated.name in names:
        message = f"the post '{stated.name}' is installed already, expected a name of its own"
        mistakes.append(document.mistake(("name",), "repeated", message))
    parent = _parent(document, names, mistakes)
    made = None
    if parent is not None:
        try:
            traits = replace(parent.traits, **stated.traits())
            about = stated.about or f"{parent.name} with traits of this shop's own"
            made = parent.like(name=stated.name, about=about, traits=traits)
        except TraitError as error:
            for trait, message in error.wrong:
                key = trait.replace("_", "-")
                text = f"{key}: {message.replace('_', '-')}"
                mistakes.append(document.mistake((key,), "out-of-range", text))
    if mistakes or made is None:
        raise InputError(sorted(mistakes))
    return made


def _parent(
    document: Loaded[PostDocument], names: tuple[str, ...], mistakes: list[Mistake]
) -> WordAddress | None:
    name = document.model.extends
    if name not in names:
        close = get_close_matches(name, names, n=1)
        message = f"no post is called '{name}', expected one of {', '.join(names)}"
        hint = f"did you mean '{close[0]}'?" if close else ""
        mistakes.append(document.mistake(("extends",), "unknown-name", message, hint))
        return None
    try:
        parent = load_post(name)
    except InputError as error:
        mistakes += [document.mistake(("extends",), m.code, m.message, m.hint) for m in error.mistakes]
        return None
    if not isinstance(parent, WordAddress):
        message = f"'{name}' is no word-address post, expected one that traits can change"
        mistakes.append(document.mistake(("extends",), "wrong-kind", message))
        return None
    return parent
