"""Where arms, feet and stops stand, worked out by hand on boards of round sizes: to the millimetre."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely

from setups import rectangle, solid
from stockwright.findings import Finding, Refused
from stockwright.hold_downs import Screw, SideClamp, TopClamp
from stockwright.job import Zone
from stockwright.planning import beside, clamp_moves, clamp_places, in_waste, one_pass, top_clamps
from stockwright.planning.clamping import Clamping, beside_wall, box
from stockwright.planning.piece import _too_small
from stockwright.planning.wood import Wood

CLAMP = TopClamp("arm", 4, 40.0, 80.0, 25.0, 30.0, 30.0)
ZONE: Any = SimpleNamespace(name="top", where="face", clear_of=())
SIDES = {(1.0, 0.0): "end-2", (-1.0, 0.0): "end-1", (0.0, 1.0): "edge-2", (0.0, -1.0): "edge-1"}
TOOL: Any = SimpleNamespace(
    radius=6.0,
    assembly=(
        SimpleNamespace(radius=6.0, bottom=0.0),
        SimpleNamespace(radius=20.0, bottom=40.0),
        SimpleNamespace(radius=30.0, bottom=60.0),
    ),
)


def board(width: float = 200.0, length: float = 600.0, **said: Any) -> Any:
    """Give a clamping of a board whose low corner is at (0, 0), 25 mm thick."""
    lying = shapely.box(0.0, 0.0, length, width)
    place = SimpleNamespace(
        side_looking=lambda x, y: SIDES[x, y], looks=lambda side: {v: k for k, v in SIDES.items()}[side]
    )
    bed = SimpleNamespace(places=None, mark=(0.0, 0.0))
    shop = SimpleNamespace(bed=bed, units="mm", machine=SimpleNamespace(margin=5.0))
    own = {
        "lying": lying,
        "wood": SimpleNamespace(plan=lambda place: lying),
        "place": place,
        "shop": shop,
        "stop_lines": {},
        "walls": {},
        "face_height": 25.0,
        "cut_low": np.inf,
        "index": 3,
    }
    return SimpleNamespace(**{**own, **said})


def bounds(thing: Any) -> list[float]:
    """Give low x, low y, high x, high y of an outline."""
    outline = getattr(thing, "outline", thing)
    return [*map(float, outline.min(axis=0)), *map(float, outline.max(axis=0))]


def test_arms_spread_between_the_ends_and_what_backs_them() -> None:
    """Eight hundredths in, or half an arm and 3 mm; a wall that is cut keeps its assembly off; blocks too."""
    backing = [
        solid("near", rectangle(-20, 0, 60, 50), kind="backing"),
        solid("far", rectangle(500, 0, 620, 50), kind="backing"),
    ]
    other = solid("clamp", rectangle(100, 0, 300, 50), kind="side-clamp")
    for c, standing, span in (
        (board(), (), (48.0, 552.0)),
        (board(length=200.0), (), (23.0, 177.0)),
        (board(), (backing[0],), (86.0, 552.0)),
        (board(), (*backing, other), (86.0, 474.0)),
        (board(), (solid("b", rectangle(400, 0, 430, 50), kind="backing"),), (48.0, 374.0)),
        (board(stop_lines={"end-1": 10.0, "end-2": 590.0}), (), (10 + 46.4, 590 - 46.4)),
    ):
        assert top_clamps._span(c, CLAMP, standing) == pytest.approx(span)
    walls = {"end-1": TOOL}
    kept = beside_wall(TOOL, -1.0, 50.0, 5.0) + 2.0
    assert kept == 14.0 + 5.0 + 2.0
    assert top_clamps._keep(board(walls=walls), CLAMP, "end-1") == kept
    assert top_clamps._keep(board(walls=walls), CLAMP, "end-2") == 0.0
    low, high = top_clamps._span(board(walls=walls), CLAMP, ())
    assert (low, high) == pytest.approx((kept + 0.08 * (600 - kept), 600 - 0.08 * (600 - kept)))


@pytest.mark.parametrize(
    ("tip", "top", "keeps"),
    [
        (0.0, 34.9, 5.0),
        (0.0, 35.0, 5.0),
        (0.0, 35.1, 19.0),
        (-1.0, 35.0, 19.0),
        (0.0, 55.1, 29.0),
        (9.0, 0.0, 5.0),
    ],
)
def test_a_wall_keeps_what_is_wide_and_low(tip: float, top: float, keeps: float) -> None:
    """What of the assembly comes lower than the solid and a margin reaches over it by its radius."""
    assert beside_wall(TOOL, tip, top, 5.0) == keeps


def test_arms_stand_evenly_or_beside_what_is_high() -> None:
    """As many as go side by side; where a fence is higher than the face, at the nearest place beside it."""
    c = board()
    assert top_clamps._places(c, CLAMP, 48.0, 552.0, (), 3) == [48.0, 300.0, 552.0]
    assert top_clamps._places(c, CLAMP, 100.0, 146.0, (), 4) == [100.0, 146.0]
    assert top_clamps._places(c, CLAMP, 100.0, 145.9, (), 4) == [100.0]
    assert top_clamps._places(c, CLAMP, 100.0, 90.0, (), 4) == []
    high = solid("fence", rectangle(250, -60, 350, -10), kind="fence", top=26.0)
    level = solid("fence", rectangle(250, -60, 350, -10), kind="fence", top=25.0)
    away = solid("fence", rectangle(250, -90, 350, -36), kind="fence", top=90.0)
    for standing, places in (
        ((high,), [48.0, 228.0, 552.0]),
        ((level,), [48.0, 300.0, 552.0]),
        ((away,), [48.0, 300.0, 552.0]),
    ):
        assert top_clamps._places(c, CLAMP, 48.0, 552.0, standing, 3) == places
    wide = solid("fence", rectangle(100, -60, 560, -10), kind="fence", top=26.0)
    assert top_clamps._places(c, CLAMP, 48.0, 552.0, (wide,), 3) == [48.0]
    assert top_clamps._near(100.0, 96.0, 104.0, CLAMP, []) == [100.0, 100.0, 98.0, 102.0, 96.0, 104.0]
    assert top_clamps._near(100.0, 96.0, 104.0, CLAMP, [52.0]) == [100.0, 100.0, 98.0, 102.0, 104.0]
    assert top_clamps._near(100.0, 96.0, 104.0, CLAMP, [100.0]) == [100.0]


def over(c: Any, standing: Any = (), *, near: bool = True, clamp: TopClamp = CLAMP) -> Any:
    """Give a clamp at 100 mm along the board that reaches in over its near edge or its far one."""
    return top_clamps.clamp_at(top_clamps.Reaching(c, ZONE, clamp, standing, near), 100.0, "arm 1")


def test_an_arm_reaches_in_from_its_edge() -> None:
    """From the near edge or the far one, as far as it reaches or a wall lets it; its body 6 mm off."""
    c = board()
    arm, body = over(c)
    assert (bounds(arm), bounds(body)) == ([80.0, -6.0, 120.0, 30.0], [80.0, -36.0, 120.0, -6.0])
    assert [(s.name, s.kind, s.bottom, s.top) for s in (arm, body)] == [
        ("arm 1 arm", "top-clamp", 25.0, 50.0),
        ("arm 1 body", "top-clamp", 0.0, 50.0),
    ]
    arm, body = over(c, near=False)
    assert (bounds(arm), bounds(body)) == ([80.0, 170.0, 120.0, 206.0], [80.0, 206.0, 120.0, 236.0])
    walled = board(width=60.0, stop_lines={"edge-2": 50.0, "edge-1": 8.0}, walls={"edge-2": TOOL})
    arm, _ = over(walled)
    assert bounds(arm)[3] == 50.0 - 21.0
    fence = solid("fence", rectangle(90, -40, 110, -10), kind="fence")
    arm, body = over(c, (fence,))
    assert (bounds(arm)[1], bounds(body)[1:4:2]) == (-46.0, [-76.0, -46.0])
    for aside in (rectangle(120, -40, 130, -10), rectangle(70, -40, 80, -10), rectangle(90, -80, 110, -36)):
        arm, _ = over(c, (solid("fence", aside, kind="fence"),))
        assert bounds(arm)[1] == -6.0


@pytest.mark.parametrize(
    ("width", "wall", "clamp", "numbers", "cure"),
    [
        (60.0, 36.0, {}, None, ""),
        (60.0, 35.9, {}, (14.9, 15.0), "take a board at least 0.1 mm wider"),
        (60.0, 100.0, {"reach": 15.0}, None, ""),
        (60.0, 100.0, {"reach": 14.0}, (14.0, 15.0), "list a clamp that reaches 15 mm or more"),
        (60.0, 100.0, {"arm": 36.0}, None, ""),
        (60.0, 100.0, {"arm": 35.96}, (36.0, 35.96), "list a clamp with an arm of at least 36.0 mm"),
    ],
)
def test_an_arm_bears_on_fifteen_millimetres_or_more(
    width: float, wall: float, clamp: dict[str, float], numbers: tuple[float, float] | None, cure: str
) -> None:
    """Met exactly it will do; else both numbers and a cure that does."""
    c = board(width=width, stop_lines={"edge-2": wall}, walls={"edge-2": TOOL})
    said = {**{n: getattr(CLAMP, n) for n in ("width", "arm", "arm_height", "body_depth", "reach")}, **clamp}
    made = over(c, clamp=TopClamp("arm", 4, **said))
    assert isinstance(made, Finding) is (numbers is not None)
    if isinstance(made, Finding):
        assert (made.measured, made.limit) == pytest.approx(numbers)
        assert made.remedy == f"{cure}, or hold this board another way"
        assert made.setup == 3


@pytest.mark.parametrize(
    ("room", "cure"),
    [
        (40.0, "list clamps at most 37.0 mm wide"),
        (0.1, "list clamps at most 17.0 mm wide"),
        (0.0, "take a board at least 46.0 mm longer"),
        (-4.0, "take a board at least 50.0 mm longer"),
    ],
)
def test_how_narrow_two_clamps_must_be(room: float, cure: str) -> None:
    """Each gives half of what is wanting; without any room the board is too short."""
    assert top_clamps._narrower(CLAMP, room, fenced=False) == cure


def test_a_foot_touches_the_wood_at_its_side() -> None:
    """Of each side, at a corner that is cut off too; where no wood is, at the outermost."""
    foot = SideClamp("side", 2, 40.0, 30.0, 20.0)
    whole = shapely.box(0.0, 0.0, 600.0, 200.0)
    for looks, at, expected in (
        ((0.0, -1.0), 100.0, [80.0, -30.0, 120.0, 0.0]),
        ((0.0, 1.0), 100.0, [80.0, 200.0, 120.0, 230.0]),
        ((-1.0, 0.0), 100.0, [-30.0, 80.0, 0.0, 120.0]),
        ((1.0, 0.0), 100.0, [600.0, 80.0, 630.0, 120.0]),
        ((0.0, 1.0), 700.0, [680.0, 200.0, 720.0, 230.0]),
        ((0.0, -1.0), 700.0, [680.0, -30.0, 720.0, 0.0]),
        ((1.0, 0.0), 300.0, [600.0, 280.0, 630.0, 320.0]),
        ((-1.0, 0.0), 300.0, [-30.0, 280.0, 0.0, 320.0]),
    ):
        assert bounds(beside._foot(whole, foot, looks, at)) == expected
    cut = shapely.Polygon([(0, 50), (600, 0), (600, 200), (0, 150)])
    assert bounds(beside._foot(cut, foot, (0.0, -1.0), 300.0)) == pytest.approx(
        [280.0, 320 * -50 / 600 + 50 - 30, 320.0, 320 * -50 / 600 + 50]
    )
    assert bounds(beside._foot(cut, foot, (0.0, 1.0), 300.0))[1::2] == pytest.approx(
        [150 + 320 / 12, 180 + 320 / 12]
    )
    inside: Any = lambda off, height: shapely.box(30.0, 20.0, 560.0, 150.0)  # noqa: E731
    for walls, across, span in (
        ({}, False, (0.0, 600.0)),
        ({}, True, (0.0, 200.0)),
        ({"end-1": TOOL}, False, (30.0, 560.0)),
        ({"end-1": TOOL}, True, (20.0, 150.0)),
    ):
        c: Any = SimpleNamespace(walls=walls, inside_walls=inside)
        assert beside._span(c, foot, whole, across=across) == span
    assert beside._meets(shapely.box(0, 0, 10, 10), shapely.box(9, 9, 20, 20)) is False
    assert beside._meets(shapely.box(0, 0, 10, 10), shapely.box(8.9, 9, 20, 20)) is True


@pytest.mark.parametrize(
    ("low", "sunk", "rule", "numbers", "cure"),
    [
        (19.0, 10.9, "screw-stands-too-high", (10.9, 11.0), "sink it 11.0 mm deep, "),
        (18.8, 10.9, "screw-stands-too-high", (10.9, 11.2), "sink it 11.5 mm deep, "),
        (np.inf, 16.1, "screw-bears-on-too-little", (3.9, 4.0), "sink it at most 16.0 mm deep, "),
        (np.inf, 23.0, "screw-bears-on-too-little", (-3.0, 4.0), "sink it at most 16.0 mm deep, "),
    ],
)
def test_a_screw_is_sunk_below_the_cutter_and_above_nothing(
    low: float, sunk: float, rule: str, numbers: tuple[float, float], cure: str
) -> None:
    """Below the face cut by the margin, to half a millimetre; with 4 mm of wood under its head."""
    screw = Screw("screw", 4, 9.0, 5.0, 12.0, sunk, 350.0, 400.0)
    placed: Any = SimpleNamespace(solids=[], found=[])
    finding = in_waste._screws(board(cut_low=low), ZONE, screw, (), placed)
    assert finding is not None
    assert finding.rule == rule
    assert (finding.measured, finding.limit) == pytest.approx(numbers)
    assert finding.remedy.startswith(cure)


def test_clamps_that_move_need_room_for_both_ends_and_the_middle() -> None:
    """212 mm of length for clamps of 40 mm and these ways; four clamps, and both numbers where it is less."""
    cut: Any = SimpleNamespace(stepover=10.0, tool=SimpleNamespace(radius=5.0), name="face A")
    ways = {"begins": 1.0, "second": 2.0, "overlap": 3.0, "ends": 4.0, "first": 5.0, "fewest": 3}
    told: list[Any] = []

    def refuse(*said: Any) -> str:
        told.append(said)
        return "refused"

    def room(length: float, count: int, sides: int, **more: Any) -> Any:
        return SimpleNamespace(
            **{**ways, **more},
            clamp=SimpleNamespace(count=count, width=40.0),
            sides=("edge-1", "edge-2")[:sides],
            outline=shapely.box(7.0, 0.0, 7.0 + length, 90.0),
            cut=cut,
            sideways=lambda other: other,
            no_room=refuse,
        )

    assert clamp_places.places_across(room(211.9, 4, 2)) == "refused"  # type: ignore[comparison-overlap]
    assert told[-1] == ("it is 212 mm long; two ends and the middle need 212 mm", 211.9, 212.0, "along")
    cut.stepover = 60.0
    assert clamp_places.places_across(room(211.9, 4, 2)) == "refused"  # type: ignore[comparison-overlap]
    assert told[-1][2] == 2 * 65.0 + 104.0
    for count, sides, numbers in ((3, 2, (3, 4)), (4, 1, (2, 4))):
        assert clamp_places.places_across(room(900.0, count, sides)) == "refused"  # type: ignore[comparison-overlap]
        assert told[-1][1:3] == numbers


def test_an_arm_stands_over_fresh_wood_or_rough() -> None:
    """A card under it on a fresh face, on a rough one what is not known of its height; then the arm."""
    unknown = {"cut": SimpleNamespace(z=27.0), "unsure": 0.5, "_wood_under": lambda arm: 26.0}
    room: Any = SimpleNamespace(clamp=CLAMP, c=board(), zone=ZONE, standing=(), **unknown)
    for fresh, heights in ((True, [27.0, 27.0 + 1.0 + 25.0]), (False, [26.0, 26.0 + 0.5 + 25.0])):
        stand: Any = clamp_places.Room.stand(room, 100.0, 20.0, 1, near=True, fresh=fresh, aside=())
        assert list(vars(stand).values())[2:] == heights
        assert bounds(stand.arm) == [80.0, -6.0, 120.0, 20.0]


def test_a_seat_leaves_open_what_the_shop_says_or_a_guess() -> None:
    """What is measured, else chips under a flat face or the finest shim; twice for a clamp alone."""
    for up, faced, shims, seating, alone, open_under in (
        ("A", {"B"}, (), None, False, 0.05),
        ("A", {"A"}, (), None, False, 0.1),
        ("B", {"A"}, (), None, True, 0.1),
        ("B", {"B"}, (0.3, 0.2), None, True, 0.4),
        ("A", {"B"}, (0.3,), SimpleNamespace(value=0.04, within=0.02), True, 0.12),
    ):
        c: Any = SimpleNamespace(
            shop=SimpleNamespace(errors=SimpleNamespace(seating=seating), shims=shims),
            place=SimpleNamespace(up=up),
            under={"A": "B", "B": "A"}[up],
            wood=SimpleNamespace(faced=faced, lifted=lambda face: {"A": 7.0, "B": 8.0}[face]),
        )
        assert clamp_moves._seam(c, alone=alone) == pytest.approx(open_under + (7.0 if up == "A" else 8.0))


def test_one_pass_makes_one_size() -> None:
    """A thousandth apart is alike; more is told with both boards and both sizes."""

    def cuts(*heights: float) -> Any:
        return [SimpleNamespace(board=f"b{k}", name=f"face {k}", z=z) for k, z in enumerate(heights)]

    one_pass.one_height(cuts(20.0, 20.001 - 1e-9, 20.0), 4)
    with pytest.raises(Refused) as raised:
        one_pass.one_height(cuts(20.5, 20.0, 21.25), 4)
    [finding] = raised.value.findings
    assert finding.message == (
        "b1 and b2 are cut by one pass, and face 0 is 20.00 mm over the support for b1, "
        "21.25 mm over the support for b2"
    )
    assert (finding.measured, finding.limit, finding.setup) == (21.25, 20.0, 4)
    assert finding.remedy == "give b1 and b2 the same thickness, or make a job of its own for each part"

    def walls(*at: float) -> Any:
        return [
            SimpleNamespace(board=f"b{k}", name="end-2", line=np.array([[x, 9.0], [x, 99.0]]))
            for k, x in enumerate(at)
        ]

    one_pass.one_line(walls(700.0, 700.001 - 1e-9), {"b0": None, "b1": None}, 4)
    for lengths, numbers in (
        ({"b0": None, "b1": None}, (-700.0, -701.0)),
        ({"b0": 800.0, "b1": 801.0}, (801.0, 800.0)),
    ):
        with pytest.raises(Refused) as raised:
            one_pass.one_line(walls(700.0, 701.0), lengths, 4)
        assert (raised.value.findings[0].measured, raised.value.findings[0].limit) == numbers
    with pytest.raises(Refused, match="what comes off is"):
        one_pass.one_take({"b0": SimpleNamespace(take=0.2), "b1": SimpleNamespace(take=0.3)}, 4)  # type: ignore[dict-item]
    zones = [Zone("a", "face", below, ()) for below in (5.0, None, 4.0)]
    assert [z.below for z in one_pass.lowest_zones([(zone, zones[1]) for zone in zones])] == [4.0, None]


def test_a_board_is_cut_to_its_other_face_and_lies_where_the_bed_is() -> None:
    """`to` counts from the face that is flat, up from B and down from A; beyond the bed nothing can stand."""
    outline = shapely.box(0.0, 0.0, 600.0, 200.0)
    any_board: Any = None
    for heights, face, to, z in (
        ({}, "A", 20.0, 27.0),
        ({}, "B", 20.0, 0.0),
        ({"B": 1.0}, "A", 20.0, 21.0),
        ({"A": 26.0}, "B", 20.0, 6.0),
        ({"A": 26.0}, "A", 20.0, 27.0),
        ({"A": 26.0}, "B", None, 0.0),
        ({"B": 1.0}, "A", None, 27.0),
    ):
        wood = Wood(any_board, np.eye(4), 27.0, outline, 0.0, heights=heights)
        step: Any = SimpleNamespace(face=face, to=to)
        assert wood.cut_to(step) == z
    warped = Wood(any_board, np.eye(4), 27.0, outline, 0.0).after_rest(0.5).after_rest(0.25)
    assert (warped.lifted("A"), warped.lifted("B")) == (0.75, 0.75)
    flat = warped.after_face("B", 1.0)
    assert (flat.lifted("A"), flat.lifted("B"), flat.faced) == (0.0, 0.75, frozenset({"B"}))
    for bed, low, high in (
        ((0.0, 600.0), 0.0, 600.0),
        ((0.0, 599.0), 0.0, 599.0),
        ((1.0, 600.0), 1.0, 600.0),
        ((-9.0, 900.0), 0.0, 600.0),
    ):
        c: Any = SimpleNamespace(wood=SimpleNamespace(plan=lambda place: outline), place=None, bed=bed)
        lying = Clamping.lying.fget(c)  # type: ignore[attr-defined]
        assert (lying.bounds[0], lying.bounds[2]) == (low, high)
    assert bounds(box(1.0, 2.0, 3.0, 4.0)) == [1.0, 2.0, 3.0, 4.0]


@pytest.mark.parametrize(
    ("small", "found"),
    [
        (
            (700.0, 90.0),
            [
                ("board-too-short", 700.0, 800.0, "ask for 700 mm"),
                ("board-too-narrow", 90.0, 100.0, "ask for 90 mm"),
            ],
        ),
        ((700.9, 100.0), [("board-too-short", 700.9, 800.0, "ask for 700 mm")]),
        ((800.0, 90.0), [("board-too-narrow", 90.0, 100.0, "ask for 90 mm")]),
        ((0.0, 100.0), [("board-too-narrow", 100.0, 100.0, "ask for 100 mm")]),
        ((0.0, -5.0), [("board-too-narrow", 0.0, 100.0, "take a wider board, or one whose edges")]),
    ],
)
def test_a_board_that_is_too_small_is_told_which_way(
    small: tuple[float, float], found: list[tuple[str, float, float, str]]
) -> None:
    """Too short where some length is there, too narrow where it is, and always one of the two."""
    own: Any = SimpleNamespace(name="elm")
    said: Any = SimpleNamespace(largest_length=small[0], largest_width=small[1], limiting="a knot")
    told = _too_small(own, said, 800.0, 100.0)
    assert [(f.rule, f.measured, f.limit) for f in told] == [each[:3] for each in found]
    assert all(f.remedy.startswith(each[3]) for f, each in zip(told, found, strict=True))
