"""What is known of a machine refuses, guesses only warn, and putting the named error right is a cure too."""

from __future__ import annotations

from dataclasses import replace

from checking.cases_of_accuracy import LEANS, flat_within
from situations import found
from stockwright.budget.sums import Contributor
from stockwright.checking.accuracy import _put_right, tolerance_not_reachable
from stockwright.machine import Errors, Figure


def test_the_largest_contributor_is_named_with_its_test_cut() -> None:
    """The finding names the lean that was measured, where it is written down, and the cut that tells it."""
    [finding] = found(tolerance_not_reachable, flat_within(0.2, LEANS))
    assert "the spindle leaning away" in finding.message
    assert "as it was measured" in finding.message
    assert "`tilt-y`" in finding.remedy
    assert "straightedge" in finding.remedy


def test_putting_the_named_error_right_cures() -> None:
    """With the spindle set upright and measured anew, nothing is left to find."""
    upright = replace(LEANS, tilt_y=Figure(0.01, 0.01, measured=True))
    assert found(tolerance_not_reachable, flat_within(0.2, upright)) == ()


def test_guesses_warn_until_they_are_measured() -> None:
    """A tolerance out of reach of guesses alone warns and says so; figures that are small end it."""
    [finding] = found(tolerance_not_reachable, flat_within(0.03, Errors()))
    assert (finding.level, "guessed" in finding.message) == ("warn", True)
    small = Figure(0.001, measured=True)
    known = Errors(tilt_x=small, tilt_y=small, straightness_x=small, straightness_y=small)
    assert found(tolerance_not_reachable, flat_within(0.03, known)) == ()


def test_what_is_not_asked_is_not_compared() -> None:
    """A board of which no flatness is asked is out of reach of nothing."""
    bad = flat_within(0.2, LEANS)
    wanted = replace(bad.job.wanted, tolerance=replace(bad.job.wanted.tolerance, flatness=None))
    assert found(tolerance_not_reachable, replace(bad, job=replace(bad.job, wanted=wanted))) == ()


def test_the_limit_told_is_the_tolerance_that_is_asked() -> None:
    """To a thousandth, which is finer than anybody asks."""
    [finding] = found(tolerance_not_reachable, flat_within(0.125, LEANS))
    assert finding.limit == 0.125
    assert finding.measured is not None
    assert finding.measured == round(finding.measured, 3)


def test_what_is_no_figure_of_the_machine_has_a_cure_of_its_own() -> None:
    """A crooked fence is jointed, a cutter that bends is stiffer, a slid board is found again closer."""
    for words, cure in (
        ("the fence not straight", "joint the fence in place"),
        ("end-mill bending", "take a stiffer cutter, or let it stick out less"),
        ("how far the board was slid", "find the board again more closely"),
        ("the step where the board was slid, face A", "`reads`"),
        ("one part leaning on the next, face A", "`reads`"),
        ("face A lying hollow where its parts meet", "`reads`"),
        ("rounding in the program", "see to rounding in the program"),
    ):
        assert cure in _put_right(Contributor("", words, 0.2, "rectangular", "stated"))
