"""Every shipped program, read by a general-purpose parser of word-address text too.

Source of the other reading: tree-sitter-gcode 0.1 (MIT), a grammar for editors, written by people who do not
know this project. It says nothing of what moves mean; it says where words begin and end, and what is no word.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import pytest
import tree_sitter_gcode
import yaml
from tree_sitter import Language, Parser

from example_jobs import EXAMPLES
from made_packets import proven
from stockwright.proving.rs274_line import plain_text, words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tree_sitter import Node

EXPECTED: dict[str, str] = yaml.safe_load((EXAMPLES / "expected.yaml").read_text())
PROVEN = sorted(name for name, word in EXPECTED.items() if word == "proven")
FIRST = "stair-tread/bed.yaml"  # in every run of the suite; the others where there is time


def _parser() -> Parser:
    return Parser(Language(tree_sitter_gcode.language()))


def _seen(text: str) -> tuple[dict[int, list[tuple[str, float]]], list[str]]:
    """Give the words by line (1 up) as the other parser sees them, and what it could not read."""
    data = text.encode()
    found: dict[int, list[tuple[str, float]]] = {}
    wrong: list[str] = []

    def walk(node: Node) -> Iterator[Node]:
        yield node
        for child in node.children:
            yield from walk(child)

    for node in walk(_parser().parse(data).root_node):
        line = node.start_point.row + 1
        if node.is_error or node.is_missing:
            wrong.append(f"line {line}: {data[node.start_byte : node.end_byte].decode()!r}")
        elif node.type == "word":
            word = data[node.start_byte : node.end_byte].decode()
            try:
                found.setdefault(line, []).append((word[0], float(word[1:])))
            except ValueError:
                wrong.append(f"line {line}: {word!r}")
    return found, wrong


def _ours(line: str) -> list[tuple[str, float]]:
    """Give a line's words as the proving reader sees them."""
    plain = plain_text(line)
    if not plain:
        return []
    read = words(plain)
    codes = [("G", code / 10) for code in read.g.values()] + [("M", float(code)) for code in read.m.values()]
    return [*codes, *read.values.items()]


@pytest.mark.parametrize(("post", "units"), [("rs274-ngc", "mm"), ("lean-serial", "inch")])
@pytest.mark.parametrize(
    "name", [FIRST, *(pytest.param(name, marks=pytest.mark.wide) for name in PROVEN if name != FIRST)]
)
def test_another_parser_reads_the_same_words(name: str, post: str, units: Literal["mm", "inch"]) -> None:
    """The other parser finds no error in any program of an example, and on every line the words we read."""
    programs = proven(name.removesuffix(".yaml"), post, units).texts
    assert programs
    for file, text in programs.items():
        seen, wrong = _seen(text)
        assert not wrong, (file, wrong)
        for number, line in enumerate(text.splitlines(), 1):
            assert sorted(seen.get(number, [])) == sorted(_ours(line)), (file, number, line)


@pytest.mark.parametrize("line", ["G1 X--1 F100", "G1 X F100", "(open", "G1 X1,5"])
def test_the_other_parser_does_refuse(line: str) -> None:
    """The comparison can fail: what is no line is an error there too."""
    assert _seen(f"G21\n{line}\nM2\n")[1]


def test_the_other_parser_counts_words_as_we_do() -> None:
    """Four words on one line are four words, a comment between them none: by hand."""
    seen, wrong = _seen("G1 X5.5 (aside) Y-2. F400.0\n")
    assert not wrong
    assert seen == {1: [("G", 1.0), ("X", 5.5), ("Y", -2.0), ("F", 400.0)]}
    assert sorted(seen[1]) == sorted(_ours("G1 X5.5 (aside) Y-2. F400.0"))
