"""What a dialect cannot say is said otherwise before it is written: pauses, dust, the size of files."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawn import drawn
from programs import FACE, FITTED, program
from stockwright.findings import Refused
from stockwright.motion import (
    Arc,
    Dust,
    Feed,
    Node,
    Pause,
    Program,
    Rapid,
    Remark,
    SpindleOff,
    SpindleOn,
    UseTool,
)
from stockwright.motion.moves import moves
from stockwright.posting import Traits, WordAddress, load_post
from stockwright.posting.shaping import said_otherwise, shaped
from stockwright.proving.rs274 import read

OUTLINE = (
    FITTED,
    Rapid(z=60.0),
    Rapid(x=0.0, y=0.0),
    Rapid(x=900.0, y=0.0),
    Rapid(z=22.0),
    Feed(np.array([[900.0, 0.0, 20.0]]), 400.0),
    Pause("a block must just slide under"),
    Rapid(z=60.0),
    Rapid(x=0.0, y=700.0),
)


def post(**traits: object) -> WordAddress:
    """Give a dialect with these traits, the rest as by default."""
    return WordAddress(name="trial", traits=replace(Traits(), **traits))  # type: ignore[arg-type]


def kinds(made: Program) -> list[type]:
    """Give the kinds of a program's nodes."""
    return [type(node) for node in made.nodes]


def test_what_can_be_said_is_not_touched() -> None:
    """The very same program comes back, and nothing is told."""
    made = shaped(post(), program(*OUTLINE), "mm")
    assert made.programs == (made.programs[0],)
    assert made.programs[0].nodes is program(*OUTLINE).nodes or made.programs[0].nodes == OUTLINE
    assert made.said == ()


@pytest.mark.parametrize("traits", [{"pause_word": None}, {"stops_trusted": False}])
def test_without_a_stop_to_trust_nothing_comes_down(traits: dict[str, object]) -> None:
    """The pause goes, with the way down that was made for it; the sheet says how zero is tried now."""
    dialect = post(**traits)
    made = shaped(dialect, program(*OUTLINE), "mm")
    [whole] = made.programs
    assert kinds(whole) == [UseTool, Rapid, Rapid, Rapid, Rapid, Rapid]
    assert "by hand" in made.said[0]
    assert dialect.refusals(whole, "mm") == ()
    assert moves(whole).end[-1] == pytest.approx(moves(program(*OUTLINE)).end[-1])


def test_the_dust_collector_runs_round_the_spindle() -> None:
    """On before the first start, off after the last stop; a program with the spindle off leaves it alone."""
    dialect = post(dust_on="M8", dust_off="M9")
    [whole] = shaped(dialect, program(*(n for n in FACE if not isinstance(n, Dust))), "mm").programs
    order = [k for k in kinds(whole) if k in {Dust, SpindleOn, SpindleOff}]
    assert order == [Dust, SpindleOn, SpindleOff, Dust]
    assert [n.on for n in whole.nodes if isinstance(n, Dust)] == [True, False]
    assert Dust not in kinds(shaped(dialect, program(*OUTLINE), "mm").programs[0])
    assert shaped(post(), program(*OUTLINE), "mm").programs[0].nodes == OUTLINE


def test_each_thing_said_otherwise_is_a_sentence() -> None:
    """Comments, arcs, moves in the air, pauses, splits: each once, ending in a full stop."""
    arc = Arc((0.0, 0.0), (0.0, 10.0, 60.0), clockwise=False, feed=600.0)
    made = program(Remark("x"), *OUTLINE[:3], Rapid(x=10.0), arc, *OUTLINE[3:])
    said = said_otherwise(post(comments="none", rapid_feed=3000.0, pause_word=None), [made, made], "mm")
    assert len(said) == 4
    assert all(text.endswith(".") for text in said)
    assert said_otherwise(post(arcs="centre"), [made], "mm") == ()


