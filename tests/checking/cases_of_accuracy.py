"""Situations whose tolerance the machine's own errors are beyond. In: nothing. Out: `CASES`."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from checking.cases_of_tools import Case
from setups import face_setup, shop
from situations import situation
from stockwright.board.nominal import board_from_nominal
from stockwright.checking import accuracy
from stockwright.job import Tolerance
from stockwright.machine import Errors, Figure

if TYPE_CHECKING:
    from stockwright.checking import Situation

__all__ = ["CASES", "flat_within"]


def flat_within(asked: float, errors: Errors) -> Situation:
    """Give a face of which a flatness is asked, on a machine with these errors."""
    bare = situation(face_setup(), replace(shop(), errors=errors), ())
    board = board_from_nominal("board", 500.0, 160.0, 40.0)
    wanted = replace(bare.job.wanted, tolerance=Tolerance(flatness=asked))
    return replace(bare, job=replace(bare.job, boards=(board,), wanted=wanted))


LEANS = Errors(tilt_y=Figure(0.4, 0.05, measured=True))

CASES = (
    Case(
        "a spindle that leans as measured",
        accuracy.tolerance_not_reachable,
        flat_within(0.2, LEANS),
        lambda n: flat_within(n[0], LEANS),
    ),
    Case(
        "nothing but guesses",
        accuracy.tolerance_not_reachable,
        flat_within(0.03, Errors()),
        lambda n: flat_within(n[0], Errors()),
        level="warn",
    ),
)
