"""Errors of a machine add up measure by measure, and every guess is told from what is known."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import pytest

from setups import shop
from stockwright.budget.figures import FIGURES, figure
from stockwright.budget.sums import Contributor, Sum, bending, budget
from stockwright.budget.work import Work, reference
from stockwright.machine import Errors, Fence, Figure, Shop, ZTouch

NONE = Errors(**{each.name: Figure(0.0) for each in fields(Errors)})
FENCE = Fence(140.0, 40.0, 20.0, ((200.0, 1200.0),), liftable=True, wooden=True, straightness=0.0, angle=0.0)


def only(**errors: Figure) -> Shop:
    """Give a shop with a straight fence that has these errors and says of all others that they are none."""
    return replace(shop(), fence=FENCE, errors=replace(NONE, **errors))


def sums(of: Shop, work: Work | None = None) -> dict[str, Sum]:
    """Give the sums of a shop's reference board by title."""
    return {each.title: each for each in budget(of, work or reference(of))}


def share(total: Sum, key: str) -> float:
    """Give one figure's share, 0 where it has none."""
    return sum(part.size for part in total.parts if part.key == key)


def test_a_table_names_every_figure_of_a_shop() -> None:
    """What a shop may say and what people are told of are the same figures."""
    assert [each.name.replace("_", "-") for each in fields(Errors)] == [
        "tilt-x", "tilt-y", "squareness", "fence-angle", "straightness-x", "straightness-y", "bed", "seating",
        "risers", "touch", "mark", "diameter", "scale", "thermal",
    ]  # fmt: skip
    assert set(FIGURES) == {each.name.replace("_", "-") for each in fields(Errors)}


def test_a_lean_across_the_passes_is_seen_in_faces_and_edges() -> None:
    """A lean of 0.1 degrees towards the operator: 35 mm steps of tan 0.1 in faces, 25 mm of it in edges."""
    found = sums(only(tilt_y=Figure(0.1)))
    lean = math.tan(math.radians(0.1))
    assert share(found["flatness of face A"], "tilt-y") == pytest.approx(35.0 * lean)
    assert share(found["squareness of edge-1"], "tilt-y") == pytest.approx(25.0 * lean)
    assert share(found["parallelism"], "tilt-y") == pytest.approx(2 * 35.0 * lean)


def test_axes_out_of_square_are_seen_in_the_ends_alone() -> None:
    """Axes 0.1 degrees out of square slant both ends by 200 tan 0.1, and no edge."""
    found = sums(only(squareness=Figure(0.1)))
    for end in ("end-1", "end-2"):
        assert share(found[f"squareness of {end}"], "squareness") == pytest.approx(
            200 * math.tan(math.radians(0.1))
        )
    assert share(found["squareness of edge-2"], "squareness") == 0.0


def test_a_fence_off_the_axis_tapers_the_width_and_slants_the_ends() -> None:
    """A fence 0.1 degrees off: 1000 tan 0.1 in the width, 200 tan 0.1 in the ends, nothing in the length."""
    found = sums(only(fence_angle=Figure(0.1)))
    off = math.tan(math.radians(0.1))
    assert share(found["width"], "fence-angle") == pytest.approx(1000 * off)
    assert share(found["squareness of end-1"], "fence-angle") == pytest.approx(200 * off)
    assert share(found["length"], "fence-angle") == 0.0


def test_a_cutter_of_another_size_counts_once_against_a_fence_and_twice_between_two_cuts() -> None:
    """A diameter out by 0.1 mm: half of it in the width off the fence, all of it in the length."""
    found = sums(only(diameter=Figure(0.1)))
    assert share(found["width"], "diameter") == pytest.approx(0.05)
    assert share(found["length"], "diameter") == pytest.approx(0.1)


