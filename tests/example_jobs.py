"""Bound jobs from the shipped examples, for tests: the same door that a user's job goes through."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from stockwright.bind import bind
from stockwright.documents.load import read_job

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stockwright.job import Job
    from stockwright.posting import Post

ROOT = Path(__file__).parents[1]
EXAMPLES = ROOT / "examples"
STAIR_TREAD = EXAMPLES / "stair-tread" / "job.yaml"


def bound(
    job: Path = STAIR_TREAD, values: Mapping[str, str] | None = None, boards: Sequence[Path] = ()
) -> tuple[Job, Post]:
    """Return an example's job, bound, with some of its values replaced."""
    return bind(read_job(job, sets=values or {}, boards=boards))
