"""Moisture and movement. In: temperature, humidity, sizes, coefficients. Out: % and mm.

Public:
    emc(celsius, humidity) -> %                             humidity 0..1
    movement(size, coefficient, before, after) -> mm        between 6 and 14 %
    movement_wide(size, shrinkage, before, after) -> mm     from total shrinkage %, neither above 30 %
    coefficient(shrinkage) -> per %                         C from total shrinkage S %
    gradient_cup(width, thickness, coefficient, difference) -> mm
    density(gravity, moisture) -> kg/m3
Source unless said: USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190. Handbook data suit most
practical purposes only: show one decimal of a moisture content.
"""

from __future__ import annotations

__all__ = [
    "coefficient",
    "density",
    "emc",
    "gradient_cup",
    "movement",
    "movement_wide",
]

_FIBRE_SATURATION = 30.0  # %, Wood Handbook


def emc(celsius: float, humidity: float) -> float:
    """Return the equilibrium moisture content, %, at a relative `humidity` of 0..1.

    Wood Handbook eq. 4-5 (two-hydrate Hailwood-Horrobin). The coefficients for degrees Celsius are from
    memory, confirmed by the printed Table 4-2 to its rounding. Raises ValueError outside 0..1.
    """
    if not 0.0 <= humidity <= 1.0:
        raise ValueError(f"got a relative humidity of {humidity:g}, expected 0 to 1")
    t, h = celsius, humidity
    w = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * h
    hydrates = k1 * kh + 2.0 * k1 * k2 * kh * kh
    return 1800.0 / w * (kh / (1.0 - kh) + hydrates / (1.0 + k1 * kh + k1 * k2 * kh * kh))


def movement(size: float, coefficient: float, before: float, after: float) -> float:
    """Return the change of `size` mm, from `before` to `after` % moisture content, both 6 to 14 %.

    Wood Handbook eq. 13-2; `coefficient` is C_T (width of a flatsawn board) or C_R (its thickness).
    """
    return size * coefficient * (after - before)


def movement_wide(size: float, shrinkage: float, before: float, after: float) -> float:
    """Return the change of `size` mm for any moisture contents up to 30 %, from total `shrinkage` %.

    Wood Handbook eq. 13-3 (formula from memory, it reproduces the printed coefficients). Raises ValueError
    above 30 %, where wood no longer moves.
    """
    if not (0.0 <= before <= _FIBRE_SATURATION and 0.0 <= after <= _FIBRE_SATURATION):
        raise ValueError(f"got {before:g} % and {after:g} %, expected 0 to {_FIBRE_SATURATION:g} %")
    return size * (after - before) / (3000.0 / shrinkage - 30.0 + before)


def coefficient(shrinkage: float) -> float:
    """Return C, per % moisture content, from total `shrinkage` %: eq. 13-3 at 10 %."""
    return shrinkage / (3000.0 - 20.0 * shrinkage)


def gradient_cup(width: float, thickness: float, coefficient: float, difference: float) -> float:
    """Return the cup, mm, of a free board one of whose faces is `difference` % wetter (a linear gradient).

    The sagitta of a strip bent by a linear strain, width^2 C d / (8 t); textbook mechanics.
    """
    return width * width * coefficient * difference / (8.0 * thickness)


def density(gravity: float, moisture: float) -> float:
    """Return kg/m3 near 12 % from a specific `gravity` of ovendry mass and volume at 12 %."""
    return 1000.0 * gravity * (1.0 + moisture / 100.0)
