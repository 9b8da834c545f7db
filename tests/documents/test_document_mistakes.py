"""Every mistake of a document comes at once, with its place, its word and what would be right."""

from __future__ import annotations

import ast
import time
from itertools import pairwise
from pathlib import Path

import pytest

import stockwright
from source_trees import tree_of
from stockwright.documents.codes import CODES
from stockwright.documents.load import read_board, read_document
from stockwright.documents.source import LARGEST
from stockwright.mistakes import InputError, Mistake

RECIPE = """\
stockwright: recipe/1
name: shelf-blank
version: 1.0.0
about: Both faces and the front edge.
inputs:
  thickness: {is: length, ask: finished thickness, from: 12 mm, to: 40 mm}
tools:
  facer: {does: face, diameter: 25 mm to 60 mm}
  edge-cutter: {does: edge, reach: "=thickness + 2 mm"}
holding:
  low-clamps: {where: [edge-1, edge-2], below: "=thickness - 3 mm"}
steps:
  - {face: A, tool: facer, seat: thickest, hold: [low-clamps]}
  - {face: B, tool: facer, to: "=thickness", zero: support, hold: [low-clamps]}
"""
SHOP = Path(__file__).with_name("whole-shop.yaml").read_text(encoding="utf-8")
BOARD = """\
stockwright: board/1
name: plank
size: {length: 800 mm, width: 150 mm}
heights:
  along: [10 mm, 400 mm, 790 mm]
  across: [10 mm, 140 mm]
  rows:
    - [30 mm, 30 mm]
    - [31 mm, 30 mm]
    - [30 mm, 31 mm]
thickness:
  rows:
    - [28 mm, 28 mm]
    - [28 mm, -]
    - [28 mm, 28 mm]
"""


def _mistakes(folder: Path, kind: str, text: str | bytes, name: str = "d.yaml") -> tuple[Mistake, ...]:
    file = folder / name
    file.write_bytes(text.encode() if isinstance(text, str) else text)
    with pytest.raises(InputError) as caught:
        read_document(file, kind)
    assert all(each.file == str(file) for each in caught.value.mistakes)
    assert list(caught.value.mistakes) == sorted(caught.value.mistakes)
    assert {each.code for each in caught.value.mistakes} <= set(CODES)
    return caught.value.mistakes


def _swap(text: str, old: str, new: str) -> str:
    assert text.count(old) >= 1
    return text.replace(old, new, 1)


