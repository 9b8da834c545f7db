"""A reason says where it is in the file and on the board, quotes the line, and comes with what to do."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import stockwright.proving
from small_packet import small_document, small_lines, small_packet, small_texts
from stockwright.calls.terminal import folded, proof_json, proof_lines
from stockwright.packet.model import Packet, Proof, Reason
from stockwright.proving import prove
from stockwright.proving.what_to_do import WHAT_TO_DO, what_to_do

A, EDGE = "1-face-a.nc", "3-edge-1.nc"
FOLDER = Path(stockwright.proving.__file__).parent


def source() -> str:
    """Give the text of every file of the proof, but the table of sentences."""
    files = sorted(FOLDER.glob("*.py"))
    return "\n".join(f.read_text(encoding="utf-8") for f in files if f.name != "what_to_do.py")


def rules_in(text: str) -> set[str]:
    """Give every rule that the source gives to a reason, and the functions in its lists of rules."""
    found = set(re.findall(r'rule(?:: str)? ?= ?"([a-z-]+)"', text))
    found |= set(re.findall(r'(?:tell|reason|_reason)\(\s*(?:setup, said, )?"([a-z]+(?:-[a-z]+)+)"', text))
    for rules in re.findall(r"^RULES[^(\n]*= \(\n(.*?)^\)", text, flags=re.MULTILINE | re.DOTALL):
        found |= {name.strip(" ,").replace("_", "-") for name in rules.splitlines() if name.strip()}
    return found


def test_every_rule_says_what_to_do() -> None:
    """No rule of the proof is without its own sentence, and no sentence without a rule."""
    text = source()
    named = rules_in(text)
    assert len(named) > 35
    assert named - set(WHAT_TO_DO) == set()
    for rule in WHAT_TO_DO:
        by_purpose = rule.endswith("-touches-wood")  # two are named by the program that they are against
        assert by_purpose or f'"{rule}"' in text or f"def {rule.replace('-', '_')}(" in text, rule


def test_a_sentence_fits_behind_what_to_do() -> None:
    """Each sentence begins small, but for a code's letter, ends without a stop, and is not long."""
    for rule, text in WHAT_TO_DO.items():
        assert text[0].islower() or re.match(r"[MGST]\d", text), rule
        assert not text.endswith("."), rule
        assert len(text) < 220, rule
    assert "packet" in what_to_do("a-rule-of-tomorrow")


def proof(lines: dict[str, list[str]]) -> Proof:
    """Prove the small packet with other lines."""
    return prove(small_packet(), small_texts(lines)).proof


def test_a_reason_quotes_its_line_and_where_its_height_came_from() -> None:
    """Cut too deep on a pass that names only x: the pass is quoted, and the line that set its height."""
    lines = small_lines()
    lines[A][23] = "G1 Z27.600 F500"
    reason = next(r for r in proof(lines).reasons if r.rule == "cut-too-deep")
    assert reason.block == "G1 X338.000 F3000 (at this height since line 24: G1 Z27.600 F500)"


@pytest.mark.parametrize(
    ("setup", "line", "text", "said"),
    [
        (A, 16, "G0 X338.000", r"plank, at end-1 and at edge-1"),
        (EDGE, 33, "G0 X320.000 Y106.950", r"plank, (at|\d+ mm from) end-\d and 5 mm from edge-1"),
    ],
)
def test_a_place_is_said_from_the_boards_own_sides(setup: str, line: int, text: str, said: str) -> None:
    """Face B up, the far side is edge-1: a place is told from the ends and edges, not from the bed."""
    lines = small_lines()
    lines[setup][line - 1] = text
    reason = next(r for r in proof(lines).reasons if r.at is not None and r.program == setup)
    assert re.fullmatch(said, reason.place or ""), reason.place
    assert reason.board == "plank"


def test_a_place_beside_the_board_is_beyond_its_side() -> None:
    """A cutter run into a clamp's place beside the board is said to be beyond the edge."""
    lines = small_lines()
    lines[A][15] = "G1 X338.000 Z8.000 F3000"
    reason = next(r for r in proof(lines).reasons if r.rule == "cutter-touches-solid")
    assert "beyond end-2" in (reason.place or "")


def test_no_reason_is_printed_with_line_zero() -> None:
    """A reason without a line names its file, its setup, or the whole job, and never `:0`."""
    document = small_document()
    document["setups"][1]["goals"][0]["cut"] = "face A"
    lines = small_lines()
    texts = small_texts(lines)
    missing = prove(small_packet(), {k: v for k, v in texts.items() if k != A}).proof
    whole = prove(Packet.model_validate(document), texts).proof
    said = "\n".join(folded([*proof_lines(missing), *proof_lines(whole)]))
    assert ":0:" not in said
    assert f"{A}: program-missing: " in said
    assert re.search(r"^setup 2: goals-do-not-cover", said, flags=re.MULTILINE)
    sized = Proof(verdict="refused", reasons=[Reason(rule="wrong-size", message="too thin")])
    assert next(iter(proof_lines(sized))).startswith("the whole job: wrong-size: ")


def test_reasons_are_numbered_and_told_once_what_to_do() -> None:
    """Several reasons bear numbers, as in the pictures; a rule's sentence stands with its first."""
    twice = [Reason(rule="wrong-size", message=m) for m in ("too thin", "too wide")]
    lines = list(proof_lines(Proof(verdict="refused", reasons=twice)))
    assert lines[0].startswith("the whole job: wrong-size (1): too thin")
    assert sum(line.startswith("    what to do: ") for line in lines) == 1
    assert any(line.startswith("they stand in the order of the cuts") for line in lines)


def test_json_has_each_reasons_own_remedy() -> None:
    """`prove --json` gives the same sentence, the line's text and the place."""
    lines = small_lines()
    lines[A][23] = "G1 Z27.600 F500"
    found = proof_json(proof(lines), [])["findings"]
    deep = next(f for f in found if f["rule"] == "cut-too-deep")
    assert deep["remedy"] == WHAT_TO_DO["cut-too-deep"]
    assert deep["block"].startswith("G1 X338.000")
    assert "end-" in deep["place"]
