"""What the terminal says of a job is short, of 80 columns, in the shop's units, the same wherever it goes."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from io import StringIO
from typing import TYPE_CHECKING

import pytest

from command_documents import ROOT
from stockwright import run
from stockwright.calls import terminal, told_job
from stockwright.findings import Finding, Refused
from stockwright.packet.writing import Writing

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.findings import Level

EXAMPLE = ROOT / "examples" / "stair-tread"


class _Terminal(StringIO):
    def isatty(self) -> bool:
        return True


def _finding(rule: str, setup: int, remedy: str = "go on") -> Finding:
    return Finding(rule, "warn", f"{setup} mm are left", remedy, float(setup), 9.0, setup)


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_setups_stand_in_a_table_of_80_columns(units: str) -> None:
    """Each setup has its cutter, depth, time and thickness left; the last face leaves what is wanted."""
    checked = run.check(run.Request(EXAMPLE / "job.yaml", units="inch" if units == "inch" else "mm"))
    rows = told_job.setup_rows(checked.plan, checked.job)
    assert [row[0] for row in rows] == ["1", "2", "3", "4"]
    assert rows[1][4] == ("27" if units == "mm" else "1.063")
    low, high = (float(each) for each in rows[0][4].split(" to "))
    assert float(rows[1][4]) < low < high
    for seconds in (None, {"1": 600.0, "2": 61.0}):
        lines = list(told_job.table_lines(rows, checked.job.shop.units, seconds))
        assert max(len(line) for line in lines) <= terminal.WIDTH
        assert f"depth, {'in' if units == 'inch' else 'mm'}" in lines[0]
        assert ("time" in lines[0]) == (seconds is not None)
        assert list(terminal.folded(lines)) == lines


def test_findings_of_one_rule_stand_together() -> None:
    """Two of one rule with one remedy have it told once, after both; another rule stands by itself."""
    found = [_finding("too-thin", 1), _finding("too-high", 1), _finding("too-thin", 2)]
    assert list(terminal.finding_lines(found)) == [
        "look out: too-thin, 2 times",
        "    setup 1: 1 mm are left [1 against 9]",
        "    setup 2: 2 mm are left [2 against 9]",
        "    what to do: go on",
        "look out: too-high in setup 1: 1 mm are left [1 against 9]",
        "    what to do: go on",
    ]


def test_numbers_that_the_message_says_are_not_said_again() -> None:
    """Both numbers in the words, rounded as they may be: nothing in brackets; one missing: both."""
    said = Finding("too-thin", "warn", "24.99 mm of 27.00 mm", "go on", 24.985, 27.0)
    assert next(iter(terminal.finding_lines([said]))) == "look out: too-thin: 24.99 mm of 27.00 mm"
    said = Finding("never", "warn", "skimmed 0 times", "skim it at least 1 time", 0.0, 1.0)
    assert next(iter(terminal.finding_lines([said]))) == "look out: never: skimmed 0 times"
    said = Finding("never", "warn", "not skimmed", "skim it at least 1 time", 0.0, 1.0)
    assert next(iter(terminal.finding_lines([said]))) == "look out: never: not skimmed [0 against 1]"


def test_a_digit_of_a_name_is_no_number_that_is_told() -> None:
    """In `slat 1`, `end-1` and `2b-face-b` no 1 and no 2 is said, and `slat 12` is no `slat 1`."""
    names = ("slat 1", "plane")
    for message, told in (
        ("slat 1 lies against nothing", " [1 against 2]"),
        ("slat 1: 1 of 2 holds", ""),
        ("slat 1 and slat 12: 1.0 of 2 holds", ""),
        ("end-1 of 2b-face-b is loose", " [1 against 2]"),
        ("-1 to 1 of 2", ""),
    ):
        said = Finding("odd", "warn", message, "go on", 1.0, 2.0)
        for writing in (Writing("mm", names=names), Writing("inch", names=names)):
            [line, _] = terminal.finding_lines([said], writing)
            assert line == f"look out: odd: {message}{told}"


def test_an_inch_shop_is_refused_in_inches() -> None:
    """What the planner wrote in mm, places included, is told in inches where the shop has them."""
    with pytest.raises(Refused) as caught:
        run.check(run.Request(EXAMPLE / "too-thin.yaml", units="inch"))
    assert caught.value.job is not None
    writing = told_job.writing_of_job(caught.value.job)
    text = " ".join(terminal.refused_lines(caught.value.findings, writing))
    assert "0.984 in thick" in text
    assert "at x 0.39 in, y 4.53 in" in text
    assert " mm" not in text


def test_a_refusal_ends_with_where_more_is_said() -> None:
    """The last line names the page of the worst finding."""
    lines = list(terminal.refused_lines([_finding("too-thin", 1)]))
    assert lines[-2:] == ["refused; nothing was written", "`stockwright explain too-thin` says more"]


def test_colour_is_for_terminals(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first word is coloured on a terminal that can; never in a pipe, with NO_COLOR, or on a dumb one."""
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    lines = ["refused: x", "proven: y", "notes are plain"]
    coloured = list(terminal.coloured(lines, _Terminal()))
    assert coloured == ["\x1b[1;31mrefused\x1b[0m: x", "\x1b[1;32mproven\x1b[0m: y", "notes are plain"]
    assert list(terminal.coloured(lines, StringIO())) == lines
    for name, value in (("NO_COLOR", "1"), ("TERM", "dumb")):
        monkeypatch.setenv(name, value)
        assert list(terminal.coloured(lines, _Terminal())) == lines
        monkeypatch.setenv(name, "xterm" if name == "TERM" else "")


