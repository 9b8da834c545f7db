"""The command line keeps its promises where a command document cannot look."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from command_documents import Call, Outcome, broken_promises, calls_of, difference, rewritten, run
from stockwright import cli
from stockwright.calls import answering, terminal
from stockwright.findings import Finding
from stockwright.mistakes import InputError, Mistake
from stockwright.packet.model import Proof, Reason

if TYPE_CHECKING:
    from collections.abc import Sequence

EXAMPLE = Path(__file__).parents[1] / "examples" / "stair-tread"


def _called(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = cli.main(words)
    out, err = capsys.readouterr()
    return code, out, err


# What goes wrong in a call itself, with the code it is told under.
WRONG_CALLS = [
    (["make", "job.yaml"], "usage"),
    (["chekc", "job.yaml"], "usage"),
    (["check"], "usage"),
    (["check", "a.yaml", "b.yaml"], "usage"),
    (["check", "a.yaml", "--no-such"], "usage"),
    (["recipes", "shwo"], "usage"),
    (["posts", "show", "no-such"], "unknown-post"),
    (["recipes", "show", "no-such"], "unknown-word"),
    (["schema", "no-such"], "unknown-word"),
    (["check", "no-such.yaml"], "missing-file"),
    (["make", "no-such.yaml", "--out", "packet"], "missing-file"),
    (["board", "no-such.csv"], "missing-file"),
    (["prove", "no-such"], "missing-file"),
]


@pytest.mark.parametrize(("words", "code"), WRONG_CALLS, ids=lambda each: "-".join(each) if each else "none")
def test_what_is_wrong_with_a_call_is_a_mistake(
    words: Sequence[str], code: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2, nothing on standard output, one line for the mistake and one that counts it."""
    left, out, err = _called(capsys, *words)
    assert (left, out) == (2, "")
    said, count = err.splitlines()
    assert f": {code}: " in said
    assert count == "1 mistake; nothing was written"


