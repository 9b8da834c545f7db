"""Distances between what moves and what stands: worked out by hand, and against many places along the way."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from small_packet import MARK, small_document
from stockwright.packet.model import Packet, Solid
from stockwright.proving.clearance import Mover, Obstacle, Ways, clearances, judge_clearance, may_meet, movers
from stockwright.proving.readers import read_in_setup
from stockwright.proving.run import Run
from stockwright.proving.wrong_zero import _met

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DISC = Mover("disc", "cutter", 2.0, 1.0, 6.0)  # 5 high, 1 above the tip
LEVEL = Mover("beam", "attached", 2.0, 21.0, 26.0, level=True)
HOOD = Mover("hood", "attached", 2.0, -5.0, -1.0)  # hangs lower than the tip
FLAG = Mover("flag", "attached", 5.0, 1.0, 6.0, np.array([[3.0, -1.0], [5.0, -1.0], [5.0, 1.0], [3.0, 1.0]]))
BLOCK = Solid(
    name="block", kind="stop", outline=[(10, 20), (16, 20), (16, 30), (10, 30)], bottom=8.0, top=12.0
)
FAR = math.inf
MARGIN = 3.0

# mover, start, end, box of a rapid, top, how far above it is near -> distance
WAYS = [
    # along the block, beside its side, at its height; beyond the margin no distance is told
    (DISC, (4.99, 15, 9), (4.99, 35, 9), False, 12.0, 3.0, FAR),
    (DISC, (5.5, 15, 9), (5.5, 35, 9), False, 12.0, 3.0, 2.5),
    (DISC, (9, 15, 9), (9, 35, 9), False, 12.0, 3.0, -1.0),
    (DISC, (8, 15, 9), (8, 35, 9), False, 12.0, 3.0, 0.0),
    (DISC, (13, 25, 9), (13, 25, 9), False, 12.0, 3.0, -2.0),
    # past its corner
    (DISC, (6, 16, 9), (7, 16, 9), False, 12.0, 3.0, 3.0),
    (DISC, (6, 17, 9), (6, 17, 9), False, 12.0, 3.0, 3.0),
    # its lower end 13, so 1 above the top; 3 above; 4.2, which is beyond the margin
    (DISC, (9, 15, 12), (9, 35, 12), False, 12.0, 3.0, 1.0),
    (DISC, (9, 15, 13.9), (9, 35, 13.9), False, 12.0, 3.0, 2.9),
    (DISC, (9, 15, 14.2), (9, 35, 14.2), False, 12.0, 3.0, FAR),
    (DISC, (5, 15, 13), (5, 35, 13), False, 12.0, 3.0, math.hypot(3, 2)),
    (DISC, (9, 15, 12), (9, 35, 12), False, 12.0, 0.0, FAR),
    # its upper end 7, so 1 below the bottom; and 4 below
    (DISC, (9, 15, 1), (9, 35, 1), False, 12.0, 3.0, 1.0),
    (DISC, (9, 15, -2), (9, 35, -2), False, 12.0, 3.0, FAR),
    (DISC, (9, 15, 1), (9, 35, 1), False, 12.0, 0.0, FAR),
    # the top that counts is lower than its own
    (DISC, (9, 15, 9), (9, 35, 9), False, 9.0, 3.0, 1.0),
    (DISC, (9, 15, 9), (9, 35, 9), False, 6.9, 3.0, FAR),
    # down beside it and away, up from it; above the block it is only where it is high enough
    (DISC, (13, 25, 40), (13, 25, 13.9), False, 12.0, 3.0, 2.9),
    (DISC, (13, 25, 40), (13, 25, 10), False, 12.0, 0.0, -2.0),
    (DISC, (13, 25, 12.0), (43, 25, 42), False, 12.0, 3.0, 1.0),
    (DISC, (43, 25, 42), (13, 25, 12.0), False, 12.0, 3.0, 1.0),
    (DISC, (43, 25, 11), (13, 25, 41), False, 12.0, 0.0, FAR),
    # a rapid aslant: straight it passes the corner, in its box it may go over the block
    (DISC, (5, 25, 9), (13, 35, 9), False, 12.0, 3.0, 10 / math.hypot(8, 10) - 2),
    (DISC, (5, 25, 9), (13, 35, 9), True, 12.0, 3.0, -2.0),
    (DISC, (5, 25, 9), (5, 35, 9), True, 12.0, 3.0, 3.0),
    (DISC, (0, 5, 40), (13, 25, 9), True, 12.0, 0.0, -2.0),
    (DISC, (0, 5, 40), (4, 25, 9), False, 12.0, 0.0, FAR),
    # what keeps its height whatever the tip does
    (LEVEL, (9, 15, 9), (9, 35, 400), False, 24.0, 0.0, -1.0),
    (LEVEL, (9, 15, 9), (9, 35, 400), False, 20.0, 3.0, 1.0),
    (LEVEL, (9, 15, 9), (9, 35, 400), False, 20.0, 0.5, FAR),
    # what hangs lower than the tip: between 10 and 14; its lower end 1 above the top; its upper end 1 below
    (HOOD, (5.5, 15, 15), (5.5, 35, 15), False, 12.0, 3.0, 2.5),
    (HOOD, (9, 15, 18), (9, 35, 18), False, 12.0, 3.0, 1.0),
    (HOOD, (9, 15, 18), (9, 35, 18), False, 12.0, 0.5, FAR),
    (HOOD, (9, 15, 8), (9, 35, 8), False, 12.0, 3.0, 1.0),
    # an outline about the axis: 3 to 5 ahead of it
    (FLAG, (4, 25, 9), (4, 26, 9), False, 12.0, 3.0, 1.0),
    (FLAG, (4, 25, 9), (4.5, 26, 9), False, 12.0, 3.0, 0.5),
    (FLAG, (18, 25, 9), (18, 26, 9), False, 12.0, 3.0, 5.0),
    (FLAG, (4, 33, 9), (4, 33, 9), False, 12.0, 3.0, math.hypot(1, 2)),
    (FLAG, (4, 33, 9), (8, 33, 9), False, 12.0, 3.0, 2.0),
    (FLAG, (4, 33, 9), (8, 25, 9), True, 12.0, 3.0, 0.0),
]


@pytest.mark.parametrize("k", range(len(WAYS)))
def test_a_distance_is_as_worked_out_by_hand(k: int) -> None:
    """Beside, over, under, past a corner, down, aslant, in a box: to a millionth of a millimetre."""
    mover, start, end, boxed, top, rise, expected = WAYS[k]
    a, b = np.array([[500.0, 500.0, 0.0], start]), np.array([[501.0, 500.0, 0.0], end])
    found = clearances(Ways(a, b, np.array([False, boxed])), mover, Obstacle(BLOCK, top, rise), MARGIN)
    assert found[0] == FAR
    assert found[1] == pytest.approx(expected, abs=1e-6)
    if expected < MARGIN and rise in {0.0, MARGIN}:
        lowered = BLOCK.model_copy(update={"may_cut_to": top}) if top > BLOCK.top else BLOCK
        assert may_meet(a, b, mover, [BLOCK, lowered], MARGIN)[1]


def test_a_distance_is_the_least_along_the_way() -> None:
    """Of 300 moves at all heights, falling and level: as 400 places along each of them say."""
    rng = np.random.default_rng(3)
    start, end = (rng.uniform((0, 10, -4), (26, 40, 20), (300, 3)) for _ in range(2))
    end[::3, 2] = start[::3, 2]
    ways = Ways(start, end, np.zeros(300, dtype=np.bool_))
    found = clearances(ways, DISC, Obstacle(BLOCK, BLOCK.top, MARGIN), MARGIN)
    part = np.linspace(0.0, 1.0, 400)[:, None, None]
    at = start + part * (end - start)
    flat = shapely.distance(shapely.points(at[..., :2]), shapely.Polygon(BLOCK.outline)) - DISC.radius
    apart = np.maximum(BLOCK.bottom - (at[..., 2] + DISC.high), at[..., 2] + DISC.low - BLOCK.top)
    plain = np.where(apart > 0, np.hypot(np.maximum(flat, 0.0), apart), flat).min(axis=0)
    step = np.linalg.norm(end - start, axis=1) / 399
    near = np.isfinite(found)
    assert near.sum() > 150
    # The overlap in plan counts over the whole of the part of the way that is near in height.
    assert (found[near] <= plain[near] + 1e-9).all()
    level = near & (start[:, 2] == end[:, 2])
    assert level.sum() > 40
    assert (found[level] >= plain[level] - step[level]).all()
    assert (plain[~near] > MARGIN - 0.01 - step[~near]).all()


def test_what_may_meet_is_asked_of_all_things_at_once() -> None:
    """In plan, above and below: exactly at the margin, and a hair beyond it."""
    a, b = np.array([[4.0, 15.0, 9.0]]), np.array([[4.0, 35.0, 9.0]])

    def block(x: float, y: float, low: float, high: float, cut: float | None = None) -> Solid:
        outline = [(x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1)]
        return Solid(name="b", kind="stop", outline=outline, bottom=low, top=high, may_cut_to=cut)

    cases = [
        *((block(9, 20, 8, 12), True), (block(9.1, 20, 8, 12), False), (block(-2, 20, 8, 12), True)),
        *((block(-2.1, 20, 8, 12), False), (block(4, 40, 8, 12), True), (block(4, 40.1, 8, 12), False)),
        *((block(4, 9, 8, 12), True), (block(4, 8.9, 8, 12), False), (block(4, 20, 17.9, 30), True)),
        *((block(4, 20, 18.1, 30), False), (block(4, 20, 0, 7.1), True), (block(4, 20, 0, 6.9), False)),
        *(
            (block(4, 20, 0, 6.9, 7.1), True),
            (block(4, 20, 0, 7.1, 5.0), True),
            (block(4, 20, 0, 5, 6.9), False),
        ),
    ]
    solids = [solid for solid, _ in cases]
    assert may_meet(a, b, DISC, solids, MARGIN).tolist() == [expected for _, expected in cases]
    beam = [may_meet(a, b, LEVEL, [solid], MARGIN)[0] for solid in solids]
    assert beam == [True, False, True, False, True, False, True, False, *[True] * 7]
    assert may_meet(a, b, DISC, [], MARGIN).tolist() == []
    assert may_meet(a[:0], b[:0], DISC, solids, MARGIN).tolist() == [False] * len(solids)


def test_an_arc_may_stand_as_far_out_as_it_bulges() -> None:
    """A post 5.5 mm from a chord: bulging by 2.6 it comes within the margin of 3, bulging by 6 into it."""
    document = small_document()
    post = {"name": "post", "kind": "stop", "outline": [(130.5, -5), (133, -5), (133, 5), (130.5, 5)]}
    document["setups"][0]["solids"] = [post | {"bottom": 0.0, "top": 40.0}]
    document["setups"][0]["programs"][0]["standing"] = ["post"]
    packet = Packet.model_validate(document)
    setup = packet.setups[0]
    text = "G21\nG90\nG94\nM3 S14000\nG0 Z60\nG0 X100 Y0\nG1 Z30 F500\nG1 Y1 F900\nG0 Z60\nM5\nM2\n"
    reading = read_in_setup(packet, setup, setup.programs[0], text)
    assert reading is not None
    straight = Run(setup, setup.programs[0], packet.tools["facer"], packet.machine, reading, 30.0)
    bulge = np.zeros(len(reading.moves))
    said = []
    for bulge[3] in (0.0, 2.4, 2.6, 5.4, 6.0):
        moves = replace(reading.moves, sagitta=bulge.copy())
        run = replace(straight, reading=replace(reading, moves=moves))
        near = [(r.line, r.measured) for r in judge_clearance(run)]
        said.append((near, _met(run, straight)))
    assert said == [([], []), ([], []), ([(8, 2.9)], []), ([(8, 0.1)], []), ([(8, -0.5)], ["post"])]
    lower = setup.model_copy(update={"solids": [setup.solids[0].model_copy(update={"top": 29.5})]})
    assert _met(replace(run, setup=lower), replace(straight, setup=lower)) == []  # it bulges in plan


@pytest.mark.parametrize(
    ("parts", "deep", "said"), [(1, 13, []), (2, 13, [-1.0]), (4, 13, [-1.0]), (2, 12, [])]
)
def test_what_is_above_the_cutter_stays_above_the_bed(parts: int, deep: int, said: list[float]) -> None:
    """A cutter 12 mm long, 13 deep in the bed, takes along what is above it, be it one part or more."""
    packet = Packet.model_validate(small_document())
    setup = packet.setups[0]
    text = f"G21\nG90\nG94\nM3 S14000\nG0 Z60\nG0 X400 Y0\nG1 Z-{deep} F500\nG0 Z60\nM5\nM2\n"
    reading = read_in_setup(packet, setup, setup.programs[0], text)
    assert reading is not None
    tool = packet.tools["facer"]
    tool = tool.model_copy(update={"assembly": tool.assembly[:parts]})
    run = Run(setup, setup.programs[0], tool, packet.machine, reading, 30.0)
    assert [r.measured for r in judge_clearance(run) if r.rule == "body-touches-solid"] == said


def test_what_moves_is_listed_from_the_tip_up_and_then_what_rides() -> None:
    """Parts by half diameter and heights above the tip; riders from the nose, a gantry's from the bed."""
    document = small_document()
    box = [[-3, -4], [3, -4], [3, 4], [-3, 4]]
    document["machine"]["attached"] = [
        {"name": "brush", "outline": box, "from": -50, "to": -10, "moves_with": "z", "soft": True},
        {"name": "beam", "outline": box, "from": 80, "to": 120, "moves_with": "gantry", "soft": False},
    ]
    document["setups"][0]["work_origin"] = [*MARK[:2], 19.0]
    packet = Packet.model_validate(document)
    setup = packet.setups[0]
    reading = read_in_setup(packet, setup, setup.programs[0], "M2\n")
    assert reading is not None
    run = Run(setup, setup.programs[0], packet.tools["facer"], packet.machine, reading, 30.0)
    assert [(m.name, m.kind, m.radius, m.low, m.high, m.level, m.soft) for m in movers(run)] == [
        ("the cutting part", "cutter", 25.0, 0.0, 12.0, False, False),
        ("the 12 mm part above the cutter", "body", 6.0, 12.0, 44.0, False, False),
        ("the 34 mm part above the cutter", "body", 17.0, 44.0, 66.0, False, False),
        ("the 70 mm part above the cutter", "body", 35.0, 66.0, 156.0, False, False),
        ("the brush", "attached", 5.0, 16.0, 56.0, False, True),
        ("the beam", "attached", 5.0, 61.0, 101.0, True, False),
    ]
    assert (run.nose, run.things_top) == (66.0, 30.0)  # the clamps, 14 + 3, are lower
    assert run.tip_top == 30.0  # the brush gives way; of the rest nothing hangs below the tip
