"""Hold-downs and everything else that stands on the bed. In: a situation, not changed. Out: findings."""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.checking.clearance import Near, nearest
from stockwright.checking.parts import parts_of
from stockwright.checking.paths import paths_of
from stockwright.checking.wording import down, shown, up
from stockwright.findings import Finding
from stockwright.hold_downs import thing_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.checking.situation import Run, Situation
    from stockwright.planning.setup import Setup, Solid

    Floats = NDArray[np.float64]

__all__ = ["held_by_nothing", "hold_down_in_the_way", "solids_overlap"]

HOLDS = ("side-clamp", "stop", "top-clamp", "wedge", "lever-stop", "screw")
HOLD_AS = ("press", "push", "shear", "draw")  # a fence alone carries, and holds nothing
SMALLEST = 1.0  # mm: nothing lower than this is a hold-down
DEEP = 0.1  # mm: what interpenetrates less only touches


def hold_down_in_the_way(situation: Situation) -> tuple[Finding, ...]:
    """Something that moves comes nearer than the machine's margin to something that stands.

    A cutter in a clamp shatters, a nut or spindle nose against one throws the board off. Every part of the
    assembly is followed along every move, rapids included, and for a machine whose axes run by themselves a
    rapid counts as the whole box of its two ends; only the cutting part may enter scrap, and only as deep as
    that may be cut. Cure: move or lower what stands in the way by the numbers given.
    """
    found = []
    machine = situation.machine
    for run in situation.runs:
        paths = paths_of(run.moves, machine, run.setup.work_origin)
        parts = parts_of(run.program.tool, machine, run.setup.work_origin[2])
        for solid in run.standing:
            near = [n for p in parts if (n := nearest(paths, p, solid, machine.margin)) is not None]
            if near:
                found.append(_in_the_way(run, solid, near, machine.margin))
    return tuple(found)


def solids_overlap(situation: Situation) -> tuple[Finding, ...]:
    """Two things that stand at the same time, or one of them and the wood, would fill the same space.

    The sheet would ask for what cannot be set up, and whoever sets it up shifts something until it fits:
    then nothing stands where it was checked. Two parts of one clamp may meet. Cure: move one of them by the
    number given.
    """
    found = []
    for setup in situation.setups:
        runs = situation.runs_of(setup)
        for index, one in enumerate(setup.solids):
            for other in setup.solids[index + 1 :]:
                if thing_of(one.name) == thing_of(other.name) or not _together(one, other, runs):
                    continue
                found += _overlap(setup, one, other.name, other.outline, other.bottom, other.top)
            through = one.kind == "screw"  # it goes into the wood and is meant to
            if setup.lies and not through and one.may_cut_to is None and len(setup.wood_outline) >= 3:
                # A clamp's arm rests on the wood, whose top is only known to its uncertainty.
                top = setup.wood_top if one.bottom <= 0 else min(setup.wood_top, one.bottom)
                found += _overlap(setup, one, "the wood", setup.wood_outline, 0.0, top)
    return tuple(found)


def held_by_nothing(situation: Situation) -> tuple[Finding, ...]:
    """A board is cut with nothing planned that holds it.

    A fence carries a push towards it and nothing else; the first tooth that grabs takes the board along.
    Clamps, stops, wedges, screws, tape and vacuum all count, once the shop's document lists them and the
    recipe asks for them. Nothing is guessed here that might be enough, so it refuses. Cure: list the shop's
    hold-downs and ask for them in the recipe.
    """
    found = []
    for setup in situation.setups:
        stands = any(s.kind in HOLDS for s in setup.solids)
        if not setup.lies or stands or any(g.how in HOLD_AS for g in setup.grips):
            continue
        x, y = setup.wood_outline.mean(axis=0) if len(setup.wood_outline) else (0.0, 0.0)
        found.append(
            Finding(
                rule="held-by-nothing",
                level="refuse",
                message=f"no hold-down is planned in setup {setup.index}, {setup.title}",
                remedy="ask for hold-downs in the recipe's `hold`, at least 1, and list them in the "
                "shop's document",
                measured=0.0,
                limit=1.0,
                setup=setup.index,
                at=(float(x), float(y), setup.wood_top),
            )
        )
    return tuple(found)


