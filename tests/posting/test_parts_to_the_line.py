"""Splits of long programs, to the last line and byte: what a part holds, how it begins and ends."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

import numpy as np
import pytest

from programs import program
from stockwright.findings import Refused
from stockwright.motion import Arc, Dwell, Feed, Node, Program, Rapid, Remark, SpindleOff, SpindleOn
from stockwright.posting import Traits, WordAddress
from stockwright.posting.parts import parts

TOP, ON, OFF = Rapid(z=60.0), SpindleOn(9000.0), SpindleOff()
BASE = 8 + 3 + 2  # lines: modes, the first height, speed and start; stop and end


def post(**traits: object) -> WordAddress:
    """Give a dialect with these traits that has no comments."""
    return WordAddress(name="trial", traits=replace(Traits(comments="none"), **traits))  # type: ignore[arg-type]


def stretch(k: int, points: int = 6) -> list[Node]:
    """Give a stretch of four lines and one for each point, at another place for each k."""
    x = 100.0 + 10 * k + np.arange(points)
    return [
        Rapid(x=99.0 + 10 * k, y=100.0 + k),
        Rapid(z=22.0),
        Feed(np.array([[99.0 + 10 * k, 100.0 + k, 20.0]]), 400.0),
        Feed(np.column_stack([x, np.full(points, 100.0 + k), np.full(points, 20.0)]), 2400.0),
        TOP,
    ]


def job(count: int) -> Program:
    """Give a program of so many stretches of ten lines."""
    return program(TOP, ON, *(node for k in range(count) for node in stretch(k)), OFF)


def held(made: tuple[Program, ...]) -> list[int]:
    """Give how many stretches each part holds."""
    return [sum(node is TOP for node in each.nodes) - 1 for each in made]


@pytest.mark.parametrize(
    ("limit", "expected"), [(83, [7, 7, 6]), (82, [6, 6, 6, 2]), (80, [6, 6, 6, 2]), (213, [20])]
)
def test_a_part_holds_as_many_stretches_as_lines_allow(limit: int, expected: list[int]) -> None:
    """Filled to the very limit, and not beyond."""
    dialect, whole = post(file_lines=limit), job(20)
    made = parts(dialect, whole, "mm")
    assert held(made) == expected
    assert [dialect.write(each, "mm").count("\n") for each in made] == [BASE + 10 * n for n in expected]


@pytest.mark.parametrize(
    ("traits", "number"),
    [({}, 0), ({"line_number_step": 1}, 7), ({"line_number_step": 3, "line_number_limit": 999}, 5)],
)
def test_a_part_holds_as_many_stretches_as_bytes_allow(traits: dict[str, object], number: int) -> None:
    """Line ends counted, and line numbers as if every one had all its digits."""
    some = post().write(program(TOP, ON, *(node for k in range(20, 41) for node in stretch(k)), OFF), "mm")
    size = len(some) + number * some.count("\n")
    whole = program(TOP, ON, *(node for k in range(20, 70) for node in stretch(k)), OFF)
    assert held(parts(post(file_bytes=size, **traits), whole, "mm")) == [21, 21, 8]
    assert held(parts(post(file_bytes=size - 1, **traits), whole, "mm")) == [20, 20, 10]


def test_a_part_has_room_for_the_longest_of_its_names() -> None:
    """Stem, title and remark are counted as if it were number 9999 of 9999."""
    stretches = [node for k in range(20, 41) for node in stretch(k)]
    number = "part 9999 of 9999"
    longest = program(TOP, ON, Remark(number), *stretches, OFF)
    longest = replace(longest, stem="02-face-a-part-9999", title=f"{longest.title}, {number}")
    size = len(post(comments="parentheses").write(longest, "mm"))
    whole = program(TOP, ON, *(node for k in range(20, 70) for node in stretch(k)), OFF)
    assert held(parts(post(file_bytes=size, comments="parentheses"), whole, "mm")) == [21, 21, 8]
    assert held(parts(post(file_bytes=size - 1, comments="parentheses"), whole, "mm")) == [20, 20, 10]


def test_parts_are_named_and_say_which_they_are() -> None:
    """Stem, title and a remark with the number, the begin before it, the end last; all else as before."""
    whole = job(20)
    made = parts(post(file_lines=83), whole, "mm")
    for k, each in enumerate(made, 1):
        assert (each.stem, each.title) == (f"02-face-a-part-{k}", f"{whole.title}, part {k} of 3")
        assert each.nodes[:3] == (TOP, ON, Remark(f"part {k} of 3"))
        assert each.nodes[-1] == OFF
        assert each.setup == whole.setup
    middle = [node for each in made for node in each.nodes[3:-1]]
    assert middle == list(whole.nodes[2:-1])


def test_where_nothing_is_split_the_very_program_comes_back() -> None:
    """Without limits, within them, and where a program only probes."""
    whole = job(20)
    assert parts(post(), whole, "mm")[0] is whole
    assert parts(post(file_lines=213), whole, "mm")[0] is whole
    assert parts(post(file_bytes=10**9, file_lines=10**8), whole, "mm")[0] is whole
    probing = replace(whole, purpose="probe")
    assert parts(post(file_lines=80), probing, "mm") == (probing,)
    assert len(parts(post(file_lines=80, file_bytes=10**9), whole, "mm")) == 4
    assert len(parts(post(file_lines=10**8, file_bytes=2000), whole, "mm")) == 2


def test_what_stands_at_both_ends_is_in_every_part() -> None:
    """The end is what follows the last stop, if the spindle turns before the first move along."""
    stretches = [node for k in range(12) for node in stretch(k)]
    away = (OFF, Rapid(x=0.0, y=0.0))
    for begin, after, end in (
        ((TOP, ON), away, away),
        ((TOP, ON), (), ()),
        ((TOP,), away, ()),
        ((Dwell(1.0), TOP, ON), away, away),
    ):
        made = parts(post(file_lines=90), program(*begin, *stretches, *after), "mm")
        assert len(made) > 1
        for each in made:
            assert each.nodes[: len(begin)] == begin
            assert isinstance(each.nodes[len(begin)], Remark)
            assert each.nodes[len(each.nodes) - len(end) :] == end
        assert made[-1].nodes[-len(after) or len(made[-1].nodes) :] == after
        assert sum(node in away for node in made[0].nodes) == len(end)


def test_a_stretch_begins_over_a_stated_place() -> None:
    """Where it begins with less than x and y, the place of the last move is stated before it."""
    first, away = stretch(0, points=60), Feed(np.array([[7.0, 8.0, 20.0]]), 900.0)
    arc = Arc((7.0, 18.0), (17.0, 18.0, 20.0), clockwise=False, feed=900.0)
    nothing = Feed(np.zeros((0, 3)), 900.0)
    for last, at in (
        ([away], (7.0, 8.0)),
        ([away, arc], (17.0, 18.0)),
        ([away, nothing, Dwell(1.0)], (7.0, 8.0)),
        ([away, Rapid(x=3.0)], (3.0, 8.0)),
        ([away, Rapid(y=4.0)], (7.0, 4.0)),
        ([away, Rapid(z=30.0)], (7.0, 8.0)),
    ):
        for begin, stated in (
            (Rapid(z=22.0), False),
            (Rapid(x=1.0), False),
            (Rapid(y=1.0), False),
            (Rapid(x=1.0, y=2.0), True),
            (away, False),
        ):
            second = [begin, *stretch(3, points=60)[1:]]
            whole = program(TOP, *first[:-1], *last, TOP, *second)
            [one, two] = parts(post(file_lines=90, arcs="centre"), whole, "mm")
            assert list(two.nodes[2:]) == [*([] if stated else [Rapid(x=at[0], y=at[1])]), *second]
            assert list(one.nodes[2:]) == [*first[:-1], *last, TOP]
    for begin in (Rapid(x=3.0), Rapid(y=3.0)):
        middle = [
            begin,
            Rapid(z=22.0),
            TOP,
            Rapid(z=22.0),
            TOP,
            *stretch(1, points=60),
            *stretch(2, points=60),
        ]
        made = parts(post(file_lines=80), program(TOP, *middle), "mm")
        assert [node for each in made for node in each.nodes[2:]] == middle


def moved(each: Program) -> list[int]:
    """Give how many points each cutting move of a part has."""
    return [len(node.points) for node in each.nodes if isinstance(node, Feed)]


def test_a_stretch_that_is_too_long_is_broken_into_even_pieces() -> None:
    """Eight tenths of the room: of 1004 lines 53 in a file of 80, the way up and down beside them."""
    whole = program(TOP, ON, *stretch(0, points=1000), OFF)
    made = parts(post(file_lines=80), whole, "mm")
    most = int(1004 * (0.8 * (80 - BASE) / 1004))
    assert most == 53
    assert [moved(each) for each in made] == [[1, most]] * 18 + [[1, 1000 - 18 * most]]
    points = np.vstack(
        [n.points for each in made for n in each.nodes if isinstance(n, Feed) and n.feed > 2000]
    )
    assert np.array_equal(points, stretch(0, points=1000)[3].points)  # type: ignore[union-attr]
    second = made[1].nodes
    x, y, z = made[0].nodes[-3].points[-1]  # type: ignore[union-attr]
    assert second[:5] == (TOP, ON, Remark("part 2 of 19"), Rapid(x=x, y=y), Rapid(z=z + 2.0))
    assert second[5].points.tolist() == [[x, y, z]]  # type: ignore[union-attr]
    assert (second[5].feed, second[6].feed) == (program().tool.plunge_feed, 2400.0)  # type: ignore[union-attr]
    assert second[7:] == (TOP, OFF)


def test_pieces_that_are_still_too_long_are_halved() -> None:
    """Where short lines come first and long ones after them, even pieces are not even in bytes."""
    near = np.column_stack([np.tile([1.0, 2.0], 300), np.zeros(600), np.full(600, 20.0)])
    k = np.arange(200.0)
    far = np.column_stack([1000.123 + k, 2000.456 + k, -100.789 - k])
    begin: list[Node] = [Rapid(x=0.0, y=0.0), Feed(np.vstack([near, far]), 2400.0), TOP]
    dialect = post(file_bytes=2500)
    made = parts(dialect, program(TOP, ON, *begin, OFF), "mm")
    assert max(len(dialect.write(each, "mm")) for each in made) <= 2500
    long = [n for each in made for n in each.nodes if isinstance(n, Feed) and n.feed == 2400.0]
    assert [len(node.points) for node in long] == [68] * 11 + [52]
    assert [sum(n in long for n in each.nodes) for each in made] == [4, 4, 1, 1, 1, 1]
    assert np.array_equal(np.vstack([node.points for node in long]), np.vstack([near, far]))


@pytest.mark.parametrize(
    ("z", "near"), [(57.99, [Rapid(z=59.99)]), (58.0, []), (59.0, []), (20.0004, [Rapid(z=22.001)])]
)
def test_a_piece_is_begun_straight_down_from_two_millimetres_above(z: float, near: list[Rapid]) -> None:
    """Fast to two above it, rounded up; where that is the top or higher, at the plunge feed from the top."""
    x = np.arange(200.0)
    long = Feed(np.column_stack([x, x, np.full(200, z)]), 2400.0)
    made = parts(post(file_lines=80), program(TOP, ON, Rapid(x=0.0, y=0.0), long, OFF), "mm")
    assert [node for node in made[1].nodes[4:-2] if isinstance(node, Rapid)][: len(near) or None] == (
        near or [node for node in made[1].nodes[4:-2] if isinstance(node, Rapid)]
    )
    rapids = [node for node, _ in groupby(made[1].nodes) if isinstance(node, Rapid)]
    assert rapids == [TOP, rapids[1], *near, *([TOP] if len(made) > 2 else [])]
    assert rapids[1].x is not None


@pytest.mark.parametrize(
    ("dwells", "limit", "measured"),
    [
        (66, {"file_lines": 80, "file_bytes": 10**6}, 123),
        (65, {"file_lines": 80}, 82),
        (63, {"file_lines": 80}, 81),
    ],
)
def test_room_for_one_move_is_the_least(dwells: int, limit: dict[str, object], measured: int) -> None:
    """Place, way down, plunge, one point and way up are five lines; where that is too much, it is said."""
    begin: tuple[Node, ...] = (TOP, ON, *(Dwell(1.0),) * dwells)
    dialect = post(**limit)
    with pytest.raises(Refused, match="more lines than trial takes, and cannot be split") as raised:
        parts(dialect, program(*begin, *stretch(0, points=40), OFF), "mm")
    [finding] = raised.value.findings
    assert (finding.measured, finding.limit) == (measured, 80)
    roomy = parts(post(file_lines=measured + 3), program(*begin, *stretch(0, points=40), OFF), "mm")
    assert (
        np.vstack([node.points for each in roomy for node in each.nodes if isinstance(node, Feed)]).shape[0]
        > 40
    )


def test_start_and_end_alone_may_be_too_long() -> None:
    """In lines or in bytes, whichever has less room; the finding has both numbers."""
    wordy: tuple[Node, ...] = (TOP, ON, *(Dwell(1.0),) * 300)
    text = post().write(program(*wordy, OFF), "mm")
    lines, size = text.count("\n"), len(text)
    for limits, what, measured, limit in (
        ({"file_lines": 100}, "lines", lines, 100),
        ({"file_bytes": 2000}, "bytes", size, 2000),
        ({"file_lines": 100, "file_bytes": 2100}, "bytes", size, 2100),
        ({"file_lines": 100, "file_bytes": size - 100}, "lines", lines, 100),
        ({"file_lines": lines - 100, "file_bytes": size - 100}, "lines", lines, lines - 100),
    ):
        with pytest.raises(Refused) as raised:
            parts(post(**limits), program(*wordy, *stretch(0), OFF), "mm")
        [finding] = raised.value.findings
        assert finding.message == f"a file has more {what} than trial takes, and cannot be split further"
        assert (finding.measured, finding.limit) == (measured, limit)
    fits = post(file_lines=lines, file_bytes=10**6)
    with pytest.raises(Refused, match="more lines"):
        parts(fits, program(*wordy, *stretch(0), OFF), "mm")
