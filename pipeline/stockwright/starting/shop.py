"""`shop new`: a shop in a few answers. In: answers. Out: its document, with comments.

Promise: the document states only what was answered. What was not answered is left out, with a comment on what
that means, or asked for again where a document must have it; a marked speed, a force and a margin are never
invented. Answers are never lost: a document that is not valid as a whole is kept as a draft.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, get_args

from stockwright.calls.asking import one_of
from stockwright.documents import hold_downs, shop
from stockwright.documents.described import phrase
from stockwright.documents.fields import (
    Count,
    Name,
    Part,
    YesOrNo,
    fault,
)
from stockwright.mistakes import InputError
from stockwright.starting.judging import (
    above_the_bed,
    fresh_name,
    fresh_size,
    installed_post,
    judged,
    listed,
    words_of,
)
from stockwright.starting.writing import begin, commented, draft, none_stands_at, plain, quoted, reads

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from stockwright.calls.asking import Answers

__all__ = ["DraftKept", "new_shop"]

KINDS: dict[str, type[Part]] = {
    "side-clamp": hold_downs.SideClampPart,
    "stop": hold_downs.StopPart,
    "top-clamp": hold_downs.TopClampPart,
    "backing": hold_downs.BackingPiece,
    "wedge": hold_downs.WedgePart,
    "lever-stop": hold_downs.LeverStopPart,
    "tape": hold_downs.TapePart,
    "vacuum": hold_downs.VacuumPart,
    "screw": hold_downs.ScrewPart,
    "riser": hold_downs.RiserPart,
}
MOST = 50  # of any one kind of thing that a person would type in
# Said before anything is asked: who has none of these learns it after many answers otherwise.
NEEDED = (
    "most of the shipped recipes hold a board from its sides while a face is cut, with side clamps at the\n"
    "edges and stops at the ends, and with clamps on top while edges and ends are cut; some with screws in\n"
    "the waste, or with tape or vacuum underneath. Have their sizes at hand, and those of the cutters."
)
# What a key that stays open means: said beside it.
OPEN = {
    "marked-max": "not known: read it off the cutter or its maker's sheet; no job runs it before",
    "skimmed": "not known: skim the spoilboard first, every second face is cut parallel to it",
    "post": "not known: see `posts list`, or try the control with `posts trial`",
}


# How to find out what a document must have and few people know: said by `?`. Common practice, no source.
FOUND_OUT = {
    (shop.MachinePart, "acceleration"): "the control's settings have it for each axis; take the least",
    (shop.MachinePart, "rapids"): "where you do not know, independent",
    (shop.SpindlePart, "nose-diameter"): "callipers round the spindle where it is widest, next to the nut",
    (shop.FencePart, "straightness"): "a straightedge along it: the thickest feeler that goes under",
    (shop.FencePart, "angle"): "let the spindle carry a gauge or a pointed rod along it; 0.1 mm of drift in "
    "600 mm is 0.01 deg",
}


class DraftKept(Exception):  # noqa: N818 - what was answered is kept
    """The answers are saved in a file that is not valid as a whole; `lines` say where and why."""

    def __init__(self, lines: list[str]) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


@dataclass
class _Asking:
    """Asks key by key and gathers the document's lines; `said`, by part, what its keys say so far."""

    a: Answers
    lines: list[str] = field(default_factory=list)
    said: dict[type[Part], dict[str, str]] = field(default_factory=dict)

    def value(self, part: type[Part], key: str, *, usual: str | None = None) -> str | None:
        """Return an answer for a key, as written; None where it may stay open and does."""
        found = _field(part, key)
        kind = _kind(found)
        question = phrase(part, key) or key
        more = _more(part, key)
        if isinstance(kind, tuple):
            if not found.is_required() and usual is None:
                return self.a.ask(f"{question} ({', '.join(kind)})", one_of(kind), more=more)
            if usual is None:
                return self.a.ask(f"{question} ({', '.join(kind)})", one_of(kind), needed=True, more=more)
            return self.a.choose(question, kind, usual, more)
        shown = f"{question}; {kind.schema()['description']}"
        said = self.said.setdefault(part, {})
        read = judged(part, key, said)
        if key == "post":
            read = installed_post(read)
        answer = self.a.ask(shown, read, usual, needed=found.is_required(), more=more)
        if answer is not None:
            said[key] = answer
        return answer

    def key(self, part: type[Part], key: str, indent: str, *, usual: str | None = None) -> str | None:
        """Ask for a key and write its line; a key that stays open is a comment with what that means."""
        answer = self.value(part, key, usual=usual)
        if answer is not None:
            self.lines.append(commented(f"{indent}{key}: {plain(answer)}", phrase(part, key) or ""))
        else:
            means = OPEN.get(key, "not known: a cautious value is taken, and told")
            self.lines.append(f"{indent}# {key}: {means}")
        return answer

    def keys(self, part: type[Part], keys: Sequence[str], indent: str) -> None:
        """Ask for several keys of one part."""
        for key in keys:
            self.key(part, key, indent)

    def pair(self, part: type[Part], key: str, indent: str) -> None:
        """Ask for a key that is a table of two or three values, each by itself."""
        table: type[Part] = _field(part, key).annotation
        said: dict[str, str] = {}
        for each in table.model_fields.values():
            word = str(each.alias)
            read = judged(table, word, said)
            if (table, word) == (shop.Travel, "z"):
                read = above_the_bed(read)
            question = f"{phrase(part, key)}: {word}, {phrase(table, word)}"
            said[word] = self.a.ask(question, read, needed=True, more=_more(table, word)) or ""
        listed_ = ", ".join(f"{word}: {plain(answer)}" for word, answer in said.items())
        self.lines.append(commented(f"{indent}{key}: {{{listed_}}}", phrase(part, key) or ""))

    def count(self, question: str, least: int) -> int:
        """Ask how many of something there are."""
        answer = self.a.ask(question, _at_most_fifty(least), str(least))
        return int(answer) if answer is not None else least


