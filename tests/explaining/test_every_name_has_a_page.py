"""Every name that a message can carry has a page, and a name that is none comes with the nearest one."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

import stockwright
from command_documents import ROOT
from source_trees import tree_of
from stockwright.calls.terminal import folded
from stockwright.checking import RULES
from stockwright.documents.codes import CODES
from stockwright.documents.described import TABLES
from stockwright.documents.hold_downs import HOLD_DOWN_KINDS
from stockwright.explaining import KINDS, explained, names_lines, page_lines, pages
from stockwright.explaining.calls import CALLS
from stockwright.explaining.found import FOUND
from stockwright.explaining.pages import PEOPLE_SAY
from stockwright.mistakes import InputError
from stockwright.proving.what_to_do import WHAT_TO_DO

PACKAGE = Path(stockwright.__file__).parent
NAME = re.compile(r"[a-z]+(?:-[a-z]+)+")
SOURCES = [
    file
    for file in sorted(PACKAGE.rglob("*.py"))
    if file.relative_to(PACKAGE).parts[0] not in {"proving", "explaining"}
]
# Functions that make a finding of a rule's name, which is one of their first arguments.
MAKERS = {"_finding", "_refuse", "_lacks", "_refused", "_bad"}


def _words(call: ast.Call) -> set[str]:
    """Return the constant words of a call's plain arguments that could be a name."""
    return {
        a.value
        for a in call.args
        if isinstance(a, ast.Constant) and isinstance(a.value, str) and NAME.fullmatch(a.value)
    }


@cache
def _named(file: Path) -> tuple[set[str], set[str]]:
    """Return the rules of findings and the codes of mistakes that a file makes."""
    rules: set[str] = set()
    codes: set[str] = set()
    for node in ast.walk(tree_of(file)):
        if not isinstance(node, ast.Call):
            continue
        called = ast.unparse(node.func).rpartition(".")[2]
        said = {k.arg: k.value.value for k in node.keywords if isinstance(k.value, ast.Constant) and k.arg}
        if isinstance(said.get("rule"), str):
            rules.add(str(said["rule"]))
        if isinstance(said.get("code"), str):
            codes.add(str(said["code"]))
        if called in MAKERS or called.endswith("Finding"):
            rules |= _words(node)
        if called in {"Mistake", "_wrong", "_fault", "mistake", "fault"}:
            codes |= _words(node)
    return rules, codes


def test_every_rule_that_is_used_has_a_page() -> None:
    """No finding made anywhere names a rule of which `explain` knows nothing."""
    known = {rule.name for rule in RULES} | set(FOUND) | set(WHAT_TO_DO) | set(CODES) | set(CALLS)
    used = {str(file): _named(file)[0] - known for file in SOURCES}
    assert {name: more for name, more in used.items() if more} == {}
    assert len(set().union(*(_named(file)[0] for file in SOURCES))) > 90


def test_every_code_that_is_used_has_a_page() -> None:
    """No mistake made anywhere carries a code of which `explain` knows nothing."""
    known = set(CODES) | set(CALLS)
    used = {str(file): _named(file)[1] - known for file in SOURCES}
    assert {name: more for name, more in used.items() if more} == {}


def test_no_page_is_of_a_name_that_nothing_says() -> None:
    """Every name of the tables stands somewhere in the source as a name."""
    text = "\n".join(file.read_text(encoding="utf-8") for file in SOURCES)
    assert [name for name in (*FOUND, *CALLS) if f'"{name}"' not in text] == []


def test_a_page_of_a_finding_says_a_cure() -> None:
    """What planning finds comes with what to do, but where nothing is to be done."""
    without = [name for name, text in FOUND.items() if "Cure: " not in text]
    assert without == ["moves-a-little"]
    assert all(text.endswith(".") and len(text) > 60 for text in FOUND.values())


def test_a_name_of_two_kinds_has_both_pages() -> None:
    """A rule that the proof knows by the same name is told for both; lines fit a terminal."""
    found = explained("cut-below-bed")
    assert [page.kind for page in found] == ["rule", "reason"]
    lines = list(page_lines(found))
    assert lines[0] == "cut-below-bed (rule)"
    assert list(folded(lines)) == lines


def test_a_name_that_is_none_comes_with_the_nearest() -> None:
    """A misspelt name, or one as people say it, is told with the name that is meant."""
    for said, meant in (("cuter-too-short", "cutter-too-short"), ("Board too thin", "board-too-thin")):
        with pytest.raises(InputError) as caught:
            explained(said)
        [mistake] = caught.value.mistakes
        assert (mistake.code, mistake.hint) == ("unknown-word", f"did you mean '{meant}'?")


def test_a_name_without_end_is_told_by_its_beginning() -> None:
    """Whatever length of word is asked for, and with whatever in it, the answer is a line."""
    with pytest.raises(InputError) as caught:
        explained("\x1b[2J" + "long" * 25_000)
    text = str(caught.value)
    assert len(text) < 400
    assert "\x1b" not in text


def test_all_names_are_listed_by_kind() -> None:
    """Alone, it lists every name under its kind, 80 columns wide."""
    lines = list(names_lines())
    assert all(len(line) <= 80 for line in lines)
    assert [line for line in lines if line in KINDS.values()] == list(KINDS.values())
    listed = {name.strip() for line in lines for name in line.split(",")}
    assert {page.name for page in pages()} <= listed


def test_refusals_of_the_examples_have_pages() -> None:
    """Each rule for which an example is refused has a page."""
    text = (ROOT / "examples" / "expected.yaml").read_text(encoding="utf-8")
    for rule in re.findall(r"refused: ([a-z-]+)", text):
        assert explained(rule)


@pytest.mark.parametrize(
    "name",
    ["stop", "backing", "carries", "margin", "nose", "clear-of", "zone", "take", "support", "design factor"],
)
def test_words_that_people_meet_in_documents_are_explained(name: str) -> None:
    """A word that stands in a document or on a sheet has a page, be it a word or a key."""
    assert explained(name)


def test_every_key_of_every_document_is_explained() -> None:
    """Each key says what it means, with the part that it means this in."""
    keys = {key for part, table in TABLES.items() if part != "PostDocument" for key in table}
    assert {key for key in keys if "key" not in {page.kind for page in explained(key)}} == set()
    [page] = (page for page in explained("carries") if page.kind == "key")
    assert "Of a stop: what it bears before it shifts." in page.text


def test_every_kind_of_hold_down_is_explained() -> None:
    """Each kind that a shop may name says what it does and which keys it has."""
    for kind in HOLD_DOWN_KINDS:
        told = [page.text for page in explained(kind) if page.kind.startswith("kind of hold-down")]
        assert len(told) == 1, kind
        assert "Keys that must be there: kind, " in told[0]
    [clamp] = (page.text for page in explained("side-clamp"))
    assert "Squeezes an edge from the side" in clamp
    assert "Others: push." in clamp
    with pytest.raises(InputError) as caught:
        explained("Side clamp")
    assert caught.value.mistakes[0].hint == "did you mean 'side-clamp'?"


def test_parts_that_people_call_otherwise_are_parts() -> None:
    """Every name that is said in other words is one of a document's parts; a key's page says those."""
    assert set(PEOPLE_SAY) <= set(TABLES)
    assert explained("board")[-1].text.startswith("Of a part in a job's boards:")
