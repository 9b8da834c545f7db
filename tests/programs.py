"""Programs for the tests of motion and posts: a plain one, and random ones that shrink.

In: nothing. Out: `Program` values of their real types; cutter and harmful texts are those that the
shipped conformance kit has.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

import numpy as np
from hypothesis import strategies as st

from stockwright.conformance import samples
from stockwright.motion import (
    Dust,
    Dwell,
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

if TYPE_CHECKING:
    from stockwright.posting import Post, Units

FITTED = UseTool(samples.CUTTER.number, samples.CUTTER.name)
FACE = (
    FITTED,
    Dust(on=True),
    Rapid(z=60.0),
    Rapid(x=-30.0, y=20.0),
    SpindleOn(12000.0),
    Rapid(z=28.0),
    Feed(np.array([[-30.0, 20.0, 26.4]]), 400.0),
    Feed(np.array([[640.0, 20.0, 26.4], [640.0, 45.0, 26.4], [-30.0, 45.0, 26.4]]), 2400.0),
    Rapid(z=60.0),
    SpindleOff(),
    Dust(on=False),
)


def program(*nodes: Node, title: str = "shelf 3, face A", touch_off: str = "z 0 on the bed") -> Program:
    """Give a program of these nodes; of a plain face where none are named."""
    return dataclasses.replace(
        samples.program(nodes or FACE, title=title, touch_off=touch_off), stem="02-face-a"
    )


def with_nodes(before: Program, *nodes: Node) -> Program:
    """Give the program with other nodes."""
    return dataclasses.replace(before, nodes=nodes)


def places() -> st.SearchStrategy[float]:
    """Positions on and off the grid, mm, both senses, tiny ones too."""
    return st.one_of(
        st.integers(-2_000_000, 2_000_000).map(lambda n: n / 1000),
        st.floats(-2000, 2000, allow_nan=False),
        st.sampled_from([0.0, -0.0, -0.0004, 0.0005, -0.0005, 1e-9, -1e-7, 25.4, 1234.567]),
    )


def texts() -> st.SearchStrategy[str]:
    """Text that people write, and text that means harm."""
    return st.one_of(st.text(max_size=120), st.sampled_from(samples.HARM))


@st.composite
def random_programs(draw: st.DrawFn) -> Program:
    """Whole programs in random order, as the cut stage may make them: rapids vertical or level."""
    nodes: list[Node] = [
        UseTool(samples.CUTTER.number, samples.CUTTER.name),
        Rapid(z=draw(places())),
        Rapid(x=1.0, y=2.0),
    ]
    kinds = draw(st.lists(st.sampled_from("zxyfrwp"), max_size=25))
    for kind in kinds:
        if kind == "z":
            nodes.append(Rapid(z=draw(places())))
        elif kind in "xy":
            nodes.append(
                Rapid(x=draw(places()), y=draw(places())) if kind == "x" else Rapid(y=draw(places()))
            )
        elif kind == "f":
            count = draw(st.integers(1, 6))
            points = [[draw(places()) for _ in range(3)] for _ in range(count)]
            nodes.append(Feed(np.array(points), draw(st.floats(30, 9000))))
        elif kind == "r":
            nodes.append(Remark(draw(texts())))
        elif kind == "w":
            nodes += [SpindleOn(draw(st.floats(1, 30000))), Dwell(draw(st.floats(0, 20)))]
        else:
            nodes += [SpindleOff(), Pause(draw(texts())), Dust(draw(st.booleans()))]
    return dataclasses.replace(
        program(*nodes), title=draw(texts()), touch_off=draw(texts()), setup=draw(st.integers(0, 99))
    )


def spindle_stopped_at_pauses(before: Program) -> Program:
    """Give the program with the spindle stopped before each pause, as posts demand."""
    nodes: list[Node] = []
    for node in before.nodes:
        nodes += [SpindleOff(), node] if isinstance(node, Pause) else [node]
    return with_nodes(before, *nodes)


def expected_moves(of: Program, post: Post, units: Units) -> list[tuple[object, ...]]:
    """Give the moves a program asks for, to the post's resolution: (kind, x, y, z) in whole steps.

    Worked out plainly, node by node; moves that go nowhere at that resolution are left out.
    """
    # A place half way between two steps goes by a float's hair: multiplied as posts do, never divided.
    per_inch = 25.4 if units == "inch" else 1.0
    steps = round(per_inch / post.resolution(units))
    at: list[int | None] = [None, None, None]
    unsaid = {0, 1, 2}
    moves: list[tuple[object, ...]] = []
    for node in of.nodes:
        if isinstance(node, Rapid):
            targets = [(node.x, node.y, node.z)]
        elif isinstance(node, Feed):
            targets = [(float(x), float(y), float(z)) for x, y, z in node.points]
        else:
            # After a stop for the person each axis is said again, even where it did not move.
            unsaid = {0, 1, 2} if isinstance(node, Pause) else unsaid
            continue
        for target in targets:
            to = [
                old if new is None else round(new * steps / per_inch)
                for new, old in zip(target, at, strict=True)
            ]
            named = {axis for axis, new in enumerate(target) if new is not None}
            if to != at or named & unsaid:
                moves.append(("rapid" if isinstance(node, Rapid) else "feed", *to))
            unsaid -= named
            at = to
    return moves
