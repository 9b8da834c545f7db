"""How far a squeeze bows a board, worked by hand: the bow of a strip under a moment, M w2 / 8 E I."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from checking.cases_of_forces import OWN, press
from setups import edge_setup, face_setup, shop
from situations import found, situation
from stockwright.board.nominal import board_from_nominal
from stockwright.checking.bowing import board_bows_under_clamps
from stockwright.job import Tolerance
from stockwright.planning.setup import Grip, ShimPlace

ALONG, ACROSS = 12_000.0, 0.065 * 12_000.0  # N/mm2, of a wood that nobody named


def push(x: float, y: float, way: tuple[float, float], z: float = 9.0, force: float = 9000.0) -> Grip:
    """Push on a board at a height."""
    return Grip(f"squeeze {x:g}", "board", "push", (x, y, z), force, OWN, way=way)


def bow(force: float, off: float, width: float, length: float, stiff: float, thick: float = 30.0) -> float:
    """Give the bow of a strip `length` wide that is squeezed over `width`, `off` its middle."""
    return force * off * width**2 / (8 * stiff * length * thick**3 / 12)


def bows(*grips: Grip, turned: bool = False, shim: float = 0.0) -> list[float | None]:
    """Give what is measured of a board 300 by 100, 30 high once its face is cut."""
    setup = face_setup()
    matrix = np.eye(4)
    if turned:
        matrix[:2, :2] = [[0.0, -1.0], [1.0, 0.0]]
    shims = (ShimPlace("board", 250.0, 130.0, shim), ShimPlace("other", 0.0, 0.0, 9.0)) if shim else ()
    lies = tuple(replace(lie, matrix=matrix) for lie in setup.lies)
    own = situation(replace(setup, grips=grips, shims=shims, lies=lies), shop(), ())
    return [finding.measured for finding in found(board_bows_under_clamps, own)]


def test_a_squeeze_off_the_middle_bows_a_board() -> None:
    """By how far off and over what width; it spreads at 45 degrees, and over its own share at most."""
    up, along = (0.0, 1.0), (1.0, 0.0)
    alone = bow(9000.0, 6.0, 100.0, 100.0, ACROSS)
    four = [push(x, 80.0, up) for x in (130.0, 210.0, 290.0, 370.0)]
    for told, wanted in (
        (bows(push(250.0, 80.0, up)), alone),
        (bows(push(250.0, 80.0, up, z=21.0)), alone),
        (bows(push(250.0, 80.0, up, z=15.0)), None),
        (bows(*four), bow(9000.0, 6.0, 100.0, 75.0, ACROSS)),
        (bows(push(250.0, 80.0, up), push(250.0, 180.0, (0.0, -1.0), z=15.0)), alone),
        (bows(*four[:3], push(370.0, 80.0, (0.6, 0.8), z=15.0)), bow(9000.0, 6.0, 100.0, 75.0, ACROSS)),
        (bows(*four[:3], push(370.0, 80.0, (0.8, 0.6), z=15.0)), alone),
        (bows(push(250.0, 80.0, up, force=9e4), turned=True), bow(9e4, 6.0, 100.0, 100.0, ALONG)),
        (bows(push(100.0, 130.0, along)), bow(9000.0, 6.0, 300.0, 100.0, ALONG)),
        (bows(push(100.0, 130.0, along), turned=True), bow(9000.0, 6.0, 300.0, 100.0, ACROSS)),
        (bows(push(250.0, 80.0, up), shim=2.0), bow(9000.0, 7.0, 100.0, 100.0, ACROSS, 28.0)),
    ):
        assert told == ([] if wanted is None else [pytest.approx(wanted, abs=6e-5)])


def test_the_worst_of_all_bends_is_told_and_its_cure() -> None:
    """Of several grips once, by a tenth of a newton and a millimetre on the side on which it cures."""
    setup = replace(
        face_setup(), grips=(push(210.0, 80.0, (0.0, 1.0), z=12.0), push(250.0, 80.0, (0.0, 1.0)))
    )
    [finding] = found(board_bows_under_clamps, situation(setup, shop(), ()))
    by = bow(9000.0, 6.0, 100.0, 100.0, ACROSS)
    assert finding.message.startswith("squeeze 250 pushes with 9000 N 6 mm off the middle of its thickness")
    assert finding.remedy == (
        f"let it push with {int(9000.0 * 0.15 / by)} N or less, or let it bear within "
        f"{int(60.0 * 0.15 / by) / 10:g} mm of the middle of its thickness"
    )
    assert (finding.level, finding.limit, finding.at) == ("warn", 0.15, (250.0, 80.0, 9.0))


def test_a_squeeze_that_holds_too_weakly_is_not_told_to_push_less() -> None:
    """Then harder is the cure for that, and of the two for bowing the height alone, for so hard a push."""
    pair = (push(250.0, 80.0, (0.0, 1.0)), push(250.0, 180.0, (0.0, -1.0)))
    own = situation(replace(face_setup(), grips=pair), replace(shop(), friction=0.002))
    held = min(hold.least for hold in own.holds)
    assert held < 1
    [finding] = found(board_bows_under_clamps, own)
    by = bow(9000.0, 6.0, 100.0, 100.0, ACROSS)
    nearer = int(60.0 * 0.15 / by * held) / 10
    assert finding.remedy == f"let it bear within {nearer:g} mm of the middle of its thickness"


def test_it_refuses_only_where_all_that_counts_is_known() -> None:
    """The wood read, the force the shop's own, a flatness asked, and bent by more than that flatness."""
    by = bow(9000.0, 6.0, 100.0, 100.0, 0.065 * 11_600.0)
    for species, flatness, source, level in (
        ("walnut-black", 0.9 * by, OWN, "refuse"),
        ("walnut-black", 1.1 * by, OWN, "warn"),
        ("walnut-black", None, OWN, "warn"),
        ("walnut-black", 0.9 * by, "guessed", "warn"),
        ("ash-white", 0.9 * by, OWN, "warn"),
        (None, 0.9 * by, OWN, "warn"),
        ("walnut-black", 2.1 * by, OWN, None),
    ):
        grip = replace(push(250.0, 80.0, (0.0, 1.0)), source=source)
        own = situation(replace(face_setup(), grips=(grip,)), shop(), ())
        board = replace(board_from_nominal("board", 300.0, 100.0, 30.0), species=species)
        wanted = replace(own.job.wanted, tolerance=Tolerance(flatness=flatness))
        own = replace(own, job=replace(own.job, boards=(board,), wanted=wanted))
        assert [f.level for f in found(board_bows_under_clamps, own)] == ([] if level is None else [level])


def test_while_edges_are_cut_off_the_bed_alone_a_board_may_give() -> None:
    """No face is cut and no riser stands: a squeeze and a press bend nothing that is kept."""
    setup = edge_setup()
    grips = (push(250.0, 80.0, (0.0, 1.0)), press(250.0, 130.0, 9e5))
    assert found(board_bows_under_clamps, situation(replace(setup, grips=grips), shop(), ())) == ()
