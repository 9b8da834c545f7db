"""Judging and cutting many moves at once gives what doing them one by one gives."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import numpy as np
import pytest

from proving.odd_cases import leaning
from proving.outcomes import B, Changes, outcome_as, outcome_of
from small_packet import small_document, small_lines, small_texts
from stockwright.packet.model import Packet
from stockwright.proving import contact, prove
from stockwright.proving.ceiling import Ceiling
from stockwright.proving.frames import Lay
from stockwright.proving.sweep import Grid, patch_mask, stadium_spans
from stockwright.proving.sweep_many import cover
from stockwright.proving.together import stretches
from stockwright.proving.trail import Trail, segment_distance
from stockwright.proving.wood import slab

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

A, EDGE = "1-face-a.nc", "3-edge-1.nc"


def _ends(rng: np.random.Generator, count: int) -> tuple[Floats, Floats]:
    """Give moves of every shape: slanting, along x, along y, none at all, on and off a grid's lines."""
    a = rng.uniform(-20, 80, (count, 2))
    b = a + rng.uniform(-30, 30, (count, 2)) * rng.choice([0.01, 0.2, 1.0], (count, 1))
    shape = rng.integers(0, 4, count)
    b[shape == 1, 1] = a[shape == 1, 1]
    b[shape == 2, 0] = a[shape == 2, 0]
    still = (shape == 3) & (rng.random(count) < 0.3)
    b[still] = a[still]
    rounded = rng.random(count) < 0.3
    return np.where(rounded[:, None], np.round(a), a), np.where(rounded[:, None], np.round(b), b)


@pytest.mark.parametrize("inside", [True, False])
@pytest.mark.parametrize("seed", range(20))
def test_moves_together_cover_the_cells_of_each(seed: int, *, inside: bool) -> None:
    """The cells of 60 moves at once are those of each by itself, put together, cell for cell."""
    rng = np.random.default_rng(seed)
    grid = Grid(-3.0, 2.0, float(rng.choice([1.0, 0.5, 2.0])), 70, 90)
    a, b = _ends(rng, 60)
    radius = float(rng.choice([0.3, 3.0, 6.25, 12.5]))
    expected = np.zeros((grid.rows, grid.columns), dtype=np.bool_)
    for p, q in zip(a.tolist(), b.tolist(), strict=True):
        spans = stadium_spans(grid, (p[0], p[1]), (q[0], q[1]), radius, inside=inside)
        if len(spans):
            expected[spans.first : spans.first + len(spans)] |= patch_mask(spans, 0, grid.columns)
    found = np.zeros_like(expected)
    patch = cover(grid, a, b, radius, inside=inside)
    if patch is not None:
        found[patch.part] = patch.mask
    assert expected.any() or (inside and radius < 1)
    assert np.array_equal(found, expected)


def _in_pieces(text: str, rng: random.Random, *, sway: float) -> str:
    """Split the level cuts of the small packet's programs, every piece on a line of its own."""
    found: list[str] = []
    place = {"X": 0.0, "Y": 0.0, "Z": 0.0}
    for line in text.split("\n"):
        words = {word[0]: float(word[1:]) for word in line.split() if word[0] in "XYZ" and "(" not in line}
        to = place | words
        if line.startswith("G1") and words and "Z" not in words and not line.startswith("G17"):
            feed = line.split("F")[1]
            pieces = 30
            for k in range(1, pieces + 1):
                off = 0.0 if k == pieces else rng.uniform(-sway, sway)
                x, y = (place[axis] + (to[axis] - place[axis]) * k / pieces for axis in "XY")
                found.append(f"G1 X{x:.3f} Y{y + off:.3f} F{feed}")
        else:
            found.append(line)
        place = to
    return "\n".join(found)


