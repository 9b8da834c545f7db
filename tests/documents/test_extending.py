"""A recipe that extends another: what it becomes, and how its mistakes are told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from stockwright.documents import read_document
from stockwright.documents.load import recipe_text, schema
from stockwright.documents.source import Items, Table, Word, parse_yaml
from stockwright.documents.written import written
from stockwright.mistakes import InputError

HEAD = "stockwright: recipe/1\nname: child\nversion: 1.0.0\nextends: four-sides-square\n"


def _read(folder: Path, text: str) -> Any:
    file = folder / "child.yaml"
    file.write_text(text, encoding="utf-8")
    return read_document(file, "recipe").model


def _wrong(folder: Path, text: str) -> list[tuple[int, str, str]]:
    with pytest.raises(InputError) as caught:
        _read(folder, text)
    return [(m.line, m.code, m.message) for m in caught.value.mistakes]


def test_a_child_with_no_changes_is_its_parent(tmp_path: Path) -> None:
    """Name, version and about apart, nothing differs."""
    child = _read(tmp_path, HEAD)
    parent = read_document(Path(__file__).parents[2] / "recipes/four-sides-square.yaml", "recipe").model
    assert child.name == "child"
    for key in ("inputs", "tools", "holding", "tolerance", "finished", "steps"):
        assert getattr(child, key) == getattr(parent, key)


def test_tables_are_merged_key_by_key(tmp_path: Path) -> None:
    """One limit of one input changes; the input's question and the other inputs stay."""
    child = _read(tmp_path, HEAD + "inputs: {length: {to: 5000 mm}}\n")
    assert child.inputs["length"].high.value == 5000
    assert child.inputs["length"].ask == "finished length"
    assert set(child.inputs) == {"length", "width", "thickness"}


def test_steps_are_changed_added_and_left_out_by_name(tmp_path: Path) -> None:
    """A change, a step before, two after, one gone: in the parent's order."""
    text = HEAD + (
        "leave-out: [steps.end-2, steps.face A.seat]\n"
        "steps:\n"
        "  change: {face B: {light: 0.2 mm}}\n"
        "  before: {edge-1: {pause: sweep}}\n"
        "  after: {edge-2: [{pause: one}, {pause: two}]}\n"
    )
    steps = _read(tmp_path, text).steps
    kinds = [type(s).__name__.removesuffix("Step") for s in steps]
    assert kinds == ["Face", "Flip", "Face", "Pause", "Edge", "Turn", "End", "Edge", "Pause", "Pause"]
    assert steps[2].light == 0.2
    assert steps[0].seat is None


def test_a_list_of_steps_takes_the_place_of_the_parents(tmp_path: Path) -> None:
    """Nothing of the parent's steps is left."""
    assert len(_read(tmp_path, HEAD + "steps: [{face: A, tool: facer}]\n").steps) == 1


def test_grandparents_count(tmp_path: Path) -> None:
    """What the middle one changed stands in the youngest, and its own change goes before."""
    (tmp_path / "middle.yaml").write_text(
        HEAD.replace("child", "middle") + "tolerance: {flatness: 0.2 mm, width: 0.2 mm}\n", encoding="utf-8"
    )
    text = HEAD.replace("four-sides-square", "middle.yaml") + "tolerance: {width: 0.1 mm}\n"
    asked = _read(tmp_path, text).tolerance
    assert (asked.flatness, asked.width, asked.length) == (0.2, 0.1, 0.8)


@pytest.mark.parametrize(
    ("more", "line", "code", "part"),
    [
        ("steps: {change: {face C: {light: 1 mm}}}\n", 5, "unknown-name", "no step 'face C'"),
        ("steps: {chang: {face B: {light: 1 mm}}}\n", 5, "unknown-key", "expected one of change, before"),
        ("steps: {change: {face B: 3}}\n", 5, "wrong-type", "the step's keys"),
        ("leave-out: [steps.end-3]\n", 5, "unknown-name", "no step 'end-3'"),
        ("leave-out: [tolerance.flatnes]\n", 5, "unknown-name", "no 'flatnes'"),
        ("leave-out: [nothing.at-all]\n", 5, "unknown-name", "begin with one of steps"),
        ("leave-out: [holding.low-clamps]\n", 4, "unknown-name", "the parent does not fit these changes"),
        ("tools: {facer: {does: fly}}\n", 5, "unknown-word", "got 'fly'"),
        ("made-up: 1\n", 5, "unknown-key", "'made-up'"),
    ],
)
def test_a_wrong_change_is_told_where_it_stands(
    tmp_path: Path, more: str, line: int, code: str, part: str
) -> None:
    """The line is the child's own; what no longer fits of the parent is told at `extends`."""
    found = _wrong(tmp_path, HEAD + more)
    assert (line, code) in [(n, c) for n, c, _ in found]
    assert any(part in message for _, _, message in found)


