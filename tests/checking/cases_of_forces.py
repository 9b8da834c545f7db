"""A bad situation for every rule about forces, chips and burning, and the same one after its remedy.

In: nothing. Out: `CASES`; each cure is given the numbers that the remedy's text says, in order.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from checking.cases_of_tools import Case
from cutters import end_mill, facer
from setups import edge_setup, face_setup, rectangle, shop, solid
from situations import hand, situation
from stockwright.checking import bowing, burning, chips, feeds, holding
from stockwright.motion.nodes import Dwell, Pause
from stockwright.planning.setup import Grip, ShimPlace, Solid

if TYPE_CHECKING:
    from stockwright.checking import Situation

__all__ = ["CASES", "carry", "held", "press", "push"]

OWN = "the shop's own figure"
GUESS = "guessed, the shop's document does not say"
Side = Literal["far", "near", "left", "right"]


def press(x: float, y: float, force: float, number: int = 1, source: str = OWN) -> Grip:
    """Press on the upper face of the board at a place."""
    return Grip(f"clamp {number}", "board", "press", (x, y, 30.0), force, source)


def push(x: float, y: float, way: float, force: float, z: float = 7.0) -> Grip:
    """Push on an edge, along y."""
    name = f"squeeze {1 if way > 0 else 2}"
    return Grip(name, "board", "push", (x, y, z), force, OWN, way=(0.0, way))


def carry(x: float, y: float, way: tuple[float, float], force: float = 800.0) -> Grip:
    """Bear a push against `way`."""
    return Grip(f"stop {x:g} {y:g}", "board", "carry", (x, y, 7.0), force, OWN, way=way)


AROUND = (
    *(carry(100, y, (1.0, 0.0)) for y in (90.0, 170.0)),
    *(carry(400, y, (-1.0, 0.0)) for y in (90.0, 170.0)),
    *(carry(x, 80, (0.0, 1.0)) for x in (120.0, 380.0)),
    *(carry(x, 180, (0.0, -1.0)) for x in (120.0, 380.0)),
)


def held(*grips: Grip, feed: float = 5000.0, sides: tuple[Side, ...] = ("far",), **of: object) -> Situation:
    """Cut edges of a board 300 by 100 by 30 that is held by `grips`."""
    setup = edge_setup(sides=sides, tool=end_mill(feed=feed), **of)  # type: ignore[arg-type]
    return situation(replace(setup, grips=grips), shop())


def _pressed(force: float, feed: float = 5000.0, source: str = OWN) -> Situation:
    return held(press(130, 100, force, 1, source), press(370, 100, force, 2, source), feed=feed)


def _ended(*more: Grip) -> Situation:
    """Hold a board by guessed stops at its two ends, which take nothing across it."""
    return held(*(replace(stop, source=GUESS) for stop in AROUND[:4]), *more)


def _down(force: float) -> Situation:
    return held(press(130, 100, force), press(370, 100, force, 2), *AROUND)


def _at_one_end(force: float) -> Situation:
    return held(press(112, 130, force), *AROUND, sides=("right",))


def _unmet(against: float = 0.0) -> Situation:
    there = (carry(250, 180, (0.0, -1.0), against),) if against else ()
    return held(press(130, 100, 900), press(370, 100, 900, 2), push(250, 80, 1.0, 700), *there)


def _squeezed(force: float = 5000.0, z: float = 3.0) -> Situation:
    setup = face_setup()
    grips = (push(250, 80, 1.0, force, z), push(250, 180, -1.0, force, z))
    return situation(replace(setup, grips=grips), shop())


def _on_shims(force: float = 1500.0, at: tuple[float, ...] = (110.0, 390.0)) -> Situation:
    setup = face_setup()
    shims = tuple(ShimPlace("board", x, y, 1.0) for x in at for y in (90.0, 130.0, 170.0))
    return situation(replace(setup, shims=shims, grips=(press(250, 130, force),)), shop())


def _on_risers(force: float = 1500.0, at: tuple[float, ...] = (110.0, 390.0)) -> Situation:
    """Cut an edge of a board on risers 20 wide, across it, pressed in the middle between two of them."""
    risers = tuple(
        Solid(f"riser {i}", "riser", rectangle(x - 10, 90, x + 10, 170), -12.0, 0.0)
        for i, x in enumerate(at, 1)
    )
    return situation(replace(edge_setup(solids=risers), grips=(press(250, 130, force),)), shop())


def _turned(
    torque: float | None = None,
    feed: float = 2400.0,
    stepdown: float = 7.0,
    light: float = 0.5,
    **more: object,
) -> Situation:
    setup = edge_setup(tool=end_mill(feed=feed), stepdown=stepdown, light=light)
    return situation(setup, shop(torque=torque, **more))  # type: ignore[arg-type]


def _starved(stepdown: float = 7.0, light: float = 0.5, rpm: float = 16000.0, **machine: object) -> Situation:
    setup = edge_setup(tool=end_mill(rpm=rpm), stepdown=stepdown, light=light)
    return situation(setup, shop(**machine))  # type: ignore[arg-type]


def _narrow(feed: float = 3400.0, rpm: float = 16000.0, waste: float = 2.0) -> Situation:
    return situation(edge_setup(waste=waste, tool=end_mill(feed=feed, rpm=rpm)), shop(max_feed=20000.0))


def _light(light: float = 0.5, feed: float = 2400.0) -> Situation:
    return situation(edge_setup(tool=end_mill(feed=feed), light=light), shop())


def _ends(*sides: Side, scrap: tuple[float, float] | None = None) -> Situation:
    solids: tuple[Solid, ...] = ()
    if scrap is not None:
        x, y = scrap
        solids = (solid("scrap", rectangle(x - 9, y - 40, x + 60, y), kind="backing", may_cut_to=-1.0),)
    return situation(edge_setup(sides=sides, solids=solids), shop(), ())


def _waits(node: Dwell | Pause, higher: float = 0.0) -> Situation:
    setup = face_setup()
    stops = (("rapid", None, None, 60.0), ("rapid", 60.0, 100.0, None), ("feed", 60.0, 100.0, 30.0))
    on = (("feed", 250.0, 100.0, 30.0), ("rapid", None, None, 30.0 + higher))
    program = hand(setup, facer(), *stops, *on)
    nodes = program.nodes
    return situation(setup, shop(), (replace(program, nodes=(*nodes[:-1], node, nodes[-1])),))


CASES: tuple[Case, ...] = (
    Case(
        "clamps too weak, cured by their force",
        holding.holding_too_weak,
        _pressed(400.0),
        lambda n: _pressed(n[0]),
    ),
    Case(
        "clamps a little too weak, cured by the feed",
        holding.holding_too_weak,
        _pressed(1000.0),
        lambda n: _pressed(1000.0, feed=n[1]),
    ),
    Case(
        "clamps whose guessed force is too weak",
        holding.holding_too_weak,
        _pressed(900.0, source=GUESS),
        lambda n: _pressed(n[0], source=GUESS),
        "warn",
    ),
    Case(
        "clamps whose guessed force is too weak at its best",
        holding.holding_too_weak,
        _pressed(100.0, source=GUESS),
        lambda n: _pressed(n[0], source=GUESS),
    ),
    Case(
        "clamps whose guessed force bears no feed that makes a chip",
        holding.holding_too_weak,
        _pressed(600.0, source=GUESS),
        lambda n: _pressed(n[0], source=GUESS),
    ),
    Case(
        "guessed stops at two ends, and nothing across",
        holding.holding_too_weak,
        _ended(),
        lambda n: _ended(press(n[1], n[2], n[0])),
    ),
    Case(
        "a push that nothing meets",
        holding.holding_too_weak,
        _unmet(),
        lambda n: _unmet(n[0]),
    ),
    Case("pressed down too little", holding.lifts_off, _down(20.0), lambda n: _down(n[0])),
    Case(
        "stopped all round and pressed by nothing",
        holding.lifts_off,
        held(*AROUND),
        lambda n: held(press(n[1], n[2], n[0]), *AROUND),
    ),
    Case("pressed at one end only", holding.tips_over, _at_one_end(400.0), lambda n: _at_one_end(n[0])),
    Case(
        "squeezed hard and low, cured by force",
        bowing.board_bows_under_clamps,
        _squeezed(),
        lambda n: _squeezed(force=n[0]),
        "warn",
    ),
    Case(
        "squeezed hard and low, cured by height",
        bowing.board_bows_under_clamps,
        _squeezed(),
        lambda n: _squeezed(z=15.0 - n[1]),
        "warn",
    ),
    Case(
        "pressed between shims, cured by force",
        bowing.board_bows_under_clamps,
        _on_shims(),
        lambda n: _on_shims(n[0]),
        "warn",
    ),
    Case(
        "pressed between shims, cured by a shim",
        bowing.board_bows_under_clamps,
        _on_shims(),
        lambda n: _on_shims(at=(110.0, n[1], 390.0)),
        "warn",
    ),
    Case(
        "pressed between risers, cured by force",
        bowing.board_bows_under_clamps,
        _on_risers(),
        lambda n: _on_risers(n[0]),
        "warn",
    ),
    Case(
        "pressed between risers, cured by a riser",
        bowing.board_bows_under_clamps,
        _on_risers(),
        lambda n: _on_risers(at=(110.0, n[1], 390.0)),
        "warn",
    ),
    Case(
        "less torque than the cut takes, cured by feed",
        chips.torque_exceeded,
        _turned(0.01),
        lambda n: _turned(0.01, feed=n[0]),
    ),
    Case(
        "hardly the torque that the cut takes, cured by stepdown",
        chips.torque_exceeded,
        _turned(0.02),
        lambda n: _turned(0.02, stepdown=n[0], light=n[1]),
        "warn",
    ),
    Case(
        "a torque that nobody states",
        chips.torque_exceeded,
        _turned(power=60.0),
        lambda n: _turned(power=60.0, feed=n[0]),
        "warn",
    ),
    Case(
        "a power at each speed that is too little",
        chips.torque_exceeded,
        _turned(power_at=((8000.0, 10.0), (24000.0, 30.0))),
        lambda n: _turned(power_at=((8000.0, 10.0), (24000.0, 30.0)), feed=n[0]),
    ),
    Case(
        "a proper chip that the spindle cannot cut",
        chips.no_feed_will_do,
        _starved(power=80.0),
        lambda n: _starved(stepdown=n[0], light=n[1], power=80.0),
    ),
    Case(
        "a proper chip that the axes cannot feed",
        chips.no_feed_will_do,
        _starved(max_feed=3000.0),
        lambda n: _starved(rpm=n[0], max_feed=3000.0),
    ),
    Case(
        "a waste so narrow that its chips are thinner than the stepover's, cured by feed",
        feeds.feed_outside_its_range,
        _narrow(),
        lambda n: _narrow(n[0]),
        "warn",
    ),
    Case(
        "a waste so narrow that its chips are thinner than the stepover's, cured by speed",
        feeds.feed_outside_its_range,
        _narrow(),
        lambda n: _narrow(rpm=n[1]),
        "warn",
    ),
    Case(
        "a feed so low that the dial does not reach to a chip",
        feeds.feed_outside_its_range,
        _narrow(1400.0),
        lambda n: _narrow(n[0]),
    ),
    Case(
        "a heavy climbing pass",
        burning.climbs_too_heavily,
        _light(1.2),
        lambda n: _light(n[1]),
    ),
    Case(
        "a last pass of dust, cured by feed",
        burning.last_pass_rubs,
        _light(0.3),
        lambda n: _light(0.3, n[0]),
        "warn",
    ),
    Case(
        "a last pass of dust, cured by more of it",
        burning.last_pass_rubs,
        _light(0.2, 2600.0),
        lambda n: _light(n[1], 2600.0),
        "warn",
    ),
    Case(
        "waiting on the face",
        burning.dwells_in_the_wood,
        _waits(Dwell(2.0)),
        lambda n: _waits(Dwell(2.0), n[0]),
    ),
    Case(
        "pausing on the face",
        burning.dwells_in_the_wood,
        _waits(Pause("look")),
        lambda n: _waits(Pause("look"), n[0]),
    ),
    Case(
        "an end on the left whose near corner stays, cured by order",
        burning.breakout_unbacked,
        _ends("left"),
        lambda _: _ends("left", "near"),
        "warn",
    ),
    Case(
        "an end on the right after its far edge, cured by order",
        burning.breakout_unbacked,
        _ends("far", "right"),
        lambda _: _ends("right", "far"),
        "warn",
    ),
    Case(
        "an end on the left whose near corner stays, cured by scrap",
        burning.breakout_unbacked,
        _ends("left"),
        lambda n: _ends("left", scrap=(n[-2], n[-1])),
        "warn",
    ),
)
