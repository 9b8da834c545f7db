"""Faults put by hand into the example's emitted programs: every one is found, and its line is named."""

# ruff: noqa: E501 - one fault a line is a table to read

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest

from made_packets import proven
from stockwright.proving import prove

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.packet.model import Packet


@dataclass(frozen=True)
class Broken:
    """An edited program: its lines, and the number of the line that now does harm (None: no one line)."""

    lines: list[str]
    line: int | None


@pytest.fixture
def packed() -> tuple[Packet, dict[str, str]]:
    """Give the example's packet and its programs' texts."""
    made = proven("stair-tread/job")
    return made.packet, dict(made.texts)


def _find(lines: list[str], pattern: str, which: int = 0) -> int:
    found = [n for n, line in enumerate(lines) if re.fullmatch(pattern, line)]
    return found[which]


def change(pattern: str, new: str, which: int = 0, harm: int = 0) -> Callable[[list[str]], Broken]:
    """Replace one line; the harm is done `harm` lines further on."""

    def edit(lines: list[str]) -> Broken:
        at = _find(lines, pattern, which)
        changed = re.sub(pattern, new, lines[at])
        assert changed != lines[at]
        return Broken([*lines[:at], changed, *lines[at + 1 :]], at + 1 + harm)

    return edit


def drop(pattern: str, which: int = 0, harm: int | None = None) -> Callable[[list[str]], Broken]:
    """Take one line out; the harm is done `harm` lines after the place where it stood."""

    def edit(lines: list[str]) -> Broken:
        at = _find(lines, pattern, which)
        return Broken([*lines[:at], *lines[at + 1 :]], None if harm is None else at + 1 + harm)

    return edit


def nowhere(edit: Callable[[list[str]], Broken]) -> Callable[[list[str]], Broken]:
    """Make the same edit, whose harm shows at another line: at what is no longer cut, or much later."""

    def forget(lines: list[str]) -> Broken:
        return Broken(edit(lines).lines, None)

    return forget


def insert(pattern: str, new: str, which: int = 0) -> Callable[[list[str]], Broken]:
    """Put a line after another."""

    def edit(lines: list[str]) -> Broken:
        at = _find(lines, pattern, which) + 1
        return Broken([*lines[:at], new, *lines[at:]], at + 1)

    return edit


PASS = r"G1 X(-?[\d.]+)( F[\d.]+)?"

FAULTS: list[tuple[str, str, str, Callable[[list[str]], Broken]]] = [
    # what happened, in which program, the rule that must find it, the edit
    ("the last face level stops half-way", "1b", "spots-left", nowhere(change(PASS, "G1 X400.0", -1))),
    ("the last face level goes 0.5 mm too deep", "1b", "cut-too-deep", change(r"G1 Z(33\.\d+) F.*", "G1 Z33.2 F500.0", -1, 1)),
    ("a pass becomes a rapid", "1b", "rapid-through-wood", change(r"G1 X(-?[\d.]+)", r"G0 X\1", 3)),
    ("a facing cutter is lowered in the middle of the board", "1b", "plunge-without-centre-edges", change(r"G0 X-118\.6 Y(.*)", r"G0 X500.0 Y\1", -1, 2)),
    ("a pass runs off the machine", "2b", "leaves-the-travel", change(PASS, "G1 X1390.0", 0)),
    ("the spindle is never started", "1b", "spindle-off-in-wood", drop(r"M3", harm=None)),
    ("the spindle turns the wrong way", "3b", "spindle-turns-wrong-way", change(r"M3", "M4")),
    ("the speed is above the cutter's mark", "1b", "spindle-out-of-range", change(r"S12000", "S22000", harm=1)),
    ("another tool is called", "3b", "wrong-tool", insert(r"G54", "T1")),
    ("the end is missing", "2b", "no-end", drop(r"M2")),
    ("the last retract is missing", "4b", "ends-low", drop(r"G0 Z58\.0", -1)),
    ("the first raise is missing", "2b", "starts-from-unknown-place", drop(r"G0 Z48\.0", 0, 4)),
    ("inches are read for millimetres", "4b", "leaves-the-travel", nowhere(change(r"G21", "G20"))),
    ("a number has an exponent", "3b", "text-not-understood", change(r"G1 X-99\.093 F2800\.0", "G1 X-9.9e1 F2800.0")),
    ("a feed of zero", "3b", "text-not-understood", change(r"G1 X-99\.093 F2800\.0", "G1 X-99.093 F0.0")),
    ("a feed beyond the machine", "3b", "feed-out-of-range", change(r"(G1 X-99\.093) F2800\.0", r"\1 F28000.0")),
    ("the edge pass runs a clamp down", "3b", "cutter-touches-solid", change(r"G0 X(.*) Y276\.4", r"G0 X\1 Y90.0", 0, 3)),
    ("an end is cut 2 mm inside", "4b", "wall-cut-into", change(r"G0 X-80\.4 Y(.*)", r"G0 X-77.0 Y\1", 0, 3)),
    ("the cutter goes through the spoilboard", "4b", "cut-below-bed", change(r"G1 Z-0\.5 F.*", "G1 Z-7.5 F400.0", 0)),
    ("the spindle comes on in an outline", "3a", "spindle-on-in-outline", change(r"M5", "M3", 0)),
    ("the outline comes down on the board", "1a", "outline-touches-wood", change(r"G0 X(.*) Y(.*)", "G0 X500.0 Y170.0", 1, 1)),
]  # fmt: skip


