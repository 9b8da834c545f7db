"""Touches of a probe become a board: wild ones are found and no others, and the truth lies within."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from stockwright.board.outline import Lines
from stockwright.board.probing import Probed, board_from_probing
from stockwright.board.trend import stray

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

READING = 0.2
LIFT = 20.0  # mm; the underside stands clear of what the board lies on


@dataclass(frozen=True)
class Plank:
    """A seeded plank: bow, cup, twist, a kink, wedge and taper, as the sweeps of the seating draw them."""

    length: float
    width: float
    thick: float
    warp: tuple[float, ...]

    @classmethod
    def drawn(cls, rng: np.random.Generator) -> Plank:
        """Draw one."""
        length, width, thick = rng.uniform(600, 2400), rng.uniform(100, 300), rng.uniform(24, 54)
        m, w = length / 1000, width / 200
        spread = (m * m / 2, 0.8 * w, m * w, 0.3 * m, 0.3 * w, 0.3 * m)
        return cls(length, width, thick, tuple(float(rng.normal() * s) for s in spread))

    def bottom(self, xy: Floats) -> Floats:
        """Return the underside's heights."""
        u, v = 2 * xy[:, 0] / self.length - 1, 2 * xy[:, 1] / self.width - 1
        bow, cup, twist, kink = self.warp[:4]
        shape: Floats = LIFT + bow * u * u + cup * v * v + twist * u * v + kink * np.abs(u - 0.2)
        return shape

    def thickness(self, xy: Floats) -> Floats:
        """Return the thickness."""
        u, v = 2 * xy[:, 0] / self.length - 1, 2 * xy[:, 1] / self.width - 1
        result: Floats = self.thick + self.warp[4] * v + self.warp[5] * u
        return result

    def top(self, xy: Floats) -> Floats:
        """Return the upper face's heights."""
        return self.bottom(xy) + self.thickness(xy)

    def lines(self) -> Lines:
        """Return the outline, as a tape gives it."""
        return Lines(size=(self.length, self.width))

    def callipers(self, rng: np.random.Generator) -> Floats:
        """Read the thickness at six places round the rim."""
        xy = np.array(
            [(x, y) for x in (15, self.length / 2, self.length - 15) for y in (10, self.width - 10)]
        )
        return np.column_stack([xy, self.thickness(xy) + rng.normal(0, READING / 2, 6)])


def places(plank: Plank, along: int, across: int, rng: np.random.Generator, jitter: float = 0.0) -> Floats:
    """Return where it is touched, in serpentine order, off the lattice by up to `jitter` mm."""
    xs, ys = np.linspace(12, plank.length - 12, along), np.linspace(8, plank.width - 8, across)
    rows = [[(x, y) for y in (ys if i % 2 == 0 else ys[::-1])] for i, x in enumerate(xs)]
    xy = np.array([place for row in rows for place in row])
    moved = xy + rng.uniform(-1, 1, xy.shape) * [jitter, jitter / 4]
    return np.clip(moved, 3.0, [plank.length - 3, plank.width - 3])


def touches(height: Floats, xy: Floats, rng: np.random.Generator) -> Floats:
    """Return a log: half widths of 0.2 mm are standard deviations of 0.1 mm."""
    return np.column_stack([xy, height + rng.normal(0, READING / 2, len(xy))])


def everywhere(plank: Plank) -> Floats:
    """Return 1,000 places all over the plank."""
    x, y = np.meshgrid(np.linspace(0, plank.length, 50), np.linspace(0, plank.width, 20), indexing="ij")
    return np.column_stack([x.ravel(), y.ravel()])


@pytest.mark.parametrize(
    ("along", "across", "jitter"), [(5, 3, 0.0), (5, 3, 15.0), (9, 4, 0.0), (13, 5, 15.0)]
)
def test_wild_touches_are_found_and_no_others(along: int, across: int, jitter: float) -> None:
    """On 40 warped planks a touch 3 mm off is found wherever it stands, and no honest one is called wild."""
    rng = np.random.default_rng(11)
    for _ in range(40):
        plank = Plank.drawn(rng)
        xy = places(plank, along, across, rng, jitter)
        log = touches(plank.top(xy), xy, rng)
        assert stray(log[:, :2], log[:, 2], READING).kept.all()
        row, side = int(rng.integers(len(log))), float(rng.choice([-1.0, 1.0]))
        log[row, 2] += 3.0 * side
        found = stray(log[:, :2], log[:, 2], READING)
        assert np.nonzero(~found.kept)[0].tolist() == [row]
        assert found.off[row] == pytest.approx(3.0 * side, abs=2.0)


