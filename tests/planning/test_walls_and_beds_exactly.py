"""The cuts that planning hands on: walls, faces, bed and fence, on a board of round sizes, by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import shapely

from clampings import bounds, flat_wood
from cutters import end_mill, facer
from setups import shop
from stockwright.findings import Refused
from stockwright.forces.mechanics import FACTOR, PRESSURE, depth_for_power
from stockwright.job import BedStep, EdgeStep, FaceStep, MateStep, Side, Zone
from stockwright.machine import Fence
from stockwright.planning.bed import plan_bed
from stockwright.planning.cuts import edge_cut, face_cut
from stockwright.planning.groups import Group
from stockwright.planning.hollow import hollow_notes, hollow_wall
from stockwright.planning.setup import BedCut, EdgeCut, PlaneGoal, WallGoal
from stockwright.planning.wood import Place
from stockwright.planning.words import notes_of, title_of

if TYPE_CHECKING:
    from stockwright.planning.wood import Wood

MILL, FACER = end_mill(), facer()
SIDES: tuple[Side, ...] = ("end-1", "end-2", "edge-2")
# A piece of 580 by 190 mm, its corner at (100, 50); 10 mm of wood beyond either end, 5 mm beyond either edge.
PIECE: Any = SimpleNamespace(placement=SimpleNamespace(length=580.0, width=190.0))
HERE = Place("A", 0, (100.0, 50.0, 0.0))
ROUGH = shapely.box(-10.0, -5.0, 590.0, 195.0)


def wood(outline: shapely.Polygon = ROUGH, **said: Any) -> Wood:
    """Give the wood about the piece, flat at both faces, 24 mm thick."""
    return replace(flat_wood(600.0, 200.0, 24.0, **said), outline=outline)


def wall(
    side: Side, own: Wood | None = None, place: Place = HERE, **said: Any
) -> tuple[EdgeCut, WallGoal, shapely.Polygon]:
    """Give the cut of one side, its goal and what stays."""
    step = EdgeStep(side, MILL, None, 4.8, 7.0, 1.5, 0.4, (), **said)
    return edge_cut(PIECE, own or wood(), place, step, 24.25)


@pytest.mark.parametrize(
    ("side", "line", "path", "waste", "clear"),
    [
        ("edge-1", [[90, 50], [690, 50]], [[100, 50], [680, 50]], [90, 45, 690, 50], 17.0),
        ("edge-2", [[690, 240], [90, 240]], [[680, 240], [100, 240]], [90, 240, 690, 245], 17.0),
        ("end-1", [[100, 245], [100, 45]], [[100, 240], [100, 50]], [90, 45, 100, 245], 22.0),
        ("end-2", [[680, 45], [680, 245]], [[680, 50], [680, 240]], [680, 45, 690, 245], 22.0),
    ],
)
def test_a_wall_runs_over_the_board_and_is_held_over_the_piece(
    side: Side, line: Any, path: Any, waste: Any, clear: float
) -> None:
    """With what stays on its left; its goal as long as the piece, clear by the waste and a cutter."""
    cut, goal, kept = wall(side)
    assert cut.line.tolist() == line
    assert [bounds(w) for w in cut.waste] == [waste]
    assert (cut.board, cut.name, cut.side, cut.inside, cut.wall) == ("elm", side, side, "left", None)
    assert (cut.ceiling, cut.bottom, cut.stepover, cut.stepdown, cut.light) == (24.25, -1.5, 4.8, 7.0, 0.4)
    assert goal.path.tolist() == path
    assert (goal.board, goal.cut, goal.inside, goal.z, goal.clear) == (
        "elm",
        side,
        "left",
        (0.0, 24.25),
        clear,
    )
    left = ROUGH.intersection(kept)
    assert ROUGH.difference(left).area == pytest.approx((waste[2] - waste[0]) * (waste[3] - waste[1]))


def test_a_wall_turned_about_stands_where_the_board_lies() -> None:
    """Half a turn: edge-2 looks to the operator, and its line runs from the left to the right."""
    cut, goal, _ = wall("edge-2", place=Place("A", 2, (680.0, 240.0, 0.0)))
    assert cut.line.tolist() == [[90.0, 50.0], [690.0, 50.0]]
    assert goal.path.tolist() == [[100.0, 50.0], [680.0, 50.0]]
    cut, _, _ = wall("edge-2", place=Place("A", 1, (240.0, 50.0, 0.0)))
    assert cut.line.tolist() == [[50.0, 640.0], [50.0, 40.0]]  # it looks to the left


def test_a_wall_ends_where_a_natural_edge_does() -> None:
    """Where the wood on it ends sooner than the piece is wide, half a millimetre and the doubt before."""
    waney = shapely.Polygon([(-10, 25), (590, 25), (590, 195), (-10, 75)])
    for side, x, low, high in (("end-1", 100.0, 25.6, 77.0 - 0.6), ("end-2", 680.0, 25.6, 190.0)):
        _, goal, _ = wall(side, wood(waney))  # type: ignore[arg-type]
        assert set(goal.path[:, 0]) == {x}
        assert sorted(goal.path[:, 1] - 50.0) == pytest.approx([low, high], abs=1e-6)
    nearly = shapely.box(-10.0, 0.04, 590.0, 189.96)  # so little short, the proof takes it as wood
    assert sorted(wall("end-1", wood(nearly))[1].path[:, 1]) == [50.0, 240.0]
    short = shapely.box(-10.0, 0.6, 590.0, 188.8)  # short by less than the doubt, the wall would yet be bare
    doubtful = wood(short)
    doubtful.board.uncertainty = 1.5  # type: ignore[misc]
    path = wall("end-1", doubtful)[1].path
    assert sorted(path[:, 1] - 50.0) == pytest.approx([0.6 + 2.0, 188.8 - 2.0])
    narrow = shapely.Polygon([(10, 0), (590, 0), (590, 190), (10, 190)])  # no wood on the wall at all
    _, goal, _ = wall("end-1", wood(narrow))
    assert sorted(goal.path[:, 1]) == [50.0, 240.0]
    finger = [(-10, 90), (20, 90), (20, 0), (590, 0), (590, 190), (20, 190), (20, 91), (-10, 91)]
    sliver = shapely.Polygon(finger)  # less wood on it than is kept off either rim
    assert sorted(wall("end-1", wood(sliver))[1].path[:, 1]) == [50.0, 240.0]
    assert wall("end-1", wood(shapely.box(5.0, 0.0, 590.0, 190.0)))[1].clear == 12.0  # nothing comes off


def test_a_hollow_wall_is_an_arc_towards_the_wood() -> None:
    """Deepest in the middle, on the line at both ends, its chords off the arc by two thousandths at most."""
    cut, goal, _ = wall("edge-2", hollow=0.3)
    assert cut.wall is not None
    assert goal.path is cut.wall
    assert len(cut.wall) == 15
    assert cut.wall[[0, 7, 14]].tolist() == [[680.0, 240.0], [390.0, 239.7], [100.0, 240.0]]
    assert cut.wall[3] == pytest.approx([680.0 - 580.0 * 3 / 14, 240.0 - 0.3 * (1 - (4 / 7) ** 2)])
    other = hollow_wall(np.array([[0.0, 0.0], [100.0, 0.0]]), "right", 0.008)
    assert other.tolist() == [[0.0, 0.0], [50.0, -0.008], [100.0, 0.0]]
    assert len(hollow_wall(np.array([[0.0, 0.0], [100.0, 0.0]]), "left", 0.0081)) == 5
    straight = EdgeStep("edge-2", MILL, None, 4.8, 7.0, 1.0, 0.4, ())
    steps = [replace(straight, side="edge-1", hollow=0.304), straight]
    [note] = hollow_notes(steps, "mm")
    assert note.startswith("edge-1 is hollow by 0.3 mm in its middle on purpose")
    assert "hollow by 0.012 in in" in hollow_notes(steps, "inch")[0]


def face(side: Any = "A", to: float | None = 20.0, **said: Any) -> FaceStep:
    """Give a face cut 2 mm deep at a time."""
    return FaceStep(
        side, FACER, "thickest", "least", to, "along", "climb", "last", 35.0, 2.0, 0.5, (), **said
    )


def test_a_face_is_cut_over_the_whole_board() -> None:
    """Half a millimetre beyond it, from the highest wood down to what is wanted, as deep as power bears."""
    cut = face_cut(wood(), HERE, face(), 1500.0)
    assert bounds(cut.region) == [89.5, 44.5, 690.5, 245.5]
    assert (cut.name, cut.z, cut.ceiling, cut.stepdown) == ("face A", 20.0, 24.0, 2.0)
    assert (cut.passes, cut.direction, cut.perimeter, cut.stepover, cut.light) == (
        "along",
        "climb",
        "last",
        35.0,
        0.5,
    )
    under = face_cut(wood(), Place("B", 0, (100.0, 240.0, 24.0)), face("B"), 1500.0)
    assert (under.name, under.z, under.ceiling) == ("face B", 20.0, 24.0)
    assert face_cut(wood(), HERE, face(to=30.0), 1500.0).ceiling == 30.0
    weak = depth_for_power(100.0, FACTOR, PRESSURE, 35.0, FACER.feed)
    assert 0.5 < weak < 2.0
    assert face_cut(wood(), HERE, face(), 100.0).stepdown == weak
    # Wood that cuts harder bears less; it is reckoned with as the check of its power does.
    assert face_cut(wood(), HERE, face(), 100.0, 1.1 * PRESSURE).stepdown == pytest.approx(weak / 1.1)
    assert face_cut(wood(), HERE, face(), 1.0).stepdown == 0.5


FENCE = Fence(140.0, 40.0, 20.0, ((200.0, 400.0), (450.0, 600.0)), True, True, 0.1, 0.0)


def bed(fence: Fence | None, *steps: BedStep, index: int = 5) -> Any:
    """Plan the bed's setups of a shop whose mark is at (200, 140)."""
    return plan_bed(SimpleNamespace(shop=replace(shop(), fence=fence), steps=steps), index)  # type: ignore[arg-type]


