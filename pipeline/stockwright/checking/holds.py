"""How well each board is held while it is cut. In: loads and grips. Out: a `Hold` for each program and board.

Promise: always on the safe side. A clamp's friction counts at one of its two faces, a sideways clamp's at its
own pad, and is shared between sideways and upward force as on a circle; the cutter's lift is taken off every
press at once; friction that only a stop's own reaction would raise is left out; the push may act in any
direction.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.board.species import SPECIES
from stockwright.checking.on_board import load_on
from stockwright.forces.holding_force import FRICTION
from stockwright.forces.statics import Resistance
from stockwright.frozen import frozen
from stockwright.hold_downs import thing_of
from stockwright.planning.setup import FaceCut

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from stockwright.checking.forces import Load
    from stockwright.checking.situation import Situation
    from stockwright.planning.setup import Grip, Setup

    Floats = NDArray[np.float64]

__all__ = [
    "GRAVITY",
    "Hold",
    "at_best",
    "faces",
    "grips_in",
    "grips_of",
    "harder",
    "hold_of",
    "holds_of",
]

LIGHTEST = 350.0  # kg/m3, where the species is not known: eastern white pine; common practice, no source
GRAVITY = 9.80665  # m/s2, the standard value
SHARED = 1 / math.sqrt(2)  # of a sideways clamp's friction each for the plane and for the height
STRAIGHT = 0.9  # cosine: two ways so near count as one, or as opposite
MANY = 64  # moves that push alike: beyond so many their outline stands for them
TINY = 1e-9  # N mm, or mm2 of a hull: less is nothing but a float's own error
# What a guess may be at the most: a thing taken to hold with so much holds with twice as much, and dry clean
# wood rubs twice as hard as the lowest readings. Both common practice, no source; beyond them a shop has to
# say its own figure.
BEST_FORCE = 2.0
BEST_FRICTION = 0.4
FINE = 1.05  # forces nearer than this count as the greatest of them, so that few places need a look


@frozen(eq=False)
class Hold:
    """One board in one program: how many times the asked force is held at each cutting move, (m,).

    The asked force has the design factor in it, so 1 is just enough. `plane`, `lift` and `tip` are the three
    ways to come loose; `asked` and `pulled` (m,) what is asked sideways and upwards, N, the factor in it.
    `loose`: the pushes themselves move it, whatever the cutter does.
    """

    load: Load
    board: str
    grips: tuple[Grip, ...]
    friction: float
    asked: Floats
    pulled: Floats
    plane: Floats
    lift: Floats
    tip: Floats
    loose: bool
    weight: float

    @property
    def guessed(self) -> bool:
        """Whether any of the forces is a guess of this tool."""
        return any(grip.guessed for grip in self.grips)

    @property
    def least(self) -> float:
        """The least of all margins, without unit."""
        return float(min(self.plane.min(), self.lift.min(), self.tip.min()))


def grips_in(setup: Setup, standing: tuple[str, ...]) -> tuple[Grip, ...]:
    """Return the grips that hold in a program: those whose solids stand then, and those without a solid."""
    of_solids = {thing_of(solid.name) for solid in setup.solids} | {solid.name for solid in setup.solids}
    up = {thing_of(name) for name in standing} | set(standing)
    return tuple(grip for grip in setup.grips if grip.name in up or grip.name not in of_solids)


def grips_of(load: Load, board: str) -> tuple[Grip, ...]:
    """Return the grips that hold one board while a program runs, each as hard as it can."""
    run = load.run
    return tuple(grip for grip in grips_in(run.setup, run.program.standing) if grip.board == board)


def holds_of(situation: Situation) -> tuple[Hold, ...]:
    """Return how every board is held in every program that cuts, where the setup says what grips it."""
    found = []
    for load in situation.loads:
        setup = load.run.setup
        if not len(load) or not setup.grips:
            continue
        for lie in setup.lies:
            grips = grips_of(load, lie.board)
            own = load_on(load, lie.board)
            if len(own):
                found.append(hold_of(situation, own, lie.board, grips))
    return tuple(found)


def hold_of(
    situation: Situation, load: Load, board: str, grips: tuple[Grip, ...], guess: float = FRICTION
) -> Hold:
    """Return how one board is held by `grips` against a program's load; `guess`: friction nobody stated."""
    setup = load.run.setup
    stated = situation.job.shop.friction
    friction = guess if stated is None else stated
    asked, pulled = situation.limits.factor * load.side, situation.limits.factor * load.pull
    grips = _met(grips)
    outline = shapely.Polygon(setup.outline_of(board))
    centre = (outline.centroid.x, outline.centroid.y)
    weight = _weight(situation, setup, board, outline.area)
    most = float(pulled.max())
    arm = math.sqrt(outline.area)
    body = _in_plane(grips, friction, most, weight, centre, arm)
    plane = _least_of(body.held, load, asked)
    lift, tip = _upright(setup, _Down.of(board, grips, friction, weight, centre), load, asked, pulled)
    return Hold(load, board, grips, friction, asked, pulled, plane, lift, tip, body.loose, weight)


