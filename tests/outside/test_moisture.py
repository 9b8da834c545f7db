"""Moisture and movement against the Wood Handbook.

Source: USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010): eq. 4-5 and Table 4-2, eq. 13-2
and its example, eq. 13-3 (formula from memory), Tables 4-3 and 13-5. Others are named beside their check.
"""

from __future__ import annotations

import pytest

from stockwright.board.moisture import (
    coefficient,
    density,
    emc,
    gradient_cup,
    movement,
    movement_wide,
    sawn_softwood,
)
from stockwright.board.species import SPECIES


@pytest.mark.parametrize(
    ("celsius", "humidity", "expected"),
    [
        (20, 0.30, 6.188),
        (20, 0.35, 6.963),
        (20, 0.50, 9.271),
        (20, 0.65, 11.996),
        (20, 0.80, 16.037),
        (60, 0.55, 8.373),
    ],
)
def test_equilibrium_moisture(celsius: float, humidity: float, expected: float) -> None:
    """Equilibrium moisture content follows Wood Handbook eq. 4-5."""
    assert emc(celsius, humidity) == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize(
    ("fahrenheit", "humidity", "printed"),
    [
        (70, 0.25, 5.4),
        (70, 0.50, 9.2),
        (70, 0.65, 12.0),
        (70, 0.80, 16.0),
        (70, 0.95, 23.9),
        (140, 0.55, 8.4),
    ],
)
def test_equilibrium_moisture_as_printed(fahrenheit: float, humidity: float, printed: float) -> None:
    """Cells of Wood Handbook Table 4-2 come out to the table's own rounding."""
    assert emc((fahrenheit - 32) / 1.8, humidity) == pytest.approx(printed, abs=0.06)


def test_the_handbooks_own_example_of_movement() -> None:
    """232 mm of flatsawn board from 8 to 11 % grow 1.7 mm (Wood Handbook, example to eq. 13-2)."""
    assert movement(232.0, 0.00245, 8.0, 11.0) == pytest.approx(1.7052, abs=1e-3)
    assert movement(232.0, 0.00245, 8.0, 11.0) == pytest.approx(1.7, abs=0.05)


def test_sugar_maple_shrinks_as_it_dries() -> None:
    """100 mm of sugar maple from 12 to 6 % shrink 2.118 mm by eq. 13-2, 2.105 mm by eq. 13-3."""
    maple = SPECIES["maple-sugar"]
    assert movement(100.0, maple.tangential, 12.0, 6.0) == pytest.approx(-2.118, abs=1e-3)
    assert movement_wide(100.0, maple.shrinkage_tangential, 12.0, 6.0) == pytest.approx(-2.1050, abs=1e-3)


def test_walnut_through_the_seasons() -> None:
    """200 mm of walnut move 2.758 mm between 35 and 65 % humidity at 20 degrees (eq. 4-5 and 13-2)."""
    walnut = SPECIES["walnut-black"]
    found = movement(200.0, walnut.tangential, emc(20.0, 0.35), emc(20.0, 0.65))
    assert found == pytest.approx(2.7581, abs=1e-3)


@pytest.mark.parametrize(
    ("name", "field", "printed"),
    [
        ("maple-sugar", "tangential", 0.00353),
        ("maple-sugar", "radial", 0.00165),
        ("cherry-black", "tangential", 0.00248),
        ("walnut-black", "tangential", 0.00274),
        ("beech-american", "tangential", 0.00431),
    ],
)
def test_coefficients_follow_from_total_shrinkage(name: str, field: str, printed: float) -> None:
    """Table 13-5's coefficient is eq. 13-3 at 10 % with Table 4-3's shrinkage; both are shipped."""
    species = SPECIES[name]
    assert coefficient(getattr(species, f"shrinkage_{field}")) == pytest.approx(printed, abs=1e-5)
    assert getattr(species, field) == printed


def test_the_shipped_table_agrees_with_itself() -> None:
    """Where neither shrinkage nor coefficient is recalled or a group's, C follows from S within 1e-5."""
    checked = 0
    for species in SPECIES.values():
        weak = {entry.split(":")[0] for entry in species.weak}
        for way in ("radial", "tangential"):
            if weak & {way, f"shrinkage_{way}"} or species.name.startswith("oak"):
                continue
            checked += 1
            assert coefficient(getattr(species, f"shrinkage_{way}")) == pytest.approx(
                getattr(species, way), abs=1e-5
            )
    assert checked >= 30


def test_a_wetter_face_cups_a_board() -> None:
    """1 % between the faces of 20 mm oak, 200 mm wide, cups it 0.9125 mm (mechanics: a linear strain)."""
    assert gradient_cup(200.0, 20.0, SPECIES["oak-white"].tangential, 1.0) == pytest.approx(0.9125, abs=1e-3)


def test_sawn_softwood_changes_a_quarter_percent_for_each_percent() -> None:
    """150 mm at 20 % are 147.00 mm at 12 % (EN 1313-1:2010, clause 5)."""
    assert sawn_softwood(150.0, 20.0, 12.0) == pytest.approx(147.00, abs=0.01)


def test_density_at_twelve_percent() -> None:
    """A specific gravity of 0.63 is 705.6 kg/m3 at 12 % (its definition)."""
    assert density(0.63, 12.0) == pytest.approx(705.6, abs=0.1)


@pytest.mark.parametrize("humidity", [-0.1, 1.2, 65.0])
def test_a_humidity_is_a_share(humidity: float) -> None:
    """A humidity outside 0..1 is refused rather than guessed to be a percentage."""
    with pytest.raises(ValueError, match="expected 0 to 1"):
        emc(20.0, humidity)


def test_wet_wood_does_not_move() -> None:
    """Above 30 % eq. 13-3 does not hold, so it is refused."""
    with pytest.raises(ValueError, match="expected 0 to 30"):
        movement_wide(100.0, 8.0, 35.0, 12.0)
