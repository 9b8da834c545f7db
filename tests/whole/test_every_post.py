"""Every installed post through the whole pipeline: each example job, both units, proven from its text.

And the text of every program is compared with the neutral motion it was written from, move by move.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
import yaml

from example_jobs import EXAMPLES, STAIR_TREAD
from small_jobs import written
from stockwright.findings import Refused
from stockwright.motion.moves import moves
from stockwright.packet.sheet import sheet
from stockwright.posting import found, load_post
from stockwright.proving.readers import READERS
from stockwright.run import Request, check, write_and_prove

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.motion.nodes import Program
    from stockwright.posting import Post, Units

EXPECTED: dict[str, str] = yaml.safe_load((EXAMPLES / "expected.yaml").read_text())
# A dialect of the shop's own with all that differs most: frames, files, waits, stops, spelling.
RETROFIT = """\
stockwright: post/1
name: barn-retrofit
about: An old retrofit with little memory and a dust gate.
extends: spelled-out
units: inch
line-number-step: 1
line-number-limit: 9999
comments: none
retract: machine
retract-z: -0.2 in
machine-zero: {x: 0 mm, y: 0 mm, z: 165 mm}
rapid-feed: 3 m/min
stops-trusted: no
dust-on: M8
dust-off: M9
dust-on-delay: 2 s
file-lines: 120
"""


def same_motion(post: Post, program: Program, text: str, units: Units) -> None:
    """Compare what a text does with what was asked, to the post's resolution, for every move."""
    reading = READERS[str(post.reader)](text)
    assert reading.unread == ()
    asked, step = moves(program), post.resolution(units)
    nowhere = -(10**9)  # a count that stands for an axis not yet named
    counts = np.nan_to_num(np.rint(asked.end / step), nan=nowhere)
    before = np.vstack([np.full(3, nowhere), counts[:-1]])
    keep = (counts != before).any(axis=1)
    got = np.nan_to_num(reading.moves.end / step, nan=nowhere)
    assert len(got) == keep.sum()
    assert np.abs(got - counts[keep]).max() < 1e-3  # of a step
    assert (reading.moves.rapid == asked.rapid[keep]).all()
    slow = ~asked.rapid[keep]
    assert reading.moves.feed[slow] == pytest.approx(asked.feed[keep][slow], rel=0.013)


def judged(name: str, job: Path, units: Units, expected: str = "proven") -> None:
    """Write a job and see it proven, and every program of it the motion that was asked for.

    Or see it refused, for the reason that is expected.
    """
    request = Request(job, post=name, units=units)
    if expected != "proven":
        with pytest.raises(Refused) as refused:
            write_and_prove(check(request), request)
        assert expected in {f.rule for f in refused.value.findings if f.level == "refuse"}
        return
    checked = check(request)
    written = write_and_prove(checked, request)
    assert written.packet.proof is not None
    assert written.packet.proof.verdict == "proven"
    post = load_post(name)
    for group in checked.programs:
        for program in group:
            text = written.texts[f"programs/{post.file_name(program.stem)}"]
            assert text.isascii()
            same_motion(post, program, text, units)


@pytest.mark.parametrize(
    ("name", "units"),
    [
        pytest.param(name, units, marks=pytest.mark.wide if (at + (units == "inch")) % 2 else ())
        for at, name in enumerate(found())
        for units in ("mm", "inch")
    ],
)
def test_a_short_job_is_proven_through_every_post(name: str, units: Units, tmp_path: Path) -> None:
    """All sides of a short board for every post and unit: proven, and the motion that was asked for."""
    judged(name, written(tmp_path), units)


@pytest.mark.sweep
@pytest.mark.parametrize("units", ["mm", "inch"])
@pytest.mark.parametrize("job", sorted(EXPECTED))
@pytest.mark.parametrize("name", found())
def test_every_job_comes_through_every_post(name: str, job: str, units: Units) -> None:
    """All posts x all example jobs x both units."""
    judged(name, EXAMPLES / job, units, EXPECTED[job])


def test_a_retrofit_of_the_shops_own_is_proven_file_by_file(tmp_path: Path) -> None:
    """Machine frame, dust gate, feeds for rapids, no stops, short files: proven, and the sheet says so."""
    profile = tmp_path / "barn-retrofit.yaml"
    profile.write_text(RETROFIT, encoding="utf-8")
    request = Request(STAIR_TREAD, post=str(profile), units="inch")
    checked = check(request)
    made = write_and_prove(checked, request)
    assert made.packet.proof is not None
    assert made.packet.proof.verdict == "proven"
    assert made.packet.machine.zero == (0.0, 0.0, 165.0)
    files = made.texts
    assert all(text.isascii() for text in files.values())
    assert max(text.count("\n") for text in files.values()) <= 120
    assert any("part-2" in name for name in files)
    assert not [name for name, text in files.items() if "G00 X" in text or "M00" in text]
    for name, text in files.items():
        lines = [line.partition(" ")[2] for line in text.splitlines()]
        assert sum(line.startswith("G53 G01 Z-0.2000") for line in lines) == 2, name
        assert lines[0] == "G20"
        if "S12000" in text or "M03" in text:
            assert lines.count("M08" if "M08" in lines else "M8") == 1
    page = sheet(made.packet, made.moves, "inch", made.extras, made.pictures)
    assert len(checked.said_otherwise) == 4
    assert list(checked.said_otherwise) == made.packet.said_otherwise
    for sentence in checked.said_otherwise:
        assert sentence.replace("'", "&#39;") in page


def test_a_machine_zero_that_is_wrong_is_found_out(tmp_path: Path) -> None:
    """75 mm higher the first move would leave the travel; 75 mm lower it would pass through the board."""
    for z, rule in ((240, "leaves-the-travel"), (90, "starts-from-unknown-place")):
        profile = tmp_path / f"barn-{z}.yaml"
        profile.write_text(RETROFIT.replace("z: 165 mm", f"z: {z} mm"), encoding="utf-8")
        request = Request(STAIR_TREAD, post=str(profile), units="inch")
        with pytest.raises(Refused) as refused:
            write_and_prove(check(request), request)
        assert rule in {finding.rule for finding in refused.value.findings}
