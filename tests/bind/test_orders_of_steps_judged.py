"""Orders of steps that cannot be cut, each told in its words; and each border of a measure met exactly."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from cutters import end_mill, facer
from setups import shop
from stockwright.bind import _no_fence
from stockwright.bind.steps import bind_steps
from stockwright.bind.tools import bind_tools, choices, wanted, why_not
from stockwright.documents import read_document
from stockwright.documents.recipe import Role
from stockwright.documents.shop import ShopDocument
from stockwright.job import Tolerance, Wanted

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.documents.loaded import Loaded
    from stockwright.documents.recipe import RecipeDocument

A, B, FLIP = "{face: A, tool: facer}", "{face: B, tool: facer}", "flip: edge-over-edge"
E1, E2 = "{edge: edge-1, tool: edger}", "{edge: edge-2, tool: edger}"
N1, N2 = "{end: end-1, tool: edger}", "{end: end-2, tool: edger}"
HELD = "together: 2, hold: [row]"
MATE = "{mate: neighbours, tool: edger, take: 0.3 mm, hold: [top]}"
BESIDE = "{mate: neighbours, tool: edger, take: 0.3 mm, hold: [top, row, beneath]}"
ON_FACE = "two boards cut in one pass are held each by clamps on its face, and"
CROOKED = "the pass between two boards takes 0.3 mm, and nothing says that"
TOOLS = {"facer": facer(), "edger": end_mill()}
SIZES = {"length": 900.0, "width": 200.0, "thickness": 27.0}


def role_of(**said: Any) -> Role:
    """Give a role as a recipe says it."""
    return Role.model_validate(said)


def recipe(folder: Path, steps: tuple[str, ...], already: str, more: str) -> Loaded[RecipeDocument]:
    """Write and read a recipe of these steps."""
    file = folder / "own.yaml"
    lines = "".join(f"  - {step}\n" for step in steps)
    file.write_text(
        "stockwright: recipe/1\nname: own\nversion: 1.0.0\n"
        "tools: {facer: {does: face}, edger: {does: edge}}\n"
        "holding:\n  row: {where: [edge-1, edge-2]}\n  top: {where: face, clear-of: [edge-1]}\n"
        "  beneath: {where: underneath}\n  high: {where: raised}\n"
        f"{f'already: {already}' if already else ''}\n{more}\nsteps:\n{lines}"
    )
    return read_document(file, "recipe")


def told(
    folder: Path, *steps: str, sizes: dict[str, float] | None = None, already: str = "", more: str = ""
) -> list[str]:
    """Give what is wrong with the steps, in the order that it is found."""
    said = sizes or {}
    measures = {each: said.get(each) for each in ("length", "width", "thickness")}
    finished = Wanted(**measures, tolerance=Tolerance(*(None,) * len(Tolerance.__dataclass_fields__)))
    loaded = recipe(folder, steps, already, more)
    return [m.message for m in bind_steps(loaded, {}, TOOLS, finished)[1]]


@pytest.mark.parametrize(
    ("steps", "asked", "wrong"),
    [
        ((A, FLIP, B, E1, E2, N1, N2), SIZES, []),
        ((A,), {}, []),
        ((FLIP, "{face: B, tool: facer}"), {}, ["face B is cut from face A, which is not flat yet"]),
        ((B,), {}, ["face B lies underneath at this step"]),
        ((A, B), {"thickness": 27.0}, ["face B lies underneath at this step"]),
        ((A, A), {}, ["face A is cut once more, and it is not said how far"]),
        ((A, FLIP, B, FLIP, "{face: A, tool: facer, to: 26 mm}"), {"thickness": 26.0}, []),
        (
            (A, FLIP, "{face: B, tool: facer, to: 26 mm}", FLIP, "{face: A, tool: facer, to: 26.00001 mm}"),
            {},
            ["face A is cut to 26 mm, and the board is only 26 mm thick then"],
        ),
        (
            (A, FLIP, "{face: B, tool: facer, to: 26 mm}", FLIP, "{face: A, tool: facer, to: 26.0000009 mm}"),
            {},
            [],
        ),
        (
            (A, FLIP, B, FLIP, "{face: A, tool: facer, to: 28 mm}"),
            {"thickness": 27.0},
            [
                "face A is cut to 28 mm, and the board is only 27 mm thick then",
                "the last face is cut to 28 mm, and the finished thickness is 27 mm",
            ],
        ),
        (
            (A, FLIP, "{face: B, tool: facer, to: 25 mm}"),
            {"thickness": 27.0},
            ["the last face is cut to 25 mm, and the finished thickness is 27 mm"],
        ),
        ((A, FLIP, "{face: B, tool: facer, to: 27.0000009 mm}"), {"thickness": 27.0}, []),
        (
            ("{face: A, tool: facer, to: 27 mm}",),
            {},
            ["the first face is referenced to nothing, so it cannot be cut to a thickness"],
        ),
        (("{face: A, tool: facer, zero: bed, hold: [row]}",), {}, []),
        (("{face: A, tool: facer, zero: support, hold: [row, high]}",), {}, []),
        (
            ("{face: A, tool: facer, zero: bed, hold: [row, high]}",),
            {},
            ["z is taken on what the board rests on, and here that is risers and not the bed"],
        ),
        ((E1, E2, A), {"width": 9.0}, ["the edges stand square to faces that are cut before them"]),
        ((A, FLIP, E1, E2), {"width": 9.0}, ["face B, which is up, is still rough"] * 2),
        ((A, E1, E1, E2), {"width": 9.0}, ["edge-1 is cut already"]),
        ((A, N1, N1, N2), {"length": 9.0}, ["end-1 is cut already"]),
        ((N1, "{end: end-2, tool: edger, to: 9.000001 mm}"), {"length": 9.0}, []),
        (
            (N1, "{end: end-2, tool: edger, to: 9.00001 mm}"),
            {"length": 9.0},
            ["end-2 is cut to 9.00001 mm, and the finished length is 9 mm"],
        ),
        (
            (E1, "{edge: edge-2, tool: edger, to: 8 mm}"),
            {"width": 9.0},
            ["edge-2 is cut to 8 mm, and the finished width is 9 mm"],
        ),
        ((N1, N2), {}, ["end-1 and end-2 are cut, but the finished length is not said"]),
        ((N1,), {}, ["end-1 is cut, but the finished length is not said"]),
        ((E1, N1), {}, ["end-1 is cut, but the finished length is not said"]),
        ((E1, E2), {}, ["edge-1 and edge-2 are cut, but the finished width is not said"]),
        ((E1,), {}, []),
        ((E1, "turn: {to-fence: edge-1}", E2), {"width": 9.0}, []),
        (
            ("turn: {to-fence: edge-1}", E1, E2),
            {"width": 9.0},
            ["edge-1 is to stand against the fence and is still crooked"],
        ),
        ((), {"length": 9.0}, ["the finished length is 9 mm, and no step cuts end-1 or end-2"]),
        ((E2,), {"width": 9.0}, ["the finished width is 9 mm, and no step cuts edge-1"]),
        ((N2,), {"length": 9.0}, ["the finished length is 9 mm, and no step cuts end-1"]),
        ((), {"thickness": 9.0}, ["the finished thickness is 9 mm, and no step cuts face A or face B"]),
        ((A,), {"thickness": 9.0}, ["the finished thickness is 9 mm, and no step cuts face B"]),
        ((A, "{pause: 2 days, moved: 0.5 mm}", FLIP, B), {}, []),
        (
            (A, N1, N2, "{pause: 2 days, moved: 0.5 mm}"),
            {"length": 9.0},
            ["the board moves while it rests, and sides that are cut already would be crooked after it"],
        ),
        ((A, N1, N2, "{pause: 2 days}"), {"length": 9.0}, []),
        (("{edge: edge-1, tool: edger, hollow: 1 mm}", E2), {"width": 9.0}, []),
        (
            ("{edge: edge-1, tool: edger, hollow: 1.01 mm}", E2),
            {"width": 9.0},
            ["the edge is to be hollow by 1.01 mm, and 1 mm is the most"],
        ),
        (
            (f"{{edge: edge-1, tool: edger, {HELD}}}", E2),
            {"width": 9.0},
            ["in a row of boards their edges touch each other, and no cutter comes between"] * 2,
        ),
        ((f"{{end: end-1, tool: edger, {HELD}}}", N2), {"length": 9.0}, []),
        (
            ("{end: end-1, tool: edger, together: 2}", N2),
            {"length": 9.0},
            ["a row of boards is a clamping of its own, and nothing is said to hold it"],
        ),
        (
            ("{face: A, tool: facer, together: 2, hold: [row]}", "{edge: edge-1, tool: edger, hold: [top]}"),
            {},
            [],
        ),
        (
            ("{face: A, tool: facer, together: 2, hold: [row]}", E1),
            {},
            ["in a row of boards their edges touch each other, and no cutter comes between"],
        ),
        (
            (A, "{flip: edge-over-edge, of: every-second-board}", B),
            {},
            ["after a flip of every second board the boards lie with different faces up"],
        ),
    ],
)
def test_an_order_is_told_what_is_wrong_with_it(
    tmp_path: Path, steps: tuple[str, ...], asked: dict[str, float], wrong: list[str]
) -> None:
    """Everything, in order, with the numbers; nothing of an order that can be cut."""
    assert told(tmp_path, *(steps or ("{pause: 1 day}",)), sizes=asked) == wrong


@pytest.mark.parametrize(
    ("already", "steps", "asked", "wrong"),
    [
        ("faces", (A,), {}, ["both faces are said to be true already"]),
        ("faces", (E1, E2), {"width": 9.0}, []),
        (
            "[faces, edge-1]",
            (E1,),
            {},
            ["edge-1 is said to be true already", "edge-1 is cut, but the finished width is not said"],
        ),
        ("[faces, edge-1]", ("turn: {to-fence: edge-1}", E2), {"width": 9.0}, []),
        ("[faces, edge-1]", (E2,), {}, ["edge-2 is cut, but the finished width is not said"]),
        ("faces", (N1, N2), {"length": 9.0, "thickness": 9.0}, []),
        ("[faces, edge-1, edge-2]", (MATE,), {}, []),
        ("[faces, edge-1, edge-2]", (MATE, MATE), {}, ["the neighbours' edges are cut already"]),
        ("[edge-1, edge-2]", (A, MATE), {}, ["the boards' faces are still rough"]),
        (
            "[faces, edge-1, edge-2]",
            (BESIDE,),
            {},
            [f"{ON_FACE} {zone} is somewhere else" for zone in ("row", "beneath")],
        ),
        ("[faces, edge-2]", (MATE,), {}, [f"{CROOKED} edge-1 is straight"]),
        ("faces", (MATE,), {}, [f"{CROOKED} edge-1 and edge-2 are straight"]),
    ],
)
def test_what_is_true_already_is_not_cut(
    tmp_path: Path, already: str, steps: tuple[str, ...], asked: dict[str, float], wrong: list[str]
) -> None:
    """Nor asked for; what stands against the fence may be true or cut."""
    assert told(tmp_path, *steps, already=already, sizes=asked) == wrong


def test_faces_that_are_to_be_parallel_are_both_cut(tmp_path: Path) -> None:
    """One alone is a mistake, both or none is none."""
    more = "tolerance: {parallelism: 0.3 mm}"
    assert told(tmp_path, A, more=more) == ["the faces are to be parallel, and no step cuts face B"]
    assert told(tmp_path, A, FLIP, B, more=more) == []
    assert told(tmp_path, N1, N2, more=more, sizes={"length": 9.0}) == []


def test_what_a_step_leaves_open_comes_from_its_cutter(tmp_path: Path) -> None:
    """Stepover a share of the diameter, overlap a radius; which boards are turned over is carried over."""
    steps = (
        A,
        "{flip: end-over-end, of: every-second-board}",
        FLIP,
        "{edge: edge-1, tool: edger, hold: [top], stepdown: 3 mm}",
        "{edge: edge-2, tool: edger, hold: [row]}",
    )
    finished = Wanted(None, 9.0, None, Tolerance(*(None,) * len(Tolerance.__dataclass_fields__)))
    made: list[Any] = list(bind_steps(recipe(tmp_path, steps, "", ""), {}, TOOLS, finished)[0])
    face, some, every, first, second = made
    tool = TOOLS["facer"]
    assert (face.stepover, face.stepdown, face.overlap) == (tool.stepover, tool.stepdown, tool.radius)
    assert (face.take, face.light, face.seat, face.passes) == ("half-of-surplus", 0.5, "thickest", "along")
    assert (face.direction, face.perimeter, face.to) == ("both-ways", "none", None)
    assert [
        (f.flip, f.every_second) if hasattr(f, "every_second") else tuple(vars(f).values())
        for f in (some, every)
    ] == [
        ("end-over-end", True),
        ("edge-over-edge", False),
    ]
    assert (first.stepdown, second.stepdown, first.hollow) == (3.0, TOOLS["edger"].stepdown, 0.0)
    assert [(z.name, z.where, z.clear_of) for z in (*first.hold, *second.hold)] == [
        ("top", "face", ("edge-1",)),
        ("row", ("edge-1", "edge-2"), ()),
    ]
    stated = (
        "{face: A, tool: facer, take: 2 mm, stepover: 50 %, stepdown: 1 mm, light: 0.2 mm, overlap: 3 mm}"
    )
    [said] = bind_steps(recipe(tmp_path, (stated,), "", ""), {}, TOOLS, finished)[0]
    values: Any = said
    assert (values.take, values.stepover, values.stepdown) == (2.0, tool.diameter / 2, 1.0)
    assert (values.light, values.overlap) == (0.2, 3.0)


@pytest.mark.parametrize(
    ("role", "reach", "why"),
    [
        (role_of(does="edge"), None, None),
        (role_of(does="end"), 42.0, None),
        (role_of(does="face"), None, "is not for faces"),
        (role_of(does="edge", diameter="12 mm"), None, None),
        (role_of(does="edge", diameter="12.1 mm to 13 mm"), None, "is 12 mm wide, not 12.1 to 13 mm"),
        (role_of(does="edge", diameter="6 mm to 11.9 mm"), None, "is 12 mm wide, not 6 to 11.9 mm"),
        (role_of(does="edge"), 42.1, "cuts 42 mm deep, not 42.1 mm"),
        (role_of(does="edge", flutes=2), None, None),
        (role_of(does="edge", flutes=3), None, "has 2 flutes, not 3"),
        (role_of(does="edge", flutes=1), None, "has 2 flutes, not 1"),
        (role_of(does="edge", **{"centre-cutting": True}), None, "does not cut to its centre"),
    ],
)
def test_a_cutter_can_do_a_role_to_the_last_millimetre(
    role: Role, reach: float | None, why: str | None
) -> None:
    """Width, reach and flutes met exactly will do; else the reason has both numbers."""
    tool = replace(end_mill(diameter=12.0, cutting_length=42.0), flutes=2, centre_cutting=False)
    assert why_not(tool, role, reach) == why
    assert (
        why_not(replace(tool, centre_cutting=True), role_of(does="edge", **{"centre-cutting": True}), None)
        is None
    )


def test_a_role_that_nobody_can_do_has_both_numbers() -> None:
    """The reach, where a cutter is only too short; else how many there are, and how many are needed."""
    tool = end_mill(diameter=12.0, cutting_length=42.0)
    own, document = shop(tools=(tool, facer())), ShopDocument.model_construct(tools={})
    asked = "is for edges, is 6 to 20 mm wide, cuts 43.25 mm deep or more, cuts to its centre"
    role = role_of(does="edge", diameter="6 mm to 20 mm", **{"centre-cutting": True})
    assert wanted(role, 43.25) == asked
    assert wanted(role_of(does="face"), None) == "is for faces"
    assert wanted(role_of(does="face", flutes=1), None) == "is for faces, has 1 flute"
    for each, reach, numbers in (
        (role, 43.25, (42.0, 43.25)),
        (role_of(does="end"), 43.25, (42.0, 43.25)),
        (role_of(does="edge", flutes=9), 42.0, (0, 1)),
        (role_of(does="edge", flutes=9), None, (0, 1)),
        (role_of(does="face", flutes=9), 1.0, (0, 1)),
    ):
        taken, [finding] = bind_tools({"own": each}, {"own": reach}, own, document)
        assert taken == {}
        assert (finding.measured, finding.limit) == numbers
        assert finding.remedy == f"add to the shop's tools one that {wanted(each, reach)}"
    nobody = shop(tools=(facer(),))
    [finding] = bind_tools({"own": role}, {"own": 5.0}, nobody, document)[1]
    assert (finding.measured, finding.limit) == (0, 1)
    assert choices({"own": role}, {"own": 43.25}, own, {}) == ()
    fence = _no_fence()
    assert (fence.measured, fence.limit, fence.level) == (0, 1, "refuse")
