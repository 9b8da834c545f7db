"""The question itself: does it fit? In: `Asked`, by names and paths. Out: `Fit`.

Promise: every mistake of the call and of all documents is reported at once; nothing is written.
"""

from __future__ import annotations

from dataclasses import field, replace
from typing import TYPE_CHECKING, Any

from stockwright.bind.shop import bind_shop
from stockwright.documents import read_document
from stockwright.documents.load import read_recipe
from stockwright.fitting.instead import other_recipes, other_tools, other_values
from stockwright.fitting.matching import Match, as_tried, fence_match, reach_of, role_matches, zone_matches
from stockwright.fitting.ranges import Range, Search, open_inputs
from stockwright.fitting.trial import Bench, Tried
from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake
from stockwright.packet.writing import Writing

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from stockwright.machine import Shop
    from stockwright.posting import Post

__all__ = ["Asked", "Fit", "fit"]


@frozen
class Asked:
    """A recipe's name or file, a shop's, and what is known already: values, boards, a post.

    `said` are the values by input and what was wrong with how they were said (`answering.values_said`).
    """

    recipe: str
    shop: Path
    said: tuple[dict[str, str], list[Mistake]] = field(default_factory=lambda: ({}, []))
    boards: tuple[Path, ...] = ()
    post: str | None = None

    @property
    def sets(self) -> Mapping[str, str]:
        """The values that are said, by input."""
        return self.said[0]


@frozen(eq=False)
class Fit:
    """The result: `at` are the values taken for what nobody gave, `tried` is the try with them.

    `writing` is how the shop's people read lengths.
    """

    recipe: str
    version: str
    shop: str
    roles: tuple[Match, ...]
    zones: tuple[Match, ...]
    fence: Match | None
    post: Post
    given: Mapping[str, str]
    at: Mapping[str, float]
    tried: Tried
    ranges: tuple[Range, ...]
    reach: tuple[tuple[str, float, float], ...]
    instead: tuple[str, ...]
    made_up: bool
    writing: Writing

    @property
    def fits(self) -> bool:
        """Whether this shop can run the recipe."""
        return self.tried.passes

    @property
    def missing(self) -> tuple[str, ...]:
        """What would have to be bought or built, in words of what it must do."""
        matches = (*self.roles, *self.zones, *([self.fence] if self.fence else ()))
        missing = [each.missing for each in matches if each.missing]
        if not any(each.missing for each in self.zones):  # there, but too few, or taken for another zone
            missing += [f.remedy for f in self.tried.refused if f.rule == "no-hold-down"]
        return tuple(dict.fromkeys(missing))


def fit(asked: Asked) -> Fit:
    """Find out whether a shop can run a recipe, and how far."""
    mistakes: list[Mistake] = list(asked.said[1])

    def read(what: Any, *call: Any) -> Any:
        try:
            return what(*call)
        except InputError as error:
            mistakes.extend(error.mistakes)
            return None

    found = read(read_recipe, asked.recipe)
    shop_document = read(read_document, asked.shop, "shop")
    boards = [read(read_document, path, "board") for path in asked.boards]
    post = read(_post, asked, shop_document)
    if found is None or shop_document is None:
        raise InputError(mistakes)
    recipe, tree, _ = found
    bench = Bench(recipe, shop_document, asked.post, tuple(boards))
    opened, wrong = open_inputs(tree, bench, asked.sets)
    if mistakes or wrong or post is None:
        raise InputError([*mistakes, *wrong])
    search = Search(bench, tree, asked.sets, opened)
    search.opened = (*opened, *search.board_sizes())
    at, tried = search.base()
    if unusable := [] if search.values(at) is not None else search.mistakes(at):
        raise InputError(unusable)
    model = recipe.model
    shop = bind_shop(shop_document.model, post.name, shop_document.model.units)
    values = search.values(at)
    assert values is not None
    roles = role_matches(model, values, shop, shop_document.model)
    result = Fit(
        recipe=model.name,
        version=model.version,
        shop=shop.name,
        roles=roles,
        zones=as_tried(zone_matches(model, values, shop), tried.refused),
        fence=fence_match(model, shop),
        post=post,
        given=asked.sets,
        at=at,
        tried=tried,
        ranges=tuple(search.range_of(each, at) for each in search.opened) if tried.passes else (),
        reach=tuple(reach_of(model, values, shop, {m.name: m.by[0] for m in roles if m.by})),
        instead=(),
        made_up=not asked.boards,
        writing=_writing(shop, boards),
    )
    if tried.passes:
        return result
    nearest = [
        *other_tools(bench, at, search, shop, tuple(m.name for m in roles if m.missing)),
        *other_values(search, at),
        *other_recipes(bench, asked.sets, at, shop),
    ]
    return replace(result, instead=tuple(nearest))


def _writing(shop: Shop, boards: list[Any]) -> Writing:
    """Return how lengths are told; what the shop's documents name is left as it is."""
    named = (*shop.tools, *shop.hold_downs)
    names = {shop.name, *(each.name for each in named), *(board.model.name for board in boards)}
    return Writing(shop.units, shop.inch_as, tuple(sorted(names)))


def _post(asked: Asked, shop: Any) -> Post | None:
    """Return the post, found as bind finds it."""
    from pathlib import Path

    from stockwright.bind import post_of

    if shop is None and asked.post is None:
        return None
    if shop is not None and asked.post is None and shop.model.post is None:
        hint = "name the dialect with --post; see `posts list`"
        raise InputError([shop.mistake((), "missing-key", "'post' is missing", hint)])
    folder = None if shop is None else Path(shop.path).parent
    place = Mistake("", 0, 0, "", "") if shop is None else shop.mistake(("post",), "", "")
    return post_of(asked.post, None if shop is None else shop.model.post, folder, place)
