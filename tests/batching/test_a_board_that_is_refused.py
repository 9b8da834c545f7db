"""One board that cannot be made: all is told of it, and it may be left out."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import pytest

from many_boards import boards_job
from stockwright import batching, cli, run
from stockwright.findings import Refused

if TYPE_CHECKING:
    from pathlib import Path

LEFT_OUT = batching.How(leave_out_refused=True)


def test_every_refused_board_is_told(tmp_path: Path) -> None:
    """Two of three boards are too thin: both are named with their own numbers, and there is no packet."""
    request = run.Request(boards_job(tmp_path, 3, {1: 15.0, 3: 12.0}))
    with pytest.raises(Refused) as caught:
        batching.make(request)
    refusing = [f for f in caught.value.findings if f.level == "refuse"]
    assert [f.rule for f in refusing] == ["board-too-thin", "board-too-thin"]
    assert ["plank 1" in f.message for f in refusing] == [True, False]
    assert ["plank 3" in f.message for f in refusing] == [False, True]
    assert all(f.measured is not None and f.limit is not None and f.measured < f.limit for f in refusing)


@pytest.mark.usefixtures("no_paper")
def test_the_size_that_all_can_give_is_named_and_holds(tmp_path: Path) -> None:
    """The remedy names the thickness of the thinnest board, and the job asked for so much is made."""
    job = boards_job(tmp_path, 3, {1: 20.0, 3: 19.0})
    with pytest.raises(Refused) as caught:
        batching.make(run.Request(job))
    named = {re.findall(r"at ([\d.]+) mm thickness every board", f.remedy)[0] for f in caught.value.findings}
    assert len(named) == 1
    made = batching.make(run.Request(job, values={"thickness": f"{named.pop()}mm"}))
    assert made.packet.proof.verdict == "proven"


@pytest.mark.usefixtures("no_paper")
def test_the_others_are_delivered_without_it(tmp_path: Path) -> None:
    """Left out where that is asked for, the packet is that of the others, with a warning on its sheet."""
    job = boards_job(tmp_path, 3, {2: 12.0})
    made = batching.make(run.Request(job), LEFT_OUT)
    boards = (tmp_path / "plank-1.yaml", tmp_path / "plank-3.yaml")
    without = batching.make(run.Request(job, boards=boards))
    programs = [name for name in without.files if name.startswith("programs/")]
    assert [name for name in made.files if name.startswith("programs/")] == programs
    assert all(made.files[name] == without.files[name] for name in programs)
    assert list(made.packet.boards) == ["plank 1", "plank 3"]
    [warning] = [f for f in made.findings if f.rule == "board-left-out"]
    assert (warning.level, warning.message.startswith("plank 2 is left out")) == ("warn", True)
    assert "Left out, in no file here: plank 2" in made.files["sheet.html"].decode()
    assert [f.rule for f in made.left_out["plank 2"] if f.level == "refuse"] == ["board-too-thin"]


def test_a_job_with_no_board_left_is_refused(tmp_path: Path) -> None:
    """Where every board is refused there is nothing to deliver, left out or not."""
    request = run.Request(boards_job(tmp_path, 2, {1: 12.0, 2: 13.0}))
    with pytest.raises(Refused) as caught:
        batching.make(request, LEFT_OUT)
    assert len([f for f in caught.value.findings if f.rule == "board-too-thin"]) == 2


def test_what_the_shop_lacks_is_told_once(tmp_path: Path) -> None:
    """A cutter without a marked speed refuses every board, and is named once, not once a board."""
    job = boards_job(tmp_path, 3)
    shop = tmp_path / "shop.yaml"
    shop.write_text(shop.read_text().replace("    marked-max: 18000 rpm\n", ""))
    with pytest.raises(Refused) as caught:
        batching.make(run.Request(job))
    assert [f.rule for f in caught.value.findings if f.level == "refuse"] == ["speed-not-marked"]


@pytest.mark.wide
def test_the_call_says_it_loudly(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Refused as a whole, exit code 1, nothing written; with the option the rest, and who is missing."""
    job, out = boards_job(tmp_path, 3, {2: 12.0}), tmp_path / "out"
    assert cli.main(["make", str(job), "--out", str(out)]) == 1
    assert not out.exists()
    assert "plank 2" in capsys.readouterr().err
    assert cli.main(["make", str(job), "--out", str(out), "--leave-out-refused"]) == 0
    said = capsys.readouterr()
    assert "LEFT OUT, and in no program of this packet: plank 2" in said.out
    assert said.err == ""
    assert cli.main(["make", str(job), "--out", str(out), "--leave-out-refused", "--force", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [f["rule"] for f in answer["left_out"]["plank 2"] if f["level"] == "refuse"] == ["board-too-thin"]
