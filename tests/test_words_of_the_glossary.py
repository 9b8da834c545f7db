"""One word for one thing: what the glossary does not say stands in no key, page, template or message."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import stockwright
from command_documents import ROOT
from source_trees import tree_of
from stockwright.documents.described import TABLES
from stockwright.documents.load import schema
from stockwright.words import WORDS

PACKAGE = Path(stockwright.__file__).parent
# Words of the office that nobody says at a bench, whatever they would stand for.
NEVER = (
    "minimum zone",
    "prism",
    "datum",
    "height field",
    "heightmap",
    "voxel",
    "parameterised",
    "kinematics",
)
NOT_SAID = sorted({*NEVER, *(each for word in WORDS.values() for each in word.not_said)})
PATTERN = re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, NOT_SAID))})(?![\w-])", re.IGNORECASE)
# Rules are docstrings, and are read where they come out: on the page of rules.
SOURCES = sorted({*PACKAGE.rglob("*.py"), *(ROOT / "posts").rglob("*.py")} - {PACKAGE / "words.py"})
PAGES = sorted(
    [
        *PACKAGE.rglob("*.html"),
        *PACKAGE.rglob("*.typ"),
        *(ROOT / "recipes").glob("*.yaml"),
        *(ROOT / "recipes").glob("*.md"),
        *(ROOT / "posts").glob("*.md"),
        *(ROOT / "examples").rglob("*.md"),
        *(PACKAGE / "checking").glob("*.md"),
    ]
)


def _said(text: str) -> list[str]:
    """Return the words of a text that the glossary does not say; the program's own slogan is left out."""
    return PATTERN.findall(text.replace("parallel, square stock", ""))


def _strings(file: Path) -> str:
    """Return all texts of a source file that may reach a person, parts of f-strings included."""
    tree = tree_of(file)
    pages = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr)}  # docstrings: for whoever codes
    texts = (n for n in ast.walk(tree) if isinstance(n, ast.Constant) and id(n) not in pages)
    return "\n".join(n.value for n in texts if isinstance(n.value, str))


def test_messages_use_the_words_of_the_glossary() -> None:
    """No text in the source says a word that the glossary does not say."""
    found = {str(file): _said(_strings(file)) for file in SOURCES}
    assert {name: words for name, words in found.items() if words} == {}


def test_templates_recipes_and_pages_use_the_words_of_the_glossary() -> None:
    """No sheet, card, recipe or page of this project says one of those words."""
    found = {file.relative_to(ROOT).as_posix(): _said(file.read_text(encoding="utf-8")) for file in PAGES}
    assert {name: words for name, words in found.items() if words} == {}


@pytest.mark.parametrize("kind", ["recipe", "shop", "board", "job", "post", "measured"])
def test_keys_use_the_words_of_the_glossary(kind: str) -> None:
    """No key of a document and no phrase on one says a word that the glossary does not say."""
    assert _said(str(schema(kind))) == []
    assert _said(" ".join(key for table in TABLES.values() for key in table)) == []


def test_a_word_not_said_is_seen() -> None:
    """The test would see such a word, and takes no part of another word for one."""
    assert _said("put the workpiece on the Datum, a bit lower") == ["workpiece", "Datum", "bit"]
    assert _said("orbit, stockwright, stock-top") == []


def test_a_word_is_not_said_for_one_thing_and_meant_for_another() -> None:
    """What is not said for one thing is no word of the glossary itself."""
    assert set(NOT_SAID) & set(WORDS) == set()
