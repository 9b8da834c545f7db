"""The pages of all names, and their lines for the terminal. In: a name. Out: pages, lines."""

from __future__ import annotations

import re
import textwrap
from difflib import get_close_matches
from typing import TYPE_CHECKING

from stockwright.documents.source import clipped
from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from stockwright.documents.fields import Part

__all__ = ["KINDS", "Page", "explained", "names_lines", "page_lines", "pages"]

KINDS: dict[str, str] = {
    "rule": "rules: what `check` looks for",
    "finding": "findings of planning, measuring, cutting again and trying",
    "reason": "reasons of the proof: why a program is refused as it stands",
    "mistake": "mistakes in documents and calls",
    "trait": "traits of a dialect, as a profile says them",
    "word": "words",
}
_LEVELS = {"refuse": "it refuses the job", "warn": "look out", "note": "a note"}


@frozen
class Page:
    """One name of one kind, and what there is to say of it, in paragraphs."""

    name: str
    kind: str
    text: str


def pages() -> tuple[Page, ...]:
    """Return every page, kind after kind, each in its own order."""
    from stockwright.checking import RULES
    from stockwright.documents.codes import CODES
    from stockwright.documents.described import TABLES
    from stockwright.explaining.calls import CALLS
    from stockwright.explaining.found import FOUND
    from stockwright.proving.what_to_do import WHAT_TO_DO
    from stockwright.words import WORDS

    tables: dict[str, Mapping[str, str]] = {
        "rule": {rule.name: f"At its worst: {_LEVELS[rule.level]}.\n\n{rule.page}" for rule in RULES},
        "finding": FOUND,
        "reason": {
            name: f"The proof found this in the program as it stands. What to do: {text}."
            for name, text in WHAT_TO_DO.items()
        },
        "mistake": dict(sorted({**CODES, **CALLS}.items())),
        "trait": {
            name: f"In a profile, `{name}` says {text}." for name, text in TABLES["PostDocument"].items()
        },
        "word": {
            name: f"{word.means[:1].upper()}{word.means[1:]}."
            + (f" Not said for it: {', '.join(word.not_said)}." if word.not_said else "")
            for name, word in WORDS.items()
        },
    }
    return tuple(Page(name, kind, text) for kind in KINDS for name, text in tables[kind].items())


def explained(name: str) -> tuple[Page, ...]:
    """Return the pages of a name. Raises `InputError` with the nearest name where it is none."""
    every = pages()
    found = (*(page for page in every if page.name == name), *_of_documents(name), *_of_hold_downs(name))
    if not found:
        names = list(dict.fromkeys([*(page.name for page in every), *_keys(), *_hold_downs()]))
        wanted = "-".join(name.lower().replace("_", " ").split())  # as people say it: "Cutter too short"
        close = [wanted] if wanted in names else get_close_matches(wanted, names, n=1)
        hint = f"did you mean '{close[0]}'?" if close else "`stockwright explain` lists what there is"
        short = clipped(name)
        message = f"got '{short}', which is no name that a message carries"
        raise InputError([Mistake(f"explain {short}", 0, 0, "unknown-word", message, hint)])
    return found


def _keys() -> dict[str, dict[str, list[str]]]:
    """Return each key of the documents: what it means, and the parts that it means this in."""
    from stockwright.documents.described import TABLES

    found: dict[str, dict[str, list[str]]] = {}
    for part, table in TABLES.items():
        if part != "PostDocument":  # a dialect's traits have their own pages
            for key, means in table.items():
                found.setdefault(key, {}).setdefault(means, []).append(_spoken(part))
    return found


def _of_documents(name: str) -> tuple[Page, ...]:
    """Return the page of a key of documents; none where it is no key."""
    means = _keys().get(name, {})
    told = [f"Of {', '.join(parts)}: {text}." for text, parts in means.items()]
    return (Page(name, "key", "\n\n".join(told)),) if told else ()


def _hold_downs() -> dict[str, type[Part]]:
    """Return each kind of hold-down that a shop's document may name, and the part that describes it."""
    from typing import get_args

    from stockwright.documents import hold_downs

    parts = (each for each in vars(hold_downs).values() if isinstance(each, type))
    fields = ((part, getattr(part, "model_fields", {}).get("kind")) for part in parts)
    return {word: part for part, field in fields if field for word in get_args(field.annotation)}


def _of_hold_downs(name: str) -> tuple[Page, ...]:
    """Return the page of a kind of hold-down: what it does, and its keys; none where it is no kind."""
    part = _hold_downs().get(name)
    if part is None:
        return ()
    keys = {True: [], False: []}  # type: dict[bool, list[str]]
    for key, field in part.model_fields.items():
        keys[field.is_required()].append(field.alias or key)
    told = [part.__doc__ or "", f"Keys that must be there: {', '.join(keys[True])}."]
    told += [f"Others: {', '.join(keys[False])}."] if keys[False] else []
    return (Page(name, "kind of hold-down in a shop's document", "\n\n".join(told)),)


# Parts whose name is no thing that one has one of: what people call them.
PEOPLE_SAY = {
    "AttachedPart": "what rides with the spindle",
    "BoardsOfPart": "a part in a job's boards",
    "Corners": "a board's corners",
    "DiagonalsRead": "diagonals that were read",
    "Ends": "a board's ends",
    "ErrorsPart": "a machine's errors",
    "Finished": "the finished piece",
    "GapsRead": "gaps that were read",
    "HolesPart": "holes in the bed",
    "Nominal": "nominal sizes",
    "PlacesPart": "places to bolt to",
    "Probed": "a probed board",
    "Round": "a line all round",
    "Rows": "rows of heights",
    "SlidePart": "sliding a board",
    "SlotsPart": "slots in the bed",
    "StepsRead": "steps that were read",
    "StraightRead": "straightness that was read",
    "Thick": "an end's thickness",
    "ThicknessRead": "thicknesses that were read",
    "ThicknessRows": "rows of thicknesses",
    "ToFence": "a turn to the fence",
    "ToleranceAsked": "a tolerance",
    "WidthsRead": "widths that were read",
    "ZeroPart": "touching off z",
}


def _spoken(part: str) -> str:
    """Return the name of a part as people say it."""
    if part in PEOPLE_SAY:
        return PEOPLE_SAY[part]
    words = " ".join(re.findall("[A-Z][a-z]*", re.sub("(?:Part|Piece)$", "", part))).lower()
    return f"an {words}" if words[:1] in "aeiou" else f"a {words}"


def page_lines(found: tuple[Page, ...]) -> Iterator[str]:
    """Yield the pages of one name, each paragraph as one line to be folded."""
    for number, page in enumerate(found):
        if number:
            yield ""
        yield f"{page.name} ({page.kind})"
        for paragraph in re.split(r"\n\s*\n", page.text):
            yield ""
            yield from (f"  {line}" for line in textwrap.wrap(" ".join(paragraph.split()), 76))


def names_lines() -> Iterator[str]:
    """Yield all names by kind, as many on a line as fit."""
    every = pages()
    for kind, title in KINDS.items():
        yield title
        names = ", ".join(page.name for page in every if page.kind == kind)
        yield from textwrap.wrap(
            names,
            78,
            initial_indent="  ",
            subsequent_indent="  ",
            break_on_hyphens=False,
            break_long_words=False,
        )
        yield ""
    yield "`stockwright explain NAME` says more of one"
