"""Where a seated board is held up: spans between shims, what hangs over, and how far it springs there."""

from __future__ import annotations

import math

import numpy as np
import pytest

from random_boards import drawn, random_boards
from stockwright.board.seating import Policy, seat
from stockwright.board.shims import shim_places
from stockwright.board.slab import Rest
from stockwright.board.spans import Span, find_spans
from stockwright.board.spring import more_shims, springs
from stockwright.board.surface import Board
from stockwright.planning.supports import badly_supported

SHOP = (0.1, 0.2, 0.5, 1.0, 2.0, 3.0)


def flat_board(length: float = 1000.0, width: float = 200.0, high: float = 2.0) -> Board:
    """Return a flat board 25 mm thick whose underside is at `high`."""
    outline = np.array([(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)])
    low = np.full((2, 2), high)
    return Board("flat", outline, np.array([0.0, length]), np.array([0.0, width]), low + 25.0, low, 0.1)


def kinds(spans: tuple[Span, ...], kind: str) -> list[Span]:
    """Return the spans of one kind."""
    return [span for span in spans if span.kind == kind]


@pytest.mark.parametrize("longest", [250.0, 400.0, 700.0])
def test_no_span_is_longer_than_the_shop_says(longest: float) -> None:
    """On shims of 0.1 mm and up, no board bears on nothing for longer than the shop's longest span."""
    policies: tuple[Policy, ...] = ("thickest", "no-rocking")
    for board in random_boards(1.0, 25):
        for policy in policies:
            found = seat(board, policy=policy, shop_shims=SHOP, longest_span=longest)
            assert max(span.length for span in kinds(found.spans, "span")) <= longest + 0.5, board.name


def test_a_shorter_longest_span_means_more_places() -> None:
    """Where the shop allows 200 mm there are more places for shims than where it allows 400."""
    board = random_boards(1.0, 1)[0]
    counts = [len(shim_places(board, longest)) for longest in (200.0, 400.0, 800.0)]
    assert counts[0] > counts[1] > counts[2] >= 4


def test_spans_between_four_supports_and_what_hangs_over() -> None:
    """Four supports 100 mm from the ends and 20 mm from the edges leave these spans, 2 mm above the bed."""
    supports = np.array([(x, y) for x in (100.0, 900.0) for y in (20.0, 180.0)])
    spans = find_spans(flat_board(), Rest(0.0, 0.0, 0.0), supports)
    assert [span.length for span in kinds(spans, "span")] == [800.0, 800.0]
    assert [span.length for span in kinds(spans, "overhang")] == [100.0] * 4
    assert {span.beside for span in kinds(spans, "overhang")} == {800.0}
    assert [span.length for span in kinds(spans, "span across")] == [160.0, 160.0]
    assert [span.length for span in kinds(spans, "overhang across")] == [20.0]
    assert {span.gap for span in spans} == {2.0}


def test_a_side_without_a_support_hangs_over() -> None:
    """On two supports near one edge the whole width hangs over."""
    supports = np.array([(100.0, 20.0), (900.0, 20.0)])
    spans = find_spans(flat_board(), Rest(0.0, 0.0, 0.0), supports)
    assert [span.length for span in kinds(spans, "overhang across")] == [180.0]
    assert not kinds(spans, "span across")


def test_a_support_in_the_middle_bears_for_both_sides() -> None:
    """A belly that touches in mid width halves the spans of both edges."""
    supports = np.array([(100.0, 20.0), (100.0, 180.0), (500.0, 100.0), (900.0, 20.0), (900.0, 180.0)])
    spans = find_spans(flat_board(), Rest(0.0, 0.0, 0.0), supports)
    assert [round(span.length) for span in kinds(spans, "span")] == [408, 408, 408, 408]


