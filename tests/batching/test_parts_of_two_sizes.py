"""Two parts of one recipe, from the job to the packet: each its own size, told wherever a board is told."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES
from stockwright import run
from stockwright.batching import How, make
from stockwright.batching.doing import Work
from stockwright.batching.keeping import keys
from stockwright.batching.shares import clampings, shares
from stockwright.findings import Refused

if TYPE_CHECKING:
    from stockwright.batching import Delivery

JOB = """\
stockwright: job/1
name: two thicknesses
recipe: both-faces
shop: shop.yaml
boards:
  - {board: board-1.yaml, part: shelf}
  - {board: board-5.yaml, part: plate rail, set: {thickness: %s}}
set: {thickness: 20 mm}
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Copy a shop and two boards."""
    made = tmp_path_factory.mktemp("parts")
    for name in ("shop.yaml", "board-1.yaml", "board-5.yaml"):
        shutil.copy(EXAMPLES / "spice-rack" / name, made)
    return made


def asked(folder: Path, thickness: str) -> run.Request:
    """Ask for a job whose second part is so thick."""
    (folder / "job.yaml").write_text(JOB % thickness, encoding="utf-8")
    return run.Request(job=folder / "job.yaml")


@pytest.fixture(scope="module")
def delivery(folder: Path) -> Delivery:
    """Make the packet, each board by itself."""
    return make(asked(folder, "19 mm"), How(processes=1))


def test_the_packet_says_of_each_board_its_part_and_size(delivery: Delivery) -> None:
    """packet.json has both names and both sizes, and the simulated boards come out so."""
    packet = delivery.packet
    assert {name: (w.part, w.thickness) for name, w in packet.wanted.items()} == {
        "shelf 1": ("shelf", 20.0),
        "shelf 5": ("plate rail", 19.0),
    }
    assert packet.proof.verdict == "proven"
    for name, thickness in (("shelf 1", 20.0), ("shelf 5", 19.0)):
        assert packet.finished[name].thickness == pytest.approx((thickness, thickness), abs=0.01)


def test_first_page_and_terminal_tell_the_cut_list(delivery: Delivery) -> None:
    """The sheet's first page and what the terminal says name each part with its size."""
    page = delivery.files["sheet.html"].decode()
    assert "shelf: as it is × as it is × 20" in page
    assert "plate rail: as it is × as it is × 19" in page
    assert delivery.pieces[0].startswith("  shelf 1, shelf, as it is x as it is x 20")
    assert delivery.pieces[1].startswith("  shelf 5, plate rail, as it is x as it is x 19")
    told = "\n".join(delivery.lines(Path("made")))
    assert "shelf 1, shelf, in the simulated board: " in told
    assert "shelf 5, plate rail, in the simulated board: " in told


def test_together_and_by_itself_each_board_comes_out_the_same(folder: Path, delivery: Delivery) -> None:
    """The job in one go gives the packet that its boards give apart, byte for byte."""
    whole = run.make(asked(folder, "19 mm"))
    assert sorted(whole.files) == sorted(delivery.files)
    assert [name for name in whole.files if whole.files[name] != delivery.files[name]] == []


def test_one_part_changed_does_only_its_boards_again(folder: Path) -> None:
    """What is kept of the other part, for a run that is stopped, still holds."""
    kept = []
    for thickness in ("19 mm", "18 mm"):
        job, post = run.bound(asked(folder, thickness))
        runs = [clampings(job, board, planned=False) for board in range(2)]
        kept.append(keys(Work(job, post, asked(folder, thickness)), shares(job, runs)))
    assert kept[0][0] == kept[1][0]
    assert kept[0][1] != kept[1][1]


def test_a_size_that_one_part_cannot_give_is_no_size_for_all(folder: Path) -> None:
    """A rail too thick for its board is refused by itself, and no common size is offered for two parts."""
    with pytest.raises(Refused) as caught:
        make(asked(folder, "30 mm"), How(processes=1))
    (found,) = [f for f in caught.value.findings if f.rule == "board-too-thin"]
    assert "shelf 5" in found.message
    assert "every board of this job" not in found.remedy
