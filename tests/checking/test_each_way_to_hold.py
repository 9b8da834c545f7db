"""What each kind of grip holds: in the plane, against lifting; pad, screw, tape, clamp, squeeze and stop."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Literal

import numpy as np
import pytest

from checking.cases_of_forces import carry, held, press, push
from situations import found, numbers
from stockwright.checking.holding import lifts_off, tips_over
from stockwright.planning.setup import Grip

if TYPE_CHECKING:
    from stockwright.checking import Situation
    from stockwright.checking.holds import Hold

OWN = "the shop's own figure"


def over(how: Literal["shear", "draw"], force: float, lifts: float = 0.0, area: float = 2500.0) -> Grip:
    """Hold the board over an area in its middle."""
    return Grip("pad 1", "board", how, (250.0, 130.0, 0.0), force, OWN, area=area, lifts=lifts)


def hold(*grips: Grip) -> Hold:
    """Give how the board is held in the one program that cuts."""
    return held(*grips).holds[0]


@pytest.mark.parametrize("how", ["shear", "draw"])
def test_an_area_holds_no_more_than_its_force(how: Literal["shear", "draw"]) -> None:
    """Nowhere more than the whole of it and the board's weight, and more in proportion to the force."""
    light, heavy = hold(over(how, 4000.0)), hold(over(how, 8000.0))
    bound = 4000.0 * (1.0 if how == "shear" else light.friction) + light.weight
    for each, times in ((light, 1), (heavy, 2)):
        resists = each.plane * each.asked
        assert (resists < times * bound).all()
        assert (resists > 0.02 * times * bound).all()
    gained = (heavy.plane / light.plane)[light.plane > 0]
    assert gained == pytest.approx(2.0, rel=0.1)


def test_a_wider_area_holds_better_against_turning() -> None:
    """The same force over four times the area resists a push beside it better, and a push at it no better."""
    narrow, wide = hold(over("shear", 4000.0)), hold(over("shear", 4000.0, area=10_000.0))
    assert (wide.plane > 1.2 * narrow.plane).all()
    assert (wide.plane < 2.1 * narrow.plane).all()


def test_what_keeps_it_down_adds_up() -> None:
    """Weight, presses, suction and what screws lift; a squeeze by half its friction; a stop by nothing."""
    grips: dict[Grip, float] = {
        press(130, 100, 700): 700.0,
        over("draw", 900.0): 900.0,
        over("draw", 900.0, lifts=50.0): 950.0,
        over("shear", 900.0, lifts=300.0): 300.0,
        over("shear", 900.0): 0.0,
        carry(100, 130, (1.0, 0.0)): 0.0,
    }
    weight = hold(press(130, 100, 0.0)).weight
    assert weight == pytest.approx(0.3 * 0.1 * 0.03 * 300 * 9.81, rel=0.5)
    for grip, down in grips.items():
        found = hold(grip)
        pulls = found.pulled > 0
        assert (found.lift * found.pulled)[pulls] == pytest.approx(weight + down)
        assert np.isinf(found.lift[~pulls]).all()
    both = hold(*grips)
    assert (both.lift * both.pulled)[both.pulled > 0] == pytest.approx(weight + sum(grips.values()))


def test_a_squeeze_is_no_harder_than_what_meets_it() -> None:
    """Two equal sides count whole; of unequal ones each counts as the weaker; a stop meets it whole."""
    equal = hold(push(250, 80, 1.0, 700), push(250, 180, -1.0, 700))
    unequal = hold(push(250, 80, 1.0, 1400), push(250, 180, -1.0, 700))
    stopped = hold(push(250, 80, 1.0, 700), carry(250, 180, (0.0, -1.0), 2000.0))
    assert unequal.plane == pytest.approx(equal.plane)
    assert unequal.lift == pytest.approx(equal.lift)
    assert not equal.loose
    assert not stopped.loose
    assert hold(push(250, 80, 1.0, 700)).loose
    assert sum(grip.force for grip in unequal.grips) == pytest.approx(1400.0)
    assert [grip.force for grip in stopped.grips] == [700.0, 2000.0]


def test_screws_that_lift_too_little_must_lift_more() -> None:
    """Of what shears only what it holds upwards counts: so much of it that it neither lifts nor tips."""

    def loose(lifts: float) -> int:
        own = held(over("shear", 90_000.0, lifts=lifts))
        return len(found(lifts_off, own)) + len(found(tips_over, own))

    [finding] = found(lifts_off, held(over("shear", 90_000.0, lifts=20.0)))
    assert "holding upwards with" in finding.remedy
    enough = numbers(finding.remedy)[0]
    assert loose(enough) == 0
    assert loose(enough - 11.0) == 1


def test_tape_of_which_nobody_said_what_it_lifts_has_to_be_pulled() -> None:
    """The remedy names `lift`, by its area, and with so much the board neither lifts nor tips."""

    def taped(stress: float) -> Situation:
        return held(over("shear", 90_000.0, lifts=stress * 40_000.0, area=40_000.0))

    [finding] = found(lifts_off, taped(0.0))
    told = re.search(r"`lift`; ([\d.]+) N/mm2 is enough", finding.remedy)
    assert told is not None
    assert found(lifts_off, taped(float(told[1]))) == found(tips_over, taped(float(told[1]))) == ()
