"""`shop new`: a shop, in answers. In: answers. Out: its document, with comments.

Promise: only what was answered stands in it as said. What was not is left out, with a comment of what that
means, or, where a document must have it, asked for again; a marked speed, a force and a margin are never made
up.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, get_args

from stockwright.asking import one_of
from stockwright.documents import hold_downs, shop
from stockwright.documents.described import phrase
from stockwright.documents.fields import (
    Count,
    InputName,
    LengthRange,
    Name,
    Part,
    PositiveLength,
    SignedLength,
    YesOrNo,
    fault,
)
from stockwright.starting.writing import begin, commented, none_stands_at, plain, quoted, reads

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from stockwright.asking import Answers

__all__ = ["new_shop"]

KINDS: dict[str, type[Part]] = {
    "side-clamp": hold_downs.SideClampPart,
    "stop": hold_downs.StopPart,
    "top-clamp": hold_downs.TopClampPart,
    "backing": hold_downs.BackingPiece,
    "wedge": hold_downs.WedgePart,
    "lever-stop": hold_downs.LeverStopPart,
    "tape": hold_downs.TapePart,
    "screw": hold_downs.ScrewPart,
}
MOST = 50  # of any one kind of thing that a person would type in
# What a key that stays open means: said beside it.
OPEN = {
    "marked-max": "not known: read it off the cutter or its maker's sheet; no job runs it before",
    "skimmed": "not known: skim the spoilboard first, every second face is cut parallel to it",
    "post": "not known: see `posts list`, or try the control with `posts trial`",
}


@dataclass
class _Asking:
    """Asks key by key and gathers the document's lines."""

    a: Answers
    lines: list[str] = field(default_factory=list)

    def value(self, part: type[Part], key: str, *, usual: str | None = None) -> str | None:
        """Return an answer for a key, as written; None where it may stay open and does."""
        name = next(n for n, f in part.model_fields.items() if f.alias == key)
        found = part.model_fields[name]
        kind = _kind(found)
        question = phrase(part, key) or key
        if isinstance(kind, tuple):
            if not found.is_required() and usual is None:
                return self.a.ask(f"{question} ({', '.join(kind)})", one_of(kind))
            if usual is None:
                return self.a.ask(f"{question} ({', '.join(kind)})", one_of(kind), needed=True)
            return self.a.choose(question, kind, usual)
        shown = f"{question}; {kind.schema()['description']}"
        return self.a.ask(shown, reads(kind), usual, needed=found.is_required())

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

    def pair(self, part: type[Part], key: str, indent: str, words: Sequence[str], kind: Any) -> None:
        """Ask for a key that is a table of two or three values of a kind."""
        said = []
        for word in words:
            question = f"{phrase(part, key)}: {word}"
            answer = self.a.ask(question, reads(kind), needed=True)
            said.append(f"{word}: {plain(answer or '')}")
        self.lines.append(commented(f"{indent}{key}: {{{', '.join(said)}}}", phrase(part, key) or ""))

    def count(self, question: str, least: int) -> int:
        """Ask how many of something there are."""
        answer = self.a.ask(question, _at_most_fifty(least), str(least))
        return int(answer) if answer is not None else least


def new_shop(out: Path, answers: Answers) -> list[str]:
    """Ask, write the document, and return what to do with it. Raises `InputError` with every mistake."""
    none_stands_at(out, "shop")
    ask = _Asking(answers)
    _shop(ask, out)
    _machine(ask)
    _spindle(ask)
    _bed(ask)
    _fence(ask)
    _hold_downs(ask)
    _tools(ask)
    answers.finish()
    begin(out, "\n".join(ask.lines) + "\n", "shop")
    return [
        f"a shop's document is begun in {out}",
        f"what it leaves open, and what that costs: stockwright shop check {out}",
        f"what it can make: stockwright recipes fit RECIPE --shop {out}",
    ]


def _shop(ask: _Asking, out: Path) -> None:
    name = ask.a.ask("what the shop is called", reads(Name), out.stem.replace("_", "-"), needed=True)
    ask.lines += ["stockwright: shop/1", f"name: {quoted(name or out.stem)}"]
    ask.key(shop.ShopDocument, "post", "")
    ask.key(shop.ShopDocument, "units", "", usual="mm")