# kind, what stands there, what stands there instead; line, column, code, and words of the message or hint.
ONE_EACH = [
    ("recipe", "\n  thickness: {", "\n\tthickness: {", 6, 1, "tab", "replace it by spaces"),
    ("recipe", "\n  thickness: {", "\n\u00a0 thickness: {", 6, 1, "tab", "hard space U+00A0"),
    ("recipe", "version: 1.0.0", "version 1.0.0", 4, 1, "not-yaml", "colon missing in line 3 or 4"),
    ("recipe", "version: 1.0.0", "version:1.0.0", 4, 1, "not-yaml", "in line 3 write 'version: '"),
    ("recipe", "version: 1.0.0", "version：1.0.0", 4, 1, "not-yaml", "a plain colon and a space"),
    ("recipe", "to: 40 mm}", "to: 40 mm", 7, 6, "not-yaml", "closes what line 6 opens"),
    ("recipe", "tool: facer", "tol: facer", 13, 15, "unknown-key", "did you mean 'tool'?"),
    ("recipe", "tool: facer", "tool: facr", 13, 21, "unknown-name", "did you mean 'facer'?"),
    (
        "recipe",
        "hold: [low-clamps]",
        "hold: [low-clamp]",
        13,
        51,
        "unknown-name",
        "did you mean 'low-clamps'?",
    ),
    ("recipe", "25 mm to 60 mm", "-25 mm to 60 mm", 8, 33, "out-of-range", "expected more than 0 mm"),
    ("recipe", "name: shelf-blank", "name: no", 2, 7, "ambiguous-word", 'write "no" in quotes'),
    ("recipe", "from: 12 mm", "from: 12 mmm", 6, 58, "unknown-unit", "did you mean 'mm'?"),
    ("recipe", "from: 12 mm", "from: 12", 6, 58, "unit-missing", "write '12 mm'"),
    ("recipe", "from: 12 mm", "from: 50 mm", 6, 69, "out-of-range", "less than 'from', which is 50 mm"),
    ("recipe", "about: Both", "version: 2.0.0 #", 4, 1, "duplicate-key", "first in line 3"),
    ("recipe", "seat: thickest", "seat: thikest", 13, 34, "unknown-word", "did you mean 'thickest'?"),
    ("recipe", "version: 1.0.0", "version: &v 1.0.0", 3, 10, "alias", "'&v'"),
    ("recipe", "version: 1.0.0", "version: !v 1.0.0", 3, 10, "tag", "'!v'"),
    ("recipe", "version: 1.0.0", "version: 1.0.0\n[a]: b", 4, 1, "bad-key", "where a key is expected"),
    ("recipe", "version: 1.0.0", "version: one", 3, 10, "wrong-type", "such as 1.0.0"),
    ("recipe", '"=thickness"', '"=thickness / 0"', 14, 32, "division-by-zero", "divides by zero"),
    ("recipe", '"=thickness"', '"=thicknes"', 14, 32, "unknown-name", "did you mean 'thickness'?"),
    ("recipe", '"=thickness"', '"=thickness + 2"', 14, 32, "unit-missing", "cannot be added"),
    ("recipe", '"=thickness"', '"=open(1)"', 14, 32, "bad-expression", "min("),
    ("recipe", "seat: thickest", "take: least, to: 9 mm", 13, 34, "contradiction", "'take' and 'to'"),
    ("recipe", "face: A", "fase: A", 13, 6, "unknown-key", "did you mean 'face'?"),
    ("recipe", "face: A", "face: A, edge: edge-1", 13, 5, "contradiction", "'face' and 'edge'"),
    ("recipe", "face: A", "face: C", 13, 12, "unknown-word", "expected one of A, B"),
    ("recipe", "recipe/1", "shop/1", 1, 14, "wrong-kind", "a shop stands here, expected a recipe"),
    ("recipe", "recipe/1", "recipe/2", 1, 14, "wrong-kind", "newer"),
    ("recipe", "recipe/1", "recpie/1", 1, 14, "wrong-kind", "write 'stockwright: recipe/1'"),
    ("recipe", "stockwright: recipe/1\n", "", 1, 1, "missing-key", "begin with 'stockwright: recipe/1'"),
    ("recipe", "hold: [low-clamps]", "hold: []", 13, 50, "wrong-count", "at least 1"),
    ("recipe", "about: Both", "about: " + "[" * 60 + "]" * 60 + " #", 4, 57, "too-deep", "deeper than 50"),
    ("shop", "number: 2", "number: 1", 68, 13, "repeated", "'wide-facer'"),
    ("shop", "12 mm: {grip", "0.8 cm: {grip", 24, 13, "duplicate-key", "size of '8 mm'"),
    ("shop", "liftable: yes", "liftable: yep", 36, 13, "unknown-word", "did you mean 'yes'?"),
    ("shop", "kind: side-clamp", "kind: sideclamp", 42, 22, "unknown-word", "did you mean 'side-clamp'?"),
    ("shop", "2026-05-30", "2026-02-30", 28, 12, "wrong-type", "no such day"),
    ("shop", "2026-05-30", "30.5.2026", 28, 12, "wrong-type", "the year, the month"),
    ("shop", "  max-feed", "  shims: 1 mm\n  max-feed", 12, 3, "unknown-key", "of the document itself"),
    ("shop", "units: mm\n", "units: mm\nliftable: yes\n", 6, 1, "unknown-key", "a key of 'fence'"),
    ("shop", "flutes: 3", "flutes: 3.5", 57, 13, "wrong-type", "a count"),
    ("shop", "stepover: 70 %", "stepover: 170 %", 63, 15, "out-of-range", "at most 100 %"),
    ("board", "400 mm, 790", "900 mm, 790", 5, 26, "out-of-range", "stations that rise"),
    ("board", "[28 mm, -]", "[28 mm]", 14, 7, "wrong-count", "expected 2"),
    ("board", "    - [30 mm, 31 mm]\n", "", 8, 5, "wrong-count", "2 rows for 3 stations"),
    ("board", "[28 mm, -]", "[28 mm, 0 mm]", 14, 15, "out-of-range", "more than 0 mm"),
    ("board", "[31 mm, 30", "[-, 30", 9, 8, "wrong-type", "a length"),
    (
        "board",
        "size:",
        "edge-1: {along: [0 mm, 9 mm], offset: [0 mm, 0 mm]}\nsize:",
        4,
        7,
        "contradiction",
        "rectangle",
    ),
]