def new_shop(out: Path, answers: Answers) -> list[str]:
    """Ask, write the document, and return what to do with it. Raises `InputError` with every mistake."""
    none_stands_at(out, "shop")
    text = "\n".join(answers.through(lambda: _asked(out, answers))) + "\n"
    try:
        begin(out, text, "shop")
    except InputError as error:
        draft(out, text, error.mistakes)
        raise DraftKept(
            [
                *(str(mistake) for mistake in error.mistakes),
                f"what was answered is kept in {out}, what is wrong named at its end; put it right, then",
                f"stockwright shop check {out}",
            ]
        ) from None
    return [
        f"a shop's document is begun in {out}",
        f"what it leaves open, and what that costs: stockwright shop check {out}",
        f"what it can make: stockwright recipes fit RECIPE --shop {out}",
    ]


def _asked(out: Path, answers: Answers) -> list[str]:
    """Ask, and return the document's lines."""
    answers.title("`?` says more of a question, `back` goes back to the one before.")
    answers.title(NEEDED)
    ask = _Asking(answers)
    _shop(ask, out)
    _machine(ask)
    _spindle(ask)
    _bed(ask)
    _fence(ask)
    _hold_downs(ask)
    _shims(ask)
    _tools(ask)
    answers.finish()
    return ask.lines


def _shop(ask: _Asking, out: Path) -> None:
    name = ask.a.ask("what the shop is called", reads(Name), out.stem.replace("_", "-"), needed=True)
    ask.lines += ["stockwright: shop/1", f"name: {quoted(name or out.stem)}"]
    ask.key(shop.ShopDocument, "post", "")
    ask.key(shop.ShopDocument, "units", "", usual="mm")


def _machine(ask: _Asking) -> None:
    ask.a.title("the machine, seen from where the operator stands; lengths with their unit")
    ask.lines += ["", "machine:                           # x to the right, y away from the operator, z up"]
    part = shop.MachinePart
    ask.pair(part, "travel", "  ")
    ask.key(part, "rapid", "  ")
    ask.key(part, "rapids", "  ", usual="independent")
    ask.keys(part, ("acceleration", "max-feed", "spoilboard", "margin"), "  ")
    ask.pair(part, "park", "  ")