def test_the_bed_is_skimmed_over_all_that_may_hold_a_board() -> None:
    """Once for each step that takes anything off, numbered on; z is taken on the bed."""
    skim = BedStep("surface", FACER, 0.5, 35.0, 2.0)
    one, two = bed(FENCE, skim, replace(skim, take=0.0), replace(skim, take=0.25))
    assert (one.index, two.index, two.cuts[0].z) == (5, 6, -0.25)
    [cut], [goal] = one.cuts, one.goals
    assert isinstance(cut, BedCut)
    assert isinstance(goal, PlaneGoal)
    assert bounds(cut.region) == bounds(goal.region) == [-180.0, -120.0, 1180.0, 740.0]
    assert (cut.z, cut.ceiling, goal.z, goal.board) == (-0.5, 0.0, -0.5, None)
    assert (one.clear_z, one.wood_top, one.zero_z, one.work_origin) == (13.0, 0.0, "bed", (200.0, 140.0, 0.0))
    assert one.title == "The spoilboard: skim it flat"
    assert bounds(one.wood_outline) == [-180.0, -120.0, 1180.0, 740.0]


def test_a_wooden_fence_is_jointed_in_place() -> None:
    """By what is taken, over all its pieces, wood staying on the left; one that may not be cut is refused."""
    joint = BedStep("fence", MILL, 0.4, 4.8, 7.0)
    [setup] = bed(FENCE, joint)
    [cut], [goal] = setup.cuts, setup.goals
    assert isinstance(cut, EdgeCut)
    assert cut.line.tolist() == [[400.0, -0.4], [0.0, -0.4]]
    assert [bounds(w) for w in cut.waste] == [[0.0, -0.4, 200.0, 0.0], [250.0, -0.4, 400.0, 0.0]]
    assert (cut.ceiling, cut.bottom, cut.light, cut.inside) == (20.0, 0.0, 0.3, "left")
    assert bed(FENCE, replace(joint, take=0.2))[0].cuts[0].light == 0.2
    assert (goal.z, goal.clear, goal.path.tolist()) == ((0.0, 20.0), 1.4, cut.line.tolist())
    assert [(s.name, bounds(s), s.top, s.may_cut_to) for s in setup.solids] == [
        ("fence piece 1", [0.0, -40.0, 200.0, 0.0], 20.0, 0.0),
        ("fence piece 2", [250.0, -40.0, 400.0, 0.0], 20.0, 0.0),
    ]
    assert (setup.clear_z, setup.wood_top) == (33.0, 20.0)
    assert "0.4 mm nearer the operator" in setup.notes[1]
    for fence in (None, replace(FENCE, wooden=False)):
        with pytest.raises(Refused) as caught:
            bed(fence, joint)
        [found] = caught.value.findings
        assert (found.rule, found.measured, found.limit, found.setup) == ("no-wooden-fence", 0.0, 1.0, 5)


def test_a_clamping_is_named_by_what_is_cut_there() -> None:
    """Faces and sides in order, which face is up where that does not say it, and the fence."""
    mate: Any = MateStep(MILL, 1.0, 7.0, 1.0, ())
    edges = [EdgeStep(s, MILL, None, 4.8, 7.0, 1.0, 0.4, ()) for s in SIDES]
    elm: Any = SimpleNamespace(name="elm")
    zone = Zone("z", "face", None, ())
    for steps, up, fence, title in (
        ((face(),), "A", False, "Face A"),
        ((face(),), "B", False, "Face A, with face B up"),
        (edges, "B", True, "End-1, end-2 and edge-2, with face B up, against the fence"),
        (edges[2:], "A", False, "Edge-2, with face A up"),
        ((*edges[2:], mate), "A", False, "Edge-2, with face A up"),
    ):
        g = Group(Place(up, 0), tuple(steps), (zone,), fence, ("wait",))  # type: ignore[arg-type]
        assert title_of(elm, g, named=False) == title
        assert title_of(elm, g, named=True) == f"elm: {title}"
        assert len(notes_of(g)) == 1 + fence
        assert notes_of(g)[0] == "wait"
