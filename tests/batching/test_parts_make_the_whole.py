"""Boards done each by itself make the packet that the whole job makes, whoever does them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES
from many_boards import boards_job, dies_in_a_process, doubled, fails_at_two
from stockwright import batching, run
from stockwright.batching.spreading import EACH, spread

if TYPE_CHECKING:
    from pathlib import Path

BED = "  - {bed: surface, tool: facer, take: 1 mm}"


@pytest.mark.wide
def test_parts_are_the_whole_job(tmp_path: Path) -> None:
    """Three boards and the bed, each by itself, make byte for byte the packet of the job done in one go."""
    request = run.Request(boards_job(tmp_path, 3, more=BED))
    apart, whole = batching.make(request), run.make(request)
    assert sorted(apart.files) == sorted(whole.files)
    assert [name for name in whole.files if whole.files[name] != apart.files[name]] == []
    assert set(apart.findings) == set(whole.checked.findings)


@pytest.mark.wide
def test_every_second_board_turned_over_is_too() -> None:
    """Boards that lie the other way up by their place in the job come out as they do in one go."""
    request = run.Request(EXAMPLES / "glue-room" / "shelf-boards.yaml")
    apart, whole = batching.make(request), run.make(request)
    assert [name for name in whole.files if whole.files[name] != apart.files[name]] == []


@pytest.mark.wide
def test_processes_change_no_byte(tmp_path: Path) -> None:
    """One process and two make the same packet, and two have had boards to do."""
    request = run.Request(boards_job(tmp_path, 2 * EACH))
    told: list[tuple[int, int]] = []
    one = batching.make(request, batching.How(processes=1))
    two = batching.make(
        request, batching.How(processes=2, tell=lambda done, of, _name, _how: told.append((done, of)))
    )
    assert one.files == two.files
    assert told == [(number, 2 * EACH) for number in range(1, 2 * EACH + 1)]


@pytest.mark.wide
def test_files_are_listed_in_the_order_they_are_run(tmp_path: Path) -> None:
    """With ten setups and more a folder, which sorts by letters, still lists the first one first."""
    made = batching.make(run.Request(boards_job(tmp_path, 5)))
    run_in_order = [program.file for setup in made.packet.setups for program in setup.programs]
    assert len(made.packet.setups) == 10
    assert sorted(run_in_order) == run_in_order


def test_a_process_that_dies_loses_nothing() -> None:
    """Where a process is killed in the middle, what is left is done here: every share has its result once."""
    found = list(spread(dies_in_a_process, 100, range(6), 2))
    assert sorted(found) == [(share, doubled(100, share)) for share in range(6)]


def test_a_fault_in_a_process_is_told() -> None:
    """What fails in another process fails here, and is not taken for a process that died."""
    with pytest.raises(ZeroDivisionError):
        list(spread(fails_at_two, 100, range(6), 2))


def test_a_single_board_goes_the_plain_way(tmp_path: Path) -> None:
    """A job of one board is done in one go, and its packet is the one of the plain flow."""
    request = run.Request(boards_job(tmp_path, 1))
    assert batching.make(request, batching.How(processes=2)).files == run.make(request).files
