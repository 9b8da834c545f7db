"""Sides cut in the clamping in which the face was: the wood that is left of it is as high as the face."""

from __future__ import annotations

from typing import TYPE_CHECKING

from small_jobs import written
from stockwright.planning.setup import EdgeCut, FaceCut, WallGoal
from stockwright.run import Request, check, write_and_prove

if TYPE_CHECKING:
    from pathlib import Path

TAPE = "tape: {kind: tape, count: 6, width: 40 mm, thickness: 0.2 mm, shear: 0.05 N/mm2, lift: 0.05 N/mm2}"
SIDES = """
  - {end: end-1, tool: edge-cutter}
  - {end: end-2, tool: edge-cutter, to: "=length"}
  - {edge: edge-1, tool: edge-cutter}
  - {edge: edge-2, tool: edge-cutter, to: "=width"}
"""


def test_a_face_and_all_sides_in_one_clamping_are_proven(tmp_path: Path) -> None:
    """Walls and levels of the sides begin at the fresh face, so that what the facer takes is no wall."""
    job = written(
        tmp_path,
        steps="below",
        more_hold_downs=TAPE,
        board="240 mm 120 mm 26 mm",
        size="200 mm 90 mm 18 mm",
    )
    recipe = tmp_path / "small.yaml"
    text = recipe.read_text(encoding="utf-8").rstrip() + SIDES
    recipe.write_text(
        text.replace("finished: {", 'finished: {length: "=length", width: "=width", '), encoding="utf-8"
    )
    request = Request(job)
    checked = check(request)
    last = checked.plan.setups[-1]
    [face] = [cut.z for cut in last.cuts if isinstance(cut, FaceCut)]
    assert {cut.ceiling for cut in last.cuts if isinstance(cut, EdgeCut)} == {face}
    assert {goal.z[1] for goal in last.goals if isinstance(goal, WallGoal)} == {face}
    assert write_and_prove(checked, request).packet.proof.verdict == "proven"
