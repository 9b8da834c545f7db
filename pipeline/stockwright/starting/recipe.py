"""`recipes new`: a recipe in a few answers. In: answers. Out: a recipe with comments.

Promise: whatever the answers, the recipe reads without a mistake, or the contradiction between answers is
named. Where one is followed and the same sides are cut and held alike, its own text is kept, and only what
was answered otherwise changes in it; else what it says of the sides still cut is kept, and the rest named.
"""

from __future__ import annotations

import re
from dataclasses import field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from pydantic_core import PydanticCustomError

from stockwright.documents.fields import Name, PositiveLength, PositiveLengthRange, Text
from stockwright.documents.load import read_recipe, recipe_text
from stockwright.documents.recipe import EdgeStep, EndStep, FaceStep, PauseStep, RecipeDocument
from stockwright.documents.source import Word, parse_yaml
from stockwright.frozen import frozen
from stockwright.mistakes import Mistake
from stockwright.starting.edited import edited
from stockwright.starting.kept import Kept
from stockwright.starting.recipe_text import limits, recipe_lines
from stockwright.starting.writing import begin, none_stands_at, plain, quoted, reads

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.calls.asking import Answers
    from stockwright.documents.source import Table

__all__ = ["Wish", "new_recipe"]

HowMany = Literal["none", "one", "both"]
_MANY: tuple[HowMany, ...] = ("none", "one", "both")
_PAIR: tuple[HowMany, ...] = ("none", "both")  # a length has two sides
# What a board is at all, as in the shipped recipes; common practice, no source.
RANGES = {"length": "150 mm to 3000 mm", "width": "30 mm to 600 mm", "thickness": "6 mm to 90 mm"}


@frozen
class Wish:
    """What the answers come to; lengths and ranges stay as they were written.

    `kept` has what the recipe that is followed says and nothing asks for.
    """

    name: str
    about: str = ""
    faces: str = "both"
    edges: str = "both"
    ends: str = "both"
    visits: str = "one"
    held: str = "sides"
    length: str = RANGES["length"]
    width: str = RANGES["width"]
    thickness: str = RANGES["thickness"]
    within: str = "0.3 mm"
    kept: Kept = field(default_factory=Kept)

    @property
    def sides(self) -> tuple[str, ...]:
        """What is cut, how often, and how it is held: what decides which steps there are."""
        return self.faces, self.edges, self.ends, self.visits, self.held

    @property
    def cut(self) -> tuple[str, ...]:
        """The faces, edges and ends that are cut."""
        many = {"none": 0, "one": 1, "both": 2}
        pairs = ((self.faces, "A", "B"), (self.edges, "edge-1", "edge-2"), (self.ends, "end-1", "end-2"))
        return tuple(side for said, *sides in pairs for side in sides[: many[said]])

    @property
    def sized(self) -> bool:
        """Whether a side is cut."""
        return self.edges != "none" or self.ends != "none"

    @property
    def knows_thickness(self) -> bool:
        """Whether anything depends on how thick the wood is."""
        return self.faces == "both" or self.sized or (self.faces == "one" and self.held == "sides")


def new_recipe(out: Path, like: str | None, answers: Answers) -> list[str]:
    """Ask, write the recipe, and return what to do with it. Raises `InputError` with every mistake."""
    none_stands_at(out, "recipe")
    usual = Wish(_name_of(out)) if like is None else _like(like, _name_of(out))
    wish = answers.through(lambda: _asked(answers, usual))
    left: list[str] = []
    if like is not None and wish.sides == usual.sides:
        text = edited(_text_of(like, out), dict(_changes(wish, usual)))
    else:
        text = "\n".join(recipe_lines(wish)) + "\n"
        left = wish.kept.left(wish.cut)
    begin(out, text, "recipe")
    return [
        f"a recipe begun is in {out}; read it, its comments say what can be changed",
        *([f"of {like} it does not keep: {'; '.join(left)}"] if left else []),
        f"can a shop run it: stockwright recipes fit {out} --shop SHOP",
        "a job beside it names it by its file",
    ]


def _text_of(like: str, out: Path) -> str:
    """Return a recipe's text; whole, where it extends a file that the new one does not lie beside."""
    loaded, _, path = read_recipe(like)
    parent = parse_yaml(path, loaded.text).root.get("extends", "")
    away = str(parent).endswith((".yaml", ".yml")) and out.parent.resolve() != Path(path).parent.resolve()
    return recipe_text(like, resolved=away)


