"""What the rules stand on, by numbers worked by hand: words, power, chips, pushes, weights, rows."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from checking.cases_of_forces import carry, held, press, push
from checking.loads_by_hand import loaded, run_of
from cutters import end_mill, facer
from setups import edge_setup, face_setup, rectangle, shop
from situations import situation
from stockwright.board.nominal import board_from_nominal
from stockwright.checking.forces import power_at, pressure_of
from stockwright.checking.holds import hold_of
from stockwright.checking.on_board import load_on
from stockwright.checking.wording import down, feed_down, feed_up, fewer_flutes, shown, up
from stockwright.hold_downs import thing_of
from stockwright.planning.setup import Grip, Lies, ShimPlace


def test_numbers_are_said_on_the_side_on_which_they_cure() -> None:
    """Up or down to their step, but for last bits; at most two decimals, and none that say nothing."""
    said = [
        (up(1.01), "1.1"),
        (up(1.1), "1.1"),
        (up(0.1 + 0.2), "0.3"),
        (up(1.0 + 1e-8), "1.1"),
        (up(-1.05), "-1"),
        (up(71.0, 10), "80"),
        (up(70.0, 10), "70"),
        (up(0.301, 0.01), "0.31"),
        (down(1.19), "1.1"),
        (down(1.2), "1.2"),
        (down(0.3 - 1e-12), "0.3"),
        (down(1.2 - 1e-8), "1.1"),
        (down(-0.01), "-0.1"),
        (down(79.0, 10), "70"),
        (down(0.309, 0.01), "0.3"),
        (shown(3.0), "3"),
        (shown(3.10), "3.1"),
        (shown(3.146), "3.15"),
        (shown(100.0), "100"),
        (shown(-0.001), "0"),
        (shown(-0.1), "-0.1"),
        (shown(0.0), "0"),
    ]
    assert [got for got, _ in said] == [wanted for _, wanted in said]


def test_feeds_are_said_in_two_figures_where_that_is_enough() -> None:
    """Down, not below what is least; up, not above what is most; else in three figures, or to the unit."""
    said = [
        (feed_down(2345.0), "2300"),
        (feed_down(2300.0), "2300"),
        (feed_down(2345.0, 2300.0), "2300"),
        (feed_down(2345.0, 2301.0), "2340"),
        (feed_down(2345.0, 2340.0), "2340"),
        (feed_down(2345.0, 2342.0), "2345"),
        (feed_down(999.0), "990"),
        (feed_down(1000.0), "1000"),
        (feed_down(99.0), "99"),
        (feed_down(95.7), "95"),
        (feed_down(9.7), "9"),
        (feed_down(0.7), "0"),
        (feed_down(0.0), "0"),
        (feed_down(10.0), "10"),
        (feed_up(2301.0), "2400"),
        (feed_up(2300.0), "2300"),
        (feed_up(2301.0, 2400.0), "2400"),
        (feed_up(2301.0, 2399.0), "2310"),
        (feed_up(2301.0, 2310.0), "2310"),
        (feed_up(2301.5, 2309.0), "2302"),
        (feed_up(991.0), "1000"),
        (feed_up(95.2), "96"),
        (feed_up(9.2), "10"),
        (feed_up(-3.0), "-3"),
    ]
    assert [got for got, _ in said] == [wanted for _, wanted in said]


def test_how_many_flutes_make_a_proper_chip() -> None:
    """Whole ones; one, turned slower where the spindle can; else how much faster a machine must feed."""
    said = [
        (fewer_flutes(4, 0.5, 12000, 10000), "take a cutter with at most 2 flutes"),
        (fewer_flutes(4, 0.49, 12000, 10000), "take a cutter with at most 1 flute"),
        (fewer_flutes(3, 0.34, 12000, 10000), "take a cutter with at most 1 flute"),
        (fewer_flutes(4, 0.25, 12000, 10000), "take a cutter with at most 1 flute"),
        (
            fewer_flutes(2, 0.4, 12000, 10000),
            "run it on a machine that feeds 1.3 times as fast with one flute",
        ),
        (fewer_flutes(2, 0.42, 12000, 10000), "take a cutter with one flute and set its speed to 10000 rpm"),
        (fewer_flutes(2, 0.46, 12000, 9000), "take a cutter with one flute and set its speed to 11000 rpm"),
        (fewer_flutes(2, 0.1, 12000, 10000), "run it on a machine that feeds 5 times as fast with one flute"),
    ]
    assert [got for got, _ in said] == [wanted for _, wanted in said]


def test_a_part_is_named_after_its_thing() -> None:
    """An arm and a body are parts; a number is none."""
    for name, thing in (
        ("top clamp 3 arm", "top clamp 3"),
        ("top clamp 3 body", "top clamp 3"),
        ("stop 1", "stop 1"),
        ("charm", "charm"),
        ("arm", "arm"),
    ):
        assert thing_of(name) == thing


def test_the_power_at_every_speed() -> None:
    """By the curve, straight between its points and in proportion below; by the torque; else by the speed."""
    own = replace(shop().machine, power=1500.0, max_rpm=24000.0)
    curve = replace(own, power_at=((8000.0, 400.0), (12000.0, 900.0), (16000.0, 1200.0)), torque=1.0)
    turns = 2 * math.pi / 60
    for machine, rpm, watts, stated in (
        (own, 24000.0, 1500.0, False),
        (own, 30000.0, 1500.0, False),
        (own, 6000.0, 375.0, False),
        (curve, 8000.0, 400.0, True),
        (curve, 2000.0, 100.0, True),
        (curve, 10000.0, 650.0, True),
        (curve, 12000.0, 900.0, True),
        (curve, 15000.0, 1125.0, True),
        (curve, 20000.0, 1200.0, True),
        (replace(own, torque=0.25), 12000.0, 0.25 * 12000 * turns, True),
        (replace(own, torque=0.75), 24000.0, 1500.0, True),
    ):
        found = power_at(machine, rpm)
        assert found[0] == pytest.approx(watts)
        assert found[1] is stated


SQRT2, TAN30 = math.sqrt(2), math.tan(math.radians(30))
LOADS = (  # flutes, width and depth; chip, teeth in the cut: of 12 mm at 0.1 mm for each tooth
    (2, 6.0, 4.0, 0.1, 1),
    (2, 3.0, 4.0, 0.1 * math.sin(math.pi / 3), 1),
    (2, 12.0, 4.0, 0.1, 1),
    (3, 12.0, 4.0, 0.1, 2),
    (4, 6.0, 4.0, 0.1, 1),
    (4, 6.1, 4.0, 0.1, 2),
    (4, 12.0, 2.0, 0.1, 2),
    (6, 9.0, 2.0, 0.1, 2),
    (6, 9.1, 2.0, 0.1, 3),
    (1, 15.0, 2.0, 0.1, 1),
)


@pytest.mark.parametrize(("flutes", "width", "depth", "chip", "teeth"), LOADS)
def test_a_push_is_that_of_all_teeth_in_the_cut_at_their_peak(
    flutes: int, width: float, depth: float, chip: float, teeth: int
) -> None:
    """30 N/mm2 times depth, chip and teeth; as much across, a pull by the helix, and the power."""
    tool = end_mill(flutes=flutes)
    load = loaded(run_of(tool), [(2, width, depth, -1)], feed=1600.0 * flutes)
    force, watts = 30.0 * depth * chip * teeth, 30.0 * width * depth * 1600.0 * flutes / 60_000
    assert load.rpm == 16000.0
    assert load.row.tolist() == [2]
    assert load.chip == pytest.approx([chip])
    assert load.side == pytest.approx([SQRT2 * force])
    assert load.pull == pytest.approx([TAN30 * force])
    assert load.watts == pytest.approx([watts])
    assert load.newton_metres == pytest.approx([watts * 60 / (2 * math.pi * 16000.0)])
    assert load.top == pytest.approx([1.0 + depth])
    assert load.at(0) == (20.0, 5.0, 2.0)
    assert (load.width.tolist(), load.depth.tolist(), load.feed.tolist()) == (
        [width],
        [depth],
        [1600.0 * flutes],
    )


def test_slices_of_one_move_act_together() -> None:
    """Pushes and powers add up; along a wall depths stand on one another, beside it the deepest counts."""
    tool = replace(end_mill(), helix=-10.0)
    setup = edge_setup(tool=tool, light=0.5)
    slices = [(1, 6.0, 4.0, 0), (1, 3.0, 2.0, 0), (3, 0.52, 7.0, 0), (4, 0.54, 7.0, 0), (5, 6.0, 4.0, -1)]
    slices += [(5, 5.0, 3.0, -1), (6, 0.2, 3.0, -1), (7, 0.5, 9.0, 0), (7, 0.4, 8.0, 1)]
    load = loaded(run_of(tool, setup), slices)
    assert load.row.tolist() == [1, 3, 4, 5, 6, 7]
    assert load.light.tolist() == [False, True, False, False, False, True]
    assert load.depth == pytest.approx([6.0, 7.0, 7.0, 4.0, 3.0, 9.0])
    assert load.width == pytest.approx([6.0, 0.52, 0.54, 6.0, 0.2, 0.5])
    assert load.top == pytest.approx(1.0 + load.depth)
    first = 30.0 * (4.0 * 0.1 + 2.0 * 0.1 * math.sin(math.pi / 3))
    assert load.side[0] == pytest.approx(SQRT2 * first)
    assert load.pull[0] == pytest.approx(math.tan(math.radians(-10.0)) * first)
    assert load.watts[[0, 3]] == pytest.approx([1.6 * 30.0, 1.6 * 39.0])
    assert load.chip[[0, 3]] == pytest.approx([0.1, 0.1])


def test_nothing_is_asked_where_nothing_turns_or_bites() -> None:
    """Without cuts, and at no speed, a load has no rows."""
    tool = end_mill()
    assert len(loaded(run_of(tool), [])) == 0
    assert len(loaded(run_of(tool, rpm=0.0), [(0, 6.0, 4.0, -1)])) == 0
    assert len(loaded(run_of(replace(tool, flutes=0)), [(0, 6.0, 4.0, -1)])) == 0
    assert len(loaded(run_of(tool, rpm=0.5), [(0, 6.0, 4.0, -1)])) == 1


def test_wood_denser_than_the_placeholder_is_for_counts_in_proportion() -> None:
    """Of the boards that lie there the densest, and none for less than the placeholder; or the shop's own."""
    bare = situation(face_setup(), shop(), ())
    setup = bare.setups[0]
    two = replace(setup, lies=(*setup.lies, replace(setup.lies[0], board="other")))
    for kinds, stated, wanted in (
        ((None, None), None, 30.0),
        (("alder-red", None), None, 30.0),
        (("hickory-pecan", None), None, 30.0 * 0.66 / 0.6),
        (("alder-red", "hickory-pecan"), None, 30.0 * 0.66 / 0.6),
        (("hickory-pecan", "alder-red"), 44.0, 44.0 * 0.66 / 0.6),
        ((None, "ash-white"), 12.0, 12.0),
    ):
        boards = tuple(
            replace(board_from_nominal(name, 300.0, 100.0, 30.0), species=kind)
            for name, kind in zip(("board", "other"), kinds, strict=True)
        )
        own = replace(
            bare, job=replace(bare.job, boards=boards, shop=replace(shop(), cutting_pressure=stated))
        )
        assert pressure_of(own, two) == pytest.approx(wanted)
        alone = 30.0 * (0.66 / 0.6 if kinds[0] == "hickory-pecan" else 1.0) * ((stated or 30.0) / 30.0)
        assert pressure_of(own, setup) == pytest.approx(alone)


