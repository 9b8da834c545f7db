"""How far a job of many boards has come. In: what is finished. Out: text for the single line of `progress`.

Promise: nothing is written where nobody listens.
"""

from __future__ import annotations

from stockwright.progress import doing

__all__ = ["boards_done"]


def boards_done(done: int, of: int, name: str, how: str) -> None:
    """Report that `done` boards of so many are finished, `name` the latest, and how it went."""
    doing(f"{done} of {of} boards done, the last {name}: {how}", of_all=True)