@st.composite
def long_programs(draw: st.DrawFn) -> Program:
    """Programs of several stretches, some of them long by themselves, as the cut stage makes them."""
    nodes: list[Node] = [Remark("title"), FITTED, Rapid(z=60.0), SpindleOn(9000.0)]
    at = (0.0, 0.0)
    for _ in range(draw(st.integers(1, 6))):
        count = draw(st.sampled_from([2, 9, 40, 150, 400]))
        if draw(st.booleans()) or nodes[-1] == SpindleOn(9000.0):
            at = (float(draw(st.integers(0, 900))), float(draw(st.integers(0, 900))))
            nodes.append(Rapid(x=at[0], y=at[1]))
        nodes += [Rapid(z=22.0), Feed(np.array([[*at, 20.0]]), 400.0)]
        steps = np.random.default_rng(count).integers(-50, 50, (count, 2)).cumsum(axis=0) + np.array(at)
        points = np.column_stack([steps, np.full(count, 20.0)])
        nodes += [Feed(points, 2400.0), Rapid(z=60.0)]
        at = (float(points[-1, 0]), float(points[-1, 1]))
    nodes += [SpindleOff(), Rapid(x=0.0, y=0.0)]
    return program(*nodes)


def cut(made: Program) -> list[tuple[float, ...]]:
    """Give the level cutting moves of a program: from x and y to x and y, in order."""
    columns = moves(made)
    level = ~columns.rapid & (columns.start[:, 2] == columns.end[:, 2])
    return [
        (*map(float, a[:2]), *map(float, b[:2]))
        for a, b in zip(columns.start[level], columns.end[level], strict=True)
    ]


@drawn(20, 60)
@given(
    long_programs(),
    st.sampled_from([{"file_lines": 80}, {"file_bytes": 2500}, {"file_bytes": 4000, "line_number_step": 1}]),
)
def test_parts_are_whole_short_and_cut_the_same(before: Program, traits: dict[str, object]) -> None:
    """Each part within the limit, begun from nowhere, spindle on and off, ended raised; together one."""
    dialect = post(percent=True, **traits)
    made = shaped(dialect, before, "mm")
    for each in made.programs:
        text = dialect.write(each, "mm")
        assert len(text) <= (dialect.traits.file_bytes or 10**9)
        assert text.count("\n") <= (dialect.traits.file_lines or 10**9)
        reading = read(text)
        assert reading.unread == ()
        assert np.isnan(reading.moves.start[0]).all()
        assert np.isnan(reading.moves.end[0][:2]).all()
        assert reading.moves.end[-1][2] == 60.0
        spindle = [event.note for event in reading.events if event.kind == "spindle"]
        assert spindle[0] == "on"
        assert spindle[-1] == "off"
    assert [move for each in made.programs for move in cut(each)] == cut(before)
    if len(made.programs) > 1:
        count = len(made.programs)
        assert [p.stem for p in made.programs] == [f"02-face-a-part-{n + 1}" for n in range(count)]
        assert made.programs[0].title.endswith(f"part 1 of {count}")
        assert "split" in made.said[-1]


def test_a_long_stretch_is_taken_up_straight_down_where_the_cutter_stood() -> None:
    """Up from a place, and down again at the same place, the last two millimetres at the plunge feed."""
    x = np.arange(0.0, 300.0)
    long = Feed(np.column_stack([x, x, np.full(300, 20.0)]), 2400.0)
    begin = (Rapid(z=60.0), SpindleOn(9000.0), Rapid(x=0.0, y=0.0), Rapid(z=22.0))
    made = shaped(post(file_lines=100), program(*begin, long, Rapid(z=60.0), SpindleOff()), "mm").programs
    assert len(made) > 2
    for before, after in pairwise(made):
        left = [n for n in before.nodes if isinstance(n, Feed)][-1].points[-1]
        again = next(n for n in after.nodes if isinstance(n, Rapid) and n.x is not None)
        down = next(n for n in after.nodes if isinstance(n, Feed))
        assert (again.x, again.y) == (left[0], left[1])
        assert down.points.tolist() == [left.tolist()]
        assert down.feed == 400.0