@pytest.mark.parametrize(
    "seed", [*range(3), *(pytest.param(n, marks=pytest.mark.wide) for n in range(3, 12))]
)
def test_a_program_in_pieces_is_judged_as_one_by_one(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Programs of many short moves, right ones and spoilt ones, are judged alike at once and one by one."""
    rng = random.Random(seed)
    document = small_document()
    document["tools"]["mill"] |= {"deepest": rng.choice([5.0, 7.0, 9.0]), "trim": 0.5}
    document["tools"]["facer"] |= {"deepest": rng.choice([1.0, 3.0])}
    texts = {
        file: _in_pieces(text, rng, sway=0.3 if file != EDGE else 0.0)
        for file, text in small_texts(small_lines()).items()
    }
    for _ in range(rng.randint(0, 2)):
        file = rng.choice(sorted(texts))
        lines = texts[file].split("\n")
        k = rng.randrange(8, len(lines) - 4)
        lines[k] = rng.choice([lines[k] + "0", lines[k].replace("Y", "Z"), "", lines[k - 1], "G1 Z20 F500"])
        texts[file] = "\n".join(lines)
    packet = Packet.model_validate(document)
    at_once = prove(packet, texts)
    monkeypatch.setattr(contact, "FEW", 10**9)
    one_by_one = prove(packet, texts)
    assert at_once.proof.model_dump() == one_by_one.proof.model_dump()
    assert at_once.finished == one_by_one.finished


def test_a_board_that_leans_is_cut_move_by_move(monkeypatch: pytest.MonkeyPatch) -> None:
    """Level passes in 30 pieces slope in a board that leans: its sizes are those of cutting one by one."""
    text = "\n".join(small_lines()[B])
    pieces = _in_pieces(text, random.Random(1), sway=0.0).split("\n")
    case: Changes = leaning(1, 0.01, 0.0) | {"setups": 2, B: [*pieces[:74], "G0 Z60", "M5", "M30"]}
    at_once = outcome_as(outcome_of(case))
    monkeypatch.setattr(contact, "FEW", 10**9)
    assert outcome_as(outcome_of(case)) == at_once


def test_moves_of_one_height_are_taken_together() -> None:
    """A stretch is level cuts of one height; a rapid, a descent and another height each begin a new one."""
    from stockwright.proving.rs274 import read

    text = "G21 G90 G94\nM3 S9000\nF900\nG0 X0 Y0 Z9\nG1 Z5\nX9\nY9\nX0\nZ4\nX9\nG0 Z9\nM5\nM2\n"
    moves = read(text).moves
    plain = (moves.start[:, 2] == moves.end[:, 2]) & ~moves.rapid
    lines = [moves.line[first:last].tolist() for first, last in stretches(moves, plain)]
    assert lines == [[4, 5], [6, 7, 8], [9], [10], [11]]


LEVEL = Lay(np.eye(4), np.eye(4), 1, flat=True, wobble=0.0, slope=0.0)


@pytest.mark.parametrize("seed", range(10))
def test_a_quick_bound_is_never_too_low(seed: int) -> None:
    """Whatever was cut, where the quick bound says that nothing stands above a height, no cell does."""
    import shapely

    rng = np.random.default_rng(seed)
    wood = slab(shapely.box(0, 0, 150, 90), 10.0, 0.0)
    ceiling = Ceiling(wood, LEVEL)
    said = 0
    for _ in range(200):
        a, b = rng.uniform(-10, 160, 2), rng.uniform(-10, 100, 2)
        z = float(rng.uniform(0, 11))
        if rng.random() < 0.5:
            wood.cut(LEVEL, np.array([*a, z]), np.array([*b, z]), 8.0, 0.0)
            ceiling.cut(np.minimum(a, b) - 8.0, np.maximum(a, b) + 8.0)
            continue
        low, high = np.minimum(a, b), np.maximum(a, b)
        x, y = wood.grid.centres()
        half = wood.grid.cell / 2
        here = ((x >= low[0] - half) & (x <= high[0] + half))[None, :] & (
            (y >= low[1] - half) & (y <= high[1] + half)
        )[:, None]
        if ceiling.below(low, high, z):
            said += 1
            assert not (here & (wood.hi[1] > z)).any()
    assert said > 10


def test_a_bound_looks_again_where_wood_has_fallen() -> None:
    """A tile wholly cut down is bounded by its new height at once."""
    import shapely

    wood = slab(shapely.box(0, 0, 150, 90), 10.0, 0.0)
    ceiling = Ceiling(wood, LEVEL)
    low, high = np.array([40.0, 40.0]), np.array([50.0, 50.0])
    assert not ceiling.below(low, high, 6.0)
    wood.cut(LEVEL, np.array([-10.0, 45.0, 5.0]), np.array([160.0, 45.0, 5.0]), 100.0, 0.0)
    assert not ceiling.below(low, high, 6.0)  # not told yet, so cautious
    ceiling.cut(np.array([-110.0, -55.0]), np.array([260.0, 145.0]))
    assert ceiling.below(low, high, 6.0)


def test_a_trail_tells_which_points_are_cleared() -> None:
    """Of 900 points those are cleared that some move deep enough reaches, as plain distances say."""
    rng = np.random.default_rng(5)
    a, b = rng.uniform(0, 900, (700, 3)), rng.uniform(0, 900, (700, 3))
    b[:, :2] = a[:, :2] + rng.uniform(-20, 20, (700, 2))
    radius = rng.choice([5.0, 6.0], 700)
    trail = Trail()
    trail.add_many(a[:300], b[:300], radius[:300], np.zeros(300), "1.nc", np.arange(300))
    for k in range(300, 310):
        trail.add(a[k], b[k], float(radius[k]), 0.5, ("2.nc", k))
    trail.add_many(a[310:], b[310:], radius[310:], np.zeros(390), "2.nc", np.arange(310, 700))
    points = rng.uniform(0, 900, (900, 2))
    deep = np.maximum(a[:, 2], b[:, 2]) <= 600.0
    distance = segment_distance(points, a[deep, :2], b[deep, :2])
    assert np.array_equal(trail.swept(points, 600.0), (distance <= radius[deep]).any(axis=1))
    assert (len(trail), trail.said[299], trail.said[305]) == (700, ("1.nc", 299), ("2.nc", 305))
    assert np.array_equal(trail.falls, b[:, 2] < a[:, 2])
