"""What every move takes is never less than what is there, and the feed's range follows from it."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np
import pytest
import shapely

from checking.cases_of_forces import AROUND, held, press
from cutters import end_mill, facer
from setups import edge_setup, face_setup, shop
from situations import hand, situation
from stockwright.checking.chips import feed_ranges
from stockwright.checking.forces import power_at
from stockwright.forces.mechanics import ACROSS, greatest_chip, peak_tooth_force, power
from stockwright.planning.setup import EdgeCut

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from stockwright.checking import Situation
    from stockwright.checking.bites import Bites
    from stockwright.checking.forces import Load

Side = Literal["far", "near", "left", "right"]


def cutting(own: Situation) -> Bites:
    """Return the bites of the one program that cuts."""
    return next(b for b in own.bites if b.run.program.purpose == "cut")


def load(own: Situation) -> Load:
    """Return the load of the one program that cuts."""
    return next(each for each in own.loads if each.run.program.purpose == "cut")


@pytest.mark.parametrize("side", ["far", "near", "left", "right"])
def test_roughing_has_the_wood_on_its_left_and_the_last_pass_on_its_right(side: Side) -> None:
    """Along every side roughing is conventional, and only the light last pass climbs."""
    bites = cutting(situation(edge_setup(sides=(side,)), shop()))
    assert (bites.width[~bites.left] <= 0.51).all()
    assert bites.left.any()
    assert not bites.left.all()


@pytest.mark.parametrize("side", ["far", "near", "left", "right"])
@pytest.mark.parametrize("waste", [0.4, 3.0, 6.0, 17.0])
def test_all_the_waste_of_a_wall_is_bitten_off_once(side: Side, waste: float) -> None:
    """The cross-sections of all passes along a wall add up to the waste's: nothing twice, nothing left."""
    setup = edge_setup(sides=(side,), waste=waste)
    bites = cutting(situation(setup, shop()))
    cut = setup.cuts[0]
    assert isinstance(cut, EdgeCut)
    walls = bites.wall >= 0
    taken = float((bites.width * bites.depth)[walls].sum())
    assert taken == pytest.approx(waste * (cut.ceiling - cut.bottom), rel=0.01)


def test_a_crooked_waste_is_taken_at_its_widest() -> None:
    """Waste that widens along the line: no pass takes more than is told, by areas worked out another way."""
    setup = edge_setup(waste=12.0)
    cut = setup.cuts[0]
    assert isinstance(cut, EdgeCut)
    wedge = np.array([[100.0, 168.0], [400.0, 168.0], [400.0, 171.0], [100.0, 180.0]])
    own = situation(replace(setup, cuts=(replace(cut, waste=(wedge,)),)), shop())
    bites = cutting(own)
    wood: BaseGeometry = shapely.Polygon(wedge)
    last = np.inf
    for at in range(len(bites)):
        row = bites.row[at]
        if bites.a[row, 2] != last:
            wood, last = shapely.Polygon(wedge), bites.a[row, 2]
        path = shapely.LineString([bites.a[row, :2], bites.b[row, :2]]).buffer(6.0)
        gone = wood.intersection(path)
        if bites.left[at] and not gone.is_empty:
            _, low, _, high = gone.bounds
            assert bites.width[at] >= high - low - 0.2
        wood = wood.difference(path)


def test_a_hand_driven_pass_at_full_width_is_seen_whole() -> None:
    """One pass straight through 6 mm of waste takes 6 mm over the whole height, however it is programmed."""
    setup = edge_setup(waste=6.0)
    along = (("rapid", None, None, 60.0), ("rapid", 60.0, 180.0, None), ("feed", 60.0, 180.0, -1.0))
    on = (("feed", 440.0, 180.0, -1.0), ("rapid", None, None, 60.0))
    bites = cutting(situation(setup, shop(), (hand(setup, end_mill(), *along, *on),)))
    assert float(bites.width.max()) == pytest.approx(6.0, abs=0.01)
    assert float(bites.depth.max()) == pytest.approx(31.0, abs=0.01)
    assert not bites.left[bites.width.argmax()]