def harder(hold: Hold, situation: Situation, times: float, kinds: tuple[str, ...]) -> Hold:
    """Return the same board with the grips that hold so (press, push, ...) as many times as hard."""
    grips = tuple(
        replace(g, force=g.force * times, lifts=g.lifts * times) if g.how in kinds else g for g in hold.grips
    )
    return hold_of(situation, hold.load, hold.board, grips)


def at_best(hold: Hold, situation: Situation) -> Hold:
    """Return the same board with all that is guessed of its holding at its most favourable.

    What the cutter asks stays as it is: that counts alike where every force is the shop's own. Tape and
    screws whose pull upwards nobody said hold nothing so far, and here as much as sideways; common practice,
    no source.
    """
    grips = tuple(
        replace(
            g,
            force=g.force * BEST_FORCE,
            lifts=max(g.lifts, g.force if g.how == "shear" else 0.0) * BEST_FORCE,
        )
        if g.guessed
        else g
        for g in grips_of(hold.load, hold.board)
    )
    return hold_of(situation, hold.load, hold.board, grips, BEST_FRICTION)


def _met(grips: tuple[Grip, ...]) -> tuple[Grip, ...]:
    """Return the grips with each push no harder than what meets it: a squeeze has two equal sides.

    Where a fence or stop stands against it, it is met whole; where nothing does, it moves the board.
    """
    met = []
    for grip in grips:
        if grip.how == "push":
            along = {
                how: sum(g.force for g in grips if g.how == how and faces(g, grip))
                for how in ("push", "carry")
            }
            own = sum(g.force for g in grips if g.how == "push" and _dot(g, grip) > STRAIGHT)
            against = along["push"] + along["carry"]
            if 0 < against < own:
                met.append(replace(grip, force=grip.force * against / own))
                continue
        met.append(grip)
    return tuple(met)


def faces(one: Grip, other: Grip) -> bool:
    """Say whether two grips act straight against each other."""
    return _dot(one, other) < -STRAIGHT


def _dot(one: Grip, other: Grip) -> float:
    return one.way[0] * other.way[0] + one.way[1] * other.way[1]


def _weight(situation: Situation, setup: Setup, board: str, area: float) -> float:
    """Return the least a board may weigh after this setup, N."""
    kinds = [b.species for b in situation.job.boards if b.name == board and b.species is not None]
    density = 1000 * SPECIES[kinds[0]].gravity if kinds else LIGHTEST
    top = min([setup.wood_top, *(cut.z for cut in setup.cuts if isinstance(cut, FaceCut))])
    under = max((shim.thickness for shim in setup.shims if shim.board == board), default=0.0)
    return density * 1e-9 * area * max(0.0, top - under) * GRAVITY


def _in_plane(
    grips: tuple[Grip, ...],
    friction: float,
    lifted: float,
    weight: float,
    centre: tuple[float, float],
    arm: float,
) -> Resistance:
    rubs = [(*centre, friction * max(0.0, weight - lifted))]
    bears, pushes = [], []
    for grip in grips:
        x, y, _ = grip.at
        if grip.how == "press":
            rubs.append((x, y, friction * max(0.0, grip.force - lifted)))
        elif grip.how == "push":
            pushes.append((x, y, *grip.way, grip.force))
            rubs.append((x, y, SHARED * friction * grip.force))
        elif grip.how == "carry":
            bears.append((x, y, *grip.way, grip.force))
        else:
            whole = grip.force if grip.how == "shear" else friction * max(0.0, grip.force - lifted)
            rubs += [(px, py, whole / 4) for px, py in _quarters(grip)]
    return Resistance.of(centre, arm, rubs, bears, pushes)