def _spindle(ask: _Asking) -> None:
    ask.a.title("the spindle")
    ask.lines += ["", "spindle:"]
    ask.keys(shop.SpindlePart, ("speed", "power", "nose-diameter", "nose-length"), "  ")
    number = ask.count("how many sizes of collets are there", 1)
    ask.lines.append("  collets:")
    sizes: list[str] = []
    for index in range(number):
        size = ask.a.ask(f"collet {index + 1}: the shank it holds", fresh_size(sizes), needed=True)
        sizes += [] if size is None else [size]
        said = [
            f"{key}: {plain(ask.value(shop.ColletPart, key) or '')}"
            for key in ("grip", "nut-diameter", "nut-length")
        ]
        ask.lines.append(f"    {plain(size or '')}: {{{', '.join(said)}}}")


def _bed(ask: _Asking) -> None:
    ask.a.title("the bed")
    ask.lines += ["", "bed:"]
    ask.pair(shop.BedPart, "mark", "  ")
    ask.key(shop.BedPart, "skimmed", "  ")
    ask.pair(shop.BedPart, "area", "  ")


def _fence(ask: _Asking) -> None:
    ask.a.title("the fence")
    if not ask.a.yes("is there a fence along x on the near side", default=False):
        ask.lines += ["", "# fence: none was said; recipes that turn an edge to one are refused"]
        return
    ask.lines += ["", "fence:"]
    part = shop.FencePart
    ask.keys(part, ("face", "depth", "height"), "  ")
    number = ask.count(
        "of how many pieces is it; a piece in a cut's way is lifted whole, so several short ones are better "
        "than one long one",
        1,
    )
    read = listed(part, "pieces", lambda text: [text])
    pieces = [ask.a.ask(f"piece {i + 1}: from which x to which x", read, needed=True) for i in range(number)]
    told = ", ".join(plain(each or "") for each in pieces)
    ask.lines.append(commented(f"  pieces: [{told}]", phrase(part, "pieces") or ""))
    ask.keys(part, ("liftable", "wooden", "straightness", "angle", "carries"), "  ")


def _hold_downs(ask: _Asking) -> None:
    ask.a.title("what holds a board; an empty answer ends the list")
    lines: list[str] = []
    names: list[str] = []
    while len(lines) < MOST:
        asked = f"another hold-down of which kind ({', '.join(KINDS)})"
        kind = ask.a.ask(asked, one_of(tuple(KINDS)), empty="no more")
        if kind is None:
            break
        usual = next(
            each for each in (kind, *(f"{kind}-{n}" for n in range(2, MOST + 2))) if each not in names
        )
        name = ask.a.ask("what it is called here", fresh_name(names), usual) or usual
        names.append(name)
        part = KINDS[kind]
        ask.said.pop(part, None)
        said = [f"kind: {kind}"]
        opened = []
        for each in part.model_fields.values():
            key = str(each.alias)
            if key in {"kind", "bolt"}:
                continue
            answer = _areas(ask) if key == "areas" else ask.value(part, key)
            if answer is not None:
                said.append(f"{key}: {answer if key == 'areas' else plain(answer)}")
            elif each.is_required() is False:
                opened.append(key)
        lines.append(f"  {name}: {{{', '.join(said)}}}")
        if opened:
            lines.append(f"    # not known: {', '.join(opened)}; a cautious value is taken, and told")
    none = "# hold-downs: none were said; nothing holds a board"
    ask.lines += ["", "hold-downs:", *lines] if lines else ["", none]