def test_several_wild_touches_do_not_hide_each_other() -> None:
    """Three touches on splinters and a missed one, two of them side by side, are all found."""
    rng = np.random.default_rng(3)
    plank = Plank.drawn(rng)
    xy = places(plank, 13, 5, rng)
    log = touches(plank.top(xy), xy, rng)
    for row, off in ((20, 4.0), (21, 3.5), (44, 9.0), (60, -19.0)):
        log[row, 2] += off
    assert np.nonzero(~stray(log[:, :2], log[:, 2], READING).kept)[0].tolist() == [20, 21, 44, 60]


def test_a_broad_lump_is_no_outlier() -> None:
    """Where many touches agree that the wood stands 3 mm high, as round a knot, none of them is wild."""
    rng = np.random.default_rng(5)
    plank = Plank.drawn(rng)
    xy = places(plank, 60, 12, rng)
    away = np.hypot(xy[:, 0] - plank.length / 3, xy[:, 1] - plank.width / 2)
    log = touches(plank.top(xy) + 3.0 * np.exp(-((away / 90.0) ** 2)), xy, rng)
    assert stray(log[:, :2], log[:, 2], READING).kept.all()


@pytest.mark.parametrize("jitter", [0.0, 15.0])
def test_the_truth_lies_within_the_uncertainty(jitter: float) -> None:
    """Of 30 probed planks both faces lie within the stated half width at 99 of 100 places, by and large."""
    rng = np.random.default_rng(7)
    within = []
    for _ in range(30):
        plank = Plank.drawn(rng)
        upper, lower = places(plank, 9, 4, rng, jitter), places(plank, 9, 4, rng, jitter)
        probed = Probed(
            touches(plank.top(upper), upper, rng),
            # Turned edge over edge and laid down on a new tilt.
            touches(70.0 + 0.002 * lower[:, 0] - 0.003 * lower[:, 1] - plank.bottom(lower), lower, rng),
            callipers=plank.callipers(rng),
        )
        board, problems, _ = board_from_probing("p", probed, plank.lines(), READING)
        assert problems == []
        assert board is not None
        at = everywhere(plank)
        off = np.maximum(
            np.abs(board.top_at(at) - plank.top(at)), np.abs(board.bottom_at(at) - plank.bottom(at))
        )
        within.append(float((off <= board.uncertainty).mean()))
    assert np.mean(within) > 0.99
    assert min(within) > 0.9


def _log(seed: int = 9) -> tuple[Plank, Probed]:
    rng = np.random.default_rng(seed)
    plank = replace(Plank.drawn(rng), length=900.0, width=160.0, thick=36.0)
    xy = places(plank, 9, 4, rng)
    return plank, Probed(touches(plank.top(xy), xy, rng), callipers=plank.callipers(rng))


def test_less_known_of_the_underside_is_more_uncertain() -> None:
    """A lower log, six calliper readings and one thickness: the last knows least, and each says so."""
    plank, six = _log()
    rng = np.random.default_rng(1)
    xy = places(plank, 9, 4, rng)
    both = replace(six, lower=touches(70.0 - plank.bottom(xy), xy, rng))
    one = replace(six, callipers=None, thickness=36.0)
    boards = [board_from_probing("p", each, plank.lines(), READING)[0] for each in (both, six, one)]
    assert all(board is not None for board in boards)
    widths = [board.uncertainty for board in boards if board is not None]
    assert widths[0] < widths[2]
    assert widths[1] < widths[2]
    said = [" ".join(board.notes) for board in boards if board is not None]
    assert "A log of the lower face would tell" in said[1]
    assert "One thickness stands for the whole board" in said[2]


def test_the_lower_logs_y_may_count_from_edge_2() -> None:
    """After the turn a machine counts y from the other edge: said so, the board is the same."""
    plank, six = _log()
    rng = np.random.default_rng(1)
    xy = places(plank, 9, 4, rng)
    lower = touches(70.0 - plank.bottom(xy), xy, rng)
    mirrored = lower * np.array([1.0, -1.0, 1.0]) + np.array([0.0, plank.width, 0.0])
    plain, _, _ = board_from_probing("p", replace(six, lower=lower), plank.lines(), READING)
    turned, _, _ = board_from_probing(
        "p", replace(six, lower=mirrored, lower_from_edge_2=True), plank.lines(), READING
    )
    assert plain is not None
    assert turned is not None
    assert turned.bottom == pytest.approx(plain.bottom, abs=1e-9)


