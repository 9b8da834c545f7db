"""A call whose streams take nothing, or are not there, still ends with its own words and code."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from stockwright import cli, entry

FULL = Path("/dev/full")


@pytest.mark.skipif(not FULL.exists(), reason="this system has no device that is always full")
@pytest.mark.parametrize("call", [["explain"], ["schema", "recipe"], ["recipes", "list", "--json"]])
def test_an_answer_that_finds_no_room_is_told(
    call: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Written to a full disk: one line on standard error with the reason, exit code 2, no traceback."""
    with FULL.open("w", encoding="utf-8") as full:
        monkeypatch.setattr(sys, "stdout", full)
        assert cli.main(call) == 2
    said = "stockwright: cannot-write: the answer could not be written: No space left on device\n"
    assert capsys.readouterr().err == said


def test_streams_that_the_caller_closed_are_no_matter(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """As by a shell's `<&-` and `>&-`: no question is answered, and the answer goes nowhere."""
    for name in ("stdin", "stdout"):
        monkeypatch.setattr(sys, name, None)
    assert cli.main(["recipes", "new", "--out", str(tmp_path / "begun.yaml")]) == 0
    assert (tmp_path / "begun.yaml").is_file()
    for each in (sys.stdin, sys.stdout):
        each.close()


@pytest.mark.skipif(not FULL.exists(), reason="this system has no device that is always full")
def test_a_version_that_finds_no_room_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`--version`, which is answered before anything is loaded, ends as every other call does."""
    monkeypatch.setattr(sys, "argv", ["stockwright", "--version"])
    with FULL.open("w", encoding="utf-8") as full:
        monkeypatch.setattr(sys, "stdout", full)
        with pytest.raises(SystemExit) as left:
            entry.main()
    assert left.value.code == 2
    assert "could not be written: No space left on device" in capsys.readouterr().err
