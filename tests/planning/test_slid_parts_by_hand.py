"""A long board on a small machine, of round sizes: where its positions lie, and what is cut there."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import shapely

from clampings import bounds, flat_wood
from cutters import end_mill, facer
from setups import edge, face, shop
from stockwright.findings import Finding
from stockwright.hold_downs import Stop
from stockwright.job import EdgeStep, FaceStep, MateStep, Side, Zone
from stockwright.planning import sliding
from stockwright.planning.groups import Group
from stockwright.planning.setup import WallGoal
from stockwright.planning.sliding import (
    Position,
    edge_part,
    face_part,
    fresh_part,
    positions,
    steps_here,
)
from stockwright.planning.wood import Place

if TYPE_CHECKING:
    from stockwright.machine import Shop

FACER, MILL = facer(corner_radius=4.0), end_mill()
A_UP = Place("A", 0)
LOW = Zone("low", ("edge-1", "edge-2", "end-1", "end-2"), 20.0, ())


def small_shop(**said: Any) -> Shop:
    """Give a machine of 1000 mm along x; mark at 200, so it reaches -200 to 800; a bed of -150 to 750."""
    own = shop(travel=((0.0, 1000.0), (0.0, 900.0), (40.0, 180.0)))
    bed = replace(own.bed, x=(50.0, 950.0))
    stop = Stop("stop", 4, 30.0, 20.0, 12.0)
    return replace(own, bed=bed, hold_downs=(stop,), **said)


def face_step(**said: Any) -> FaceStep:
    """Give a face cut at 20 mm over the bed."""
    own: dict[str, Any] = {"face": "A", "tool": FACER, "seat": "thickest", "take": "least", "to": None}
    own |= {"passes": "along", "direction": "climb", "perimeter": "last", "stepover": 30.0, "stepdown": 2.0}
    return FaceStep(**(own | {"light": 0.5, "hold": (), "overlap": 25.0} | said))


def edge_step(side: Side, **said: Any) -> EdgeStep:
    """Give an edge cut by the mill of 12 mm."""
    own: dict[str, Any] = {"tool": MILL, "to": None, "stepover": 4.8, "stepdown": 7.0, "below": 1.0}
    return EdgeStep(side=side, **(own | {"light": 0.5, "hold": ()} | said))


def clamped(*steps: Any, hold: tuple[Zone, ...] = (), against_fence: bool = False) -> Group:
    """Give a clamping with face A up."""
    return Group(A_UP, steps, hold, against_fence)


def laid(
    g: Group, length: float = 1400.0, flat: tuple[str, ...] = (), slide: bool = True, own: Shop | None = None
) -> tuple[Position, ...] | Finding:
    """Give the positions of a board `length` long, faces of it flat already."""
    job: Any = SimpleNamespace(slide=slide, shop=own or small_shop())
    return positions(job, flat_wood(length, 200.0, 25.0, heights=dict.fromkeys(flat, 0.0)), g, 4)


def several(g: Group, length: float = 1400.0, **said: Any) -> tuple[Position, ...]:
    """Give positions that are there."""
    found = laid(g, length, **said)
    assert not isinstance(found, Finding)
    return found


def test_a_board_is_slid_only_where_it_is_too_long() -> None:
    """The reach is the bed's 900 mm less 5 at either end, and less a stop's depth where the ends are held."""
    on_bed: Any = {"flat": ("B",)}
    assert several(clamped(face_step()), 890.0, **on_bed) == ()
    assert len(several(clamped(face_step()), 890.1, **on_bed)) == 2
    held = clamped(face_step(), hold=(LOW,))
    assert several(held, 850.0, **on_bed) == ()
    assert len(several(held, 850.1, **on_bed)) == 2
    sides = clamped(face_step(), hold=(replace(LOW, where=("edge-1", "edge-2")),))
    assert several(sides, 890.0, **on_bed) == ()
    assert several(clamped(face_step()), 1400.0, slide=False) == ()
    # A wall's passes run a radius and 2 mm beyond it; the machine's travel is 50 mm wider at either end.
    narrow = replace(small_shop(), bed=replace(small_shop().bed, x=(0.0, 1000.0)))
    wall = clamped(edge_step("edge-2"), against_fence=True)
    assert several(wall, 974.0, own=narrow) == ()
    assert len(several(wall, 974.1, own=narrow)) == 2


def test_positions_of_a_face_share_what_must_tell_its_place() -> None:
    """On a flat face they share the overlap, on a rough one half of the reach: 865 or 445 mm are new."""
    first, last = several(clamped(face_step()), 1400.0, flat=("B",))
    # Laid to end 5 mm before the bed's right end; what is left of 1400 - 890 = 510 mm is one step.
    assert [(p.shift, p.slid.by, p.slid.new, p.slid.on) for p in (first, last)] == [
        (-655.0, 0.0, 510.0, "bed"),
        (-145.0, 510.0, 510.0, "bed"),
    ]
    assert (first.fresh, last.fresh) == (None, (365.0, 750.0))
    assert [p.cut for p in (first, last)] == [(-145.0, 1e5), (-1e5, 365.0 + 25.0)]
    assert [(p.slid.shared, p.slid.bears, p.slid.reach) for p in (first, last)] == [
        (0.0, 895.0, (-200.0, 800.0)),
        (385.0, 895.0, (-200.0, 800.0)),
    ]
    assert [(p.last, p.from_right, p.bed) for p in (first, last)] == [
        (False, True, (-150.0, 750.0)),
        (True, True, (-150.0, 750.0)),
    ]
    rough = several(clamped(face_step()), 1400.0)
    assert [(p.shift, p.slid.on) for p in rough] == [(s, "fresh face") for s in (-655.0, -400.0, -145.0)]
    assert rough[1].cut == (-145.0, 110.0 + 25.0)
    assert rough[1].fresh == (110.0, 750.0)
    assert [len(several(clamped(face_step()), n)) for n in (1335.0, 1335.1, 1780.0, 1780.1)] == [2, 3, 3, 4]
    assert [len(several(clamped(face_step()), n, flat=("B",))) for n in (1755.0, 1755.1)] == [2, 3]
    # A cutter with round corners leaves more than a small overlap makes good.
    for overlap, stepped in ((1.0, 5.0), (5.0, 5.0), (6.0, 6.0)):
        [first, last] = several(clamped(face_step(overlap=overlap)), 1400.0, flat=("B",))
        assert last.cut[1] - 365.0 == stepped


def test_walls_are_cut_from_the_side_where_their_waste_is_gone() -> None:
    """The far one from the right end, the near one from the left; ends alone at one position each."""
    far = several(clamped(edge_step("edge-2"), against_fence=True))
    assert [(p.shift, p.slid.by, p.slid.on, p.from_right) for p in far] == [
        (-655.0, 0.0, "fence", True),
        (-145.0, 510.0, "fence", True),
    ]
    assert far[1].cut[1] == 365.0 + 12.0
    near = several(clamped(edge_step("edge-1"), against_fence=True))
    assert [(p.shift, p.slid.by, p.from_right) for p in near] == [
        (-145.0, 0.0, False),
        (-655.0, -510.0, False),
    ]
    assert [p.cut for p in near] == [(-1e5, 745.0), (745.0 - 510.0 - 12.0, 1e5)]
    assert near[1].fresh == (-150.0, 235.0)
    assert near[1].slid.shared == 385.0
    free = several(clamped(edge_step("edge-2")))
    assert {p.slid.on for p in free} == {"fresh edge"}
    assert len(free) == 3
    ends = several(clamped(edge_step("end-1"), edge_step("end-2"), against_fence=True), 2600.0)
    assert [(p.slid.number, p.slid.count, p.shift) for p in ends] == [(1, 2, -1855.0), (2, 2, -145.0)]
    for side, shift in (("end-1", -145.0), ("end-2", -1855.0)):
        [only] = several(clamped(edge_step(side), against_fence=True), 2600.0)  # type: ignore[arg-type]
        assert (only.shift, only.slid.by, only.slid.new, only.last) == (shift, 0.0, 0.0, True)
        assert only.cut == (-1e5, 1e5)


@pytest.mark.parametrize(
    ("g", "why", "cure"),
    [
        (
            clamped(edge_step("edge-1"), edge_step("edge-2")),
            "both edges are cut in one clamping",
            "give one of the edges a `hold` of its own",
        ),
        (
            clamped(face_step(), hold=(Zone("top", "face", None, ()),)),
            "clamps move on the face that is cut",
            "hold it from its edges or from underneath",
        ),
        (
            clamped(face_step(), hold=(LOW, Zone("screws", "waste", None, ()))),
            "screws in the waste hold it",
            "hold it by clamps",
        ),
        (
            clamped(edge_step("edge-1"), hold=(Zone("up", "raised", None, ()),)),
            "it stands on risers",
            "lay it on the bed",
        ),
        (
            clamped(MateStep(MILL, 1.0, 7.0, 1.0, ())),
            "edges of two boards are cut to each other",
            "cut them one board at a time",
        ),
        (
            clamped(edge_step("edge-1", hollow=0.1)),
            "its edge is to be hollow all along",
            "ask for a straight edge",
        ),
    ],
)
def test_why_a_board_cannot_be_slid(g: Group, why: str, cure: str) -> None:
    """Refused with its length and the reach; the same board that fits is not."""
    found = laid(g, 1400.0)
    assert isinstance(found, Finding)
    assert (found.rule, found.level, found.measured, found.setup) == ("cannot-be-slid", "refuse", 1400.0, 4)
    reach = 850.0 if LOW in g.hold else 890.0
    assert found.limit == reach
    assert found.message == (
        f"the board is 1400.0 mm long, the machine cuts and holds {reach} mm of it at once, and it cannot be "
        f"slid along here: {why}"
    )
    assert found.remedy == cure
    assert laid(g, 800.0) == ()


def test_a_slide_must_bring_fifty_millimetres() -> None:
    """Less is refused with what it brings; so much is not."""
    on_bed: Any = {"flat": ("B",)}
    assert len(several(clamped(face_step(overlap=840.0)), 900.0, **on_bed)) == 2
    found = laid(clamped(face_step(overlap=841.0)), 900.0, **on_bed)
    assert isinstance(found, Finding)
    assert (found.rule, found.measured, found.limit, found.setup) == ("cannot-be-slid", 49.0, 50.0, 4)
    assert found.message == (
        "the machine reaches 890.0 mm along x here, 841.0 mm of which two positions share: a slide brings "
        "less than 50.0 mm"
    )


def test_at_each_position_is_cut_and_held_what_lies_there() -> None:
    """What runs along x always, an end where it lies; an end is held while it lies on the bed."""
    piece: Any = SimpleNamespace(placement=SimpleNamespace(length=1390.0, width=190.0))
    g = replace(
        clamped(edge_step("end-1"), edge_step("end-2"), edge_step("edge-2"), hold=(LOW,)),
        before=("rest it",),
        moved=0.3,
    )
    wood = flat_wood(1400.0, 200.0, 25.0)
    first, last = several(replace(g, against_fence=True))
    here, there = (steps_here(piece, wood, g, p) for p in (first, last))
    assert [s.side for s in here.steps] == ["end-2", "edge-2"]  # type: ignore[union-attr]
    assert [s.side for s in there.steps] == ["end-1", "edge-2"]  # type: ignore[union-attr]
    assert [h.hold[0].where for h in (here, there)] == [
        ("edge-1", "edge-2", "end-2"),
        ("edge-1", "edge-2", "end-1"),
    ]
    assert [(h.before, h.moved) for h in (here, there)] == [(("rest it",), 0.3), ((), None)]
    ends = Zone("ends", ("end-1",), 20.0, ())
    face = Zone("face", "face", None, ())
    assert steps_here(piece, wood, replace(g, hold=(ends, face)), first).hold == (face,)
    for shift, held in ((-150.0, True), (-150.1, False), (750.0, True), (750.1, False)):
        at = replace(first, shift=shift)
        assert bool(steps_here(piece, wood, replace(g, hold=(ends,)), at).hold) is held


@pytest.fixture(scope="module")
def two() -> tuple[Position, ...]:
    """Give the two positions of a board 1400 mm long on a flat face."""
    return several(clamped(face_step()), flat=("B",))


def test_a_part_of_a_face_ends_where_the_rim_ends(two: tuple[Position, ...]) -> None:
    """Handed on are passes 10 mm inside the goal's border; the rim of the last one comes to it."""
    wood = flat_wood(1400.0, 200.0, 25.0)
    parts = []
    for at in two:
        x = at.shift
        whole = face(size=(1400.0, 200.0), at=(x, 0.0), tool=FACER, z=20.0, stepover=30.0, perimeter="last")
        part, goal = face_part(wood, Place("A", 0, (x, 0.0, 0.0)), whole, at)
        assert (part.passes, part.perimeter, part.begin) == ("across", "none", "high")
        assert part.around is whole.region
        assert (goal.board, goal.cut, goal.z) == ("board", "face A", 20.0)
        parts.append((part, goal))
        fresh = [(bounds(area), z) for area, z in fresh_part(whole, at)]
        assert fresh == ([([365.0, 0.0, 1255.0, 200.0], 20.0)] if at.fresh else [])
    (first, wanted), (last, rest) = parts
    assert [bounds(r) for r in (first.region, wanted.region)] == [
        [-135.0, 0.0, 745.0, 200.0],
        [-145.0, 0.0, 745.0, 200.0],
    ]
    assert [bounds(r) for r in (last.region, rest.region)] == [[-145.0, 0.0, 390.0, 200.0]] * 2
    assert [(cut.to_rim, cut.wood.min(), cut.wood.max()) for cut in (first, last)] == [
        (True, 25.0, 25.0),
        (False, 20.0, 25.0),
    ]
    assert set(last.wood[last.grid_x > 365.0].ravel()) == {20.0}
    assert set(last.wood[last.grid_x <= 365.0].ravel()) == {25.0}
    wide = face(size=(1400.0, 200.0), at=(-655.0, 0.0), tool=FACER, z=20.0, stepover=45.0)
    part, _ = face_part(wood, Place("A", 0, (-655.0, 0.0, 0.0)), wide, two[0])
    # No pass bites wider than the flat of the cutter, 42 mm, less one.
    assert bounds(part.region)[0] == -145.0 + 25.0 - 41.0 / 2