def test_a_board_weighs_what_is_left_of_it_at_the_least() -> None:
    """350 kg/m3, or 1000 times its gravity where somebody says; from its highest shim to its face."""
    gravity = 9.80665 * 1e-9 * 300.0 * 100.0
    shims = tuple(
        ShimPlace(board, 110.0, 90.0, t) for board, t in (("board", 1.0), ("board", 2.5), ("x", 9.0))
    )
    for setup, species, wanted in (
        (edge_setup(), None, 350.0 * 30.0),
        (edge_setup(), "cherry-black", 500.0 * 30.0),
        (replace(edge_setup(), shims=shims), None, 350.0 * 27.5),
        (face_setup(), None, 350.0 * 30.0),
        (replace(face_setup(), shims=shims), "cherry-black", 500.0 * 27.5),
        (replace(edge_setup(), wood_top=2.0, shims=shims), None, 0.0),
    ):
        own = situation(replace(setup, grips=(press(250.0, 130.0, 500.0),)), shop())
        boards = (board_from_nominal("x", 1.0, 1.0, 1.0), board_from_nominal("board", 300.0, 100.0, 30.0))
        boards = (replace(boards[0], species="hickory-pecan"), replace(boards[1], species=species))
        own = replace(own, job=replace(own.job, boards=boards))
        assert own.holds[-1].weight == pytest.approx(gravity * wanted)


