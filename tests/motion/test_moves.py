"""A program's moves as columns."""

from __future__ import annotations

import numpy as np

from programs import program
from stockwright.motion import Feed, Rapid, Remark, SpindleOff, UseTool
from stockwright.motion.moves import moves


def test_an_axis_no_move_has_named_is_not_a_number() -> None:
    """After a rapid up, z is known and x and y are not; nothing is taken for zero."""
    columns = moves(program(Rapid(z=50.0), Rapid(x=1.0, y=2.0), Rapid(z=5.0)))
    assert np.isnan(columns.start[0]).all()
    assert np.isnan(columns.end[0]).tolist() == [True, True, False]
    assert columns.end[1].tolist() == [1.0, 2.0, 50.0]
    assert columns.known.tolist() == [False, False, True]


def test_each_row_starts_where_the_one_before_ended() -> None:
    """The plain face: five straight moves after three known rapids, with feeds and their nodes."""
    columns = moves(program())
    assert len(columns) == 8
    assert np.array_equal(columns.start[1:], columns.end[:-1], equal_nan=True)
    assert columns.rapid.tolist() == [True, True, True, False, False, False, False, True]
    assert columns.feed[3:7].tolist() == [400.0, 2400.0, 2400.0, 2400.0]
    assert np.isnan(columns.feed[columns.rapid]).all()
    assert columns.node.tolist() == [2, 3, 5, 6, 7, 7, 7, 8]


def test_after_a_tool_change_nothing_is_known() -> None:
    """Where a tool change leaves the machine is the machine's business."""
    columns = moves(program(Rapid(z=5.0), UseTool(2, "other"), Rapid(x=1.0, y=1.0)))
    assert np.isnan(columns.start[1]).all()


def test_a_program_without_moves_has_no_rows() -> None:
    """Text, switches and empty paths move nothing."""
    columns = moves(program(Remark("text"), SpindleOff(), Feed(np.empty((0, 3)), 100.0)))
    assert (len(columns), columns.start.shape, columns.end.shape) == (0, (0, 3), (0, 3))
