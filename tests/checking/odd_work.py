"""Work with no round number in it, so that no two of its numbers can stand in for one another.

In: nothing. Out: `odd_work()`, situations by what they are: cut for real, or driven by hand.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from checking.odd_setups import (
    AT,
    EAST,
    GUESS,
    NORTH,
    SIZE,
    edged,
    faced,
    grip,
    known_as,
    mill,
    odd_shop,
    raised,
    zigzag,
)
from cutters import end_mill, facer
from setups import bed_setup, rectangle, solid
from situations import hand, situation
from stockwright.machine import Attached
from stockwright.motion.nodes import Dwell, Pause, Probe, Rapid, SpindleOff, SpindleOn
from stockwright.planning.setup import EdgeCut, Grip, Lies, WallGoal

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from situations import Stop
    from stockwright.checking import Situation
    from stockwright.machine import Shop
    from stockwright.motion.nodes import Program
    from stockwright.planning.setup import Setup

__all__ = ["odd_work"]

FRAME = ((-47.0, -31.0), (52.5, -38.0), (41.0, 58.5), (-36.5, 44.0))


def turned(setup: Setup, angle: float) -> Setup:
    """Turn a setup's walls, wood and solids about the low corner of its wood, degrees anticlockwise."""
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    matrix = np.array([[c, s], [-s, c]])

    def turn(places: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray((places - np.array(AT)) @ matrix + np.array(AT))

    cuts = tuple(
        replace(cut, line=turn(cut.line), waste=tuple(turn(each) for each in cut.waste))
        for cut in setup.cuts
        if isinstance(cut, EdgeCut)
    )
    full = np.eye(4)
    full[:2, :2] = matrix.T
    return replace(
        setup,
        cuts=cuts,
        wood_outline=turn(setup.wood_outline),
        solids=tuple(replace(each, outline=turn(each.outline)) for each in setup.solids),
        lies=tuple(replace(lie, matrix=full) for lie in setup.lies),
    )


def _row(**of: object) -> Setup:
    """Give two boards side by side along x whose far edge is cut in one go."""
    setup = edged("far", **of)  # type: ignore[arg-type]
    [cut] = setup.cuts
    assert isinstance(cut, EdgeCut)
    middle = AT[0] + 90.25
    one, two = rectangle(*AT, middle, NORTH), rectangle(middle, AT[1], EAST, NORTH)
    lies = (
        Lies("board", "A", 0, np.eye(4), outline=one),
        Lies("other", "A", 0, np.eye(4), outline=two),
    )
    return replace(setup, lies=lies, cuts=(replace(cut, also=("other",)),))


def _hollow() -> Setup:
    """Give a far edge that is hollow by a millimetre and a half in its middle."""
    setup = edged("far")
    [cut] = setup.cuts
    assert isinstance(cut, EdgeCut)
    t = np.linspace(0.0, 1.0, 15)
    wall = np.column_stack([AT[0] + SIZE[0] * t, cut.line[0, 1] - 6.0 * t * (1 - t)])
    waste = np.vstack([wall, [[EAST, NORTH], [AT[0], NORTH]]])
    return replace(setup, cuts=(replace(cut, wall=wall, waste=(waste,)),))


def _driven(own: Shop) -> Situation:
    """Drive a face by hand so that everything comes too low, and wait in the wood."""
    tool = facer(
        diameter=41.0, cutting_length=3.2, stickout=5.1, nut=(46.0, 1.1), nose=(63.0, 80.0), ramp=1.3
    )
    setup = raised(faced(tool=tool))
    made = zigzag(setup)
    nodes = list(replace(made, tool=tool).nodes)
    nodes[6:6] = [Dwell(1.7), SpindleOff(), Pause("look"), SpindleOn(12700.0)]
    program = replace(made, tool=tool, nodes=(*nodes[:-1], Pause("again"), Rapid(z=55.0), nodes[-1]))
    return situation(setup, own, (program,))


def _standing(rapids: Literal["straight", "independent"], **machine: object) -> Situation:
    """Let a cutter pass over, beside and into many things that stand."""
    setup = raised(
        faced(
            solids=(
                solid("side clamp 1", rectangle(121.0, 148.5, 163.0, 190.0), top=33.5),
                solid("stop 2", rectangle(60.0, 80.5, 88.0, 103.0), top=19.0, kind="stop"),
                solid("fence 1", rectangle(95.0, 31.0, 250.0, 62.0), top=36.5, kind="fence"),
                solid(
                    "scrap", rectangle(309.0, 71.0, 333.0, 121.0), top=30.0, kind="backing", may_cut_to=28.5
                ),
                solid("top clamp 3 arm", rectangle(201.0, 131.0, 219.0, 171.0), bottom=32.0, top=47.0),
                solid("top clamp 3 body", rectangle(201.0, 149.0, 219.0, 199.0), top=47.0),
                solid("riser 1", rectangle(130.0, 70.0, 149.0, 140.0), bottom=-9.0, top=0.0, kind="riser"),
            )
        )
    )
    own = odd_shop(rapids=rapids, **machine)  # type: ignore[arg-type]
    program = zigzag(setup)
    away = replace(
        hand(
            setup,
            end_mill(diameter=9.0, cutting_length=20.0, stickout=31.0),
            ("rapid", None, None, 57.0),
            ("rapid", 340.0, 200.0, None),
            ("rapid", 322.0, 96.5, 29.0),
            ("feed", 345.0, 96.5, 27.0),
            ("rapid", 61.0, 199.0, 44.0),
            stem="away",
        ),
        standing=tuple(s.name for s in setup.solids[:5]),
    )
    return situation(setup, own, (program, away))


def _along_walls(own: Shop) -> Situation:
    """Drive along two walls by hand: too near, too far out, too high, slanting, with a plunge."""
    setup = raised(edged("far", "left"), 2.5)
    wall, end = NORTH - 7.3, AT[0] + 7.3
    tool = end_mill(
        diameter=11.0, cutting_length=19.0, stickout=26.0, feed=3100.0, centre_cutting=False, ramp=2.0
    )
    program = hand(
        setup,
        tool,
        ("rapid", None, None, 50.0),
        ("rapid", 73.0, wall + 5.47, None),
        ("feed", 73.0, wall + 5.47, 9.0),
        ("feed", 204.0, wall + 5.47, 9.0),
        ("feed", 290.0, wall + 5.9, 8.5),
        ("rapid", None, None, 50.0),
        ("rapid", 311.0, wall + 6.0, None),
        ("feed", 311.0, wall + 6.0, -0.9),
        ("feed", 120.0, wall + 5.3, -0.9),
        ("feed", 111.0, wall + 5.3, 12.0),
        ("rapid", None, None, 50.0),
        ("rapid", end - 5.4, 160.0, None),
        ("feed", end - 5.4, 160.0, -0.9),
        ("feed", end - 5.4, 68.0, -0.9),
        ("feed", end - 6.1, 41.0, -1.7),
        ("rapid", None, None, 50.0),
    )
    return situation(setup, own, (program,))


def _two_programs(own: Shop) -> Situation:
    """Cut a face in two programs of other speeds, with a probing before and an outline after."""
    setup = faced(grips=(grip("press", 131.0, 79.0, 430.0), grip("press", 281.0, 139.0, 390.0)))
    first = zigzag(setup, "first")
    second = replace(zigzag(setup, "second"), tool=facer(diameter=41.0, rpm=9100.0))
    second = replace(second, nodes=(second.nodes[0], SpindleOn(9100.0), *second.nodes[2:]))
    probe = replace(first, stem="probe", purpose="probe", nodes=(*first.nodes[:4], Probe(12.0, 90.0)))
    outline = replace(first, stem="outline", purpose="outline", nodes=(*first.nodes[:4],))
    return situation(setup, own, (outline, probe, first, second))


HELD = (
    grip("press", 118.0, 81.0, 610.0),
    grip("push", 187.0, AT[1], 540.0, 9.5, way=(0.0, 1.0), name="squeeze 1"),
    grip("push", 173.0, NORTH, 470.0, 8.0, way=(0.0, -1.0), name="squeeze 2"),
    grip("carry", AT[0], 99.0, 830.0, 7.0, way=(1.0, 0.0), name="stop 1"),
    grip("carry", EAST, 104.0, 790.0, 7.0, way=(-1.0, 0.0), name="stop 2", source=GUESS),
    grip("shear", 251.0, 111.0, 320.0, 0.0, area=1700.0, lifts=45.0, name="tape 1"),
    grip("draw", 149.0, 97.0, 510.0, 0.0, area=5300.0, name="pad 1"),
)


def _held(
    grips: tuple[Grip, ...], *sides: Literal["far", "near", "left", "right"], own: Shop | None = None
) -> Situation:
    return situation(edged(*sides, grips=grips), own or odd_shop())


def odd_work() -> dict[str, Situation]:
    """Give every situation by what it is."""
    plate = Attached("plate", FRAME, -33.5, 2.0, "z", soft=False)
    beam = Attached("beam", tuple((2 * x, 0.5 * y) for x, y in FRAME), 34.5, 120.0, "gantry", soft=False)
    brush = Attached("brush", FRAME, -61.0, -12.0, "z", soft=True)
    presses = (grip("press", 131.0, 79.0, 930.0), grip("press", 281.0, 139.0, 710.0, source=GUESS))
    squeeze = HELD[1:3]
    low = replace(faced(shims=True), lowered=((rectangle(80.0, 50.0, 170.0, 160.0), 29.5),))
    far = edged("far")
    goal = next(g for g in far.goals if isinstance(g, WallGoal))
    parts: dict[str, Situation] = {
        "a face along, pressed on shims": known_as(
            situation(faced(grips=presses, shims=True), odd_shop()), "maple-red", flatness=0.21
        ),
        "a face across, rim first, climbing, squeezed": known_as(
            situation(
                faced(grips=squeeze, passes="across", direction="climb", perimeter="first"), odd_shop()
            ),
            "hickory-pecan",
            6.3,
            flatness=0.13,
            parallelism=0.17,
        ),
        "a face of dense wood, rim last": known_as(
            situation(faced(perimeter="last", direction="conventional"), odd_shop(pressure=37.0)),
            "hickory-pecan",
            1.9,
        ),
        "a face of which a part lies lower": situation(low, odd_shop(), (zigzag(low),)),
        "a face driven by hand, everything too low": _driven(odd_shop(attached=(plate, beam, brush))),
        "things that stand, axes by themselves": _standing("independent", attached=(plate, brush)),
        "things that stand, axes together": _standing("straight", attached=(beam,)),
        "two programs, a probing and an outline": _two_programs(odd_shop(friction=0.31)),
        "walls driven by hand": _along_walls(odd_shop()),
        "four walls": known_as(_held((), "left", "far", "right", "near"), "alder-red", squareness=0.19),
        "a wall held in every way": known_as(_held(HELD, "far"), "cherry-black", squareness=0.08),
        "an end held in every way, rubbing more": _held(HELD, "right", own=odd_shop(friction=0.27)),
        "a wall pressed at two places": _held(presses, "near", "far"),
        "a wall held by one pad": _held((HELD[6],), "far"),
        "a wall held by tape that lifts nothing": _held((replace(HELD[5], lifts=0.0, source=GUESS),), "left"),
        "a wall pushed by one clamp alone": _held((HELD[1], HELD[3]), "far"),
        "a wall pushed against a stop that gives way": _held(
            (HELD[1], grip("carry", 180.0, NORTH, 260.0, 7.0, way=(0.0, -1.0), name="stop 9", source=GUESS)),
            "far",
        ),
        "a row of two boards": known_as(
            situation(
                _row(grips=(*HELD[:5], grip("press", 249.0, 88.0, 590.0, board="other", whole=660.0))),
                odd_shop(),
            ),
            "aspen-quaking",
        ),
        "a hollow wall": situation(_hollow(), odd_shop()),
        "a slanting wall": situation(
            turned(edged("far", grips=(HELD[0], grip("press", 221.0, 171.0, 830.0))), 23.0),
            odd_shop(),
            (_slanting(),),
        ),
        "a wall that must be clear further out": situation(
            replace(far, goals=(replace(goal, clear=19.5),)), odd_shop()
        ),
        "an end backed on one side": situation(
            edged(
                "right",
                solids=(
                    solid(
                        "scrap",
                        rectangle(EAST - 20.0, NORTH + 1.25, EAST + 3.0, NORTH + 30.0),
                        kind="backing",
                    ),
                ),
            ),
            odd_shop(),
        ),
        "the bed, raised": situation(
            raised(bed_setup(size=(207.0, 93.0), at=AT, take=0.35), 3.25), odd_shop()
        ),
        "the bed, in a pass too deep": situation(
            bed_setup(size=(207.0, 93.0), at=AT, take=6.1), odd_shop(power=230.0, torque=0.11)
        ),
        "a wall for a spindle hardly strong enough": _held((), "far", own=odd_shop(power=121.0)),
        "a wall for a weak spindle": _held((), "far", own=odd_shop(power=61.0)),
        "a wall for a spindle with a torque": _held(presses, "far", own=odd_shop(torque=0.061)),
        "a wall for a spindle with too little torque": _held(presses, "far", own=odd_shop(torque=0.029)),
        "a wall for a spindle with a curve": _held(
            (), "left", own=odd_shop(power_at=((9000.0, 31.0), (13000.0, 56.0), (22000.0, 97.0)))
        ),
        "a wall for a spindle with a curve that begins later": _held(
            (), "near", own=odd_shop(power_at=((17000.0, 91.0), (22000.0, 97.0)))
        ),
    }
    return parts


def _slanting() -> Program:
    """Drive along the far wall of the slanting board, twice."""
    setup = turned(edged("far"), 23.0)
    [cut] = setup.cuts
    assert isinstance(cut, EdgeCut)
    way = (cut.line[1] - cut.line[0]) / np.hypot(*(cut.line[1] - cut.line[0]))
    out = np.array([-way[1], way[0]])
    stops: list[Stop] = []
    for z, off in ((11.0, 5.95), (-0.9, 5.95), (-0.9, 5.5)):
        a, b = cut.line[0] - 17.0 * way + off * out, cut.line[1] + 15.0 * way + off * out
        a, b = (a, b) if off > 5.6 else (b, a)
        stops += [("rapid", None, None, 49.0), ("rapid", float(a[0]), float(a[1]), None)]
        stops += [("feed", float(a[0]), float(a[1]), z), ("feed", float(b[0]), float(b[1]), z)]
    return hand(setup, mill(), *stops, ("rapid", None, None, 49.0))