def test_wood_that_the_rim_takes_beyond_a_part_is_taken_level_by_level(
    two: tuple[Position, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A board that rises beyond the border is as high there, for the levels, as the cutter's rim finds it."""

    def rises(wood: object, place: object, region: shapely.Polygon) -> tuple[np.ndarray, ...]:
        """Rise by a tenth of a millimetre with each to the left, and by a hundredth with each away."""
        x0, y0, x1, y1 = region.bounds
        x, y = np.linspace(x0, x1, 21), np.linspace(y0, y1, 5)
        return x, y, 100.0 - 0.1 * x[:, None] + 0.01 * y[None, :]

    monkeypatch.setattr(sliding, "wood_over", rises)
    at, wood = two[0], flat_wood(1400.0, 200.0, 25.0)
    whole = face(size=(1400.0, 200.0), at=(at.shift, 0.0), tool=FACER, z=20.0, stepover=30.0)
    part, _ = face_part(wood, Place("A", 0, (at.shift, 0.0, 0.0)), whole, at)
    assert part.grid_x[0] == -135.0
    assert part.wood[0] == pytest.approx(100.0 + 14.5 + 0.01 * part.grid_y)  # as at the goal's border, -145
    assert part.wood[1] == pytest.approx(100.0 - 0.1 * part.grid_x[1] + 0.01 * part.grid_y)


def test_a_part_of_a_face_that_is_cut_from_the_left() -> None:
    """The mirror image: the border is at the right, and what is fresh lies at the left."""
    near = several(clamped(face_step(), edge_step("edge-1")), flat=("B",))
    assert [(p.shift, p.cut, p.from_right) for p in near] == [
        (-145.0, (-1e5, 738.0 + 7.0), False),
        (-655.0, (210.0, 1e5), False),
    ]
    wood = flat_wood(1400.0, 200.0, 25.0)
    kept = []
    for at in near:
        whole = face(size=(1400.0, 200.0), at=(at.shift, 0.0), tool=FACER, z=20.0, stepover=30.0)
        part, goal = face_part(wood, Place("A", 0, (at.shift, 0.0, 0.0)), whole, at)
        assert part.begin == "low"
        kept.append((bounds(part.region)[::2], bounds(goal.region)[::2]))
    assert kept == [([-145.0, 735.0], [-145.0, 745.0]), ([210.0, 745.0], [210.0, 745.0])]
    assert (part.wood[part.grid_x < 235.0] == 20.0).all()
    assert (part.wood[part.grid_x >= 235.0] == 25.0).all()
    assert bounds(fresh_part(whole, near[1])[0][0]) == [-655.0, 0.0, 235.0, 200.0]


def test_a_part_of_a_wall_has_its_part_of_the_waste(two: tuple[Position, ...]) -> None:
    """Line, goal and waste are drawn in to the part; the wood beyond stays until the last one is cut."""
    wood, kept = flat_wood(1400.0, 200.0, 25.0), shapely.box(-1e5, -1e5, 1e5, 190.0)
    for at, span in zip(two, ((-145.0, 745.0), (-145.0, 390.0)), strict=True):
        whole = edge(side="far", size=(1400.0, 200.0), at=(at.shift, 0.0), waste=10.0)
        goal: Any = _goal(whole.line)
        part, there, wood = edge_part(wood, Place("A", 0, (at.shift, 0.0, 0.0)), whole, goal, kept, at)
        assert (sorted(part.line[:, 0]), set(part.line[:, 1])) == ([*span], {190.0})
        assert there.path.tolist() == part.line.tolist()
        assert [bounds(w) for w in part.waste] == [[span[0], 190.0, span[1], 200.0]]
        if not at.last:  # in the piece frame 655 mm further on: what is cut begins at 510
            assert wood.outline.area == 1400.0 * 200.0 - 890.0 * 10.0
            assert wood.outline.contains(shapely.box(0.0, 190.0, 510.0, 200.0))
            assert wood.cut == frozenset()
    assert wood.cut == {"edge-2"}
    assert wood.outline.bounds == (0.0, 0.0, 1400.0, 190.0)


def _goal(path: np.ndarray) -> WallGoal:
    return WallGoal("elm", "edge-2", path, "right", (0.0, 25.0), 22.0)
