"""A job of as many small boards as a test wants, both faces of each cut, and doings that go wrong on purpose.

In: how many, and how thick some of them are. Out: a folder with the job's documents.
"""

from __future__ import annotations

import multiprocessing
import os
from typing import TYPE_CHECKING

from small_jobs import PLAIN, SHOP

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

__all__ = ["boards_job", "dies_in_a_process", "doubled", "fails_at_two"]

RECIPE = """
stockwright: recipe/1
name: small-faces
version: 1.0.0
about: Both faces of a short board.
inputs:
  thickness: {is: length, ask: finished thickness, from: 6 mm, to: 60 mm}
tools:
  facer: {does: face, diameter: 20 mm to 80 mm}
holding:
  low-clamps: {where: [edge-1, edge-2], below: "=thickness - 3 mm"}
  end-stops: {where: [end-1, end-2], below: "=thickness - 3 mm"}
finished: {thickness: "=thickness"}
steps:
  - {face: A, tool: facer, seat: thickest, take: half-of-surplus, hold: [low-clamps, end-stops]}
  - flip: edge-over-edge
  - {face: B, tool: facer, to: "=thickness", zero: support, hold: [low-clamps, end-stops]}
@more@
"""

BOARD = """
stockwright: board/1
name: plank @number@
nominal: {length: 200 mm, width: 100 mm, thickness: @thick@ mm}
surface: rough
"""

JOB = """
stockwright: job/1
name: many
recipe: faces.yaml
shop: shop.yaml
boards: [@boards@]
set: {thickness: 22 mm}
"""


def boards_job(folder: Path, count: int, thick: Mapping[int, float] | None = None, more: str = "") -> Path:
    """Write a job of `count` planks, numbered from 1; `thick` in mm for some, `more` steps at the end."""
    shop = SHOP
    for key, value in PLAIN.items():
        shop = shop.replace(f"@{key}@", value)
    for number in range(1, count + 1):
        own = (thick or {}).get(number, 32.0 + 0.1 * number)
        text = BOARD.replace("@number@", str(number)).replace("@thick@", f"{own:.1f}")
        (folder / f"plank-{number}.yaml").write_text(text.lstrip(), encoding="utf-8")
    boards = ", ".join(f"plank-{number}.yaml" for number in range(1, count + 1))
    for name, text in (
        ("shop", shop),
        ("faces", RECIPE.replace("@more@", more)),
        ("job", JOB.replace("@boards@", boards)),
    ):
        (folder / f"{name}.yaml").write_text(text.lstrip(), encoding="utf-8")
    return folder / "job.yaml"


def doubled(work: int, share: int) -> int:
    """Return a number that tells work and share."""
    return work + 2 * share


def dies_in_a_process(work: int, share: int) -> int:
    """Do the same, but take the process down for one share, unless it is the one everybody stands in."""
    if share == 2 and multiprocessing.parent_process() is not None:
        os._exit(1)
    return doubled(work, share)


def fails_at_two(work: int, share: int) -> int:
    """Do the same, but fail for one share."""
    if share == 2:
        raise ZeroDivisionError
    return doubled(work, share)