def _in_the_way(run: Run, solid: Solid, near: list[Near], margin: float) -> Finding:
    worst = min(near, key=lambda n: n.clear)
    origin = run.setup.work_origin[2]
    if worst.clear < 0:
        hit = f"goes {shown(min(-worst.beside, 2 * worst.part.radius))} mm into"
    elif worst.above > worst.beside:
        hit = f"passes {shown(worst.above)} mm above"
    else:
        hit = f"comes within {shown(worst.beside)} mm of"
    ways = [_moved(solid, near, margin)]
    lower = min(n.lowest for n in near) - margin
    if solid.may_cut_to is None and lower > solid.bottom + SMALLEST:
        ways.append(f"use one no higher than {down(lower + origin)} mm above the bed")
    if solid.kind == "fence" and solid.may_cut_to is not None and worst.part.kind == "shank":
        # It is the fence itself that is cut: neither moved nor lifted off it would be jointed.
        longer = up(run.program.tool.cutting_length + margin - worst.above)
        ways = [f"joint the fence with a cutter that cuts {longer} mm deep or more"]
    elif solid.kind == "fence":
        ways.append("lift this piece off the fence")
    return Finding(
        rule="hold-down-in-the-way",
        level="refuse",
        message=f"the {worst.part.name} of {run.program.tool.name} {hit} {solid.name}; "
        f"{shown(margin)} mm must stay between them",
        remedy=", or ".join(ways),
        measured=worst.clear,
        limit=margin,
        setup=run.setup.index,
        program=run.program.stem,
        at=worst.at,
    )


def _moved(solid: Solid, near: list[Near], margin: float) -> str:
    """Say the shortest move along one axis that clears everything that passes at the solid's heights."""
    (sx0, sy0), (sx1, sy1) = solid.outline.min(axis=0), solid.outline.max(axis=0)
    ways = (
        (max(n.swept[2] for n in near) + margin - sx0, "to the right"),
        (sx1 - min(n.swept[0] for n in near) + margin, "to the left"),
        (max(n.swept[3] for n in near) + margin - sy0, "away from the operator"),
        (sy1 - min(n.swept[1] for n in near) + margin, "towards the operator"),
    )
    by, where = min(ways)
    return f"move it {up(float(by))} mm {where}"


def _together(one: Solid, other: Solid, runs: tuple[Run, ...]) -> bool:
    """Say whether two solids stand in one program; without programs all stand at once."""
    return not runs or any(one in run.standing and other in run.standing for run in runs)


def _overlap(
    setup: Setup, one: Solid, name: str, outline: Floats, bottom: float, top: float
) -> list[Finding]:
    shared = min(one.top, top) - max(one.bottom, bottom)
    low, high = np.min(outline, axis=0), np.max(outline, axis=0)
    own_low, own_high = one.outline.min(axis=0), one.outline.max(axis=0)
    if shared <= DEEP or (np.minimum(high, own_high) - np.maximum(low, own_low)).min() <= DEEP:
        return []
    both = shapely.Polygon(one.outline).intersection(shapely.Polygon(outline))
    if both.buffer(-DEEP / 2).is_empty:
        return []
    ways = (
        (high[0] - own_low[0], "to the right"),
        (own_high[0] - low[0], "to the left"),
        (high[1] - own_low[1], "away from the operator"),
        (own_high[1] - low[1], "towards the operator"),
    )
    by, where = min(ways)
    at = both.representative_point()
    left, bottom_edge, right, top_edge = both.bounds
    return [
        Finding(
            rule="solids-overlap",
            level="refuse",
            message=f"{one.name} and {name} share {shown(both.area)} mm2 in plan and {shown(shared)} mm "
            "in height",
            remedy=f"move {one.name} {up(float(by))} mm {where}",
            measured=min(right - left, top_edge - bottom_edge),
            limit=DEEP,
            setup=setup.index,
            at=(float(at.x), float(at.y), float(max(one.bottom, bottom))),
        )
    ]