def _areas(ask: _Asking) -> str:
    """Ask for the areas of a vacuum, each from where to where, and return them as a document lists them."""
    number = ask.count(f"{phrase(hold_downs.VacuumPart, 'areas')}: how many are they", 1)
    part = hold_downs.VacuumAreaPart
    areas = []
    for index in range(number):
        said = []
        for way in ("x", "y"):
            question = f"area {index + 1}: {way}, {phrase(part, way)}"
            answer = ask.a.ask(question, judged(part, way), needed=True, more=_more(part, way))
            said.append(f"{way}: {plain(answer or '')}")
        areas.append(f"{{{', '.join(said)}}}")
    return f"[{', '.join(areas)}]"


def _shims(ask: _Asking) -> None:
    question = "the thicknesses of shims that are there, such as 0.2 mm, 0.5 mm, 1 mm"
    said = ask.a.ask(question, listed(shop.ShopDocument, "shims", _measures))
    if said is None:
        ask.lines.append(
            "# shims: none were said; places that hang are filled with whatever is measured there"
        )
    else:
        ask.lines.append(f"shims: [{', '.join(plain(each) for each in _measures(said))}]")


def _tools(ask: _Asking) -> None:
    ask.a.title("the cutters")
    number = ask.count("how many cutters are described", 1)
    part = shop.ToolPart
    ask.lines += ["", "tools:"]
    names: list[str] = []
    for index in range(number):
        usual = f"cutter{index + 1}"
        name = ask.a.ask(f"cutter {index + 1}: what it is called", fresh_name(names), usual) or usual
        names.append(name)
        ask.said.pop(part, None)
        ask.lines += [f"  {name}:", f"    number: {index + 1}"]
        kind = ask.key(part, "kind", "    ")
        usual = "face bed" if kind == "facing-cutter" else "edge end"
        asked = "what it may be asked to cut, of face, edge, end and bed"
        does = ask.a.ask(asked, listed(part, "does", words_of), usual) or usual
        ask.lines.append(f"    does: [{', '.join(words_of(does))}]")
        ask.keys(
            part,
            (
                *("diameter", "cutting-length", "shank", "overall-length", "flutes", "marked-max"),
                *("centre-cutting", "speed", "feed", "plunge-feed", "stepover", "stepdown"),
            ),
            "    ",
        )


# How an answer is read


def _kind(found: Any) -> Any:
    """Return the words of a field that takes one of a few, else what reads its values."""
    looked_at: list[Any] = [*found.metadata, found.annotation]
    while looked_at:
        each = looked_at.pop(0)
        if isinstance(each, YesOrNo):
            return ("yes", "no")
        if hasattr(each, "read"):
            return each
        words = get_args(each)
        if words and all(isinstance(word, str) for word in words):
            return words
        looked_at += [*getattr(each, "__metadata__", ()), *words]
    raise TypeError(found)  # a field of a kind that is asked for nowhere yet


def _field(part: type[Part], key: str) -> Any:
    return next(each for each in part.model_fields.values() if each.alias == key)


def _more(part: type[Part], key: str) -> str:
    """Return what `?` says of a key: what it means, how it is written, and what it means to leave it open."""
    kind = _kind(_field(part, key))
    written = f"one of {', '.join(kind)}" if isinstance(kind, tuple) else str(kind.schema()["description"])
    means = (
        ""
        if _field(part, key).is_required()
        else f"; {OPEN.get(key, 'empty is not known: a cautious value')}"
    )
    found = FOUND_OUT.get((part, key))
    how = f". To find out: {found}" if found else ""
    return f"`{key}`: {phrase(part, key)}. It is written as {written}{means}{how}"


def _measures(text: str) -> list[str]:
    """Return the measures of a list, between which commas stand, or spaces behind a unit."""
    return [each.strip() for each in re.split(r",|(?<=[A-Za-z])\s+(?=[\d.])", text) if each.strip()]


def _at_most_fifty(least: int) -> Callable[[str], object]:
    read = reads(Count)

    def whole(text: str) -> object:
        number = read(text)
        if isinstance(number, int) and not least <= number <= MOST:
            raise fault("out-of-range", f"got {number}, expected {least} to {MOST}")
        return number

    return whole