def test_a_face_pass_is_as_wide_and_deep_as_the_wood_it_meets() -> None:
    """On a face no bite is deeper than the stepdown, and the widest is the stepover or a point more."""
    own = situation(face_setup(), shop())
    bites = cutting(own)
    assert float(bites.depth.max()) == pytest.approx(2.0, abs=0.01)
    assert 35.0 - 4.0 <= float(bites.width.max()) <= 50.0


def test_the_force_is_the_peak_of_a_tooth_never_the_mean() -> None:
    """Of a light last pass: pressure times height times greatest chip, and as much across."""
    own = situation(edge_setup(), shop())
    each = load(own)
    light = int(np.flatnonzero(each.light)[0])
    chip = greatest_chip(2400.0 / (16000.0 * 2), 0.5, 12.0)
    assert each.side[light] == pytest.approx(ACROSS * peak_tooth_force(30.0, 31.0, chip), rel=0.02)
    assert each.watts[light] == pytest.approx(power(30.0, 0.5, 31.0, 2400.0), rel=0.03)


def test_denser_wood_and_the_shops_own_pressure_count() -> None:
    """A stated cutting pressure replaces the placeholder, in proportion."""
    setup = edge_setup()
    plain = load(situation(setup, shop()))
    own = load(situation(setup, replace(shop(), cutting_pressure=45.0)))
    assert own.side == pytest.approx(1.5 * plain.side)


def test_power_at_a_speed_is_the_shops_or_the_least_it_can_be() -> None:
    """Nothing said: in proportion to speed; a torque: that times speed; a curve: straight in between."""
    machine = shop().machine
    curve = replace(machine, power_at=((8000.0, 400.0), (16000.0, 1200.0)))
    for own, rpm, watts, stated in (
        (machine, 12000.0, 750.0, False),
        (replace(machine, torque=0.5), 12000.0, 628.3, True),
        (replace(machine, torque=5.0), 24000.0, 1500.0, True),
        (curve, 12000.0, 800.0, True),
        (curve, 4000.0, 200.0, True),
    ):
        found = power_at(own, rpm)
        assert found[0] == pytest.approx(watts, abs=0.1)
        assert found[1] is stated


def test_at_the_ends_of_the_range_the_bounds_are_met() -> None:
    """At the lower end the usual chip is a tenth of a millimetre, at the upper the greatest is no thicker."""
    own = situation(edge_setup(tool=end_mill(feed=4000.0)), shop(max_feed=9e4))
    [found] = feed_ranges(own).values()
    chips = load(own).chip[~load(own).light]
    assert float(np.median(chips)) * found.low == pytest.approx(0.1, abs=0.006)
    assert float(chips.max()) * found.high <= 0.03 * 12.0 + 1e-9


def test_a_light_last_pass_sets_no_bound_that_a_roughing_pass_would() -> None:
    """Its chip of 0.05 mm is thin by nature: it alone lets the feed go down to three fifths."""
    own = situation(edge_setup(waste=0.4, tool=end_mill(feed=4000.0)), shop())
    [found] = feed_ranges(own).values()
    assert found.low == pytest.approx(0.03 / float(load(own).chip.max()), abs=0.05)
    assert found.low < 1


def test_what_holds_bounds_the_feed_from_above() -> None:
    """A firmer hold lets the feed go higher, until something else says stop."""
    weak = held(press(130, 100, 1000), press(370, 100, 1000, 2), feed=4000.0)
    firm = held(press(130, 100, 5000), press(370, 100, 5000, 2), *AROUND, feed=4000.0)
    [slow], [fast] = feed_ranges(weak).values(), feed_ranges(firm).values()
    assert slow.fast == "the board is held too weakly"
    assert 1.0 <= slow.high < 1.25
    assert fast.fast != slow.fast


def test_forces_holding_and_feeds_take_little_time() -> None:
    """A face of 1.2 m in many levels and passes is judged within the half second promised for a job."""
    setup = face_setup(size=(1200.0, 600.0), at=(20.0, 20.0), tool=facer(), ceiling=40.0)
    wide = shop(travel=((0.0, 1600.0), (0.0, 1000.0), (40.0, 180.0)))
    own = situation(replace(setup, grips=AROUND), wide)
    assert own.touches == own.touches
    begun = time.perf_counter()
    assert len(own.bites) == len(own.loads)
    assert own.holds
    feed_ranges(own)
    assert time.perf_counter() - begun < 0.5