@pytest.mark.parametrize(("words", "code"), WRONG_CALLS, ids=lambda each: "-".join(each) if each else "none")
def test_with_json_a_wrong_call_is_json_too(
    words: Sequence[str], code: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With `--json` even a mistake of the call is one document, and standard error is empty."""
    if words[:2] in (["posts", "show"], ["recipes", "show"]) or words[0] == "schema":
        words, code = [*words[:1], "--no-such"], "usage"  # these have no such option: that is the mistake
    left, out, err = _called(capsys, *words, "--json")
    assert (left, err) == (2, "")
    [mistake] = json.loads(out)["errors"]
    assert mistake["code"] == code


def test_a_reader_that_stops_early_is_no_failure() -> None:
    """Output into a pipe that is closed ends the call quietly, as `| head` asks for."""
    reading, writing = os.pipe()
    os.close(reading)
    call = [sys.executable, "-m", "stockwright", "schema", "shop"]
    done = subprocess.run(call, stdout=writing, stderr=subprocess.PIPE, text=True, timeout=60)
    os.close(writing)
    assert (done.returncode, done.stderr) == (answering.BROKEN_PIPE, "")


def test_being_interrupted_is_said_in_a_word(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whoever stops the program at the keyboard reads one word and no traceback."""

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("stockwright.run.check", stopped)
    assert _called(capsys, "check", "job.yaml") == (answering.INTERRUPTED, "", "stopped\n")


def test_names_that_a_terminal_cannot_show_are_spelled_out(tmp_path: Path) -> None:
    """A terminal without the letters of a name shows the name in escapes, and the call succeeds."""
    shutil.copy(EXAMPLE / "board.yaml", tmp_path / "board.yaml")
    file = tmp_path / "board.yaml"
    text = file.read_text(encoding="utf-8").replace(
        "name: ash plank 3", "name: fr\N{LATIN SMALL LETTER E WITH ACUTE}ne"
    )
    file.write_text(text, encoding="utf-8")
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    call = [sys.executable, "-m", "stockwright", "board", "board.yaml"]
    done = subprocess.run(call, cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("fr\\xe9ne: ")


def test_a_file_name_cannot_steer_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    """Control characters of a name are spelled out, so that one mistake stays one line of plain text."""
    _, _, err = _called(capsys, "check", "no\x1b[31m such\nfile.yaml")
    assert err.splitlines()[0].startswith("no\\x1b[31m such\\nfile.yaml: missing-file: ")
    assert len(err.splitlines()) == 2


def test_a_finding_cannot_steer_the_terminal() -> None:
    """What a finding says reaches the terminal as printable text of 80 columns at most."""
    finding = Finding(
        "some-rule", "refuse", "a name with \x1b[2J in it, " + "and on " * 20, "go on", 3.0, 2.0, 1
    )
    lines = list(terminal.folded(terminal.refused_lines([finding])))
    assert all(line.isprintable() and len(line) <= terminal.WIDTH for line in lines)
    assert "[3 against 2]" in " ".join(lines)
    assert any(line.strip() == "what to do: go on" for line in lines)


def test_mistakes_come_by_file_and_then_by_line() -> None:
    """However the stages found them, mistakes come in the order of the files and of the lines in each."""
    found = [
        Mistake("b.yaml", 9, 1, "x", "later"),
        Mistake("a.yaml", 1, 1, "x", "y"),
        Mistake("b.yaml", 2, 5, "x", "z"),
    ]
    places = [(m.file, m.line) for m in InputError([*found, found[0]]).mistakes]
    assert places == [("b.yaml", 2), ("b.yaml", 9), ("a.yaml", 1)]


def test_a_proof_that_failed_is_findings_for_programs() -> None:
    """`prove --json` gives each reason as a refusing finding with its line; an unread packet has one too."""
    reason = Reason(
        rule="cut-too-deep", program="programs/1.ngc", line=7, message="too deep", measured=2, limit=1
    )
    said = terminal.proof_json(Proof(verdict="refused", reasons=[reason]), ["a note"])
    assert [(f["rule"], f["level"], f["line"]) for f in said["findings"]] == [("cut-too-deep", "refuse", 7)]
    assert [f["rule"] for f in terminal.proof_json(Proof(verdict="unproven"), [])["findings"]] == ["unproven"]
    assert terminal.proof_json(Proof(verdict="proven"), [])["findings"] == []


def test_a_verdict_never_says_more_than_was_done() -> None:
    """Only a proven packet is said to have been read back; an unproven one rests on the user's word."""
    lines = {v: " ".join(terminal.proof_lines(Proof(verdict=v))) for v in ("proven", "unproven", "refused")}
    assert "was read back" in lines["proven"]
    assert "no reader" in lines["unproven"]
    assert "proven:" not in lines["refused"].split()


def test_a_document_that_is_wrong_is_seen_to_be(tmp_path: Path) -> None:
    """The runner tells a document that expects something else, and accepting makes it right."""
    calls = "$ stockwright --version\nstockwright 0.0.0\n=> 0\n$ stockwright schema x\n2> ...\n=> 2"
    text = f"Two calls.\n\n```\n{calls}\n```\n"
    wrong, right = run(text, tmp_path)
    assert "-stockwright 0.0.0" in difference(*wrong)
    assert not difference(*right)
    accepted = rewritten(text, tmp_path)
    assert [call.expected[0] for call in calls_of(accepted)] == [wrong[1].out.strip(), "2> ..."]


def test_a_broken_promise_is_seen(tmp_path: Path) -> None:
    """The runner tells a call that writes, or that prints a traceback, no JSON or a path of the machine."""

    def broken(words: list[str], code: int, out: str, err: str, after: dict[str, tuple[int, int]]) -> str:
        return "; ".join(broken_promises(Call(words, [], 0, 0), Outcome(code, out, err, {}, after), tmp_path))

    assert broken(["check"], 0, "fine\n", "", {}) == ""
    assert broken(["make"], 0, "fine\n", "", {"packet": (0, 1)}) == ""
    assert "something was written" in broken(["make"], 1, "", "refused\n", {"packet": (0, 1)})
    assert "a traceback" in broken(["check"], 1, "", "Traceback (most recent call last):\n", {})
    assert "a path of this machine" in broken(["check"], 0, f"{tmp_path}/x\n", "", {})
    assert "exit code 3" in broken(["check"], 3, "", "", {})
    assert "not one JSON document" in broken(["check", "--json"], 0, "{}\n{}\n", "", {})
    assert "without findings" in broken(["check", "--json"], 1, '{"findings": []}', "", {})
    assert "does not count" in broken(
        ["check"], 2, "", "a.yaml:1:1: tab: x\n2 mistakes; nothing was written\n", {}
    )
    assert "longer than 80" in broken(["check"], 0, "x" * 81 + "\n", "", {})