@pytest.mark.parametrize(("kind", "old", "new", "line", "column", "code", "words"), ONE_EACH)
def test_one_mistake_is_one_line_with_its_place(
    tmp_path: Path, kind: str, old: str, new: str, line: int, column: int, code: str, words: str
) -> None:
    """One thing wrong in a document: one mistake, where it stands, under its word."""
    text = {"recipe": RECIPE, "shop": SHOP, "board": BOARD}[kind]
    [mistake] = _mistakes(tmp_path, kind, _swap(text, old, new))
    assert (mistake.code, mistake.line, mistake.column) == (code, line, column)
    assert words in f"{mistake.message}; {mistake.hint}"


def test_all_mistakes_of_a_document_come_at_once(tmp_path: Path) -> None:
    """Eight different mistakes in one recipe: eight lines, in file order."""
    text = RECIPE
    for old, new in (
        ("shelf-blank", "no"),
        ("from: 12 mm", "from: 12"),
        ("does: face,", "does: faces,"),
        ('reach: "=thickness', 'reach: "=thicknes'),
        ("edge-2]", "edge-3]"),
        ("tool: facer", "tool: facr"),
        ("zero: support", "zro: support"),
        ("{face: B", "{face: B, stepover: 40"),
    ):
        text = _swap(text, old, new)
    found = _mistakes(tmp_path, "recipe", text)
    assert [(each.line, each.code) for each in found] == [
        (2, "ambiguous-word"),
        (6, "unit-missing"),
        (8, "unknown-word"),
        (9, "unknown-name"),
        (11, "unknown-word"),
        (13, "unknown-name"),
        (14, "unit-missing"),
        (14, "unknown-key"),
    ]


def test_quoted_words_are_text(tmp_path: Path) -> None:
    """`"no"` in quotes is a name, and `010` is the name that was written."""
    for written, meant in (
        ('"no"', "no"),
        ("010", "010"),
        ('"12:30 board"'.replace(":", "."), "12.30 board"),
    ):
        file = tmp_path / "d.yaml"
        file.write_text(_swap(BOARD, "name: plank", f"name: {written}"), encoding="utf-8")
        assert read_board(file).model.name == meant


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "empty"),
        (b"  \n\n", "empty"),
        (b"# nothing but a comment\n", "empty"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "binary"),
        (b"name: caf\xe9\n", "binary"),
        ("name: x\n".encode("utf-16"), "binary"),
        (b"name: \x07\n", "binary"),
        (b"- a\n- b\n", "wrong-type"),
        (b"just text", "wrong-type"),
        (b"a: 1\n---\nb: 2\n", "not-yaml"),
        (b"a: " + b"[" * 900, "too-deep"),
        (b"[" * 5000, "not-yaml"),
        (b"a: [" + b"x," * 60_000 + b"]", "too-large"),
        (b"#" * (LARGEST + 1), "too-large"),
    ],
)
def test_what_is_no_document_has_one_mistake(tmp_path: Path, content: bytes, code: str) -> None:
    """Empty, binary, foreign and endless files each come to one mistake and no other."""
    if code == "too-large" and content[:1] == b"a":
        content = content.replace(b"x,", b"x,x,")
    began = time.perf_counter()
    [mistake] = _mistakes(tmp_path, "recipe", content)
    assert mistake.code == code
    assert time.perf_counter() - began < 5.0  # a reader whose time grows with the square needs 14 s for some


def test_an_alias_bomb_is_refused_and_never_grows(tmp_path: Path) -> None:
    """Nine lines that would unfold to a thousand million words are refused, alias by alias, at once."""
    names = "abcdefghi"
    lines = ["a: &a [x,x,x,x,x,x,x,x,x,x]"]
    lines += [f"{n}: &{n} [{','.join(['*' + p] * 10)}]" for p, n in pairwise(names)]
    began = time.perf_counter()
    found = _mistakes(tmp_path, "recipe", "\n".join(lines))
    assert time.perf_counter() - began < 1.0
    assert sum(each.code == "alias" for each in found) == 89


def test_a_huge_file_is_refused_without_being_read(tmp_path: Path) -> None:
    """A file of 50 MB comes to one mistake, in a blink."""
    file = tmp_path / "huge.yaml"
    with file.open("wb") as opened:
        opened.truncate(50_000_000)
    began = time.perf_counter()
    with pytest.raises(InputError) as caught:
        read_document(file, "board")
    assert time.perf_counter() - began < 0.5
    assert [each.code for each in caught.value.mistakes] == ["too-large"]


