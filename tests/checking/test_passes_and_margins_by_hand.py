"""What passes along a wall take, and how well a simple board is held and bent, all of it worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from checking.cases_of_forces import press
from checking.loads_by_hand import loaded, run_of
from cutters import end_mill, facer
from setups import edge_setup, face_setup, rectangle, shop, solid
from situations import found, hand, situation
from stockwright.checking import bowing, burning, standing
from stockwright.checking.holds import hold_of
from stockwright.checking.swept import level_lines, swept
from stockwright.checking.wood import wood_of
from stockwright.motion.nodes import Dwell
from stockwright.planning.setup import ShimPlace

if TYPE_CHECKING:
    from situations import Stop
    from stockwright.checking.holds import Hold
    from stockwright.findings import Finding

Pass = tuple[float, float, float, float]  # x from, x to, the rim's distance from the wall, z
TAKEN: tuple[tuple[tuple[Pass, ...], list[tuple[int, float, float, bool]]], ...] = (
    # The wall is at y 174, 6 mm of waste beside it from x 100 to 400, 31 mm high down to -1: by pass its
    # number, width, depth, and whether the wood is on its left.
    (((60.0, 440.0, 0.0, -1.0),), [(0, 6.0, 31.0, False)]),
    (((440.0, 60.0, 0.5, -1.0),), [(0, 5.5, 31.0, True)]),
    (((440.0, 60.0, 6.0, -1.0),), []),
    (((440.0, 60.0, 5.5, -1.0),), [(0, 0.5, 31.0, True)]),
    (
        ((60.0, 440.0, 0.5, -1.0), (440.0, 60.0, 0.0, -1.0), (440.0, 60.0, 0.0, -1.0)),
        [(0, 5.5, 31.0, False), (1, 0.5, 31.0, True)],
    ),
    (
        ((60.0, 440.0, 0.5, 14.0), (440.0, 60.0, 0.0, -1.0)),
        [(0, 5.5, 16.0, False), (1, 6.0, 15.0, True), (1, 0.5, 16.0, True)],
    ),
    (
        ((440.0, 60.0, 4.0, 14.0), (440.0, 60.0, 1.0, 14.0), (440.0, 60.0, 1.0, 3.0)),
        [(0, 2.0, 16.0, True), (1, 3.0, 16.0, True), (2, 5.0, 11.0, True)],
    ),
    (
        ((60.0, 250.0, 0.5, -1.0), (440.0, 60.0, 0.0, -1.0)),
        [(0, 5.5, 31.0, False), (1, 6.0, 31.0, True)],
    ),
    (
        ((60.0, 250.0, 0.5, -1.0), (240.0, 60.0, 0.0, -1.0)),
        [(0, 5.5, 31.0, False), (1, 0.5, 31.0, True)],
    ),
    (((60.0, 90.0, 0.0, -1.0),), []),
    (((60.0, 440.0, 0.0, 29.99),), []),
    (((60.0, 440.0, 0.0, 29.5),), [(0, 6.0, 0.5, False)]),
)


@pytest.mark.parametrize(("passes", "wanted"), TAKEN)
def test_what_passes_along_a_wall_take(
    passes: tuple[Pass, ...], wanted: list[tuple[int, float, float, bool]]
) -> None:
    """Height by height what still stands there, at its widest; nothing twice, and nothing beside the wood."""
    setup = edge_setup(waste=6.0)
    stops: list[Stop] = []
    for start, to, off, z in passes:
        y = 174.0 + off + 6.0
        stops += [("rapid", None, None, 60.0), ("rapid", start, y, None), ("rapid", None, None, z)]
        stops.append(("feed", to, y, z))
    [bites] = situation(setup, shop(), (hand(setup, end_mill(), *stops),)).bites
    on = np.flatnonzero(bites.wall >= 0)
    rows = sorted(set(bites.row[on].tolist()))
    told = [(rows.index(bites.row[k]), bites.width[k], bites.depth[k], bool(bites.left[k])) for k in on]
    numbers = [case[0] for case in wanted]
    known = sorted(set(numbers))
    assert [case[0] for case in told] == [known.index(n) for n in numbers]
    assert np.array([case[1:] for case in told]) == pytest.approx(
        np.array([case[1:] for case in wanted]), abs=0.03
    )


def hand_held(rows: int = 1, shims: tuple[ShimPlace, ...] = (), at: tuple[float, ...] = (250.0,)) -> Hold:
    """Hold a board 300 by 100 by presses along its middle against as many pushes along its far edge."""
    setup = replace(edge_setup(), shims=shims)
    load = loaded(run_of(end_mill(), setup), [(k, 6.0, 29.0, -1) for k in range(rows)])
    places = np.column_stack(
        [np.linspace(120.0, 380.0, rows + 1), np.full(rows + 1, 180.0), np.ones(rows + 1)]
    )
    load = replace(load, a=places[:-1], b=places[1:])
    own: Any = situation(setup, shop(), ())
    return hold_of(own, load, "board", tuple(press(x, 130.0, 900.0) for x in at))


def test_a_press_in_the_middle_holds_down_against_lifting_and_tipping() -> None:
    """Its force and the weight against the pull; moments about the worst of four sides."""
    hold = hand_held()
    down = 900.0 + hold.weight
    asked, pulled = float(hold.asked[0]), float(hold.pulled[0])
    assert hold.lift == pytest.approx([down / pulled])
    # About each side: how far inside it the press and the worse end of the move are.
    sides = ((50.0, 100.0), (50.0, 0.0), (150.0, 280.0), (150.0, 280.0))
    assert hold.tip == pytest.approx([min(down * at / (pulled * away + asked * 30.0) for at, away in sides)])


def test_on_shims_it_tips_about_them() -> None:
    """Shims 40 mm apart across make sides 20 mm from the press, 30 mm from the far edge."""
    shims = tuple(ShimPlace("board", x, y, 1.0) for x in (110.0, 390.0) for y in (110.0, 150.0))
    hold = hand_held(shims=(*shims, ShimPlace("other", 0.0, 0.0, 1.0)))
    down, asked, pulled = 900.0 + hold.weight, float(hold.asked[0]), float(hold.pulled[0])
    sides = ((20.0, 70.0), (20.0, 30.0), (140.0, 270.0), (140.0, 270.0))
    assert hold.tip == pytest.approx([min(down * at / (pulled * away + asked * 30.0) for at, away in sides)])


def test_up_to_64_moves_each_have_a_margin_of_their_own() -> None:
    """Of more that push alike the outermost stand for all, and the least margin is the same."""
    few, many = (hand_held(rows, at=(180.0, 300.0)) for rows in (64, 65))
    assert len(set(np.round(few.plane, 9))) > 30
    assert len(set(np.round(many.plane, 9))) == 1
    assert many.plane.min() == pytest.approx(few.plane.min(), rel=1e-6)


def test_moves_that_push_harder_by_a_tenth_are_judged_by_themselves() -> None:
    """Within a twentieth pushes count as alike; of 68 three that are harder keep margins of their own."""
    for harder, alone in ((1.1, 3), (1.01, 1)):
        hold = hand_held(68, at=(180.0, 300.0))
        side = np.where(np.arange(68) < 3, harder, 1.0) * 105.0
        load = replace(hold.load, side=side)
        again = hold_of(situation(edge_setup(), shop(), ()), load, "board", hold.grips)
        assert len(set(np.round(again.plane[:3] * again.asked[:3], 9))) == alone
        assert len(set(np.round(again.plane[3:], 9))) == 1


def bent(
    x: float, *shims: tuple[float, float], turned: bool = False, force: float = 90_000.0
) -> list[Finding]:
    """Press a board on shims 1 mm thick; `turned`: its grain lies across the bed."""
    setup = face_setup()
    matrix = np.eye(4)
    if turned:
        matrix[:2, :2] = [[0.0, -1.0], [1.0, 0.0]]
    setup = replace(
        setup,
        lies=tuple(replace(lie, matrix=matrix) for lie in setup.lies),
        shims=tuple(ShimPlace("board", *place, 1.0) for place in shims),
        grips=(press(x, 130.0, force),),
    )
    return list(found(bowing.board_bows_under_clamps, situation(setup, shop(), ())))


def test_a_press_bends_a_board_by_its_span_and_its_section() -> None:
    """F L3 / 48 E I between supports, F a2 (L + a) / 3 E I beyond them; within 25 mm of one not at all."""
    stiff = 12_000.0

    def moment(width: float) -> float:
        return width * 29.0**3 / 12.0

    between, beyond = 90_000.0 * 200.0**3 / 48.0, 90_000.0 * 60.0**2 * 260.0 / 3.0
    for x, shims, turned, wanted in (
        (250.0, ((150.0, 130.0), (350.0, 130.0)), False, between / stiff / moment(100.0)),
        (250.0, ((150.0, 90.0), (150.0, 170.0), (350.0, 130.0)), False, between / stiff / moment(100.0)),
        (250.0, ((225.0, 130.0), (350.0, 130.0)), False, None),
        (250.0, ((150.0, 130.0),), False, None),
        (250.0, (), False, None),
        (390.0, ((130.0, 130.0), (330.0, 130.0)), False, beyond / stiff / moment(60.0)),
        (110.0, ((170.0, 130.0), (370.0, 130.0)), False, beyond / stiff / moment(60.0)),
        (390.0, ((330.0, 130.0), (330.0, 90.0)), False, 90_000.0 * 60.0**3 / 3.0 / stiff / moment(60.0)),
        (250.0, ((250.0, 90.0), (250.0, 170.0)), True, 90_000.0 * 80.0**3 / 48.0 / stiff / moment(80.0)),
    ):
        told = bent(x, *shims, turned=turned)
        assert [f.measured for f in told] == ([] if wanted is None else [pytest.approx(wanted, abs=1e-4)]), x
    assert len(bent(250.0, (224.0, 130.0), (424.0, 130.0))) == 1


RUBBING = (  # light, feed, the machine's greatest feed and least speed; what cures a last pass that rubs
    (0.5, 2300.0, 5000.0, 8000.0, "set its feed to 2410 mm/min, or set its speed to 15300 rpm"),
    (0.4, 2300.0, 5000.0, 8000.0, "set its feed to 2680 mm/min, or set its speed to 13700 rpm"),
    (0.4, 2300.0, 2600.0, 8000.0, "set its speed to 13700 rpm"),
    (0.2, 2600.0, 5000.0, 8000.0, "set its feed to 3750 mm/min, or set the light of its edges to 0.46 mm"),
    (0.2, 2600.0, 3700.0, 8000.0, "set the light of its edges to 0.46 mm, or set its speed to 11000 rpm"),
    (0.2, 2600.0, 3700.0, 12000.0, "set the light of its edges to 0.46 mm"),
    (0.1, 900.0, 1000.0, 15000.0, "set its speed to 2700 rpm"),
)


@pytest.mark.parametrize(("light", "feed", "most", "least", "cure"), RUBBING)
def test_what_cures_a_last_pass_that_rubs(
    light: float, feed: float, most: float, least: float, cure: str
) -> None:
    """A feed that the machine has, a light pass that is light still, or a speed that the spindle has."""
    setup = edge_setup(tool=end_mill(feed=feed), light=light)
    [finding] = found(burning.last_pass_rubs, situation(setup, shop(max_feed=most, min_rpm=least)))
    chip = feed / 32_000.0 * math.sin(math.acos(1 - 2 * light / 12.0))
    assert finding.measured == pytest.approx(chip, abs=1e-5)
    assert finding.limit == 0.03
    assert finding.remedy == cure


def test_a_board_with_three_corners_is_a_board() -> None:
    """Its wood stands, a cutter that waits in it rubs, and a clamp in it overlaps."""
    corner = np.array([[100.0, 80.0], [400.0, 80.0], [100.0, 180.0]])
    clamp = solid("side clamp 1", rectangle(130.0, 90.0, 150.0, 110.0))
    setup = replace(face_setup(region=corner, solids=(clamp,)), wood_outline=corner)
    wood = wood_of(setup)
    assert wood is not None
    assert np.isfinite(wood.height).mean() == pytest.approx(0.5, abs=0.02)
    made = hand(setup, facer(), ("feed", 150.0, 100.0, 31.0))
    program = replace(made, nodes=(*made.nodes[:-1], Dwell(1.0), made.nodes[-1]))
    own = situation(setup, shop(), (program,))
    assert len(found(burning.dwells_in_the_wood, own)) == 1
    assert len(found(standing.solids_overlap, own)) == 1
    bare = replace(setup, wood_outline=corner[:2], lies=(), cuts=())
    assert wood_of(bare) is None
    assert found(burning.dwells_in_the_wood, situation(bare, shop(), (program,))) == ()


def test_lines_from_one_place_are_no_chain() -> None:
    """Two passes that begin at one place clear two bands, and nothing between their ends."""
    setup = face_setup()
    here = (0.0, 0.0, 30.0)
    stops: tuple[Stop, ...] = (
        ("feed", *here),
        ("feed", 200.0, 0.0, 30.0),
        ("rapid", *here),
        ("feed", 0.0, 200.0, 30.0),
    )
    [run] = situation(setup, shop(), (hand(setup, facer(), *stops),)).runs
    area = swept((run,), lambda m: level_lines(m, 30.0, 30.0), lambda tool: tool.radius)
    assert area.area == pytest.approx(2 * 200.0 * 50.0 + math.pi * 25.0**2 * 1.25 - 25.0**2, rel=2e-3)
