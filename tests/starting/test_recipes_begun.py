"""Recipes begun by answering: whatever the answers, they read, and shops can run them."""

from __future__ import annotations

import io
import itertools
import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from stockwright.bind import bind
from stockwright.calls.asking import Answers
from stockwright.documents import read_document
from stockwright.documents.load import read_recipe
from stockwright.fitting.ranges import Search, open_inputs
from stockwright.fitting.trial import Bench
from stockwright.mistakes import InputError
from stockwright.starting.recipe import new_recipe

if TYPE_CHECKING:
    from stockwright.documents.loaded import Loaded
    from stockwright.documents.shop import ShopDocument

ROOT = Path(__file__).parents[2]
HELD = {"none": ("",), "one": ("sides", "top"), "both": ("sides", "top", "underneath")}
PAIR = ("none", "both")
ANSWERS = [
    (faces, edges, ends, visits, held)
    for faces, edges, ends in itertools.product(HELD, HELD, PAIR)
    for visits in (("one", "two") if faces == "both" else ("",))
    for held in HELD[faces]
    if (faces, edges, ends) != ("none", "none", "none")
]
PAIRS = [each for each in ANSWERS if each[1] != "one"]
PLANNED = [
    *PAIRS[:: len(PAIRS) // 7],
    ("both", "one", "both", "one", "sides"),
    ("one", "one", "none", "", "top"),
]
SETS = {"length": "900 mm", "width": "200 mm", "thickness": "27 mm"}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Loaded[ShopDocument]:
    """Return the example shop, with tape in its drawer."""
    sort = "kind: tape, count: 8, width: 50 mm, thickness: 0.3 mm, lift: 0.05 N/mm2"
    tape = f"hold-downs:\n  carpet-tape: {{{sort}}}\n"
    text = (ROOT / "examples" / "stair-tread" / "shop.yaml").read_text(encoding="utf-8")
    file = tmp_path_factory.mktemp("shop") / "shop.yaml"
    file.write_text(text.replace("hold-downs:\n", tape), encoding="utf-8")
    loaded: Loaded[ShopDocument] = read_document(file, "shop")
    return loaded


def _begun(folder: Path, lines: list[str], like: str | None = None) -> Path:
    out = folder / "begun.yaml"
    new_recipe(out, like, Answers(io.StringIO("".join(f"{line}\n" for line in lines))))
    return out


def _lines(answers: tuple[str, ...]) -> list[str]:
    faces, edges, ends, *held = answers
    return ["a trial", "", faces, edges, ends, *(word for word in held if word)]


def _search(recipe: Path, shop: Loaded[ShopDocument]) -> Search:
    loaded, tree, _ = read_recipe(str(recipe))
    bench = Bench(loaded, shop, None)
    sets = {name: value for name, value in SETS.items() if name in loaded.model.inputs}
    opened, mistakes = open_inputs(tree, bench, sets)
    assert (opened, mistakes) == ((), [])
    search = Search(bench, tree, sets, opened)
    search.opened = search.board_sizes()
    return search


@pytest.mark.parametrize("answers", ANSWERS, ids="-".join)
def test_every_combination_reads_and_binds(
    answers: tuple[str, ...], tmp_path: Path, shop: Loaded[ShopDocument]
) -> None:
    """The recipe reads without a mistake, cuts what was answered, and its steps can be done in order."""
    search = _search(_begun(tmp_path, _lines(answers)), shop)
    steps = search.bench.recipe.model.steps
    cut = [str(getattr(step, key)) for step in steps for key in ("face", "edge", "end") if hasattr(step, key)]
    faces, edges, ends, visits, _ = answers
    wanted = {"none": set(), "one": {"A"}, "both": {"A", "B"}}[faces]
    wanted |= {"none": set(), "one": {"edge-1"}, "both": {"edge-1", "edge-2"}}[edges]
    wanted |= {"end-1", "end-2"} if ends == "both" else set()
    assert set(cut) == wanted
    assert cut.count("A") == (2 if visits == "two" else int(faces != "none"))
    values = search.values({o.name: o.at(0.5) for o in search.opened})
    assert values is not None
    bench = replace(search.bench, boards=())
    bind(bench.documents(values, {"length": 1000.0, "width": 200.0, "thickness": 33.0}))


@pytest.mark.parametrize("answers", PLANNED, ids="-".join)
def test_some_go_through_the_whole_check(
    answers: tuple[str, ...], tmp_path: Path, shop: Loaded[ShopDocument]
) -> None:
    """The example shop plans, cuts and checks it: nothing refuses it."""
    _, tried = _search(_begun(tmp_path, _lines(answers)), shop).base()
    assert [f.message for f in tried.refused] == []


def test_no_answer_at_all_is_a_board_squared(tmp_path: Path) -> None:
    """Where nothing is answered, both faces, both edges and both ends are cut, under the file's name."""
    model = read_document(_begun(tmp_path, []), "recipe").model
    assert (model.name, len(model.steps), list(model.inputs)) == (
        "begun",
        8,
        ["length", "width", "thickness"],
    )


@pytest.mark.parametrize("like", sorted(p.stem for p in (ROOT / "recipes").glob("*.yaml")))
def test_like_another_recipe(like: str, tmp_path: Path) -> None:
    """Answers left empty are those of the recipe followed; its text is kept but for its name."""
    text = _begun(tmp_path, ["mine"], like).read_text(encoding="utf-8")
    followed = (ROOT / "recipes" / f"{like}.yaml").read_text(encoding="utf-8")
    assert text == followed.replace(f"name: {like}", "name: mine", 1)


def test_what_is_answered_otherwise_changes_in_the_text_alone(tmp_path: Path) -> None:
    """A new sentence, new limits and a tolerance that the parent had stand in the text; comments stay."""
    lines = ["mine", "Short.", "", "", "", "", "", "1 in to 2 in", "", "200 mm to 400 mm", "0.2 mm"]
    out = _begun(tmp_path, lines, "end-grain-block")
    text = out.read_text(encoding="utf-8")
    model = read_document(out, "recipe").model
    assert 'about: "Short."\nextends: four-sides-square\n' in text
    assert "length:    {from: 200 mm, to: 400 mm}     # x of a block runs" in text
    assert (str(model.inputs["thickness"].low), model.tolerance.flatness) == ("25.4 mm", 0.2)
    assert model.steps == read_recipe("end-grain-block")[0].model.steps


def test_a_recipe_beside_its_parent_is_written_whole_elsewhere(tmp_path: Path) -> None:
    """Beside its parent the new recipe extends it too; in another folder, where none lies, it is whole."""
    for name in ("here", "there"):
        (tmp_path / name).mkdir()
    base = (ROOT / "recipes" / "both-faces.yaml").read_text(encoding="utf-8")
    (tmp_path / "here" / "base.yaml").write_text(base, encoding="utf-8")
    child = "stockwright: recipe/1\nname: child\nversion: 2.0.0\nextends: base.yaml\n"
    like = tmp_path / "here" / "child.yaml"
    like.write_text(f"{child}tolerance: {{flatness: 0.2 mm}}\n", encoding="utf-8")
    here, there = (_begun(tmp_path / name, ["mine"], str(like)) for name in ("here", "there"))
    assert "extends: base.yaml" in here.read_text(encoding="utf-8")
    assert "extends" not in there.read_text(encoding="utf-8")
    models = [read_document(each, "recipe").model for each in (here, there)]
    assert models[0] == models[1]
    assert (models[0].name, models[0].version, models[0].tolerance.flatness) == ("mine", "1.0.0", 0.2)


def test_other_sides_keep_what_is_said_of_each(tmp_path: Path) -> None:
    """Where other sides are cut, what the recipe says of those still cut is kept, and inputs it names."""
    begun = _begun(tmp_path, ["mine", "", "none", "one", "both"], "edges-for-gluing")
    model = read_document(begun, "recipe").model
    assert list(model.inputs) == ["length", "thickness", "thick", "hollow"]
    assert [step.edge for step in model.steps if getattr(step, "hollow", None) is not None] == ["edge-1"]
    (tmp_path / "block").mkdir()
    text = _begun(tmp_path / "block", ["mine", "", "", "one", "none"], "end-grain-block").read_text(
        encoding="utf-8"
    )
    said = "direction: conventional, perimeter: first, stepdown: 1 mm, light: 0.3 mm, hold"
    assert "take: least\n    direction: conventional\n" in text
    assert f'to: "=thickness", {said}' in text
    assert "edge-1, tool: edge-cutter, stepdown: 3 mm, light: 0.3 mm, hold" in text


def test_what_finds_no_place_is_told(tmp_path: Path) -> None:
    """What the recipe followed says and the new one cannot keep is named; sides no longer cut are not."""
    lines = io.StringIO("mine\n\nboth\nboth\nnone\none\ntop\n")
    said = new_recipe(tmp_path / "begun.yaml", "slats-side-by-side", Answers(lines))
    assert "of slats-side-by-side it does not keep: face A: together; face B: together; already" in said


def test_two_visits_like_two_keep_each_cuts_own_words(tmp_path: Path) -> None:
    """A side cut twice keeps what is said of each time; the rest keeps its sentence and its length."""
    text = (ROOT / "recipes" / "two-visits.yaml").read_text(encoding="utf-8")
    text = text.replace("take: half-of-surplus,", "take: half-of-surplus, light: 1 mm,")
    text = text.replace('"=thickness + allowance",', '"=thickness + allowance", light: 0.2 mm,')
    like = tmp_path / "like.yaml"
    like.write_text(text.replace("by-moisture ", "2 mm ", 1), encoding="utf-8")
    begun = _begun(tmp_path, ["mine", "", "", "", "none"], str(like)).read_text(encoding="utf-8")
    assert re.findall("light: [0-9.]+ mm", begun) == ["light: 1 mm", "light: 0.2 mm"]
    assert "until it weighs the same on two days running" in begun
    assert "moved: 2 mm" in begun


def test_the_same_answers_give_the_same_bytes(tmp_path: Path) -> None:
    """Twice the same lines, twice the same file; limits stay in the unit they were said in."""
    lines = ["a", "", "both", "none", "none", "one", "sides", "1/4 in to 2 in"]
    (tmp_path / "b").mkdir()
    first, second = _begun(tmp_path, lines).read_bytes(), _begun(tmp_path / "b", lines).read_bytes()
    assert first == second
    assert b'from: "1/4 in", to: "2 in"' in first


def test_what_stands_there_is_left_alone(tmp_path: Path) -> None:
    """A file that exists is a mistake before anything is asked, and keeps its bytes."""
    out = tmp_path / "begun.yaml"
    out.write_text("mine\n", encoding="utf-8")
    with pytest.raises(InputError) as error:
        _begun(tmp_path, [])
    assert [m.code for m in error.value.mistakes] == ["exists"]
    assert out.read_text(encoding="utf-8") == "mine\n"


def test_strange_names_are_text(tmp_path: Path) -> None:
    """A name, and a sentence, that YAML would take for something else are written as the text they are."""
    model = read_document(_begun(tmp_path, ["no", 'what: "it" # is']), "recipe").model
    assert (model.name, model.about) == ("no", 'what: "it" # is')


@pytest.mark.parametrize("name", ["12:30", "a: b", "ends #1", 'say "it"'])
def test_what_is_no_name_is_told(name: str, tmp_path: Path) -> None:
    """What no document takes for a name is told as the first answer's mistake."""
    with pytest.raises(InputError) as error:
        _begun(tmp_path, [name])
    assert [(m.file, m.code) for m in error.value.mistakes] == [("answer 1", "wrong-type")]


def test_nothing_to_cut_is_a_contradiction(tmp_path: Path) -> None:
    """No face, no edge and no end is no recipe, and nothing is written."""
    with pytest.raises(InputError) as error:
        _begun(tmp_path, ["a", "", "none", "none", "none"])
    assert [m.code for m in error.value.mistakes] == ["contradiction"]
    assert not (tmp_path / "begun.yaml").exists()
