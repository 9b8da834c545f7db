"""A cutter that bends gets less depth and a second last pass, and the sheet says why."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from cutters import end_mill
from example_jobs import bound
from setups import edge_setup, shop
from stockwright.budget.sums import budget
from stockwright.budget.work import work_of
from stockwright.cutting import cut
from stockwright.forces.bending import tip_bends
from stockwright.forces.mechanics import FACTOR, PRESSURE, side_force
from stockwright.job import EdgeStep, Tolerance
from stockwright.motion.moves import moves
from stockwright.planning import plan
from stockwright.planning.long_cutters import bending_notes, for_its_cutter
from stockwright.planning.setup import EdgeCut

if TYPE_CHECKING:
    from stockwright.tooling import Tool

STIFF = end_mill(stickout=45.0)
LIMP = end_mill(diameter=6.0, shank=6.0, stickout=60.0, cutting_length=45.0)


def edge(tool: Tool, **changes: object) -> EdgeCut:
    """Give a side's cut with this cutter, 30 mm high."""
    [made] = edge_setup(tool=tool, ceiling=30.0).cuts
    assert isinstance(made, EdgeCut)
    return replace(made, side="edge-2", name="edge-2", light=0.4, **changes)  # type: ignore[arg-type]


def step(tool: Tool, spring: bool | None = None) -> EdgeStep:
    """Give the step that the cut is for."""
    return EdgeStep("edge-2", tool, None, 4.8, 7.0, 0.5, 0.4, (), spring)


def test_a_stiff_cutter_keeps_its_depth_and_one_last_pass() -> None:
    """Sticking out 45 mm, a 12 mm cutter is left as the recipe has it, and nothing is said."""
    made = for_its_cutter(edge(STIFF), step(STIFF), Tolerance(squareness=0.3))
    assert (made.spring, made.stepdown) == (False, edge(STIFF).stepdown)
    assert bending_notes((made,), (step(STIFF),), "mm") == ()


def test_a_limp_cutter_gets_a_second_last_pass_and_less_depth() -> None:
    """A 6 mm cutter of steel 60 mm out: the last pass runs twice, and depths bend it by half of 0.4 mm."""
    made = for_its_cutter(edge(LIMP), step(LIMP), Tolerance(squareness=0.3))
    assert made.spring
    assert made.stepdown < 7.0
    force = side_force(LIMP, min(made.stepover, 0.9 * LIMP.radius), made.stepdown, PRESSURE, FACTOR)
    assert tip_bends(LIMP, force) <= 0.2 + 1e-9
    twice, less = bending_notes((made,), (step(LIMP),), "mm")
    assert "run twice" in twice
    assert "would bend into the wall" in less


def test_dense_wood_bends_a_cutter_more() -> None:
    """White oak, of gravity 0.68, not 0.6, has shallower depths and more bending to expect."""
    job, _ = bound()
    steps = tuple(replace(s, tool=LIMP) if isinstance(s, EdgeStep) else s for s in job.steps)
    depths, bends = [], []
    for species in (None, "oak-white"):
        [board] = job.boards
        board = replace(board, species=species)
        setups = plan(replace(job, boards=(board,), steps=steps)).setups
        depths.append([c.stepdown for s in setups for c in s.cuts if isinstance(c, EdgeCut)])
        said = [n for s in setups for n in s.notes if "may lean the wall" in n]
        assert len(said) == 4
        sums = budget(job.shop, work_of(job, setups, board))
        bends.append(
            [p.size for s in sums if s.name == "squareness" for p in s.parts if "bending" in p.words]
        )
    harder = 0.68 / 0.6
    assert depths[0] == pytest.approx([harder * each for each in depths[1]])
    assert bends[1]
    assert all(dense > plain for plain, dense in zip(*bends, strict=True))


def test_the_recipes_own_word_on_it_stands() -> None:
    """`spring: no` keeps a limp cutter at one pass, `spring: yes` gives a stiff one two."""
    tolerance = Tolerance(squareness=0.3)
    assert not for_its_cutter(edge(LIMP), step(LIMP, spring=False), tolerance).spring
    assert for_its_cutter(edge(STIFF), step(STIFF, spring=True), tolerance).spring


def test_a_tighter_tolerance_asks_for_a_second_pass_sooner() -> None:
    """What 0.3 mm lets pass in one, 0.02 mm does not."""
    tight = Tolerance(squareness=0.02)
    assert for_its_cutter(edge(STIFF), step(STIFF), tight).spring


@pytest.mark.parametrize("times", [1, 2])
def test_the_last_pass_runs_at_the_same_place(times: int) -> None:
    """The cut's last pass lies on the wall's own line once, or twice where a second one is asked."""
    setup = edge_setup(ceiling=30.0)
    [bare] = setup.cuts
    assert isinstance(bare, EdgeCut)
    setup = replace(setup, cuts=(replace(bare, spring=times == 2),))
    path = moves(cut(setup, shop(), 0.01)[1])
    line = np.asarray(bare.line)
    way = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    out = np.array([way[1], -way[0]]) if bare.inside == "left" else np.array([-way[1], way[0]])
    off = [abs((ends[:, :2] - line[0]) @ out - bare.tool.radius) < 0.02 for ends in (path.start, path.end)]
    long = np.linalg.norm((path.end - path.start)[:, :2], axis=1) > 100
    assert int((off[0] & off[1] & long & ~path.rapid).sum()) == times
