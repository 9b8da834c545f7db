"""What seating gains on random boards, what rounding of shims costs, how long it takes. See `make bench`."""

from __future__ import annotations

import platform
import time
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from random_boards import SCALES, many_readings, random_boards
from stockwright.board.lying import Bed
from stockwright.board.seating import seat
from stockwright.board.shims import shim_places

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.board.surface import Board

SHOP = (0.1, 0.2, 0.5, 1.0, 2.0, 3.0)


def _told(values: Sequence[float], unit: str = "mm") -> str:
    return (
        f"mean {np.mean(values):6.3f}, p95 {np.percentile(values, 95):6.3f}, least {min(values):7.4f} {unit}"
    )


def test_thickness_gained() -> None:
    """Print, for 500 boards at each scale of warp, what seating for thickness gains over both other ways."""
    print(f"\n{platform.machine()}, Python {platform.python_version()}")
    for k in SCALES:
        lying, steady, planned, cost = [], [], [], []
        for board in random_boards(k):
            bed = Bed.of(board, shim_places(board), SHOP)
            best, plan = bed.best.thickness, bed.thick_enough(bed.best.thickness)
            rest, still = bed.as_it_lies(), replace(bed, shop=()).shimmed(None)
            lying.append(best - rest.slab.thickness)
            steady.append(best - still.slab.thickness)
            planned.append(plan.slab.thickness - max(rest.slab.thickness, bed.shimmed(None).slab.thickness))
            cost.append(best - plan.slab.thickness)
        print(f"k = {k:g}, {len(lying)} boards")
        print(f"  the thickest slab over as it lies                {_told(lying)}")
        print(f"  the thickest slab over shims that only steady    {_told(steady)}")
        print(f"  the plan on the shop's shims over the better     {_told(planned)}")
        print(f"  what rounding to the shop's shims costs          {_told(cost)}, most {max(cost):.3f} mm")


def test_time_to_seat() -> None:
    """Print how long seating takes, both programs and shims, solver imported; wall and processor time."""
    seat(random_boards(0.5, 1)[0])
    for along, across, count in ((5, 5, 60), (13, 5, 60), (100, 100, 30), (1000, 100, 20)):
        for k in SCALES:
            boards = [many_readings(board, along, across) for board in random_boards(k, count)]
            wall, own = np.array([_seated(board) for board in boards]).T * 1000.0
            print(
                f"{along * across:>6} readings, k = {k:<4g}  wall: median {np.median(wall):6.1f}, "
                f"p95 {np.percentile(wall, 95):6.1f}, most {wall.max():6.1f} ms; "
                f"processor: median {np.median(own):6.1f} ms"
            )


def _seated(board: Board) -> tuple[float, float]:
    """Return the shortest wall and processor time of three seatings, s."""
    spent = []
    for _ in range(3):
        wall, own = time.perf_counter(), time.process_time()
        seat(board, shop_shims=SHOP)
        spent.append((time.perf_counter() - wall, time.process_time() - own))
    return min(w for w, _ in spent), min(o for _, o in spent)