def test_expected_is_the_root_sum_of_squares_and_worst_the_plain_sum() -> None:
    """Two bounds of 0.3 and 0.4: 2 root((0.3^2 + 0.4^2) / 3) = 0.5774, at worst 0.7 (by hand)."""
    both = Sum("width", "", tuple(Contributor("", "it", s, "rectangular", "stated") for s in (0.4, 0.3)))
    assert (both.expected, both.worst) == pytest.approx((0.57735, 0.7), abs=1e-5)
    sure = Sum("width", "", tuple(Contributor("", "it", s, "normal", "measured") for s in (0.4, 0.3)))
    assert sure.expected == pytest.approx(0.5)


def test_one_bound_alone_is_never_exceeded() -> None:
    """A single bound is expected no wider than itself, though k = 2 would make it so."""
    alone = Sum("width", "", (Contributor("", "it", 0.3, "rectangular", "stated"),))
    assert alone.expected == alone.worst == 0.3


def test_what_nobody_says_is_a_guess_and_what_is_said_is_none() -> None:
    """A bare shop's figures are guesses; one stated or measured is called so, with its doubt on it."""
    bare = figure(shop(), "tilt-x")
    assert bare is not None
    assert bare.source == "guess"
    stated = figure(replace(shop(), errors=Errors(tilt_x=Figure(0.02))), "tilt-x")
    measured = figure(replace(shop(), errors=Errors(tilt_x=Figure(0.02, 0.01, measured=True))), "tilt-x")
    assert stated is not None
    assert measured is not None
    assert (stated.source, stated.size, stated.kind) == ("stated", 0.02, "rectangular")
    assert (measured.source, measured.size, measured.kind) == ("measured", 0.03, "normal")


def test_guesses_are_left_out_of_what_is_known() -> None:
    """What is known of a bare shop's width is no more than its rounding; all of it counts guesses too."""
    total = sums(shop())["width"]
    assert total.known < 0.02 < total.expected


def test_a_bed_that_was_never_skimmed_is_guessed_worse() -> None:
    """A skimmed bed is guessed at a third of one of which no skim is known."""
    never = figure(shop(), "bed")
    skimmed = figure(replace(shop(), bed=replace(shop().bed, skimmed="2026-05-30")), "bed")
    assert never is not None
    assert skimmed is not None
    assert never.size == pytest.approx(3 * skimmed.size)


def test_a_touch_plate_of_known_thickness_is_no_guess() -> None:
    """A plate known and felt within 0.01 mm is what the thickness hangs on, not the guess of a touch."""
    plated = replace(shop(), z_touch=ZTouch("touch-plate", 10.0, 0.01))
    assert share(sums(plated)["thickness"], "touch") == 0.01
    assert share(sums(shop())["thickness"], "touch") > 0.01


def test_warmth_counts_only_where_the_shop_says_it() -> None:
    """Nothing is guessed of warmth; 0.1 mm a metre is 0.1 mm in a length of 1000."""
    assert share(sums(shop())["length"], "thermal") == 0.0
    assert share(sums(only(thermal=Figure(0.1)))["length"], "thermal") == pytest.approx(0.1)


def test_a_second_last_pass_leaves_less_of_the_cutters_bending() -> None:
    """Run twice at the same place, the last pass leaves a wall nearer to upright and to its place."""
    once = reference(shop()).sidings[0]
    twice = bending(replace(once, spring=True))
    assert all(a < b / 3 for a, b in zip(twice, bending(once), strict=True))


def test_moved_clamps_step_counts_in_flatness() -> None:
    """A step of 0.05 mm where clamps were moved stands in the flatness of that face, as a guess."""
    work = reference(only())
    stepped = replace(work, facings=tuple(replace(each, clamp_step=0.05) for each in work.facings))
    assert sums(only(), stepped)["flatness of face A"].worst == pytest.approx(0.05)


def test_the_length_of_a_board_longer_than_the_travel_sees_all_of_its_crookedness() -> None:
    """A travel's crookedness counts by the share of it that a board spans, and never more than whole."""
    work = replace(reference(only()), length=9000.0)
    found = sums(only(straightness_x=Figure(0.1)), work)
    assert share(found["straightness of edge-1"], "straightness-x") == pytest.approx(0.1)
