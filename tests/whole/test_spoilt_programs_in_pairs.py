"""Programs that no planner writes, in pairs: each is refused by one rule, and its remedy makes it right.

A small job is planned once; then one program is spoilt by hand, the way a person who edits it would. The
rules that stand guard there are met by no document, so the documents stay as they are. The remedy's own
numbers are put into the spoilt place, and nothing else is changed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest

from situations import numbers
from small_jobs import written
from stockwright.checking import Situation
from stockwright.checking import check as every_rule
from stockwright.motion.nodes import Dwell, Feed, Pause, Rapid
from stockwright.run import Request, check

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.findings import Finding
    from stockwright.motion.nodes import Node
    from stockwright.run import Checked

Nodes = tuple["Node", ...]


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Checked:
    """Plan and cut one side of a small board, once."""
    return check(Request(written(tmp_path_factory.mktemp("spoilt"), steps="side")))


def said(job: Checked, spoil: Callable[[Nodes], Nodes]) -> list[Finding]:
    """Give what every rule says of the job with its cutting program spoilt, but for the notes."""
    outline, cut = job.programs[0]
    spoilt = replace(cut, nodes=spoil(cut.nodes))
    found = every_rule(Situation(job.job, job.plan.setups, ((outline, spoilt),)))
    return [finding for finding in found if finding.level != "note"]


def passes(nodes: Nodes) -> list[int]:
    """Give where the passes along the wall stand: the long feeds, each after the short one that enters."""
    return [
        index
        for index, (before, node) in enumerate(pairwise(nodes), 1)
        if isinstance(before, Feed)
        and isinstance(node, Feed)
        and abs(float(node.points[-1, 0] - before.points[-1, 0])) > 100
    ]


def waits(node: Node, higher: float = 0.0) -> Callable[[Nodes], Nodes]:
    """Wait in the middle of a pass; raised by some before it, and lowered again after it."""

    def spoil(nodes: Nodes) -> Nodes:
        at = passes(nodes)[4]
        feed = nodes[at]
        assert isinstance(feed, Feed)
        _, y, z = (float(v) for v in feed.points[-1])
        middle = np.array([[210.0, y, z]])
        up: Nodes = (Rapid(None, None, z + higher), node, Feed(middle, 400.0)) if higher else (node,)
        return (*nodes[:at], Feed(middle, feed.feed), *up, feed, *nodes[at + 1 :])

    return spoil


def low(raised: float = 0.0) -> Callable[[Nodes], Nodes]:
    """Travel back from the first pass 5 mm below the top of the wood that still stands beside it."""

    def spoil(nodes: Nodes) -> Nodes:
        at = passes(nodes)[0]
        return (*nodes[: at + 1], Rapid(None, None, 20.0 + raised), *nodes[at + 2 :])

    return spoil


def deeper(by: float, less: float = 0.0) -> Callable[[Nodes], Nodes]:
    """Take the last pass deeper into the bed than was asked."""

    def spoil(nodes: Nodes) -> Nodes:
        return tuple(
            replace(node, points=node.points - [0.0, 0.0, by - less])
            if isinstance(node, Feed) and float(node.points[-1, 2]) < 0
            else node
            for node in nodes
        )

    return spoil


def inside(by: float, further: float = 0.0) -> Callable[[Nodes], Nodes]:
    """Take the last pass nearer to the board than its wall."""

    def spoil(nodes: Nodes) -> Nodes:
        at = passes(nodes)[-1]
        feed = nodes[at]
        assert isinstance(feed, Feed)
        return (*nodes[:at], replace(feed, points=feed.points - [0.0, by - further, 0.0]), *nodes[at + 1 :])

    return spoil


@dataclass(frozen=True)
class Spoilt:
    """What a person does to a program, the one rule that must say so, and what its numbers make of it."""

    what: str
    rule: str
    bad: Callable[[Nodes], Nodes]
    cure: Callable[[list[float]], Callable[[Nodes], Nodes]]


SPOILT = (
    Spoilt("waits in a pass", "dwells-in-the-wood", waits(Dwell(2.0)), lambda n: waits(Dwell(2.0), n[0])),
    Spoilt(
        "pauses in a pass", "dwells-in-the-wood", waits(Pause("look")), lambda n: waits(Pause("look"), n[0])
    ),
    Spoilt("travels through the board", "rapid-into-wood", low(), lambda n: low(n[0])),
    Spoilt("cuts into the bed", "cut-below-bed", deeper(2.0), lambda n: deeper(2.0, n[0])),
    Spoilt("cuts into the board", "wall-cut-into", inside(0.08), lambda n: inside(0.08, n[0])),
)


@pytest.mark.parametrize("spoilt", [pytest.param(each, id=f"{each.rule}: {each.what}") for each in SPOILT])
def test_a_spoilt_program_is_refused_by_its_rule_alone_and_its_remedy_cures(
    spoilt: Spoilt, job: Checked
) -> None:
    """One rule refuses the spoilt program; with its own number in that place nothing is said."""
    found = said(job, spoilt.bad)
    assert {(f.rule, f.level) for f in found} == {(spoilt.rule, "refuse")}
    assert said(job, spoilt.cure(numbers(found[0].remedy))) == []


def test_the_program_as_it_was_planned_is_clean(job: Checked) -> None:
    """Nothing is said of the program before it is spoilt."""
    assert said(job, lambda nodes: nodes) == []
