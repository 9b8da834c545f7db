"""What a shop says of torque, power, friction, pressure and helix is bound; what it does not say is None."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from example_jobs import bound
from small_jobs import written
from stockwright.mistakes import InputError
from stockwright.run import Request, read

if TYPE_CHECKING:
    from pathlib import Path


def test_stated_figures_arrive_in_inside_units(tmp_path: Path) -> None:
    """Newton metres, watts by rising speed, friction and N/mm2 are bound as numbers."""
    spindle = "power-at: {24000 rpm: 1.5 kW, 8000 rpm: 300 W}\n  torque: 0.6 N m"
    job = written(tmp_path, spindle=spindle, friction="0.25", pressure="40 N/mm2")
    shop_file = tmp_path / "shop.yaml"
    shop_file.write_text(
        shop_file.read_text().replace("    flutes: 2\n", "    flutes: 2\n    helix: 20 deg\n")
    )
    shop = bound(job)[0].shop
    assert shop.machine.torque == pytest.approx(0.6)
    assert shop.machine.power_at == ((8000.0, 300.0), (24000.0, 1500.0))
    assert (shop.friction, shop.cutting_pressure) == (0.25, 40.0)
    assert {tool.name: tool.helix for tool in shop.tools} == {"facer": None, "end-mill": 20.0}


def test_one_speed_under_two_writings_is_a_mistake(tmp_path: Path) -> None:
    """Of two powers at one speed one would be lost: it is said where it stands."""
    job = written(tmp_path, spindle="power-at: {8000 rpm: 300 W, 8000.0 rpm: 400 W}")
    with pytest.raises(InputError) as wrong:
        read(Request(job))
    [mistake] = wrong.value.mistakes
    assert mistake.code == "duplicate-key"
    assert "is the speed of '8000 rpm' again" in mistake.message


def test_friction_beyond_every_reading_is_a_mistake(tmp_path: Path) -> None:
    """0.9 is more than any wood was read to rub with, and is refused with its bounds."""
    with pytest.raises(InputError) as wrong:
        read(Request(written(tmp_path, friction="0.9")))
    assert [m.code for m in wrong.value.mistakes] == ["out-of-range"]