def grips_met(*grips: Grip) -> list[float]:
    """Give how hard each grip counts."""
    own = held(*grips)
    load = own.loads[-1]
    return [grip.force for grip in hold_of(own, load, "board", grips).grips]


def slanted(way: float, force: float = 700.0) -> Grip:
    """Carry a push at an angle, degrees from straight towards the near side."""
    angle = math.radians(way)
    return carry(250, 180, (math.sin(angle), -math.cos(angle)), force)


def test_a_push_counts_as_far_as_it_is_met() -> None:
    """By pushes and stops that face it within a cosine of 0.9; pushes the same way share what meets them."""
    one, two = push(250, 80, 1.0, 600), push(300, 80, 1.0, 200)
    assert grips_met(one, push(250, 180, -1.0, 600)) == [600.0, 600.0]
    assert grips_met(one, push(250, 180, -1.0, 300)) == [300.0, 300.0]
    assert grips_met(one, two, push(250, 180, -1.0, 400)) == [300.0, 100.0, 400.0]
    assert grips_met(one, two, push(250, 180, -1.0, 400), carry(250, 180, (0.0, -1.0), 200)) == [
        450.0,
        150.0,
        400.0,
        200.0,
    ]
    assert grips_met(one, press(250, 130, 50)) == [600.0, 50.0]
    assert grips_met(one, slanted(25.0, 300.0)) == [300.0, 300.0]
    assert grips_met(one, slanted(26.0, 300.0)) == [600.0, 300.0]
    assert grips_met(one, slanted(0.0, 0.0)) == [600.0, 0.0]


