"""Of the shop's clamps for the face as many are set as the cut asks for, and no more."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from cutters import end_mill
from small_jobs import said_of, written
from stockwright.forces.mechanics import force_of_teeth, peak_tooth_force
from stockwright.planning import plan
from stockwright.run import Request, bound

if TYPE_CHECKING:
    from pathlib import Path

LONG = {"steps": "side", "clamps": "4", "board": "420 mm 110 mm 25 mm", "size": "400 mm 100 mm 25 mm"}


def arms(folder: Path, **changes: str) -> int:
    """Give how many clamps a job sets."""
    job, _ = bound(Request(written(folder, **LONG | changes)))
    [setup] = plan(job).setups
    return sum(solid.name.endswith(" arm") for solid in setup.solids)


def test_strong_clamps_are_two_and_weak_ones_more(tmp_path: Path) -> None:
    """Where two hold, two are set though four are there; where they do not, a third or fourth is."""
    assert arms(tmp_path) == 2
    assert arms(tmp_path, press="500 N") > 2
    assert arms(tmp_path, press="500 N", clamps="2") == 2


def test_more_clamps_hold_what_two_do_not(tmp_path: Path) -> None:
    """A job that two clamps cannot hold is refused with two, and clean where the shop has four."""
    weak = LONG | {"press": "500 N"}
    assert {f.rule for f in said_of(written(tmp_path, **weak | {"clamps": "2"}))} == {"holding-too-weak"}
    assert said_of(written(tmp_path, **weak)) == ()


def test_no_more_are_set_than_go_side_by_side(tmp_path: Path) -> None:
    """Where all would not be enough, as many are set as have room, and the check refuses."""
    weak = LONG | {"press": "100 N", "clamps": "12", "clamp_width": "80 mm"}
    assert 2 < arms(tmp_path, **{key: weak[key] for key in ("press", "clamps", "clamp_width")}) < 6
    assert {f.rule for f in said_of(written(tmp_path, **weak))} >= {"holding-too-weak"}


def test_clamps_too_wide_to_stand_side_by_side_are_refused(tmp_path: Path) -> None:
    """Two that would overlap are refused with the width that does, and that width does."""
    wide = {"steps": "side", "clamp_width": "110 mm"}
    [finding] = said_of(written(tmp_path, **wide))
    assert finding.rule == "no-room-for-clamps"
    most = float(finding.remedy.split(" mm wide")[0].rsplit(" ", 1)[1])
    assert said_of(written(tmp_path, **wide | {"clamp_width": f"{most:g} mm"})) == ()


def test_a_cut_pushes_with_all_teeth_in_it_at_their_peak() -> None:
    """Half a cutter of two flutes has one tooth in the cut at its full feed, all of it three."""
    one = force_of_teeth(end_mill(flutes=2), 30.0, 6.0, 10.0, 0.1)
    assert one == pytest.approx(peak_tooth_force(30.0, 10.0, 0.1))
    assert force_of_teeth(end_mill(flutes=6), 30.0, 12.0, 10.0, 0.1) == pytest.approx(3 * one)