def test_a_child_has_a_name_and_a_version_of_its_own(tmp_path: Path) -> None:
    """Two recipes never go by one name by accident."""
    found = _wrong(tmp_path, "stockwright: recipe/1\nextends: four-sides-square\n")
    assert [m for _, _, m in found] == ["'name' is missing", "'version' is missing"]


def test_a_missing_parent_is_told_with_the_nearest_name(tmp_path: Path) -> None:
    """A shipped recipe misspelt, and a file that is not there."""
    [(line, code, message)] = _wrong(tmp_path, HEAD.replace("four-sides", "four-side"))
    assert (line, code) == (4, "unknown-name")
    assert "four-sides-square" in message
    [(line, code, _)] = _wrong(tmp_path, HEAD.replace("four-sides-square", "uncle.yaml"))
    assert (line, code) == (4, "missing-file")


def test_a_parent_lies_in_the_childs_folder(tmp_path: Path) -> None:
    """No path leads out."""
    [(_, code, _)] = _wrong(tmp_path, HEAD.replace("four-sides-square", "../uncle.yaml"))
    assert code == "outside-folder"


def test_a_circle_of_recipes_is_named_whole(tmp_path: Path) -> None:
    """Each of the three is in the message, and it ends where it began."""
    for name, next_one in (("b", "c"), ("c", "child")):
        text = HEAD.replace("name: child", f"name: {name}").replace("four-sides-square", f"{next_one}.yaml")
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    [(_, code, message)] = _wrong(tmp_path, HEAD.replace("four-sides-square", "b.yaml"))
    assert code == "circle"
    assert "child -> b -> c" in message


def test_a_chain_too_long_to_follow_is_refused(tmp_path: Path) -> None:
    """Nine recipes in a row are one too many."""
    for number in range(1, 10):
        parent = "four-sides-square" if number == 9 else f"r{number + 1}.yaml"
        text = HEAD.replace("name: child", f"name: r{number}").replace("four-sides-square", parent)
        (tmp_path / f"r{number}.yaml").write_text(text, encoding="utf-8")
    [(_, code, _)] = _wrong(tmp_path, HEAD.replace("four-sides-square", "r1.yaml"))
    assert code == "too-deep"


def test_a_parents_own_mistakes_are_told_under_its_own_name(tmp_path: Path) -> None:
    """Whoever repairs it is sent to the right file."""
    (tmp_path / "parent.yaml").write_text("stockwright: recipe/1\nname: parent\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        _read(tmp_path, HEAD.replace("four-sides-square", "parent.yaml"))
    assert {Path(m.file).name for m in caught.value.mistakes} == {"parent.yaml"}


def test_the_whole_recipe_reads_as_the_same_recipe(tmp_path: Path) -> None:
    """What `--resolved` prints stands by itself and means the same."""
    child = _read(tmp_path, HEAD + "steps: {change: {face B: {light: 0.2 mm}}}\n")
    text = recipe_text(str(tmp_path / "child.yaml"), resolved=True)
    assert "extends" not in text
    assert _read(tmp_path, text) == child


def test_editors_are_told_of_children(tmp_path: Path) -> None:
    """The schema takes a child and refuses a misspelt key of one."""
    wanted = schema("recipe")
    jsonschema.validate(yaml.safe_load(HEAD), wanted)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(yaml.safe_load(HEAD + "stepz: {}\n"), wanted)


WORDS = st.text("abyz019 .-:=#'\"\\[]{}&*!|>%@`,?~", max_size=12)
TREES = st.recursive(
    WORDS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS.filter(bool), inner, max_size=3),
    max_leaves=12,
)


def _tree(value: object) -> object:
    if isinstance(value, dict):
        table = Table((1, 1))
        table.update({key: _tree(each) for key, each in value.items()})
        return table
    if isinstance(value, list):
        items = Items((1, 1))
        items.extend(_tree(each) for each in value)
        return items
    word = Word(str(value))
    word.quoted = len(word) % 2 == 0
    return word


@given(st.dictionaries(WORDS.filter(lambda w: w and w != "<<"), TREES, min_size=1, max_size=3))
def test_what_is_written_reads_as_the_same_tree(value: dict[str, object]) -> None:
    """Any words, however hostile to YAML, come back as they were."""
    root = _tree(value)
    assert isinstance(root, Table)
    back = parse_yaml("x", written(root))
    assert back.mistakes == []
    assert back.root == root
