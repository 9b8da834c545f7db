"""Cutters, a probe and an attachment of a shop's document as stacks and outlines; touches left out."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from stockwright.bind import boards
from stockwright.bind.boards import _left_out, _too_large
from stockwright.bind.shop import _machine, _probe, _slide, _tool

COLLET = SimpleNamespace(grip=20.0, nut_length=22.0, nut_diameter=40.0)
SPINDLE = SimpleNamespace(
    collets={8.0: COLLET},
    nose_diameter=60.0,
    nose_length=50.0,
    speed=(8000.0, 24000.0),
    power=1500.0,
    torque=None,
    power_at={24000.0: 2.0, 8000.0: 1.0},
)


def part_of(**said: Any) -> Any:
    """Give a cutter of a document."""
    names = (
        "number",
        "kind",
        "does",
        "marked_max",
        "flutes",
        "centre_cutting",
        "ramp",
        "corner_radius",
        "speed",
    )
    more = ("feed", "plunge_feed", "stepdown", "material", "helix", "fluted")
    own = {"shank": 8.0, "diameter": 10.0, "cutting_length": 30.0, "overall_length": 70.0, "stickout": None}
    return SimpleNamespace(**dict.fromkeys((*names, *more)), **{"stepover": 0.4, **own, **said})


def stack(tool: Any) -> list[tuple[float, float, float]]:
    """Give the cylinders of a tool from its tip: diameter, from, to."""
    return [(c.diameter, c.bottom, c.top) for c in tool.assembly]


@pytest.mark.parametrize(
    ("said", "stickout", "cylinders"),
    [
        ({}, 50.0, [(10.0, 0.0, 30.0), (8.0, 30.0, 50.0)]),
        ({"stickout": 31.0}, 31.0, [(10.0, 0.0, 30.0), (8.0, 30.0, 31.0)]),
        ({"stickout": 30.0}, 30.0, [(10.0, 0.0, 30.0)]),
        ({"stickout": 25.0}, 25.0, [(10.0, 0.0, 25.0)]),
    ],
)
def test_a_cutter_is_a_stack_up_to_the_nose(
    said: dict[str, float], stickout: float, cylinders: list[tuple[float, float, float]]
) -> None:
    """Teeth, shank where any shows, nut and nose; a share of the diameter is the stepover."""
    document: Any = SimpleNamespace(spindle=SPINDLE)
    tool = _tool("own", part_of(**said), document)
    nut = (40.0, stickout, stickout + 22.0)
    assert stack(tool) == [*cylinders, nut, (60.0, nut[2], nut[2] + 50.0)]
    assert (tool.stickout, tool.gripped, tool.grip_wanted, tool.stepover) == (
        stickout,
        70.0 - stickout,
        20.0,
        4.0,
    )


@pytest.mark.parametrize(
    ("stylus", "body", "cylinders"),
    [
        (15.0, 12.0, [(2.0, 0.0, 15.0), (12.0, 15.0, 40.0)]),
        (15.0, 5.0, [(2.0, 0.0, 15.0), (8.0, 15.0, 40.0)]),
        (40.0, 12.0, [(2.0, 0.0, 40.0)]),
        (45.0, 12.0, [(2.0, 0.0, 40.0)]),
    ],
)
def test_a_probe_is_a_stack_up_to_the_nose(
    stylus: float, body: float, cylinders: list[tuple[float, float, float]]
) -> None:
    """Stylus, the wider of body and shank, nut and nose; it never turns; without a collet there is none."""
    document: Any = SimpleNamespace(spindle=SPINDLE)
    said = {
        "stickout": 40.0,
        "stylus_length": stylus,
        "tip_diameter": 2.0,
        "body_diameter": body,
        "shank": 8.0,
    }
    part: Any = SimpleNamespace(**said, number=9, feed=100.0, over_travel=3.0)
    probe = _probe(part, document)
    assert probe is not None
    assert stack(probe.tool) == [*cylinders, (40.0, 40.0, 62.0), (60.0, 62.0, 112.0)]
    tool = probe.tool
    assert (tool.cutting_length, tool.overall_length, tool.gripped, tool.grip_wanted) == (
        min(stylus, 40.0),
        60.0,
        20.0,
        20.0,
    )
    assert (tool.flutes, tool.rpm, tool.stepover, tool.stepdown, tool.ramp, tool.corner_radius) == (0,) * 6
    assert (tool.centre_cutting, tool.does, tool.kind, probe.over_travel, probe.feed) == (
        False,
        (),
        "touch-probe",
        3.0,
        100.0,
    )
    part.shank = 6.0
    assert _probe(part, document) is None


def test_a_machine_has_its_numbers_and_outlines() -> None:
    """An attachment's four corners in order, torque in N m, power by rising speed."""
    shoe = SimpleNamespace(
        x=(-60.0, 50.0), y=(-40.0, 30.0), bottom=-20.0, top=10.0, moves_with="z", soft=True
    )
    travel, park = SimpleNamespace(x=(0.0, 9.0), y=(0.0, 8.0), z=(0.0, 7.0)), SimpleNamespace(x=4.0, y=5.0)
    names = ("rapid", "rapids", "acceleration", "max_feed", "spoilboard", "margin")
    machine = SimpleNamespace(travel=travel, park=park, attached={"shoe": shoe}, **{n: n for n in names})
    document: Any = SimpleNamespace(name="own", machine=machine, spindle=SPINDLE)
    bound = _machine(document)
    assert bound.attached[0].outline == ((-60.0, -40.0), (50.0, -40.0), (50.0, 30.0), (-60.0, 30.0))
    assert (bound.x, bound.y, bound.z, bound.park) == ((0.0, 9.0), (0.0, 8.0), (0.0, 7.0), (4.0, 5.0))
    assert (bound.min_rpm, bound.max_rpm, bound.torque) == (8000.0, 24000.0, None)
    assert bound.power_at == ((8000.0, 1.0), (24000.0, 2.0))
    document.spindle = SimpleNamespace(**{**vars(SPINDLE), "torque": 600.0})
    assert _machine(document).torque == 0.6