def _quarters(grip: Grip) -> list[tuple[float, float]]:
    """Give four places for an area, as a square: no rectangle of its area holds less against turning.

    Spread evenly over a square of side a it holds a moment of 0.3826 a times the force; these four, 0.3536 a.
    """
    off = math.sqrt(grip.area) / 4
    x, y, _ = grip.at
    return [(x + sx * off, y + sy * off) for sx in (-1, 1) for sy in (-1, 1)]


def _least_of(held_at: Callable[[Floats], Floats], load: Load, asked: Floats) -> Floats:
    """Return the margin of every move: what is held at the worse of its ends over what is asked.

    What is held falls from within outwards, never in a dent: so where many moves push alike, the outermost
    ends are looked at and stand for all of them.
    """
    margin = np.full(len(load), np.inf)
    some = asked > 0
    group = np.floor(np.log(np.where(some, asked, 1.0)) / math.log(FINE)).astype(int)
    for which in sorted(set(group[some].tolist())):
        rows = np.flatnonzero(some & (group == which))
        places = np.stack([load.a[rows, :2], load.b[rows, :2]], axis=1).reshape(-1, 2)
        if len(rows) <= MANY:
            held = held_at(places).reshape(-1, 2).min(axis=1)
        else:
            hull = shapely.MultiPoint(places).convex_hull
            held = held_at(np.asarray(shapely.get_coordinates(hull))).min()
        margin[rows] = held / asked[rows]
    return margin


def _upright(
    setup: Setup,
    hold: _Down,
    load: Load,
    asked: Floats,
    pulled: Floats,
) -> tuple[Floats, Floats]:
    """Return the margins against being lifted, and against tipping over any side of what the board lies on.

    Tipping: what presses down, times how far inside a side it does, against the pull at the cutter (up inside
    that side, or down beyond it) and the push sideways at the height of the wood.
    """
    with np.errstate(divide="ignore"):
        lift = np.where(pulled > 0, hold.force.sum() / pulled, np.inf)
    corners = _support(setup, hold.board)
    away = np.roll(corners, -1, axis=0) - corners
    inward = np.column_stack([-away[:, 1], away[:, 0]]) / np.hypot(away[:, 0], away[:, 1])[:, None]
    offset = (inward * corners).sum(axis=1)
    inside = hold.at @ inward.T - offset
    # What rubs resists whichever way it is moved: beyond a side it keeps the board from going down there.
    kept = (np.where(hold.rubs[:, None], np.abs(inside), inside) * hold.force[:, None]).sum(axis=0)
    tip = np.full(len(load), np.inf)
    for end in (load.a, load.b):
        turned = pulled[:, None] * np.abs(end[:, :2] @ inward.T - offset) + (asked * load.top)[:, None]
        tip = np.minimum(tip, (np.maximum(kept, 0.0) / np.maximum(turned, TINY)).min(axis=1))
    return lift, tip


@frozen(eq=False)
class _Down:
    """What keeps a board down, its weight too: `at` (k, 2), `force` (k,); `rubs` (k,): by friction."""

    board: str
    at: Floats
    force: Floats
    rubs: NDArray[np.bool_]

    @classmethod
    def of(
        cls, board: str, grips: tuple[Grip, ...], friction: float, weight: float, centre: tuple[float, float]
    ) -> _Down:
        at, force, rubs = [centre], [weight], [False]
        for grip in grips:
            down = grip.lifts
            if grip.how in ("press", "draw"):
                down += grip.force
            elif grip.how == "push":
                down += SHARED * friction * grip.force
            if down > 0:
                at.append(grip.at[:2])
                force.append(down)
                rubs.append(grip.how in ("push", "shear"))
        return cls(board, np.array(at), np.array(force), np.array(rubs))


def _support(setup: Setup, board: str) -> Floats:
    """Return the corners (n, 2), anticlockwise, of what a board cannot tip within: shims, risers, itself."""
    shims = [(shim.x, shim.y) for shim in setup.shims if shim.board == board]
    risers = [corner for solid in setup.solids if solid.kind == "riser" for corner in solid.outline]
    for points in (shims, risers, setup.outline_of(board)):
        hull = shapely.MultiPoint(np.asarray(points).reshape(-1, 2)).convex_hull
        if isinstance(hull, shapely.Polygon) and hull.area > TINY:
            return np.asarray(shapely.geometry.polygon.orient(hull).exterior.coords)[:-1]
    raise ValueError("a board whose outline has no area")