def test_touches_that_do_not_repeat_widen_the_uncertainty() -> None:
    """Touches at one place that differ by half a millimetre are not taken as right within 0.2 mm."""
    plank, six = _log()
    rng = np.random.default_rng(2)
    xy = np.repeat(places(plank, 3, 3, rng), 4, axis=0)
    spread = np.tile([-0.35, -0.12, 0.12, 0.35], 9)
    calm = replace(six, upper=np.column_stack([xy, plank.top(xy)]))
    rough = replace(six, upper=np.column_stack([xy, plank.top(xy) + spread]))
    quiet, _, _ = board_from_probing("p", calm, plank.lines(), READING)
    loud, _, _ = board_from_probing("p", rough, plank.lines(), READING)
    assert quiet is not None
    assert loud is not None
    assert loud.uncertainty > quiet.uncertainty
    assert any("at one place differ" in note for note in loud.notes)
    assert loud.top == pytest.approx(quiet.top, abs=1e-9)


def test_a_thickness_that_both_logs_deny_names_all_three() -> None:
    """A calliper slip of 4 mm is one problem, against the nearest touches of both logs."""
    plank, six = _log()
    rng = np.random.default_rng(1)
    xy = places(plank, 9, 4, rng)
    assert six.callipers is not None
    slipped = six.callipers.copy()
    slipped[4, 2] += 4.0
    probed = replace(six, lower=touches(70.0 - plank.bottom(xy), xy, rng), callipers=slipped)
    board, [problem], _ = board_from_probing("p", probed, plank.lines(), READING)
    assert board is None
    assert problem.path == ("probed", "callipers", 4, "thickness")
    assert [path[0] for path in problem.against] == ["upper", "lower"]


def test_a_thickness_greater_than_the_height_is_a_contradiction() -> None:
    """Callipers of 90 mm on a face 56 mm above the bed: the touch nearest to them is named."""
    plank, six = _log()
    board, problems, _ = board_from_probing(
        "p", replace(six, callipers=None, thickness=90.0), plank.lines(), READING
    )
    assert board is None
    assert [p.path for p in problems] == [("probed", "thickness")]
    assert problems[0].against[0][0] == "upper"


def test_touches_off_the_board_are_named_and_counted() -> None:
    """A log in another frame is not 36 problems but a few, with how many more there are, against the size."""
    plank, six = _log()
    moved = replace(six, upper=six.upper + np.array([0.0, 500.0, 0.0]))
    _, problems, _ = board_from_probing("p", moved, plank.lines(), READING)
    assert len(problems) == 5
    assert "31 more do so" in problems[-1].message
    assert {p.against for p in problems} == {(("size", "width"),)}


@pytest.mark.parametrize(
    ("rows", "words"),
    [(range(3), "at 3 places"), (range(4), "on one line")],
)
def test_too_few_touches_are_told(rows: range, words: str) -> None:
    """Three places, or a row of four across, are no face."""
    plank, six = _log()
    _, [problem], _ = board_from_probing(
        "p", replace(six, upper=six.upper[list(rows)]), plank.lines(), READING
    )
    assert words in problem.message


def test_few_touches_allow_for_a_curve_they_cannot_show() -> None:
    """Touches at the four corners and one more show no bow: that is said, and allowed for."""
    plank, six = _log()
    corners = [0, 3, 32, 35, 17]
    board, problems, _ = board_from_probing(
        "p", replace(six, upper=six.upper[corners]), plank.lines(), READING
    )
    assert problems == []
    assert board is not None
    assert any("show no curve of the upper face" in note for note in board.notes)
    assert board.uncertainty > 1.0


def test_a_dense_log_is_a_board_in_a_moment() -> None:
    """Twenty thousand touches off any lattice come to a board; five wild ones among them are left out."""
    rng = np.random.default_rng(4)
    plank = Plank.drawn(rng)
    xy = places(plank, 200, 100, rng, 2.0)
    log = touches(plank.top(xy), xy, rng)
    wild = rng.choice(len(log), 5, replace=False)
    log[wild, 2] += 5.0
    probed = Probed(log, callipers=plank.callipers(rng), drop=True)
    board, problems, odd = board_from_probing("p", probed, plank.lines(), READING)
    assert problems == []
    assert board is not None
    assert sorted(o.row for o in odd) == sorted(wild.tolist())
    at = everywhere(plank)
    assert (np.abs(board.top_at(at) - plank.top(at)) <= board.uncertainty).mean() > 0.99
