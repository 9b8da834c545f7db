"""What the stages made becomes the packet's own account of itself."""

from __future__ import annotations

import dataclasses
import hashlib
from typing import TYPE_CHECKING

import numpy as np
import pytest

from sample_packet import sample
from sample_setups import PIECE, board
from stockwright.packet import model
from stockwright.packet.assemble import Emitted, assemble
from stockwright.packet.model import dump_packet, load_packet
from stockwright.packet.refused import as_findings

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.posting.files import Written


def unread(files: Mapping[str, Written]) -> Emitted:
    """Give these files as written by a post that names no reader."""
    return Emitted("rs274-ngc", None, files)


def test_a_packet_reads_back_as_itself() -> None:
    """Written and read again, nothing of the packet has changed."""
    packet = sample().packet
    assert load_packet(dump_packet(packet)) == packet


def test_equal_jobs_give_equal_bytes() -> None:
    """Assembled twice from the same values, the packet's text is the same to the byte."""
    assert dump_packet(sample().packet) == dump_packet(sample().packet)


def test_every_program_is_named_with_the_digest_of_its_text() -> None:
    """A program's entry names its file in the folder of programs and the SHA-256 of its bytes."""
    made = sample()
    by_file = {f"programs/{name}": text for name, text, *_ in made.files.values()}
    programs = [program for setup in made.packet.setups for program in setup.programs]
    assert [p.file for p in programs] == list(by_file)
    for program in programs:
        assert program.digest == "sha256:" + hashlib.sha256(by_file[program.file].encode()).hexdigest()


def test_the_board_goes_in_as_measured() -> None:
    """Readings, outline and uncertainty are the board's own, in its own frame."""
    measured, given = sample().packet.boards["ash plank 3"], board()
    assert np.array_equal(measured.top, given.top)
    assert np.allclose(measured.bottom, given.bottom, atol=1e-6)
    assert np.array_equal(measured.outline, given.outline)
    assert measured.uncertainty == pytest.approx(0.2)


def test_a_board_with_too_many_readings_is_thinned_and_less_certain() -> None:
    """Beyond the published bound rows are left out, and what they said is still within the uncertainty."""
    made = sample()
    x, y = np.linspace(0, 1182, 400), np.linspace(0, 228, 101)
    top = 40 + np.sin(x[:, None] / 9.0) + 0 * y[None, :]
    dense = dataclasses.replace(board(), x=x, y=y, top=top, bottom=np.zeros_like(top))
    job = dataclasses.replace(made.job, boards=(dense,))
    thinned = assemble(job, made.setups, made.programs, (), unread(made.files)).boards[dense.name]
    assert len(thinned.x) * len(thinned.y) <= model.GRID_POINTS
    assert (thinned.x[0], thinned.x[-1]) == (0, 1182)
    read = np.interp(x, thinned.x, [row[0] for row in thinned.top])
    assert np.abs(read - top[:, 0]).max() <= thinned.uncertainty - 0.2 + 1e-5
    assert thinned.uncertainty > 0.2


def test_lies_carries_the_board_into_the_work_frame() -> None:
    """The fourth setup's matrix puts the piece's corner where edge-1 meets the fence."""
    [lie] = sample().packet.setups[3].lies
    x, y, *_ = np.array(lie.matrix) @ np.array([*PIECE, 38.0, 1.0])
    assert (x, y) == pytest.approx((1176.0, 0.0), abs=0.2)


def test_a_finding_names_the_file_a_reader_sees() -> None:
    """A check knows a program by its stem; the packet gives the file."""
    assert sample().packet.findings[0].program == "programs/s2-face-b.ngc"


def test_only_cutters_in_use_are_listed() -> None:
    """A tool that no program asks for is not part of the packet."""
    made = sample()
    only = assemble(made.job, made.setups[:2], made.programs[:2], (), unread(made.files))
    assert list(only.tools) == ["wide-facer"]


def test_the_proof_is_added_and_nothing_else_changes() -> None:
    """With the proof come its verdict, each program's own and the finished sizes; the facts stay."""
    made = sample(verdict="refused")
    plain = assemble(made.job, made.setups, made.programs, made.findings, unread(made.files))
    assert made.packet.proof.verdict == "refused"
    assert {p.verdict for s in made.packet.setups for p in s.programs} == {"refused"}
    assert {p.verdict for s in plain.setups for p in s.programs} == {"unproven"}
    assert (made.packet.boards, made.packet.tools) == (plain.boards, plain.tools)


def test_what_nobody_can_read_is_no_fault_of_the_plan() -> None:
    """Where no reader reads a program another post is the cure; any other reason is our own fault."""
    reasons = [model.Reason(rule=rule, setup=1, message="...") for rule in ("no-reader", "loose-piece")]
    proof = sample().packet.proof.model_copy(update={"reasons": reasons})
    unread, loose = as_findings(sample().packet.model_copy(update={"proof": proof}))
    assert unread.remedy.startswith("choose another post")
    assert (unread.measured, unread.limit) == (0.0, 1.0)
    assert "fault of the tool" in loose.remedy


def test_a_program_that_was_not_written_is_an_error() -> None:
    """A program without its text can not get into a packet unnoticed."""
    made = sample()
    few = unread({k: v for k, v in made.files.items() if k != "s1-face-a"})
    with pytest.raises(KeyError, match="s1-face-a"):
        assemble(made.job, made.setups, made.programs, (), few)
