"""`recipes new`: a recipe in a few answers. In: answers. Out: a recipe with comments.

Promise: whatever the answers, the recipe reads without a mistake, or the contradiction between answers is
named.
"""

from __future__ import annotations

import re
from dataclasses import field
from typing import TYPE_CHECKING, Literal

from stockwright.documents.expressions import Quantity
from stockwright.documents.fields import Name, PositiveLength, PositiveLengthRange, Text
from stockwright.documents.load import read_recipe
from stockwright.documents.recipe import EdgeStep, EndStep, FaceStep, PauseStep, RecipeDocument
from stockwright.frozen import frozen
from stockwright.mistakes import Mistake
from stockwright.starting.recipe_text import recipe_lines
from stockwright.starting.writing import begin, none_stands_at, reads

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from stockwright.calls.asking import Answers

__all__ = ["Wish", "new_recipe"]

HowMany = Literal["none", "one", "both"]
_MANY: tuple[HowMany, ...] = ("none", "one", "both")
_PAIR: tuple[HowMany, ...] = ("none", "both")  # a length has two sides
# What a board is at all, as in the shipped recipes; common practice, no source.
RANGES = {"length": "150 mm to 3000 mm", "width": "30 mm to 600 mm", "thickness": "6 mm to 90 mm"}


@frozen
class Wish:
    """What the answers come to; lengths and ranges stay as they were written.

    `last_pass`, by side, is what the recipe that is followed says of its last passes, one text for each time
    the side is cut, first to last: nothing asks for that.
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
    last_pass: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def passes(self, side: str, later: int = 0) -> str:
        """Return the keys of a side's last pass; it is cut so many times `later`, in the recipe begun."""
        said = self.last_pass.get(side, ())
        return said[max(len(said) - 1 - later, 0)] if said else ""

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
    usual = Wish(_name_of(out)) if like is None else _like(read_recipe(like)[0].model, _name_of(out))
    wish = answers.through(lambda: _asked(answers, usual))
    begin(out, "\n".join(recipe_lines(wish)) + "\n", "recipe")
    return [
        f"a recipe begun is in {out}; read it, its comments say what can be changed",
        f"can a shop run it: stockwright recipes fit {out} --shop SHOP",
        "a job beside it names it by its file",
    ]


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
    wish = Wish(name or usual.name, about or "", faces, edges, ends, visits, held)
    sizes = {m: RANGES[m] for m in RANGES}
    if wish.knows_thickness:
        what = "finished thickness" if faces == "both" else "thickness of the wood"
        sizes["thickness"] = _range(a, what, usual.thickness)
    if edges == "both":
        sizes["width"] = _range(a, "finished width", usual.width)
    if ends == "both":
        sizes["length"] = _range(a, "finished length", usual.length)
    within = a.ask("how much faces may be out of flat", reads(PositiveLength), usual.within)
    if (faces, edges, ends) == ("none", "none", "none"):
        message = "no face, no edge and no end is cut, expected one of them"
        a.mistakes.append(Mistake("answers 3 to 5", 0, 0, "contradiction", message, "answer one or both"))
    a.finish()
    return Wish(
        **{**vars(wish), **sizes, "within": within or usual.within, "last_pass": usual.last_pass},
    )


def _range(a: Answers, what: str, usual: str) -> str:
    asked = f"{what}, the least and the greatest that the recipe is for"
    return a.ask(asked, reads(PositiveLengthRange), usual) or usual


def _name_of(out: Path) -> str:
    words = re.findall(r"[a-z0-9]+", out.stem.lower())
    return "-".join(words) or "recipe"


def _like(model: RecipeDocument, name: str) -> Wish:
    """Return the answers that come nearest to a recipe."""
    faces = [step for step in model.steps if isinstance(step, FaceStep)]
    zones = [model.holding[zone].where for step in faces for zone in step.hold or ()]
    held = "top" if ("face",) in zones else "underneath" if ("underneath",) in zones else "sides"
    ranges = {}
    for measure, usual in RANGES.items():
        said = model.inputs.get(measure)
        low, high = (said.low, said.high) if said is not None else (None, None)
        both = isinstance(low, Quantity) and isinstance(high, Quantity)
        ranges[measure] = f"{low} to {high}" if both else usual
    within = model.tolerance.flatness
    return Wish(
        name=name,
        about=model.about,
        faces=_many({step.face for step in faces}),
        edges=_many({step.edge for step in model.steps if isinstance(step, EdgeStep)}),
        ends="both" if any(isinstance(step, EndStep) for step in model.steps) else "none",
        visits="two" if any(isinstance(s, PauseStep) and s.moved is not None for s in model.steps) else "one",
        held=held,
        within=f"{within:g} mm" if within is not None else Wish.within,
        last_pass=_last_passes(model),
        **ranges,
    )


def _last_passes(model: RecipeDocument) -> dict[str, tuple[str, ...]]:
    """Return what a recipe says of each side's last passes, as keys of a step."""
    found: dict[str, tuple[str, ...]] = {}
    for step in model.steps:
        if not isinstance(step, FaceStep | EdgeStep | EndStep):
            continue
        side = (
            step.face if isinstance(step, FaceStep) else step.edge if isinstance(step, EdgeStep) else step.end
        )
        said = []
        if "light" in step.model_fields_set and step.light is not None:
            said.append(f"light: {step.light:g} mm")
        if not isinstance(step, FaceStep) and step.spring is not None:
            said.append(f"spring: {'yes' if step.spring else 'no'}")
        found[side] = (*found.get(side, ()), ", ".join(said))
    return found


def _many(found: set[str]) -> HowMany:
    return _MANY[min(len(found), 2)]