@pytest.mark.parametrize(("what", "stem", "rule", "edit"), FAULTS, ids=[f[0] for f in FAULTS])
def test_a_fault_is_found_and_its_line_named(
    packed: tuple[Packet, dict[str, str]],
    what: str,
    stem: str,
    rule: str,
    edit: Callable[[list[str]], Broken],
) -> None:
    """The damaged packet is refused by the rule that names the fault, at the line that does the harm."""
    packet, texts = packed
    [file] = [name for name in texts if name.startswith(f"programs/{stem}-")]
    broken = edit(texts[file].splitlines())
    outcome = prove(packet, {**texts, file: "\n".join(broken.lines) + "\n"})
    assert outcome.proof.verdict == "refused", what
    reasons = [r for r in outcome.proof.reasons if r.rule == rule]
    assert reasons, [f"{r.rule} {r.line}: {r.message}" for r in outcome.proof.reasons]
    assert reasons[0].program == file
    assert any(r.line for r in reasons)
    if broken.line is not None:
        assert broken.line in {r.line for r in reasons}, [f"{r.line}: {r.message}" for r in reasons]


def test_two_programs_exchanged_are_found(packed: tuple[Packet, dict[str, str]]) -> None:
    """The text of one program under the name of another is refused."""
    packet, texts = packed
    names = sorted(texts)
    one, two = names[1], names[5]
    outcome = prove(packet, {**texts, one: texts[two], two: texts[one]})
    assert outcome.proof.verdict == "refused"


def test_a_missing_program_is_found(packed: tuple[Packet, dict[str, str]]) -> None:
    """A file that is gone is a reason, not a shorter proof."""
    packet, texts = packed
    name = sorted(texts)[3]
    outcome = prove(packet, {k: v for k, v in texts.items() if k != name})
    assert "program-missing" in {r.rule for r in outcome.proof.reasons}


def test_a_waste_strip_cut_free_is_found(packed: tuple[Packet, dict[str, str]]) -> None:
    """With the roughing of an edge taken out, the last pass would cut a strip loose."""
    packet, texts = packed
    [file] = [name for name in texts if name.startswith("programs/3b-")]
    lines = texts[file].splitlines()
    first = _find(lines, r"G0 X.* Y.*")
    last = max(n for n, line in enumerate(lines) if re.fullmatch(r"G1 X.* F2800\.0", line))
    start = max(n for n in range(last) if re.fullmatch(r"G0 X.* Y.*", lines[n]))
    outcome = prove(packet, {**texts, file: "\n".join([*lines[:first], *lines[start:]]) + "\n"})
    assert "loose-piece" in {r.rule for r in outcome.proof.reasons}


@pytest.mark.parametrize("harmless", ["(a remark)", "", "   "])
def test_what_means_nothing_is_never_refused(packed: tuple[Packet, dict[str, str]], harmless: str) -> None:
    """A comment, a blank line or spaces change no verdict."""
    packet, texts = packed
    changed = {
        name: "\n".join([*text.splitlines()[:20], harmless, *text.splitlines()[20:]]) + "\n"
        for name, text in texts.items()
    }
    assert prove(packet, changed).proof.verdict == "proven"