def test_another_locale_changes_nothing(tmp_path: Path) -> None:
    """In the plainest locale, and in one that writes numbers with a comma, the same bytes come out."""
    for name in ("too-thin.yaml", "thin-board.yaml", "shop.yaml"):
        shutil.copy(EXAMPLE / name, tmp_path / name)
    said = []
    for own in ({"LC_ALL": "C"}, {"LANG": "de_DE", "LC_ALL": "de_DE.ISO-8859-1"}, {"LC_ALL": "C.UTF-8"}):
        environment = {k: v for k, v in os.environ.items() if not k.startswith(("LC_", "LANG", "PYTHON"))}
        call = [sys.executable, "-m", "stockwright", "check", "too-thin.yaml"]
        done = subprocess.run(call, cwd=tmp_path, env=environment | own, capture_output=True, timeout=120)
        assert (done.returncode, done.stdout) == (1, b"")
        said.append(done.stderr)
    assert said[0] == said[1] == said[2]
    assert b"24.99 mm" in said[0]


def test_what_is_a_length_stands_in_the_shop_s_units_and_what_is_none_has_no_unit() -> None:
    """A percentage is its share and said; a length told rounded is given in inches; a share stays a share."""
    inches = Writing("inch")
    for message, measured, limit, told in (
        ("rubs below 154 % and slips above 105 %", 1.5385, 1.0513, ""),
        ("known within 2.1 mm only", 2.14, 1.19, " [0.0843 in against 0.0469 in]"),
        ("pushed at 16 mm, 0.64 of what is asked", 0.6437, 1.0, " [0.6437 against 1]"),
        ("off by 3 mm in all", 7.0, 9.0, " [7 against 9, lengths in mm]"),
    ):
        said = Finding("odd", "warn", message, "go on", measured, limit)
        assert next(iter(terminal.finding_lines([said], inches))).endswith(inches.words(message) + told)


def test_notes_alike_of_a_row_are_counted() -> None:
    """Four boards of one setup with one cure: one told and three counted; a warning is never left out."""
    cases: tuple[tuple[Level, int], ...] = (("note", 4), ("warn", 6))
    for level, lines in cases:
        alike = [Finding("held", level, f"slat {n} is held", "try it", setup=1) for n in range(4)]
        told = list(terminal.finding_lines(alike))
        assert len(told) == lines
        assert ("    and 3 more like it" in told) == (level == "note")
