"""How far a job of many boards is. In: what is done. Out: words for the one line of `progress`.

Promise: nothing where nobody listens.
"""

from __future__ import annotations

from stockwright.progress import doing

__all__ = ["boards_done"]


def boards_done(done: int, of: int, name: str, how: str) -> None:
    """Say that `done` boards of so many are done, `name` the last, and how it went."""
    doing(f"{done} of {of} boards done, the last {name}: {how}", of_all=True)
