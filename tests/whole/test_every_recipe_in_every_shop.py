"""Every shipped recipe in four shops, through every shipped post, against what examples/matrix.yaml says.

A cell is proven, or refused by the one rule that the table names; never by the proof, which would be a fault
of planning.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
import yaml

from example_jobs import EXAMPLES
from stockwright.bind import bind
from stockwright.documents.shipped import recipes_folder, shipped_names
from stockwright.findings import Refused
from stockwright.planning import plan
from stockwright.posting import found
from stockwright.run import Request, cut_and_check, read, write_and_prove

if TYPE_CHECKING:
    from collections.abc import Iterable

MATRIX: dict[str, dict[str, Any]] = yaml.safe_load((EXAMPLES / "matrix.yaml").read_text())
SHOPS = ("small-inch", "large", "short-cutters", "vacuum-only")
POSTS = tuple(found())
RECIPES = sorted(MATRIX)
# One post and one shop for each recipe, in turn; six posts and four shops have 12 pairs, so each is met.
SOME = [(name, SHOPS[k % len(SHOPS)], POSTS[k % len(POSTS)]) for k, name in enumerate(RECIPES)]


def come_to(recipe: str, shop: str, posts: Iterable[str]) -> dict[str, str]:
    """Return for each post `proven`, or the rules that refuse the recipe there; planned once for all."""
    row = MATRIX[recipe]
    request = Request(
        EXAMPLES / row["job"],
        shop=EXAMPLES / "shops" / f"{shop}.yaml",
        boards=tuple(EXAMPLES / board for board in row.get("boards", ())),
        values=row.get("set", {}),
    )
    documents = read(request)
    assert documents.recipe.model.name == recipe
    results: dict[str, str] = {}
    planned = None
    for name in posts:
        try:
            job, post = bind(documents, post=name)
            planned = planned or plan(job)
            made = write_and_prove(cut_and_check(job, post, planned), request)
        except Refused as refused:
            rules = {f.rule for f in refused.findings if f.level == "refuse"}
            own = [f.message for f in refused.findings if "the tool's own planning" in f.remedy]
            assert own == [], f"{recipe} in {shop} through {name}"
            results[name] = ", ".join(sorted(rules))
        else:
            assert made.packet.proof is not None
            results[name] = made.packet.proof.verdict
    return results


def test_the_table_has_every_recipe_shop_and_post() -> None:
    """examples/matrix.yaml names each shipped recipe and says of each of four shops what it comes to."""
    assert sorted(shipped_names(recipes_folder())) == RECIPES
    assert {path.stem for path in (EXAMPLES / "shops").glob("*.yaml")} == set(SHOPS)
    assert len(POSTS) == 6
    for row in MATRIX.values():
        assert set(row) - {"job", "boards", "set"} == set(SHOPS)
    assert {shop for _, shop, _ in SOME} == set(SHOPS)
    assert {post for *_, post in SOME} == set(POSTS)


@pytest.mark.parametrize(("recipe", "shop", "post"), SOME)
def test_a_recipe_in_one_shop_through_one_post(recipe: str, shop: str, post: str) -> None:
    """One cell for each recipe comes to what the table says."""
    assert come_to(recipe, shop, [post]) == {post: MATRIX[recipe][shop]}


@pytest.mark.wide
@pytest.mark.parametrize("shop", SHOPS)
@pytest.mark.parametrize("recipe", RECIPES)
def test_a_recipe_in_a_shop_through_every_post(recipe: str, shop: str) -> None:
    """All recipes x all four shops x all posts: each cell comes to what the table says."""
    assert come_to(recipe, shop, POSTS) == dict.fromkeys(POSTS, MATRIX[recipe][shop])