def test_a_limit_that_start_and_end_alone_break_is_refused() -> None:
    """Comments of two hundred lines leave no room in eighty: both numbers, and a cure."""
    wordy = program(Remark("word " * 3000), *FACE)
    with pytest.raises(Refused, match="cannot be split") as raised:
        shaped(post(file_lines=80), wordy, "mm")
    [finding] = raised.value.findings
    assert finding.limit == 80
    assert finding.remedy


def test_a_post_of_another_kind_is_left_as_it_is() -> None:
    """What is no word-address post has no such traits."""
    made = shaped(load_post("motion-table"), program(), "mm")
    assert made.programs[0].nodes == program().nodes


def wave(count: int) -> list[Arc]:
    """Give quarter turns that go on from the origin, to the left and to the right in turn."""
    arcs = []
    for k in range(count):
        at = 10.0 * k
        centre = (at, at + 10.0) if k % 2 == 0 else (at + 10.0, at)
        arcs.append(Arc(centre, (at + 10.0, at + 10.0, 20.0), clockwise=k % 2 == 1, feed=2400.0))
    return arcs


def test_a_long_stretch_of_arcs_is_taken_up_where_an_arc_ended() -> None:
    """Every arc is said once, in order; each part comes straight down to where the one before it went up."""
    begin = (Rapid(z=60.0), SpindleOn(9000.0), Rapid(x=0.0, y=0.0), Rapid(z=22.0))
    down = Feed(np.array([[0.0, 0.0, 20.0]]), 400.0)
    arcs = wave(150)
    dialect = post(file_lines=100, arcs="centre")
    made = shaped(dialect, program(*begin, down, *arcs, Rapid(z=60.0), SpindleOff()), "mm").programs
    assert [n for each in made for n in each.nodes if isinstance(n, Arc)] == arcs
    assert len(made) > 1
    assert all(dialect.write(each, "mm").count("\n") <= 100 for each in made)
    for before, after in pairwise(made):
        left = [n for n in before.nodes if isinstance(n, Arc)][-1].end
        again = next(k for k, n in enumerate(after.nodes) if isinstance(n, Rapid) and n.x is not None)
        over, near, back = after.nodes[again : again + 3]
        assert over == Rapid(x=left[0], y=left[1])
        assert near == Rapid(z=22.0)
        assert isinstance(back, Feed)
        assert back.points.tolist() == [list(left)]
        assert before.nodes[before.nodes.index(SpindleOff()) - 1] == Rapid(z=60.0)


def test_parts_after_an_arc_begin_over_its_end() -> None:
    """A stretch that begins where an arc ended goes there first, before it comes down."""
    begin = (Rapid(z=60.0), SpindleOn(9000.0), Rapid(x=0.0, y=0.0))
    nodes: list[Node] = []
    for arc in wave(60):
        nodes += [Rapid(z=22.0), Feed(np.array([[*arc_start(arc), 20.0]]), 400.0), arc, Rapid(z=60.0)]
    made = shaped(post(file_lines=80, arcs="centre"), program(*begin, *nodes, SpindleOff()), "mm").programs
    assert len(made) > 1
    for before, after in pairwise(made):
        left = [n for n in before.nodes if isinstance(n, Arc)][-1].end
        again = next(n for n in after.nodes if isinstance(n, Rapid) and n.x is not None)
        assert (again.x, again.y) == (left[0], left[1])


def arc_start(arc: Arc) -> tuple[float, float]:
    """Give where an arc of `wave` begins."""
    return arc.end[0] - 10.0, arc.end[1] - 10.0


def test_a_file_as_long_as_the_limit_is_not_split() -> None:
    """As many lines or bytes as there may be are not too many; one more is."""
    x = np.arange(0.0, 300.0)
    long = program(*FACE, Rapid(z=60.0), Feed(np.column_stack([x, x, np.full(300, 60.0)]), 2400.0))
    text = post().write(long, "mm")
    for trait, many in (("file_lines", text.count("\n")), ("file_bytes", len(text))):
        assert len(shaped(post(**{trait: many}), long, "mm").programs) == 1
        assert len(shaped(post(**{trait: many - 1}), long, "mm").programs) > 1
