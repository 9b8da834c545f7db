"""The stair tread's job with a touch probe in its shop, for tests: by the door of a user's job."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

from example_jobs import STAIR_TREAD
from stockwright.probing import Asked, Measured, probe
from stockwright.run import Request

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["PROBE", "job_with_probe", "measured"]

PROBE = """
probe:
  number: 9
  tip-diameter: 4 mm
  stylus-length: 30 mm
  body-diameter: 25 mm
  shank: 8 mm
  stickout: 70 mm
  over-travel: 5 mm
  feed: 150 mm/min
"""


def job_with_probe(folder: Path, *edits: tuple[str, str], probe_part: str = PROBE) -> Path:
    """Write the job into an empty folder, with a probe, each edit made once in the shop's document."""
    shutil.copytree(STAIR_TREAD.parent, folder, dirs_exist_ok=True)
    shop = folder / "shop.yaml"
    text = shop.read_text(encoding="utf-8") + probe_part
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    shop.write_text(text, encoding="utf-8")
    return folder / "job.yaml"


def measured(job: Path, asked: Asked | None = None, **request: object) -> Measured:
    """Make the measuring of a job."""
    return probe(Request(job, **request), asked or Asked())  # type: ignore[arg-type]
