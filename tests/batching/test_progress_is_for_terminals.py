"""How far a job of many boards is shows on a terminal and nowhere else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from many_boards import boards_job
from stockwright import cli
from stockwright.batching.progress import boards_done

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


def test_how_many_boards_are_done_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever listens hears how many boards of how many are done, and how the last one went."""
    heard = []
    monkeypatch.setattr(
        "stockwright.batching.progress.doing", lambda what, *, of_all: heard.append((what, of_all))
    )
    boards_done(2, 3, "plank 22", "refused")
    assert heard == [("2 of 3 boards done, the last plank 22: refused", True)]


def test_a_call_in_a_pipe_is_quiet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`make` of several boards says nothing on standard error where that is no terminal."""
    job = boards_job(tmp_path, 2)
    assert cli.main(["make", str(job), "--out", str(tmp_path / "out")]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    assert "boards done" not in said.out
