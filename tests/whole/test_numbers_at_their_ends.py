"""Numbers that no sensible document says: each a clear mistake, a refusal with its numbers, or done right."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from made_packets import proven_job
from small_jobs import written
from stockwright import run
from stockwright.findings import Refused
from stockwright.mistakes import InputError
from stockwright.run import Request

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

BOARD, SHOP, JOB = "board.yaml", "shop.yaml", "job.yaml"
LENGTH, WIDE = "length: 390 mm", "width: 140 mm"
# What is put in place of what, in which document, and the code or the rule that must be among what is said;
# "done" where the job is to be made.
CASES = [
    *((JOB, LENGTH, f"length: {number} mm", "wrong-type") for number in ("nan", "inf", "-inf")),
    *((JOB, LENGTH, f"length: {number} mm", "unknown-unit") for number in ("1e308", "1e999", "1e-308")),
    (JOB, LENGTH, f"length: {'9' * 40} mm", "out-of-range"),
    (JOB, LENGTH, f"length: {'9' * 400} mm", "wrong-type"),
    (JOB, LENGTH, "length: 390.000000000000000000001 mm", "done"),
    (JOB, LENGTH, "length: 0.000001 mm", "out-of-range"),
    (JOB, LENGTH, "length: -0 mm", "out-of-range"),
    (JOB, LENGTH, "length: -390 mm", "out-of-range"),
    (JOB, LENGTH, "length: 100000.1 mm", "out-of-range"),
    (JOB, LENGTH, "length: 1/0 mm", "wrong-type"),
    (JOB, LENGTH, "length: 15 45/127 in", "done"),  # 390 mm to a millionth: read exactly
    (JOB, LENGTH, "length: 419.5 mm", "done"),  # 0.25 mm off each end, less than the last pass takes
    (JOB, "width: 118 mm", "width: 140 mm", "nothing-to-cut"),  # as wide as the board
    (BOARD, WIDE, "width: 0 mm", "out-of-range"),
    (BOARD, WIDE, "width: -0 mm", "out-of-range"),
    (BOARD, WIDE, "width: 0.001 mm", "board-too-narrow"),
    (BOARD, WIDE, "width: 4900 mm", "leaves-the-travel"),
    (BOARD, WIDE, "width: 700 mm", "leaves-the-travel"),
    (BOARD, WIDE, "width: 5100 mm", "out-of-range"),
    (BOARD, "thickness: 36 mm", "thickness: 401 mm", "out-of-range"),
    (BOARD, "thickness: 36 mm", "thickness: 390 mm", "leaves-the-travel"),
    (BOARD, "thickness: 36 mm", "thickness: 0.01 mm", "board-too-thin"),
    (BOARD, "length: 420 mm", "length: 31 m", "out-of-range"),
    (SHOP, "friction: 0.2", "friction: 0", "out-of-range"),
    (SHOP, "friction: 0.2", "friction: 1e-300", "unknown-unit"),
    (SHOP, "friction: 0.2", "friction: 0.000000001", "holding-too-weak"),
    (SHOP, "press: 1400 N", "press: 0 N", "out-of-range"),
    (SHOP, "press: 1400 N", "press: 9999999999 N", "out-of-range"),
    (SHOP, "push: 300 N", "push: 0.000001 N", "holding-too-weak"),
    (SHOP, "stepover: 70 %", "stepover: 0 %", "out-of-range"),
    (SHOP, "stepover: 70 %", "stepover: -0 %", "out-of-range"),
    (SHOP, "stepover: 70 %", "stepover: 0.0001 %", "out-of-range"),  # passes without end
    (SHOP, "stepover: 70 %", "stepover: 101 %", "out-of-range"),
    (SHOP, "stepover: 70 %", "stepover: 100 %", "done"),
    (SHOP, "stepdown: 2 mm", "stepdown: 0 mm", "out-of-range"),
    (SHOP, "stepdown: 2 mm", "stepdown: 0.00001 mm", "out-of-range"),  # levels without end
    (SHOP, "stepdown: 2 mm", "stepdown: 999 mm", "no-feed-will-do"),  # so deep there is no power for a chip
    (SHOP, "diameter: 50 mm", "diameter: 0 mm", "out-of-range"),
    (SHOP, "diameter: 50 mm", "diameter: 700 mm", "no-tool-for-role"),  # wider than the board is long
    (SHOP, "diameter: 12 mm", "diameter: 0.001 mm", "no-tool-for-role"),
    (SHOP, "diameter: 50 mm", "diameter: 50 mm\n    corner-radius: 24 mm", "contradiction"),  # 2 mm flat
    (SHOP, "diameter: 50 mm", "diameter: 50 mm\n    corner-radius: 23.9 mm", "depth-beyond-cutter"),
    (SHOP, "diameter: 12 mm", "diameter: 12 mm\n    corner-radius: 6.1 mm", "contradiction"),
    (SHOP, "overall-length: 90 mm", "overall-length: 9 mm", "contradiction"),  # it cuts 42 mm deep
    (SHOP, "overall-length: 90 mm", "overall-length: 42 mm", "contradiction"),
    (SHOP, "overall-length: 90 mm", "overall-length: 60 mm\n    stickout: 60 mm", "contradiction"),
    (SHOP, "overall-length: 70 mm", "overall-length: 26 mm", "contradiction"),  # all of it in the collet
    (SHOP, "shank: 12 mm", "shank: 0 mm", "out-of-range"),
    (SHOP, "margin: 3 mm", "margin: 99 m", "no-hold-down"),
    (SHOP, "body-depth: 30 mm", "body-depth: 99 m", "out-of-range"),
    (SHOP, "body-depth: 30 mm", "body-depth: 4.9 m", "leaves-the-travel"),
    (SHOP, "speed: 12000 rpm", "speed: 0 rpm", "out-of-range"),
    (SHOP, "feed: 4 m/min", "feed: 0 m/min", "out-of-range"),
    (SHOP, "feed: 4 m/min", "feed: 99999999 m/min", "out-of-range"),
    (SHOP, "acceleration: 400", "acceleration: 0", "out-of-range"),
    (SHOP, "acceleration: 400", "acceleration: 999999999", "done"),
    (SHOP, "power: 1500 W", "power: 0 W", "out-of-range"),
    (SHOP, "count: 4, length: 50 mm", "count: 0, length: 50 mm", "out-of-range"),
    (SHOP, "count: 4, length: 50 mm", "count: 999, length: 50 mm", "done"),
    (SHOP, "count: 4, length: 50 mm", "count: 1000, length: 50 mm", "out-of-range"),
]


def outcome(job: Path) -> set[str]:
    """Return the codes of the mistakes, the rules that refuse, or "done"."""
    try:
        proven_job(Request(job))
    except InputError as error:
        return {each.code for each in error.mistakes}
    except Refused as refused:
        return {each.rule for each in refused.findings if each.level == "refuse"}
    return {"done"}


def changed(folder: Path, document: str, changes: Mapping[str, str]) -> Path:
    """Write the small job with some words of one document changed."""
    job = written(folder)
    text = (folder / document).read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new, 1)
    (folder / document).write_text(text, encoding="utf-8")
    return job


@pytest.mark.parametrize(("document", "old", "new", "said"), CASES)
def test_a_number_at_its_end(document: str, old: str, new: str, said: str, tmp_path: Path) -> None:
    """What it comes to is said by the word that belongs to it."""
    assert said in outcome(changed(tmp_path, document, {old: new}))


def test_thousands_of_zones_are_a_mistake_and_soon_told(tmp_path: Path) -> None:
    """A recipe with three thousand places where clamps may stand, each another."""
    zones = "".join(f"  zone-a{number}: {{where: face}}\n" for number in range(3000))
    job = changed(tmp_path, "small.yaml", {"holding:\n": f"holding:\n{zones}"})
    assert "wrong-count" in outcome(job)


@pytest.mark.parametrize(
    ("row", "code"),
    [("1e6,0,1,30", "csv"), ("40000,0,1,30", "out-of-range"), ("0,50,1,3850", "out-of-range")],
)
def test_points_out_of_this_world_are_a_mistake(row: str, code: str, tmp_path: Path) -> None:
    """A table with one place a kilometre off, a board of forty metres, one with a spike of four."""
    job = written(tmp_path)
    rows = [f"{x},{y},1,30" for x in (0, 200, 400) for y in (0, 60, 120)]
    (tmp_path / "points.csv").write_text("\n".join(["x,y,bottom,top", *rows, row]), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        run.check(Request(job, boards=(tmp_path / "points.csv",)))
    assert {each.code for each in caught.value.mistakes} == {code}
