"""What is wrong with readings, before anyone knows where they were written. In: a path. Out: `Problem`."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Problem"]


@dataclass(frozen=True)
class Problem:
    """One thing wrong: `path` into the document (keys and indices), what is wrong, and what to do."""

    path: tuple[str | int, ...]
    message: str
    hint: str
