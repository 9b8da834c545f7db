"""Inputs whose defaults and limits are sums of others, and inputs that are asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from stockwright.documents.expressions import Quantity
from stockwright.documents.loaded import validate
from stockwright.documents.source import Tree, parse_yaml
from stockwright.documents.values import values_of

if TYPE_CHECKING:
    from stockwright.mistakes import Mistake

JOB = "stockwright: job/1\nname: j\nrecipe: r\n"
RECIPE = """stockwright: recipe/1
name: r
version: 1.0.0
inputs:
  length: {is: length, ask: finished length, from: 100 mm, to: "=width * 20"}
  width: {is: length, ask: finished width, default: "=max(length / 10, 40 mm)"}
  pieces: {is: count, ask: how many, default: "=round(length / 300 mm)"}
tools: {facer: {does: face}}
steps: [{face: A, tool: facer}]
"""


def _trees(job: str, recipe: str = RECIPE) -> tuple[Tree, Tree]:
    return parse_yaml("job.yaml", job), parse_yaml("recipe.yaml", recipe)


def _told(mistakes: list[Mistake]) -> list[tuple[str, int, str]]:
    return [(m.file, m.line, m.code) for m in mistakes]


def test_defaults_are_worked_out_in_the_order_they_need() -> None:
    """Width and pieces hang on the length; the recipe names them in any order."""
    values, mistakes = values_of(*_trees(JOB + "set: {length: 1000 mm}\n"), {})
    assert mistakes == []
    assert values == {"length": Quantity(1000, 1), "width": Quantity(100, 1), "pieces": Quantity(3, 0)}


def test_a_value_given_goes_before_a_default() -> None:
    """The job's width stands, and what the call sets goes before both."""
    values, _ = values_of(*_trees(JOB + "set: {length: 1000 mm, width: 90 mm}\n"), {"pieces": "7"})
    assert values is not None
    assert (values["width"].value, values["pieces"].value) == (90, 7)


def test_a_limit_may_hang_on_another_input() -> None:
    """1000 mm is more than 20 times a width of 40 mm, and the sum is told beside its value."""
    values, [wrong] = values_of(*_trees(JOB + "set: {length: 1000 mm, width: 40 mm}\n"), {})
    assert values is None
    assert (wrong.line, wrong.code) == (4, "out-of-range")
    assert "at most 800 mm, which is =width * 20" in wrong.message


def test_a_value_in_another_unit_is_told_as_it_was_written() -> None:
    """30 inches are told as millimetres, beside what was written; millimetres are told once."""
    job = JOB + "set: {{length: 1000 mm, width: {}}}\n"
    recipe = RECIPE.replace('default: "=max', 'to: 90 mm, default: "=max')
    told = []
    for width in ("30 inch", "762 mm", "762mm"):
        _, mistakes = values_of(*_trees(job.format(width), recipe), {})
        told += [m.message for m in mistakes]
    assert told == [
        "got 762 mm, written '30 inch', expected at most 90 mm (3.543 in): finished width",
        "got 762 mm, expected at most 90 mm: finished width",
        "got 762 mm, expected at most 90 mm: finished width",
    ]


def test_a_count_that_comes_to_no_whole_number_is_told_at_its_default() -> None:
    """Without the rounding, 1000 / 300 is no number of pieces."""
    recipe = RECIPE.replace("=round(length / 300 mm)", "=length / 300 mm")
    _, mistakes = values_of(*_trees(JOB + "set: {length: 1000 mm}\n", recipe), {})
    assert _told(mistakes) == [("recipe.yaml", 7, "out-of-range")]


def test_a_default_outside_its_own_limits_is_the_recipes_mistake() -> None:
    """The job has said nothing wrong."""
    recipe = RECIPE.replace("ask: finished width,", "ask: finished width, to: 50 mm,")
    _, mistakes = values_of(*_trees(JOB + "set: {length: 1000 mm}\n", recipe), {})
    assert ("recipe.yaml", 6, "out-of-range") in _told(mistakes)


def test_defaults_in_a_circle_are_named() -> None:
    """Length from width and width from length: neither can come first."""
    recipe = RECIPE.replace("from: 100 mm,", 'default: "=width * 10",')
    tree = parse_yaml("recipe.yaml", recipe)
    assert validate(tree, "recipe") is None
    [wrong] = [m for m in tree.mistakes if m.code == "circle"]
    assert "length -> width -> length" in wrong.message


def test_a_default_of_another_dimension_is_refused() -> None:
    """A length is no count."""
    tree = parse_yaml("recipe.yaml", RECIPE.replace("=round(length / 300 mm)", "=length"))
    assert validate(tree, "recipe") is None
    assert [(m.line, m.code) for m in tree.mistakes] == [(7, "bad-expression")]


def test_what_is_missing_is_asked_for_until_it_is_right() -> None:
    """A word, then a length out of its limits, then a right one; the question says the limits."""
    answers = ["long", "20 mm", "1000 mm"]
    asked = []

    def ask(question: str) -> str | None:
        asked.append(question)
        return answers.pop(0)

    values, mistakes = values_of(*_trees(JOB), {}, ask)
    assert mistakes == []
    assert values is not None
    assert values["length"] == Quantity(1000, 1)
    assert "from 100 mm" in asked[0]
    assert "expected at least 100 mm" in asked[2]


def test_an_end_of_answers_leaves_the_input_missing() -> None:
    """Nobody there any more is the same as nobody there."""
    values, mistakes = values_of(*_trees(JOB), {}, lambda _: None)
    assert values is None
    assert _told(mistakes) == [("job.yaml", 1, "missing-key")]


@pytest.mark.parametrize("text", ["2.5", "one", "", "-3 mm"])
def test_what_is_no_value_is_refused_where_it_stands(text: str) -> None:
    """The call's own word is named."""
    values, [wrong] = values_of(*_trees(JOB + "set: {length: 1000 mm}\n"), {"pieces": text})
    assert values is None
    assert wrong.file == f"--set pieces={text}"
