"""Arcs in whole counts against a slow reckoning with complex numbers, and each border met exactly."""

from __future__ import annotations

import cmath
import math
import random

from stockwright.posting.arc_words import Place, centre_counts, radius_count


def middle(start: Place, end: Place, centre: complex, *, clockwise: bool) -> complex | None:
    """Give the middle of an arc by turning its start about the centre; None for half a turn or more."""
    a, b = complex(*start) - centre, complex(*end) - centre
    if not a or not b:
        return None
    turn = cmath.phase(a / b) if clockwise else cmath.phase(b / a)
    if turn <= 1e-12 or turn >= math.pi - 1e-12:
        return None
    way = cmath.exp((-0.5j if clockwise else 0.5j) * turn)
    return centre + a / abs(a) * (abs(a) + abs(b)) / 2 * way


def best_centre(start: Place, end: Place, centre: Place, unlike: float, *, clockwise: bool) -> object:
    """Try the nine counts about the centre, one after another."""
    s, e, c = complex(*start), complex(*end), complex(*centre)
    nearest = complex(round(c.real - s.real), round(c.imag - s.imag))
    tried = []
    for step in (complex(i, j) for i in range(-1, 2) for j in range(-1, 2)):
        off = nearest + step
        if off and s + off != e:
            tried.append((abs(abs(off) - abs(e - s - off)), abs(s + off - c), off))
    least = min(tried, key=lambda each: (round(each[0], 9), round(each[1], 9), each[2].real, each[2].imag))
    meant = middle(start, end, c, clockwise=clockwise)
    said = middle(start, end, s + least[2], clockwise=clockwise)
    if least[0] > 0.9 * unlike or meant is None or said is None or abs(meant - said) > 2:
        return None
    return int(least[2].real), int(least[2].imag)


def best_radius(start: Place, end: Place, centre: Place, *, clockwise: bool) -> object:
    """Try the three counts about the radius: the middle by the centre that each one has."""
    s, e, c = complex(*start), complex(*end), complex(*centre)
    meant = middle(start, end, c, clockwise=clockwise)
    if meant is None:
        return None
    near, chord = round((abs(s - c) + abs(e - c)) / 2), e - s
    tried = []
    for radius in (near - 1, near, near + 1):
        if 2 * radius > abs(chord):
            up = math.sqrt(radius**2 - abs(chord) ** 2 / 4) * chord / abs(chord) * (-1j if clockwise else 1j)
            about = (s + e) / 2 + up
            said = middle(start, end, about, clockwise=clockwise)
            if said is not None:
                tried.append((abs(said - meant), radius))
    return min(tried)[1] if tried and min(tried)[0] <= 2 else None


def test_counts_are_those_that_a_slow_reckoning_finds() -> None:
    """Two thousand arcs from two counts to many, up to half a turn and past it, near the origin and far."""
    rng = random.Random(5)
    given = [0, 0]
    for case in range(2000):
        radius, at = rng.choice((2.5, 8.0, 60.0, 4000.0)) * rng.uniform(0.8, 1.2), rng.uniform(-4, 4)
        turn = rng.choice((1.57, 2.9, 3.1, 3.3)) * rng.uniform(0.2, 1.0)
        clockwise, far = case % 2 == 0, 10.0 ** rng.randint(0, 5)
        x, y = rng.uniform(-far, far), rng.uniform(-far, far)
        ends = (at, at - turn if clockwise else at + turn)
        start, end = ((round(x + radius * math.cos(a)), round(y + radius * math.sin(a))) for a in ends)
        if start == end:
            continue
        unlike = rng.choice((0.1, 0.5, 2.0))
        found = centre_counts(start, end, (x, y), unlike, clockwise=clockwise)
        assert found == best_centre(start, end, (x, y), unlike, clockwise=clockwise), case
        by_radius = radius_count(start, end, (x, y), clockwise=clockwise)
        assert by_radius == best_radius(start, end, (x, y), clockwise=clockwise), case
        given = [given[0] + (found is not None), given[1] + (by_radius is not None)]
    assert min(given) > 500


def test_borders_of_the_two_ways_to_say_an_arc() -> None:
    """Radii that may not differ, one count of radius, half a turn, no turn, a radius of half the chord."""
    assert centre_counts((10, 0), (0, 10), (0.0, 0.0), 0.0, clockwise=False) == (-10, 0)
    assert centre_counts((10, 0), (0, 10), (0.0, 0.0), -0.01, clockwise=False) is None
    assert centre_counts((1, 0), (0, 1), (0.0, 0.0), 2.0, clockwise=False) == (-1, 0)
    assert centre_counts((0, 1), (1, 0), (0.0, 0.0), 2.0, clockwise=True) == (0, -1)
    assert radius_count((1, 0), (0, 1), (0.0, 0.0), clockwise=False) == 1
    for clockwise in (True, False):
        half, none = ((10, 0), (-10, 0)), ((10, 0), (20, 0))
        for start, end in (half, none):
            assert centre_counts(start, end, (0.0, 0.0), 100.0, clockwise=clockwise) is None
            assert radius_count(start, end, (0.0, 0.0), clockwise=clockwise) is None
    assert radius_count((0, 0), (6, 0), (3.0, 0.1), clockwise=False) == 4
    assert radius_count((0, 0), (6, 0), (3.0, -0.1), clockwise=True) == 4
    assert centre_counts((0, 0), (3, 4), (1.0, 2.0), 0.5, clockwise=True) is None