def test_of_a_row_a_move_counts_for_each_board_as_far_as_it_passes_over_it() -> None:
    """A pass along two is cut off a radius beyond the joint; a plunge counts for what it comes over."""
    setup = edge_setup(size=(200.0, 100.0), at=(0.0, 0.0), waste=6.0)
    boards = (rectangle(0.0, 0.0, 100.0, 100.0), rectangle(100.0, 0.0, 200.0, 100.0))
    lies = tuple(
        Lies(name, "A", 0, np.eye(4), outline=outline)
        for name, outline in zip(("one", "two"), boards, strict=True)
    )
    run = run_of(end_mill(), replace(setup, lies=lies))
    load = loaded(run, [(k, 6.0, 1.0 + k, -1) for k in range(5)])
    ends = (
        ((-20.0, 50.0, 1.0), (220.0, 50.0, 7.0)),
        ((150.0, 50.0, 4.0), (150.0, 50.0, 1.0)),
        ((50.0, 50.0, 4.0), (60.0, 50.0, 1.0)),
        ((105.9, 20.0, 4.0), (105.9, 60.0, 4.0)),
        ((105.97, 20.0, 4.0), (105.97, 60.0, 4.0)),
    )
    load = replace(load, a=np.array([e[0] for e in ends]), b=np.array([e[1] for e in ends]))
    one, two = load_on(load, "one"), load_on(load, "two")
    assert one.row.tolist() == [0, 2, 3]
    assert two.row.tolist() == [0, 1, 3, 4]
    reach = 5.95
    assert one.a[:, :2] == pytest.approx(np.array([[-reach, 50.0], [50.0, 50.0], [105.9, 20.0]]), abs=0.02)
    assert one.b[0] == pytest.approx([100.0 + reach, 50.0, 1.0 + 6.0 * (120.0 + reach) / 240.0])
    assert two.a[0] == pytest.approx([100.0 - reach, 50.0, 1.0 + 6.0 * (120.0 - reach) / 240.0])
    assert two.a[1].tolist() == two.b[1].tolist() == [150.0, 50.0, 4.0]
    for part in (one, two):
        for name in (
            "feed",
            "chip",
            "side",
            "pull",
            "watts",
            "newton_metres",
            "light",
            "top",
            "width",
            "depth",
        ):
            assert getattr(part, name).tolist() == getattr(load, name)[part.row].tolist()
    alone = replace(load, bites=replace(load.bites, run=run_of(facer(), face_setup())))
    assert load_on(alone, "board") is alone
