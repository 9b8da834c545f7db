"""What comes nearest where a recipe does not fit.

In: a bench, what was tried. Out: sentences, with what each costs. Promise: time and accuracy are given only
where the whole of it was planned, cut and checked; otherwise the sentence says that they were not computed,
and why.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.bind.tools import why_not
from stockwright.documents import read_document
from stockwright.documents.expressions import length_of
from stockwright.documents.load import read_recipe
from stockwright.documents.shipped import recipes_folder, shipped_names
from stockwright.fitting.matching import fence_match, made_by, role_matches, zone_matches
from stockwright.fitting.ranges import Open, Search, open_inputs

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from stockwright.documents.expressions import Quantity
    from stockwright.documents.recipe import RecipeDocument
    from stockwright.fitting.trial import Bench, Tried
    from stockwright.machine import Shop

__all__ = ["cost", "other_recipes", "other_tools", "other_values"]

MOST_RECIPES = 3  # others that are tried


def cost(tried: Tried) -> str:
    """Say how long it runs and what it may be out by beyond what is asked."""
    if not tried.passes:
        first = tried.refused[0]
        return f"time and truth not computed: it is refused too, {first.rule}: {first.message}"
    assert tried.seconds is not None
    over = [
        f"{title} {expected:.2f} mm where {asked:g} mm is asked"
        for title, expected, asked in tried.expected
        if asked is not None and expected > asked
    ]
    truth = "; to be expected: " + ", ".join(over) if over else ", and it comes out as true as is asked"
    if not any(asked is not None for _, _, asked in tried.expected):
        truth = ", and how true it must be is not said"
    return f"the machine runs {tried.seconds / 60:.0f} min{truth}"


def other_tools(
    bench: Bench, at: Mapping[str, float], search: Search, shop: Shop, missing: tuple[str, ...]
) -> Iterator[str]:
    """Yield for each role without a cutter the one that comes nearest, and what it would cost."""
    values = search.values(at)
    if values is None:
        return
    model = bench.recipe.model
    for name in missing:
        role = model.tools[name]
        reach = length_of(role.reach, values)
        # Each demand dropped alone shows what a cutter fails; the fewer, the nearer; then the longer reach.
        loose = [
            role.model_copy(update={key: None}) for key in ("diameter", "reach", "flutes", "centre_cutting")
        ]
        near = sorted(
            (
                (
                    all(why_not(t, each, reach if each.reach is not None else None) for each in loose),
                    -t.cutting_length,
                    t.name,
                )
                for t in shop.tools
                if role.does in t.does or (role.does == "end" and "edge" in t.does)
            ),
        )
        if not near:
            yield f"{name}: no cutter here is for that at all; nothing to put in its place"
            continue
        tool = next(t for t in shop.tools if t.name == near[0][2])
        why = why_not(tool, role, reach) or ""
        freed = role.model_copy(
            update={
                "diameter": (tool.diameter, tool.diameter),
                "reach": None if reach is None or reach > tool.cutting_length else role.reach,
                "flutes": None,
                "centre_cutting": None,
            }
        )
        asks_less = model.model_copy(update={"tools": {**model.tools, name: freed}})
        tried = replace(search, bench=bench.with_recipe(asks_less), seen={}).tried(at)
        yield f"{name}: {tool.name} comes nearest, and {why}; with it {cost(tried)}"


def other_values(search: Search, at: Mapping[str, float]) -> Iterator[str]:
    """Yield for each length that was given the nearest one that this shop can do, the rest as it is."""
    values = search.values(at)
    if values is None:
        return
    for name, each in search.bench.recipe.model.inputs.items():
        if name not in search.sets or each.kind != "length":
            continue
        given = values[name].value
        freed = {key: value for key, value in search.sets.items() if key != name}
        opened, _ = open_inputs(search.tree, search.bench, freed)
        one: Open = (
            next(o for o in opened if o.name == name)
            if each.default is None
            else _of(name, each, search.bench)
        )
        again = Search(search.bench, search.tree, freed, (*search.opened, one))
        found = again.nearest(one, at, given)
        if found is not None:
            tried = again.tried({**at, name: found})
            yield f"{name} of {found:g} mm instead of {given:g} mm: {cost(tried)}"


def _of(name: str, each: object, bench: Bench) -> Open:
    low, high = getattr(each, "low", None), getattr(each, "high", None)
    return Open(
        name,
        str(getattr(each, "ask", name)),
        "length",
        getattr(low, "value", 1.0),
        getattr(high, "value", 1000.0),
        units=bench.shop.model.units,
    )


def other_recipes(
    bench: Bench, sets: Mapping[str, str], at: Mapping[str, float], shop: Shop
) -> Iterator[str]:
    """Yield shipped recipes that make the same of a board, or most of it, and fit; what they leave out."""
    mine = made_by(bench.recipe.model)
    ranked = []
    for name in shipped_names(recipes_folder()):
        model = read_document(recipes_folder() / f"{name}.yaml", "recipe").model
        theirs = made_by(model)
        if model.name == bench.recipe.model.name or not theirs <= mine or not theirs:
            continue
        ranked.append((len(mine - theirs), name, tuple(sorted(mine - theirs))))
    tries = 0
    for _, name, left_out in sorted(ranked):
        if tries == MOST_RECIPES:
            return
        recipe, tree, _ = read_recipe(name)
        given = {
            **sets,
            **{key: f"{value:g} mm" for key, value in at.items() if not key.startswith("the board")},
        }
        shared = {key: value for key, value in given.items() if key in recipe.model.inputs}
        there = replace(bench, recipe=recipe)
        opened, mistakes = open_inputs(tree, there, shared)
        search = Search(there, tree, shared, opened)
        search.opened = (*opened, *search.board_sizes())
        values = search.values({o.name: o.at(0.5) for o in search.opened})
        if mistakes or values is None or _lacks(recipe.model, values, shop, bench):
            continue
        tries += 1
        _, tried = search.base()
        if tried.passes:
            does = f"makes part of it, without {', '.join(left_out)}" if left_out else "does the like"
            yield f"recipe {name} {does}: {cost(tried)}"


def _lacks(model: RecipeDocument, values: Mapping[str, Quantity], shop: Shop, bench: Bench) -> bool:
    fence = fence_match(model, shop)
    matches = [
        *role_matches(model, values, shop, bench.shop.model),
        *zone_matches(model, values, shop),
        *([fence] if fence else []),
    ]
    return any(each.missing for each in matches)