def test_what_is_no_file_says_so(tmp_path: Path) -> None:
    """A folder, a missing file with a near neighbour, a path through a file, and an impossible name."""
    (tmp_path / "shop.yaml").write_text(SHOP, encoding="utf-8")
    for name, code, hint in (
        ("", "not-a-file", "name the document inside it"),
        ("shpo.yaml", "missing-file", "did you mean 'shop.yaml'?"),
        ("shop.yaml/x", "missing-file", ""),
        ("\0", "missing-file", ""),
        ("a" * 300, "missing-file", ""),
    ):
        with pytest.raises(InputError) as caught:
            read_document(f"{tmp_path}/{name}", "shop")
        [mistake] = caught.value.mistakes
        assert (mistake.code, mistake.line, mistake.hint) == (code, 0, hint)


def test_what_a_document_says_cannot_command_the_terminal(tmp_path: Path) -> None:
    """Control characters are refused in text, and shown spelt out where they are quoted in a message."""
    text = _swap(RECIPE, "name: shelf-blank", 'name: "\\e[31mred"').replace(
        "seat: thickest", 'seat: "\\e[0m"'
    )
    found = _mistakes(tmp_path, "recipe", text)
    assert [(each.line, each.code) for each in found] == [(2, "wrong-type"), (13, "unknown-word")]
    assert all("\x1b" not in str(each) for each in found)
    assert "U+001B" in found[0].message
    assert "\\u001b[0m" in found[1].message


def test_long_lists_of_mistakes_end(tmp_path: Path) -> None:
    """A recipe with thousands of steps that are none comes to the first 200 mistakes, soon."""
    began = time.perf_counter()
    found = _mistakes(tmp_path, "recipe", RECIPE + "  - {fcae: A}\n" * 5000)
    assert time.perf_counter() - began < 5.0
    assert len(found) == 200
    assert [each.line for each in found] == list(range(15, 215))


def test_tabs_are_told_line_by_line(tmp_path: Path) -> None:
    """Each line that a tab indents is named; tabs elsewhere do no harm."""
    text = RECIPE.replace("\n  facer", "\n\tfacer").replace("\n  edge-cutter", "\n \tedge-cutter")
    assert [(each.line, each.column) for each in _mistakes(tmp_path, "recipe", text)] == [(8, 1), (9, 2)]
    (tmp_path / "d.yaml").write_text(_swap(RECIPE, "name: shelf", "name:\tshelf"), encoding="utf-8")
    assert read_document(tmp_path / "d.yaml", "recipe").model.name == "shelf-blank"


def test_a_byte_order_mark_and_cr_lf_do_no_harm(tmp_path: Path) -> None:
    """Text saved with a byte order mark and foreign line ends reads the same, at the same places."""
    file = tmp_path / "d.yaml"
    file.write_bytes(b"\xef\xbb\xbf" + RECIPE.replace("\n", "\r\n").encode())
    loaded = read_document(file, "recipe")
    assert loaded.where(("steps", 0, "tool")) == (13, 21)
    assert loaded.where(("steps", 0, "stepdown")) == (13, 5)


# Codes whose document is not one of the above.
ELSEWHERE = {
    "csv": "test_points_of_a_board.py",
    "circle": "test_extending.py",
    "outlier": "test_four_ways_bound.py",
    "outside-folder": "test_read_job.py",
    "empty": "above",
    "binary": "above",
    "too-large": "above",
    "missing-file": "above",
    "not-a-file": "above",
}


def test_every_code_has_a_paragraph_and_a_document() -> None:
    """Each code in the table is triggered by a document of these tests, and has a paragraph of its own."""
    triggered = {each[5] for each in ONE_EACH} | set(ELSEWHERE)
    assert triggered == set(CODES)
    assert all(len(paragraph) > 35 and paragraph.endswith(".") for paragraph in CODES.values())


def _codes_in_source() -> set[str]:
    """Return the first hyphened or known word among the plain arguments of each call that makes a mistake."""
    root = Path(stockwright.__file__).parent
    callers = {"fault", "refused", "ExpressionError", "MeasureError", "mistake", "_fault", "Mistake"}
    found = set()
    for file in [root / "units.py", *sorted((root / "documents").glob("*.py"))]:
        for node in ast.walk(tree_of(file)):
            if not isinstance(node, ast.Call):
                continue
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            texts = [each.value for each in node.args if isinstance(each, ast.Constant)]
            words = [each for each in texts if isinstance(each, str) and each and " " not in each]
            if name in callers and words:
                found.add(words[0])
    return found


def test_every_code_in_the_source_has_a_paragraph() -> None:
    """No call makes a mistake under a word that the table lacks."""
    found = _codes_in_source()
    assert found <= set(CODES)
    assert len(found) > 20
