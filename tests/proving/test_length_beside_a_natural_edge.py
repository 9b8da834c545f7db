"""A length is judged where both ends' cut faces exist: not on a natural edge's belly, and nowhere less."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from made_packets import proven_job
from small_jobs import written
from stockwright.proving.measure import measure
from stockwright.proving.wood import slab
from stockwright.run import Request

if TYPE_CHECKING:
    from pathlib import Path

    from shapely.geometry.base import BaseGeometry

ROUGH = shapely.Polygon([(0, 0), (220, 0), (220, 110), (110, 111), (0, 110)])  # edge-2 bulges by 1 mm
BOTH = shapely.box(10, -5, 210, 115)
ENDS = ("end-1", "end-2")


def lengths(piece: BaseGeometry, cut: tuple[str, ...] = ENDS, rough: BaseGeometry = ROUGH) -> object:
    """Return the least and the greatest length that are measured."""
    up = np.array([0.0, 0.0, 1.0])
    return measure(slab(piece, 25.0, 0.0), dict.fromkeys(cut, up), rough=rough).length


def test_a_belly_has_no_ends() -> None:
    """Of a piece 200 mm long whose natural edge bulges, the length is 200 mm."""
    assert lengths(ROUGH.intersection(BOTH)) == (200.0, 200.0)


@pytest.mark.parametrize("short", [0.2, 2.0])
def test_a_short_end_is_short(short: float) -> None:
    """An end cut too far along the whole of it makes the length as much less."""
    piece = ROUGH.intersection(shapely.box(10, -5, 210 - short, 115))
    assert lengths(piece) == pytest.approx((200 - short, 200 - short), abs=0.002)


@pytest.mark.parametrize("low", [0.0, 50.0, 105.0])
def test_an_end_short_in_one_place_is_short(low: float) -> None:
    """A bite out of an end counts, and so at the very corner of the natural edge: wood was there."""
    piece = ROUGH.intersection(BOTH).difference(shapely.box(208, low, 215, low + 6))
    assert lengths(piece) == pytest.approx((198, 200), abs=0.002)


def test_a_corner_that_a_cut_edge_lacks_is_a_fault() -> None:
    """Where edge-2 was cut, wood that the board never had at its corner is missing from the length."""
    lacks = ROUGH.difference(shapely.Polygon([(220, 90), (220, 120), (190, 120)]))
    piece = lacks.intersection(BOTH)
    assert lengths(piece, (*ENDS, "edge-2"), lacks)[0] < 195  # type: ignore[index]
    assert lengths(piece, ENDS, lacks) == (200.0, 200.0)


def test_an_end_left_too_long_is_long() -> None:
    """A tongue left standing on an end makes the greatest length greater."""
    piece = ROUGH.intersection(BOTH).union(shapely.box(209, 40, 214, 60))
    assert lengths(piece) == pytest.approx((200, 204), abs=0.002)


def test_ends_beside_a_bulging_edge_are_proven(tmp_path: Path) -> None:
    """A board whose natural edge bulges by 1 mm has its ends cut, and its length proven."""
    job = written(tmp_path, steps="sides", order="end-1 end-2", press="2000 N")
    for name, old, new in (
        ("small.yaml", ', width: "=width"', ""),
        ("board.yaml", "offset: [110 mm, 110 mm, 110 mm]", "offset: [110 mm, 111 mm, 110 mm]"),
    ):
        text = (tmp_path / name).read_text(encoding="utf-8")
        assert old in text
        (tmp_path / name).write_text(text.replace(old, new), encoding="utf-8")
    made = proven_job(Request(job))
    assert made.packet.proof is not None
    assert made.packet.proof.verdict == "proven"
    assert made.packet.finished["short plank"].length == pytest.approx((200.0, 200.0), abs=0.1)
