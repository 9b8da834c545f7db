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
from stockwright.starting.recipe import Wish, _last_passes, new_recipe
from stockwright.starting.recipe_text import recipe_lines

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


def test_like_another_recipe(tmp_path: Path) -> None:
    """Answers left empty are those of the recipe it is to be like."""
    model = read_document(_begun(tmp_path, ["mine"], "both-faces-under-clamps"), "recipe").model
    assert model.name == "mine"
    assert [zone.where for zone in model.holding.values()] == [("face",)]
    assert model.tolerance.flatness == 0.4


def test_what_is_said_of_last_passes_is_kept(tmp_path: Path) -> None:
    """`light` and `spring`, which no question asks for, are those of the recipe followed, side by side."""
    read = read_recipe("leg-blanks")[0].model
    rest = ["mine", "", "both", "both", "both", "two", "top"]
    for lines in ([], rest):
        (folder := tmp_path / str(len(lines))).mkdir()
        model = read_document(_begun(folder, lines, "leg-blanks"), "recipe").model
        said = _last_passes(model)
        assert {s for s in ("edge-1", "edge-2") if said[s] == ("light: 0.3 mm, spring: yes",)} == {
            "edge-1",
            "edge-2",
        }
        assert said["end-1"] == _last_passes(read).get("end-1", ("",))
    wish = Wish("a", visits="two", last_pass={"A": ("light: 1 mm", "light: 0.2 mm"), "B": ("light: 0.1 mm",)})
    text = "\n".join(recipe_lines(wish))
    assert re.findall("light: [0-9.]+ mm", text) == [f"light: {n} mm" for n in ("1", "0.1", "0.2", "0.1")]
    assert "light" not in "\n".join(recipe_lines(Wish("a", visits="two")))


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
