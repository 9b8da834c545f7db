"""What resists a push is worked out exactly: a linear program that knows nothing of faces finds the same."""

from __future__ import annotations

import math

import highspy
import numpy as np
import pytest

from stockwright.forces.statics import SPOKES, Resistance

WAYS = 180  # directions tried: the worst is within 1 - cos(1 degree) of the truth


def by_solver(
    rubs: list[tuple[float, float, float]],
    bears: list[tuple[float, float, float, float, float]],
    pushes: list[tuple[float, float, float, float, float]],
    place: tuple[float, float],
    way: float,
) -> float:
    """Return the greatest force at `place` along `way` that some balance of all reactions answers."""

    def wrench(x: float, y: float, fx: float, fy: float) -> np.ndarray:
        return np.array([fx, fy, (x * fy - y * fx) / 100.0])

    columns: list[tuple[np.ndarray, float, float]] = []
    for x, y, most in rubs:
        # Weights of the corners of the friction polygon; their sum may be less than one.
        half = most * math.sin(math.pi / (2 * SPOKES))
        for k in range(SPOKES):
            turn = math.pi * k / SPOKES
            columns.append((wrench(x, y, math.cos(turn), math.sin(turn)), -half, half))
    columns += [(wrench(x, y, wx, wy), 0.0, most) for x, y, wx, wy, most in bears]
    always = sum((wrench(x, y, wx * f, wy * f) for x, y, wx, wy, f in pushes), np.zeros(3))
    asked = wrench(*place, math.cos(way), math.sin(way))
    solver = highspy.Highs()  # type: ignore[no-untyped-call]
    solver.setOptionValue("output_flag", False)
    answers = [solver.addVariable(low, high) for _, low, high in columns]
    force = solver.addVariable(0.0, 1e6)
    for axis in range(3):
        parts = [(float(column[axis]), v) for (column, _, _), v in zip(columns, answers, strict=True)]
        parts.append((float(asked[axis]), force))
        # The solver refuses what only a cosine's last bits left over.
        total = sum(size * v for size, v in parts if abs(size) > 1e-9)
        solver.addConstr(total == -float(always[axis]))
    solver.maximize(force)
    return float(solver.getSolution().col_value[-1])


@pytest.mark.parametrize("seed", range(6))
def test_the_body_of_resistance_is_what_a_solver_finds(seed: int) -> None:
    """Random clamps, stops and pushes: in no direction does a solver hold less, and in the worst no more."""
    draw = np.random.default_rng(seed)
    rubs = [tuple(map(float, (*draw.uniform(-200, 200, 2), draw.uniform(50, 300)))) for _ in range(3)]
    bears = [
        (float(x), float(y), math.cos(a), math.sin(a), 400.0)
        for x, y, a in zip(
            draw.uniform(-200, 200, 2), draw.uniform(-60, 60, 2), draw.uniform(0, 6.28, 2), strict=True
        )
    ]
    pushes = [(0.0, -60.0, 0.0, 1.0, 40.0)]
    body = Resistance.of((0.0, 0.0), 100.0, rubs, bears, pushes)  # type: ignore[arg-type]
    place = tuple(map(float, draw.uniform(-300, 300, 2)))
    held = float(body.held(np.array([place]))[0])
    tried = [by_solver(rubs, bears, pushes, place, 2 * math.pi * k / WAYS) for k in range(WAYS)]  # type: ignore[arg-type]
    assert held > 0
    assert min(tried) >= held * (1 - 1e-6)
    assert min(tried) <= held * 1.01


def test_all_friction_in_one_place_holds_no_more_than_itself() -> None:
    """There it holds what it rubs with, beside it nothing, for it turns; a harder push than that moves it."""
    there, beside = np.array([[10.0, 0.0]]), np.array([[10.0, 5.0]])
    one = [(10.0, 0.0, 100.0)]
    least = 100.0 * math.cos(math.pi / (2 * SPOKES))
    alone = Resistance.of((0.0, 0.0), 100.0, one, [], [])
    assert least - 1e-6 <= alone.held(there)[0] <= 100.0
    assert alone.held(beside)[0] == pytest.approx(0.0, abs=1e-6)
    pushed = Resistance.of((0.0, 0.0), 100.0, one, [], [(10.0, 0.0, 0.0, 1.0, 50.0)])
    assert least - 50.0 - 1e-6 <= pushed.held(there)[0] <= 50.0
    assert not pushed.loose
    assert Resistance.of((0.0, 0.0), 100.0, one, [], [(10.0, 0.0, 0.0, 1.0, 101.0)]).loose