def _changes(wish: Wish, usual: Wish) -> Iterator[tuple[tuple[str, ...], str]]:
    """Yield what was answered otherwise than the recipe followed has it, by its way in the document."""
    yield ("name",), plain(wish.name)
    yield ("version",), "1.0.0"
    if wish.about != usual.about:
        yield ("about",), quoted(wish.about)
    for measure in RANGES:
        if (span := getattr(wish, measure)) != getattr(usual, measure):
            low, high = limits(span)
            yield ("inputs", measure, "from"), plain(low)
            yield ("inputs", measure, "to"), plain(high)
    if wish.within != usual.within:
        yield ("tolerance", "flatness"), plain(wish.within)


def _asked(a: Answers, usual: Wish) -> Wish:
    a.title("`?` says more of a question, `back` goes back to the one before.")
    name = a.ask("what the recipe is called", reads(Name), usual.name, needed=True)
    about = a.ask("what it is for, in a sentence", reads(Text), usual.about or None)
    faces = a.choose("which faces are cut flat", _MANY, usual.faces)
    asked = "which edges are cut straight and square: both to a width, or one while the other stays as it is"
    edges = a.choose(asked, _MANY, usual.edges)
    ends = a.choose("which ends are cut square, to a length", _PAIR, usual.ends)
    visits, held = "one", "sides"
    if faces == "both":
        asked = "one visit, or two with a rest between them, for wood that still moves"
        visits = a.choose(asked, ("one", "two"), usual.visits)
        asked = (
            "how it is held while a face is cut: from the sides, under the cut; by clamps on top that move "
        )
        asked += "once; or the second face from underneath, by tape or vacuum"
        held = a.choose(asked, ("sides", "top", "underneath"), usual.held)
    elif faces == "one":
        asked = "how it is held while the face is cut: from the sides, under the cut, or by clamps on top"
        held = a.choose(asked, ("sides", "top"), usual.held if usual.held != "underneath" else "sides")
    wish = Wish(name or usual.name, about or "", faces, edges, ends, visits, held, kept=usual.kept)
    kept = usual.kept.root is not None and wish.sides == usual.sides
    sizes: dict[str, Any] = {m: getattr(usual, m) if kept else RANGES[m] for m in RANGES}
    thick = "finished thickness" if faces == "both" else "thickness of the wood"
    for measure, what, asked_for in (
        ("thickness", thick, wish.knows_thickness),
        ("width", "finished width", edges == "both"),
        ("length", "finished length", ends == "both"),
    ):
        if asked_for and (not kept or usual.kept.input(measure)):
            sizes[measure] = _range(a, what, getattr(usual, measure))
    within = a.ask("how much faces may be out of flat", reads(PositiveLength), usual.within)
    if not kept and (faces, edges, ends) == ("none", "none", "none"):
        message = "no face, no edge and no end is cut, expected one of them"
        a.mistakes.append(Mistake("answers 3 to 5", 0, 0, "contradiction", message, "answer one or both"))
    a.finish()
    return replace(wish, within=within or usual.within, **sizes)


def _range(a: Answers, what: str, usual: str) -> str:
    asked = f"{what}, the least and the greatest that the recipe is for"
    return a.ask(asked, reads(PositiveLengthRange), usual) or usual


def _name_of(out: Path) -> str:
    words = re.findall(r"[a-z0-9]+", out.stem.lower())
    return "-".join(words) or "recipe"


def _like(like: str, name: str) -> Wish:
    """Return the answers that come nearest to a recipe."""
    loaded, tree, _ = read_recipe(like)
    model: RecipeDocument = loaded.model
    kept = Kept(tree.root)
    faces = [step for step in model.steps if isinstance(step, FaceStep)]
    zones = [model.holding[zone].where for step in faces for zone in step.hold or ()]
    held = "top" if ("face",) in zones else "underneath" if ("underneath",) in zones else "sides"
    return Wish(
        name=name,
        about=model.about,
        faces=_many({step.face for step in faces}),
        edges=_many({step.edge for step in model.steps if isinstance(step, EdgeStep)}),
        ends="both" if any(isinstance(step, EndStep) for step in model.steps) else "none",
        visits="two" if any(isinstance(s, PauseStep) and s.moved is not None for s in model.steps) else "one",
        held=held,
        within=_said(tree.at(("tolerance", "flatness"))) or Wish.within,
        kept=kept,
        **{measure: _span(kept.input(measure)) or usual for measure, usual in RANGES.items()},
    )


def _said(value: object) -> str:
    return str(value) if isinstance(value, Word) else ""


def _span(said: Table) -> str:
    """Return both limits of an input as one range, where both are lengths and none is a sum."""
    text = f"{_said(said.get('from'))} to {_said(said.get('to'))}"
    try:
        reads(PositiveLengthRange)(text)
    except PydanticCustomError:
        return ""
    return text


def _many(found: set[str]) -> HowMany:
    return _MANY[min(len(found), 2)]