def test_a_board_springs_no_farther_than_to_what_is_under_it() -> None:
    """A thin board pressed hard goes down by the gap; a thick one by what the beam bends."""
    supports = np.array([(x, y) for x in (100.0, 900.0) for y in (20.0, 180.0)])
    board = flat_board()
    spans = kinds(find_spans(board, Rest(0.0, 0.0, 0.0), supports), "span")
    assert springs(board, spans, thickness=6.0)[0].sag == 2.0
    stiff = springs(board, spans, thickness=40.0)[0]
    # 100 N on 800 mm of 200 x 40, 12000 N/mm2: 0.0833 mm; and 700 kg/m3 of its own weight: 0.0229 mm.
    assert stiff.sag == pytest.approx(0.0833 + 0.0229, abs=1e-4)
    assert stiff.force == pytest.approx(100.0 * (2.0 - 0.0229) / 0.0833, rel=1e-2)


def test_the_places_named_for_more_shims_mend_the_spring() -> None:
    """With shims where the remedy says, none of the stretches that sprang too far does so still."""
    mended = 0
    for board in random_boards(0.5, 20):
        found = seat(board)
        allowed = 0.3
        over = [s for s in springs(board, found.spans, thickness=9.0) if s.sag > allowed]
        if not over:
            continue
        more = np.array([place for s in over for place in more_shims(s, allowed)])
        slope = np.array([found.a, found.b])
        bearing = [s.start for s in found.spans] + [s.end for s in found.spans if s.kind.startswith("span")]
        supports = np.vstack([np.array(bearing), more])
        after = find_spans(board, Rest(found.a, found.b, found.rest), supports)
        along = [s for s in after if not s.kind.endswith("across")]
        still = [s for s in springs(board, along, thickness=9.0) if s.sag > allowed]
        assert not still, (board.name, still)
        assert (board.bottom_at(more) - more @ slope - found.rest >= -1e-6).all()
        mended += 1
    assert mended > 5


def test_a_stout_board_on_shims_is_no_finding() -> None:
    """At half warp, shimmed and 25 mm or thicker, no random board springs beyond 0.3 mm."""
    for board in random_boards(0.5, 25):
        found = seat(board, shop_shims=SHOP)
        assert badly_supported(board, found, max(25.0, found.thickness), 400.0, 0.3) == [], board.name


def test_a_thin_board_says_how_far_it_springs_and_where_shims_go() -> None:
    """A board cut to 8 mm springs: both numbers, the place, and places for shims are said."""
    board = random_boards(0.5, 3)[2]
    (finding,) = badly_supported(board, seat(board, shop_shims=SHOP), 8.0, 400.0, None)
    assert (finding.rule, finding.level, finding.limit) == ("springs-when-pressed", "warn", 0.2)
    assert finding.measured is not None
    assert finding.measured > 0.2
    assert f"{finding.measured:.2f} mm" in finding.message
    assert "mm along" in finding.remedy


def test_a_shop_with_thick_shims_only_leaves_long_spans() -> None:
    """Where the thinnest shim is 3 mm some board bears on nothing for more than 400 mm, and that is said."""
    found = [
        finding
        for board in random_boards(0.5, 12)
        for finding in badly_supported(board, seat(board, shop_shims=(3.0,)), 30.0, 400.0, 0.3)
        if finding.rule == "span-too-long"
    ]
    assert found
    assert all(f.measured is not None and f.limit == 400.0 and f.measured > 400.0 for f in found)


def test_as_it_lies_says_how_far_a_free_corner_springs() -> None:
    """Without shims a twisted board's free corner is what springs, by no more than its gap."""
    board = random_boards(1.0, 1)[0]
    lying = seat(board, policy="as-it-lies")
    worst = springs(board, lying.spans, thickness=20.0)[0]
    assert worst.sag == pytest.approx(min(worst.sag, worst.span.gap))
    assert worst.sag > 1.0
    assert math.isfinite(worst.force)


def test_the_boards_are_those_of_the_stated_draws() -> None:
    """The first board's size is what the seeded generator gives, drawn in the stated order."""
    rng = np.random.default_rng(7)
    first = drawn()[0]
    assert (first.length, first.width, first.nominal) == (
        rng.uniform(600, 2400),
        rng.uniform(100, 300),
        rng.uniform(24, 54),
    )
    assert len(drawn()) == 500
