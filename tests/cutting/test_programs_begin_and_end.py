"""Programs: begun raised, ended raised and parked, named in the order they are run, the same every time."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from cutters import end_mill, facer
from setups import edge_setup, face_setup, rectangle, shop, solid
from stockwright.cutting import cut
from stockwright.cutting.path import Path as Moved
from stockwright.cutting.program import stem
from stockwright.cutting.steps import Steps, high_levels, levels, share
from stockwright.motion.moves import moves
from stockwright.motion.nodes import Feed, Rapid, Remark, SpindleOff, SpindleOn, UseTool
from stockwright.motion.stems import LONGEST_STEM
from sweeps import INCH, MM


@pytest.mark.parametrize("resolution", [MM, INCH])
def test_a_cutting_program_begins_raised_and_ends_parked(resolution: float) -> None:
    """Tool, raise alone, turn, over the place; at the end raise, stop, park."""
    setup = face_setup()
    program = cut(setup, shop(), resolution)[1]
    acts = [node for node in program.nodes if not isinstance(node, Remark)]
    assert [type(node) for node in acts[:4]] == [UseTool, Rapid, SpindleOn, Rapid]
    assert [type(node) for node in acts[-3:]] == [Rapid, SpindleOff, Rapid]
    first, over, up, park = (acts[i] for i in (1, 3, -3, -1))
    assert isinstance(first, Rapid)
    assert isinstance(over, Rapid)
    assert isinstance(up, Rapid)
    assert isinstance(park, Rapid)
    assert first.x is first.y is up.x is up.y is over.z is park.z is None
    assert first.z == up.z
    assert first.z is not None
    assert setup.clear_z <= first.z < setup.clear_z + resolution
    assert park.x == pytest.approx(40.0 - 200.0, abs=resolution)
    assert park.y == pytest.approx(860.0 - 140.0, abs=resolution)


def test_rapids_are_vertical_or_at_the_clear_height() -> None:
    """No rapid moves sideways below the clear height."""
    for setup in (face_setup(direction="climb"), edge_setup(sides=("far", "left"))):
        for program in cut(setup, shop(), MM):
            columns = moves(program)
            rapid = columns.rapid & columns.known
            aside = rapid & (columns.start[:, :2] != columns.end[:, :2]).any(axis=1)
            assert (columns.end[aside, 2] == setup.clear_z).all()
            assert (columns.start[aside, 2] == setup.clear_z).all()


def test_one_program_a_run_of_cuts_with_one_tool() -> None:
    """A change of tool begins a new program; a return to the first tool begins another."""
    whole = edge_setup(sides=("far", "left", "right"))
    far, left, right = whole.cuts
    other = replace(left, tool=end_mill(name="second", number=3))
    clamp = solid("clamp-1", rectangle(150, 20, 200, 90))
    setup = replace(whole, cuts=(far, other, right), solids=(clamp,), index=4)
    made = cut(setup, shop(), MM)
    assert [each.stem for each in made] == ["4a-outline", "4b-edge-2", "4c-end-1", "4d-end-2"]
    assert [each.tool.number for each in made] == [2, 2, 3, 2]
    assert all(each.standing == ("clamp-1",) for each in made)
    assert [each.purpose for each in made] == ["outline", "cut", "cut", "cut"]
    assert [each.stem for each in cut(whole, shop(), MM)] == ["3a-outline", "3b-edge-2-end-1-end-2"]


def test_a_setup_without_cuts_has_no_programs() -> None:
    """Nothing to cut, nothing to outline."""
    assert cut(replace(face_setup(), cuts=()), shop(), MM) == ()


def test_stems_are_short_lower_case_and_apart() -> None:
    """A stem holds letters, digits and hyphens, at most 24, however long the names are."""
    names = ("face A", "a very long name of a cut", "bed (fence)")
    found = [stem(12, number, names) for number in range(30)]
    assert len(set(found)) == 30
    for each in found:
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", each)
        assert len(each) <= LONGEST_STEM


def test_the_same_setup_gives_the_same_programs() -> None:
    """Two runs agree in every node."""
    for setup in (face_setup(perimeter="last", tool=facer(diameter=33.3)), edge_setup()):
        one, two = cut(setup, shop(), INCH), cut(setup, shop(), INCH)
        for a, b in zip(one, two, strict=True):
            assert (a.stem, a.title, a.standing) == (b.stem, b.title, b.standing)
            assert len(a.nodes) == len(b.nodes)
            for p, q in zip(a.nodes, b.nodes, strict=True):
                if isinstance(p, Feed) and isinstance(q, Feed):
                    assert p.feed == q.feed
                    assert np.array_equal(p.points, q.points)
                else:
                    assert p == q


def test_moves_in_one_line_become_one() -> None:
    """Three points in a line are one move; a turn back, a new feed and a bend are not."""
    path = Moved(Steps(MM), 10_000)
    path.over(0, 0)
    path.lower(0, 0, 100.0)
    for x, y in ((10, 5), (20, 10), (20, 10), (10, 5), (10, 30)):
        path.feed(1000 * x, 1000 * y, 0, 500.0)
    feeds = [node for node in path.nodes() if isinstance(node, Feed)]
    assert [node.feed for node in feeds] == [100.0, 500.0]
    assert feeds[1].points.tolist() == [[20, 10, 0], [10, 5, 0], [10, 30, 0]]


def test_levels_are_as_few_as_the_stepdown_allows() -> None:
    """5 mm at 2 mm a level: three even levels; nothing over z: one."""
    assert levels(Steps(MM), 35.0, 30.0, 2.0) == (33334, 31667, 30000)
    assert levels(Steps(MM), 30.0, 30.0, 2.0) == (30000,)


def test_high_levels_leave_the_thin_bite_to_the_top() -> None:
    """5 mm at 2 mm a level, the last 0.5 mm light: full ones above it, and what is left for the first."""
    assert high_levels(Steps(MM), 35.0, 30.0, 2.0, 0.5) == (34500, 32500, 30500, 30000)
    assert high_levels(Steps(MM), 35.0, 30.0, 2.0) == (34000, 32000, 30000)
    assert high_levels(Steps(MM), 34.5, 30.0, 2.0, 0.5) == (32500, 30500, 30000)
    assert high_levels(Steps(MM), 30.3, 30.0, 2.0, 0.5) == (30000,)
    assert high_levels(Steps(MM), 30.0, 30.0, 2.0, 0.5) == (30000,)


@pytest.mark.parametrize(("whole", "parts"), [(10, 3), (7, 7), (100, 6), (5, 1)])
def test_shares_differ_by_one_step_at_most(whole: int, parts: int) -> None:
    """Marks run from 0 to the whole, none further apart than the share rounded up."""
    marks = share(whole, parts)
    assert (marks[0], marks[-1], len(marks)) == (0, whole, parts + 1)
    gaps = np.diff(marks)
    assert gaps.max() <= -(-whole // parts)
    assert gaps.max() - gaps.min() <= 1


@pytest.mark.parametrize("size", [MM, INCH])
def test_steps_round_the_way_they_say(size: float) -> None:
    """Up is never below, down never above, and a whole step stays itself."""
    steps = Steps(size)
    for length in (-3.3333, -0.0004, 0.0, 0.00129, 12.7, 100.00005):
        assert steps.mm(steps.up(length)) >= length - 1e-8
        assert steps.mm(steps.down(length)) <= length + 1e-8
        assert abs(steps.mm(steps.nearest(length)) - length) <= size / 2 + 1e-9
    for count in (-7, 0, 12345, 987654):
        assert (
            steps.up(steps.mm(count))
            == steps.down(steps.mm(count))
            == steps.nearest(steps.mm(count))
            == count
        )
