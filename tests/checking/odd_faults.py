"""Work with no round number in it that is wrong in many ways: cutters, clamps that bend, travel, feeds.

In: nothing. Out: `odd_faults()`, situations by what they are.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from checking.odd_setups import (
    AT,
    EAST,
    GUESS,
    NORTH,
    edged,
    faced,
    grip,
    known_as,
    mill,
    odd_shop,
    raised,
    zigzag,
)
from cutters import facer
from setups import rectangle, solid
from situations import hand, situation
from stockwright.job import FaceStep
from stockwright.planning.setup import EdgeCut

if TYPE_CHECKING:
    from stockwright.checking import Situation
    from stockwright.motion.nodes import Program

__all__ = ["odd_faults"]


def odd_faults() -> dict[str, Situation]:
    """Give every situation by what it is."""
    return _cutters() | _bent() | _beyond() | _unborne() | _weak() | _mixed()


def _cutters() -> dict[str, Situation]:
    """Give edges cut by cutters that are wrong in many ways."""
    wrong: dict[str, dict[str, object]] = {
        "a cutter with one tooth, slow": {"flutes": 1, "rpm": 7900.0, "feed": 610.0},
        "a cutter with four teeth, too fast for its mark": {
            "flutes": 4,
            "rpm": 23100.0,
            "marked_max_rpm": 19350.0,
        },
        "a cutter beyond the spindle, unmarked": {"rpm": 24100.0, "marked_max_rpm": None, "feed": 5130.0},
        "a cutter below the spindle's speeds": {"rpm": 6100.0, "feed": 4600.0},
        "a cutter fed for thick chips": {"rpm": 8300.0, "feed": 4810.0, "flutes": 1},
        "a short cutter, gripped short": {"cutting_length": 21.0, "stickout": 29.0, "gripped": 11.0},
        "flutes in the collet": {"cutting_length": 33.0, "stickout": 31.5},
        "a slender cutter that sticks out": {
            "diameter": 5.0,
            "shank": 6.0,
            "stickout": 71.0,
            "stepover": 1.9,
        },
    }
    found: dict[str, Situation] = {}
    for name, of in wrong.items():
        stepover = of.pop("stepover", 4.3)
        tool = replace(mill(**of), grip_wanted=23.5)
        made = situation(edged("far", "left", tool=tool, stepover=stepover, stepdown=9.1), odd_shop())
        found[name] = known_as(made, "beech-american", squareness=0.07)
    steep = facer(diameter=41.0, flutes=2)
    straight = replace(steep, helix=-8.0, material="carbide", fluted=9.0)
    cut = faced(tool=straight, stepover=43.5, stepdown=13.7)
    found["a face with steps beyond its cutter"] = situation(cut, odd_shop(), ())
    found["a wall trimmed by half"] = situation(edged("near", stepover=5.5, waste=41.0), odd_shop(), ())
    return found


def _bent() -> dict[str, Situation]:
    """Give boards that clamps bend, on shims, on risers, and by a squeeze."""
    press, deep = grip("press", 203.0, 101.0, 2350.0), grip("push", 187.0, AT[1], 3900.0, 5.5, way=(0.0, 1.0))
    over = grip("press", 301.5, 140.5, 9470.0, name="press 4")
    met = grip("push", 187.0, NORTH, 3900.0, 25.0, way=(0.0, -1.0), name="squeeze 2", source=GUESS)
    ends = (
        grip("push", AT[0], 101.0, 41_000.0, 4.0, way=(1.0, 0.0), name="squeeze 5"),
        grip("push", EAST, 101.0, 41_000.0, 4.0, way=(-1.0, 0.0), name="squeeze 6"),
    )
    risers = tuple(
        solid(f"riser {x:g}", rectangle(x, 59.0, x + 17.0, 151.0), bottom=-13.0, top=0.0, kind="riser")
        for x in (101.0, 287.0)
    )
    faces = {
        "a sugar maple bent between shims": ((press,), "maple-sugar", {"flatness": 0.11}),
        "a walnut squeezed off its middle": ((deep, met), "walnut-black", {"flatness": 0.23}),
        "a guess that bends": ((replace(press, source=GUESS),), "walnut-black", {"flatness": 0.05}),
        "pressed beyond the last shim": ((over, press), "alder-red", {}),
        "squeezed along the grain": (ends, "pine-ponderosa", {"flatness": 0.4}),
    }
    found: dict[str, Situation] = {}
    for name, (grips, species, asked) in faces.items():
        setup = faced(grips=grips, shims=name != "a walnut squeezed off its middle")
        if grips == (over, press):
            setup = replace(
                setup, shims=tuple(replace(s, x=s.x - (37.0 if s.x > 200 else 0.0)) for s in setup.shims)
            )
        found[name] = known_as(situation(setup, odd_shop(), ()), species, **asked)
    setup = edged("far", solids=risers, grips=(grip("press", 207.0, 103.0, 2710.0),))
    found["a board bent between risers"] = known_as(situation(setup, odd_shop(), ()), None, flatness=0.09)
    return found


def _beyond() -> dict[str, Situation]:
    """Give work beyond the travel, things in one place, and second faces."""
    found: dict[str, Situation] = {}
    fence = solid("fence 1", rectangle(95.0, 11.0, 250.0, 41.0), top=16.5, kind="fence")
    for name, travel in {
        "too little travel at the low ends": ((297.0, 900.0), (209.0, 900.0), (101.0, 300.0)),
        "too little travel at the high ends": ((0.0, 527.0), (0.0, 281.0), (0.0, 113.0)),
        "travel shorter than the moves": ((267.0, 519.0), (181.0, 293.0), (83.0, 107.0)),
    }.items():
        own = odd_shop()
        own = replace(own, machine=replace(own.machine, x=travel[0], y=travel[1], z=travel[2]))
        setup = raised(faced(solids=(fence,)), 3.5)
        found[name] = situation(setup, own, (zigzag(setup),))
    clamps = (
        solid("side clamp 1", rectangle(97.0, 141.5, 143.0, 171.0), top=17.5),
        solid("side clamp 2", rectangle(139.0, 138.0, 181.0, 169.5), bottom=3.5, top=15.0),
        solid(
            "top clamp 3 arm", rectangle(201.0, 121.0, 219.0, 171.0), bottom=27.0, top=47.0, kind="top-clamp"
        ),
        solid("top clamp 3 body", rectangle(201.0, 144.0, 219.0, 199.0), top=47.0, kind="top-clamp"),
        solid("wedge 4", rectangle(81.0, 99.0, 103.5, 117.0), top=11.0, kind="wedge"),
    )
    found["things in one place"] = situation(edged("near", solids=clamps), odd_shop(), ())
    step = FaceStep(
        "B", facer(), "as-it-lies", "least", 27.4, "along", "both-ways", "none", 23.7, 1.9, 0.45, ()
    )
    own = odd_shop()
    found["a second face on a bed never skimmed"] = situation(faced(), own, (), (step,))
    own = replace(own, bed=replace(own.bed, skimmed="2026-03-17"))
    found["a second face on a bed once skimmed"] = situation(faced(), own, (), (step,))
    return found


def _unborne() -> dict[str, Situation]:
    """Give feeds that nothing bears."""
    found: dict[str, Situation] = {}
    for name, (tool, machine, asked) in {
        "no feed for want of a wider cutter": (
            {"diameter": 3.1, "shank": 3.1, "stepover": 0.9, "feed": 3100.0},
            {"max_feed": 9100.0},
            {},
        ),
        "no feed for a cutter that bends": (
            {"diameter": 7.0, "shank": 7.0, "stickout": 79.0, "cutting_length": 39.0, "feed": 2300.0},
            {"max_feed": 9100.0},
            {"squareness": 0.011},
        ),
        "no feed on a slow machine": ({"rpm": 14900.0, "feed": 1900.0}, {"max_feed": 1930.0}, {}),
        "no feed on a slow machine that turns fast only": (
            {"flutes": 3, "rpm": 14900.0, "feed": 1900.0},
            {"max_feed": 1930.0, "min_rpm": 14100.0},
            {},
        ),
    }.items():
        made = situation(
            edged("far", tool=mill(**tool), stepover=tool.get("stepover", 3.1)), odd_shop(**machine)
        )
        found[name] = known_as(made, None, **asked)
    return found


def _weak() -> dict[str, Situation]:
    """Give boards that are held too weakly, in every way to be told so."""
    tape = grip("shear", 187.0, 101.0, 19.0, 0.0, area=900.0, lifts=7.0, name="tape 1")
    stops = (
        grip("carry", AT[0], 99.0, 83.0, 7.0, way=(1.0, 0.0), name="stop 1"),
        grip("carry", EAST, 104.0, 79.0, 7.0, way=(-1.0, 0.0), name="stop 2"),
        grip("carry", 151.0, AT[1], 71.0, 7.0, way=(0.0, 1.0), name="stop 3"),
        grip("carry", 233.0, NORTH, 77.0, 7.0, way=(0.0, -1.0), name="stop 4"),
    )
    share = grip("shear", 203.0, 63.0, 37.0, 7.0, area=400.0, lifts=5.0, name="squeeze 8", whole=410.0)
    guessed = (
        grip("press", 131.0, 79.0, 61.0, source=GUESS),
        grip("press", 281.0, 139.0, 53.0, source=GUESS),
    )
    coarse: dict[str, Any] = {
        "stepover": 31.0,
        "stepdown": 3.9,
        "tool": facer(diameter=41.0, rpm=13300.0, feed=4600.0),
    }
    found: dict[str, Situation] = {
        "a face held by little tape": situation(faced(grips=(tape,), **coarse), odd_shop()),
        "a face between weak stops": situation(faced(grips=stops, shims=True, **coarse), odd_shop()),
        "a face pressed by guesses": situation(faced(grips=guessed, **coarse), odd_shop()),
        "a face pressed at one end, on shims": situation(
            faced(grips=(grip("press", 113.0, 97.0, 33.0), *stops), shims=True, **coarse), odd_shop()
        ),
        "a wall pressed by guesses": situation(edged("far", grips=guessed), odd_shop()),
        "a wall whose squeeze is shared": situation(edged("near", grips=(share, tape)), odd_shop()),
        "a wall held by tape and a press, both too little": situation(
            edged("far", grips=(tape, grip("press", 131.0, 79.0, 5.0))), odd_shop()
        ),
        "a wall held by tape and stops": situation(edged("far", grips=(*stops, tape)), odd_shop()),
    }
    risers = tuple(
        solid(f"riser {x:g}", rectangle(x, 83.0, x + 17.0, 119.0), bottom=-13.0, top=0.0, kind="riser")
        for x in (141.0, 227.0)
    )
    high = edged("right", solids=risers, grips=(grip("press", 181.0, 99.0, 390.0), *stops))
    found["an end of a board on risers"] = situation(high, odd_shop())
    return found


def _mixed() -> dict[str, Situation]:
    """Give several cuts in one setup, a fence jointed, and walls driven by hand."""
    walls = edged("far", "left", "right")
    differing = tuple(
        replace(cut, stepover=over, light=light)
        for cut, over, light in zip(walls.cuts, (4.3, 2.1, 3.4), (0.45, 0.31, 0.52), strict=True)
        if isinstance(cut, EdgeCut)
    )
    face, wall = faced(z=24.5), edged("near")
    both = replace(face, cuts=(*face.cuts, *wall.cuts), goals=(*face.goals, *wall.goals))
    jointed = edged("far", bottom=2.5)
    fence = tuple(replace(cut, board=None, side=None) for cut in jointed.cuts if isinstance(cut, EdgeCut))
    own = odd_shop()
    return {
        "three walls of other steps": situation(replace(walls, cuts=differing), own),
        "a light pass that takes more than the others": situation(
            edged("far", light=1.9, stepdown=3.1), odd_shop(power=190.0)
        ),
        "a face and a wall": situation(both, own),
        "a fence to be jointed": situation(replace(jointed, cuts=fence, goals=(), lies=()), own),
        "a fence jointed by hand": situation(
            replace(jointed, cuts=fence, goals=(), lies=()), own, (_past(NORTH - 7.3, 5.3, 2.5),)
        ),
        "a wall driven too near from above": situation(wall, own, (_past(AT[1] + 7.3, -5.2, 19.0),)),
    }


def _past(y: float, out: float, z: float) -> Program:
    """Drive past a wall, descending slantwise, and back nearer and deeper."""
    return hand(
        edged("far"),
        mill(),
        ("rapid", None, None, 51.0),
        ("rapid", 77.0, y + 1.09 * out, None),
        ("feed", 77.0, y + 1.09 * out, 44.0),
        ("feed", 171.0, y + out, z),
        ("feed", 319.0, y + out, z - 3.4),
        ("feed", 203.0, y + 1.01 * out, z - 3.4),
        ("rapid", None, None, 51.0),
    )
