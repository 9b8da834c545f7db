"""Jobs that flatten both faces of a random board. In: a `Board`, a cutter's numbers. Out: a bound `Job`.

The shop is the shipped example's with a machine long enough for every board of the generator. The board is
seated as thick as it can be and each face loses at least the readings' uncertainty.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from example_jobs import bound
from stockwright.board.seating import seat
from stockwright.job import FaceStep, FlipStep, Job, Tolerance, Wanted

if TYPE_CHECKING:
    from stockwright.board.surface import Board
    from stockwright.posting import Post

__all__ = ["facing_job", "post"]


@cache
def _example() -> tuple[Job, Post]:
    return bound()


def post() -> Post:
    """Return the example shop's post."""
    return _example()[1]


def facing_job(
    board: Board,
    *,
    stepdown: float = 1.0,
    light: float = 0.5,
    diameter: float = 50.0,
    stepover: float = 40.0,
    feed: float = 6000.0,
    rapid: float = 12_000.0,
    acceleration: float = 500.0,
) -> Job:
    """Return the job: face A seated thickest, turned over, face B to the thickness that is left.

    The defaults are a 50 mm cutter in 40 mm steps, 100 mm/s, 200 mm/s rapid and 500 mm/s2.
    """
    example = _example()[0]
    step = next(s for s in example.steps if isinstance(s, FaceStep))
    cutter = step.tool
    parts = (replace(cutter.assembly[0], diameter=diameter), *cutter.assembly[1:])
    tool = replace(cutter, diameter=diameter, feed=feed, stepover=stepover, stepdown=stepdown, assembly=parts)
    machine = replace(
        example.shop.machine,
        x=(0.0, 3000.0),
        y=(0.0, 900.0),
        z=(40.0, 400.0),
        rapid=rapid,
        acceleration=acceleration,
        max_feed=max(feed, example.shop.machine.max_feed),
    )
    bed = replace(example.shop.bed, x=(60.0, 2940.0))
    shop = replace(example.shop, machine=machine, bed=bed, fence=None, shims=(), tools=(tool,))
    # A thousandth less than the seating gives: it is found to a ten-millionth each time anew.
    thickness = seat(board).thickness - 2 * board.uncertainty - 0.001
    face = replace(step, tool=tool, stepover=stepover, stepdown=stepdown, light=light, passes="along")
    faces = (
        replace(face, face="A", seat="thickest", take="half-of-surplus", to=None),
        FlipStep("edge-over-edge"),
        replace(face, face="B", seat="thickest", take="half-of-surplus", to=thickness),
    )
    return replace(
        example,
        name=board.name,
        shop=shop,
        boards=(board,),
        wanted=Wanted(None, None, thickness, Tolerance(thickness=0.3, flatness=0.3, parallelism=0.3)),
        steps=faces,
    )