def test_a_slide_keeps_what_is_said_and_guesses_the_rest() -> None:
    """Which of the figures were said is known after it; a zero that is said is no guess."""
    guess = _slide(None)
    empty: Any = SimpleNamespace(register_=None, within=None, reads=None, supports=())
    said: Any = SimpleNamespace(register_=guess.register, within=0.0, reads=0.0, supports=())
    assert (_slide(empty).within, _slide(empty).reads, _slide(empty).said) == (
        guess.within,
        guess.reads,
        frozenset(),
    )
    assert (_slide(said).within, _slide(said).reads) == (0.0, 0.0)
    assert _slide(said).said == {"register", "within", "reads"}


def test_touches_left_out_are_named_up_to_a_few() -> None:
    """One, as many as are named, and one more; each with its line and how far off it lies."""
    log: Any = SimpleNamespace(path="logs/upper.csv", model=SimpleNamespace(lines=list(range(10, 40))))
    odd: list[Any] = [SimpleNamespace(face="upper", row=k, x=1.0 + k, y=2.5, off=0.26 - k) for k in range(30)]
    one = "upper.csv line 10 (x 1 mm, y 2.5 mm, 0.3 mm above the touches round it)"
    assert _left_out(odd[:1], {"upper": log}) == f"1 touch was left out, as the document asks: {one}."
    two = "upper.csv line 11 (x 2 mm, y 2.5 mm, 0.7 mm below the touches round it)"
    assert (
        _left_out(odd[:2], {"upper": log}) == f"2 touches were left out, as the document asks: {one}, {two}."
    )
    named = next(n for n in range(1, 30) if "more." in _left_out(odd[: n + 1], {"upper": log}))
    assert _left_out(odd[:named], {"upper": log}).count("line") == named
    assert _left_out(odd[: named + 1], {"upper": log}).endswith("touches round it) and 1 more.")
    assert _left_out(odd, {"upper": log}).endswith(f"touches round it) and {30 - named} more.")


def test_a_board_may_be_as_large_as_the_largest() -> None:
    """Six metres by one and a fifth by a fifth will do; a hair more of each is told, with what is wrong."""
    loaded: Any = SimpleNamespace(mistake=lambda *said: SimpleNamespace(message=said[2]))

    def told(length: float, width: float, thick: float) -> list[str]:
        box = np.array([[5.0, 7.0], [5.0 + length, 7.0], [5.0 + length, 7.0 + width]])
        board: Any = SimpleNamespace(outline=box, top=np.array([thick, 1.0]), bottom=np.array([0.0, 0.5]))
        return [mistake.message for mistake in _too_large(loaded, board)]

    most = (boards.LONGEST, boards.WIDEST, boards.THICKEST)
    assert told(*most) == []
    for axis, what in enumerate(("long", "wide", "thick")):
        sizes = [*most]
        sizes[axis] += 2.0
        expected = f"the board would be {sizes[axis]:,.0f} mm {what}, expected at most {most[axis]:,.0f} mm"
        assert told(*sizes) == [expected]
