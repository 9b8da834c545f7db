"""Every shipped recipe is run by an example of its own that is proven, and is told of where people read."""

from __future__ import annotations

import pytest
import yaml

from example_jobs import EXAMPLES, ROOT
from stockwright.documents.shipped import recipes_folder, shipped_names

NAMES = shipped_names(recipes_folder())
EXPECTED: dict[str, str] = yaml.safe_load((EXAMPLES / "expected.yaml").read_text())


def _recipe_of(job: str) -> str:
    document = yaml.safe_load((EXAMPLES / job).read_text())
    assert isinstance(document, dict)
    return str(document["recipe"])


@pytest.mark.parametrize("name", NAMES)
def test_a_recipe_has_an_example_that_is_proven(name: str) -> None:
    """examples/expected.yaml names at least one job that uses the recipe by its name and comes out proven."""
    assert [job for job, comes_to in EXPECTED.items() if comes_to == "proven" and _recipe_of(job) == name]


@pytest.mark.parametrize("name", NAMES)
def test_a_recipe_is_told_of_in_the_readme(name: str) -> None:
    """recipes/README.md has the recipe in its table, linked to its page."""
    text = (ROOT / "recipes" / "README.md").read_text()
    assert f"| [`{name}`](pages/{name}.md) |" in text