def _machine(ask: _Asking) -> None:
    ask.a.title("the machine, seen from where the operator stands; lengths with their unit")
    ask.lines += ["", "machine:                           # x to the right, y away from the operator, z up"]
    part = shop.MachinePart
    ask.pair(part, "travel", "  ", ("x", "y", "z"), LengthRange)
    ask.key(part, "rapid", "  ")
    ask.key(part, "rapids", "  ", usual="independent")
    ask.keys(part, ("acceleration", "max-feed", "spoilboard", "margin"), "  ")
    ask.pair(part, "park", "  ", ("x", "y"), SignedLength)


def _spindle(ask: _Asking) -> None:
    ask.a.title("the spindle")
    ask.lines += ["", "spindle:"]
    ask.keys(shop.SpindlePart, ("speed", "power", "nose-diameter", "nose-length"), "  ")
    number = ask.count("how many sizes of collets are there", 1)
    ask.lines.append("  collets:")
    for index in range(number):
        size = ask.a.ask(f"collet {index + 1}: the shank it holds", reads(PositiveLength), needed=True)
        said = [
            f"{key}: {plain(ask.value(shop.ColletPart, key) or '')}"
            for key in ("grip", "nut-diameter", "nut-length")
        ]
        ask.lines.append(f"    {plain(size or '')}: {{{', '.join(said)}}}")


def _bed(ask: _Asking) -> None:
    ask.a.title("the bed")
    ask.lines += ["", "bed:"]
    ask.pair(shop.BedPart, "mark", "  ", ("x", "y"), SignedLength)
    ask.key(shop.BedPart, "skimmed", "  ")
    ask.pair(shop.BedPart, "area", "  ", ("x", "y"), LengthRange)


def _fence(ask: _Asking) -> None:
    ask.a.title("the fence")
    if not ask.a.yes("is there a fence along x on the near side", default=False):
        ask.lines += ["", "# fence: none was said; recipes that turn an edge to one are refused"]
        return
    ask.lines += ["", "fence:"]
    part = shop.FencePart
    ask.keys(part, ("face", "depth", "height"), "  ")
    number = ask.count("of how many pieces is it", 1)
    pieces = [
        ask.a.ask(f"piece {i + 1}: from which x to which x", reads(LengthRange), needed=True)
        for i in range(number)
    ]
    listed = ", ".join(plain(each or "") for each in pieces)
    ask.lines.append(commented(f"  pieces: [{listed}]", phrase(part, "pieces") or ""))
    ask.keys(part, ("liftable", "wooden", "straightness", "angle"), "  ")


def _hold_downs(ask: _Asking) -> None:
    ask.a.title("what holds a board; an empty answer ends the list")
    lines: list[str] = []
    while len(lines) < MOST:
        kind = ask.a.ask(f"another hold-down of which kind ({', '.join(KINDS)})", one_of(tuple(KINDS)))
        if kind is None:
            break
        name = ask.a.ask("what it is called here", reads(InputName), kind) or kind
        part = KINDS[kind]
        said = [f"kind: {kind}"]
        opened = []
        for each in part.model_fields.values():
            key = str(each.alias)
            if key in {"kind", "bolt"}:
                continue
            answer = ask.value(part, key)
            if answer is not None:
                said.append(f"{key}: {plain(answer)}")
            elif each.is_required() is False:
                opened.append(key)
        lines.append(f"  {name}: {{{', '.join(said)}}}")
        if opened:
            lines.append(f"    # not known: {', '.join(opened)}; a cautious value is taken, and told")
    none = "# hold-downs: none were said; nothing holds a board"
    ask.lines += ["", "hold-downs:", *lines] if lines else ["", none]


def _tools(ask: _Asking) -> None:
    ask.a.title("the cutters")
    number = ask.count("how many cutters are described", 1)
    part = shop.ToolPart
    ask.lines += ["", "tools:"]
    for index in range(number):
        name = ask.a.ask(f"cutter {index + 1}: what it is called", reads(InputName), f"cutter{index + 1}")
        ask.lines += [f"  {name}:", f"    number: {index + 1}"]
        kind = ask.key(part, "kind", "    ")
        usual = "face bed" if kind == "facing-cutter" else "edge end"
        does = ask.a.ask("what it may be asked to cut, of face, edge, end and bed", _words, usual) or usual
        ask.lines.append(f"    does: [{', '.join(does.split())}]")
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


def _words(text: str) -> object:
    read = one_of(("face", "edge", "end", "bed"))
    return [read(word) for word in text.split()]


def _at_most_fifty(least: int) -> Callable[[str], object]:
    read = reads(Count)

    def whole(text: str) -> object:
        number = read(text)
        if isinstance(number, int) and not least <= number <= MOST:
            raise fault("out-of-range", f"got {number}, expected {least} to {MOST}")
        return number

    return whole
