"""What burns, grabs or breaks out. In: a situation, not changed. Out: findings."""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.checking.forces import SAME
from stockwright.checking.wording import down, shown, up
from stockwright.findings import Finding
from stockwright.motion.nodes import Dwell, Pause, SpindleOff, SpindleOn
from stockwright.planning.setup import EdgeCut

if TYPE_CHECKING:
    from stockwright.checking.forces import Load
    from stockwright.checking.situation import Run, Situation
    from stockwright.planning.setup import Setup

__all__ = ["breakout_unbacked", "climbs_too_heavily", "dwells_in_the_wood", "last_pass_rubs"]

LIGHT = 0.5  # mm sideways at most in a climbing pass; common practice, no source
TOUCHES = 0.1  # mm: what comes nearer to the wood rubs on it
BACKS = 1.5  # mm: scrap no further from a corner backs it; common practice, no source


def climbs_too_heavily(situation: Situation) -> tuple[Finding, ...]:
    """A cutter climbs along an edge in more than a light pass.

    Where the wood is on its right a clockwise cutter pulls itself along and the work towards it: it takes
    up every play of the machine, and a board that gives way is drawn in. As a light last pass it leaves the
    cleanest edge; in a slot or a heavy pass it grabs. The bound of 0.5 mm sideways is common practice, no
    source. Cure: a lighter last pass, the rest taken with the wood on the left.
    """
    found = []
    for bites in situation.bites:
        climbs = (bites.wall >= 0) & ~bites.left & (bites.width > LIGHT + SAME)
        if not climbs.any():
            continue
        index = int(np.where(climbs, bites.width, 0.0).argmax())
        cut = bites.run.setup.cuts[int(bites.wall[index])]
        end = bites.b[bites.row[index]]
        found.append(
            Finding(
                rule="climbs-too-heavily",
                level="refuse",
                message=f"{cut.tool.name} climbs along {cut.name} and takes "
                f"{shown(float(bites.width[index]))} mm sideways; more than {LIGHT:g} mm pulls the board in",
                remedy=f"set the light of {cut.name} to {LIGHT:g} mm or less",
                measured=round(float(bites.width[index]), 3),
                limit=LIGHT,
                setup=bites.run.setup.index,
                program=bites.run.program.stem,
                at=(float(end[0]), float(end[1]), float(end[2])),
            )
        )
    return tuple(found)


def last_pass_rubs(situation: Situation) -> tuple[Finding, ...]:
    """A light last pass is so thin that its teeth rub instead of cutting.

    A last pass makes thin chips because little of the cutter is engaged; far below 0.03 mm an edge no
    longer bites: it polishes, heats and burns the wall that is to be seen. The bound is common practice, no
    source. Cure: feed faster, or leave a little more for the last pass.
    """
    found = []
    least = situation.limits.light_chip
    for load in situation.loads:
        some = load.light & (load.chip < least - 1e-6)
        # Only a pass that is thin all along counts: its leftovers at ragged ends are thin by nature.
        if not some.any() or (load.light & ~some).any():
            continue
        index = int(np.where(some, load.chip, np.inf).argmin())
        found.append(_rubs(situation, load, index, least))
    return tuple(found)


def dwells_in_the_wood(situation: Situation) -> tuple[Finding, ...]:
    """A turning cutter waits where it touches wood.

    Its teeth go on rubbing in one place: a burn, a mark a person sees for ever, and in a heap of dust the
    beginning of a fire. Cure: raise the cutter clear of the wood before it waits.
    """
    found = []
    for run in situation.runs:
        found += _dwells(run, situation.machine.margin)
    return tuple(found)


def breakout_unbacked(situation: Situation) -> tuple[Finding, ...]:
    """Teeth leave the wood at a corner that is finished, and nothing backs it.

    Across the grain the last fibres have nothing behind them and break off. With a cutter turning clockwise
    an end that lies to the left breaks out at its near corner, one to the right at its far corner; an edge
    cut afterwards takes the breakout with it, scrap against the corner keeps it from happening. Cure: cut
    that edge after the end, or, where it is to stay as it grew, back the corner.
    """
    order = [(setup, cut) for setup, cut in situation.cuts() if isinstance(cut, EdgeCut) and cut.side]
    found = []
    for place, (setup, cut) in enumerate(order):
        if not (cut.side or "").startswith("end") or not setup.lies:
            continue
        edge, corner = _exit(setup, cut)
        later = {c.side for _, c in order[place + 1 :] if c.board == cut.board}
        backing = [s.outline for s in setup.solids if s.kind == "backing"]
        point = shapely.Point(corner)
        if edge in later or any(shapely.Polygon(o).distance(point) <= BACKS for o in backing):
            continue
        done = edge in {c.side for _, c in order[:place] if c.board == cut.board}
        x, y = corner
        run = situation.run_for(setup, cut.tool)
        found.append(
            Finding(
                rule="breakout-unbacked",
                level="warn",
                message=f"teeth leave the wood at the corner of {cut.side} and {edge}, which "
                f"{'is finished already' if done else 'stays as it is'}, and nothing backs it",
                remedy=f"cut {edge} after {cut.side}{'' if done else ', unless it is to stay as it grew'}, "
                "or list scrap of kind `backing` and set it against the corner "
                f"at x {shown(x)}, y {shown(y)}",
                measured=0.0,
                limit=1.0,
                setup=setup.index,
                program=run.program.stem if run else None,
                at=(x, y, 0.0),
            )
        )
    return tuple(found)


def _exit(setup: Setup, cut: EdgeCut) -> tuple[str, tuple[float, float]]:
    """Return the edge at which teeth leave a wall, and the corner there (x, y)."""
    way = np.asarray(cut.line[1]) - np.asarray(cut.line[0])
    way = way / float(np.hypot(*way))
    # The cutter stands outside; its teeth next to the wall go to the left of the way outwards.
    outwards = np.array([way[1], -way[0]]) * (1.0 if cut.inside == "left" else -1.0)
    teeth = np.array([-outwards[1], outwards[0]])
    lie = next((each for each in setup.lies if each.board == cut.board), setup.lies[0])
    edge = "edge-2" if float(lie.matrix[:2, 1] @ teeth) > 0 else "edge-1"
    line = shapely.LineString([cut.line[0] - 1e4 * way, cut.line[1] + 1e4 * way])
    on = shapely.get_coordinates(line.intersection(shapely.Polygon(setup.wood_outline).buffer(TOUCHES)))
    ends = on if len(on) else np.asarray(cut.line)
    corner = ends[int((ends @ teeth).argmax())]
    return edge, (round(float(corner[0]), 2), round(float(corner[1]), 2))


def _rubs(situation: Situation, load: Load, index: int, least: float) -> Finding:
    tool = load.tool
    chip, feed = float(load.chip[index]), float(load.feed[index])
    ways = []
    if feed * least / chip <= situation.machine.max_feed:
        ways.append(f"set its feed to {up(feed * least / chip, 10)} mm/min")
    sine = least / (feed / (load.rpm * tool.flutes))
    if sine < 1:
        wide = tool.diameter / 2 * (1 - math.cos(math.asin(sine)))
        if wide <= LIGHT:
            ways.append(f"set the light of its edges to {up(wide + SAME, 0.01)} mm")
    slower = load.rpm * chip / least
    if not ways or (len(ways) < 2 and slower >= situation.machine.min_rpm):
        ways.append(f"set its speed to {down(slower, 100)} rpm")
    return Finding(
        rule="last-pass-rubs",
        level="warn",
        message=f"the last pass of {tool.name} takes {shown(float(load.width[index]))} mm and makes chips of "
        f"at most {chip:.3f} mm; below {least:g} mm edges rub and burn",
        remedy=", or ".join(ways),
        measured=round(chip, 5),
        limit=least,
        setup=load.run.setup.index,
        program=load.run.program.stem,
        at=load.at(index),
    )


def _dwells(run: Run, margin: float) -> list[Finding]:
    turning, found = False, []
    outline = shapely.Polygon(run.setup.wood_outline) if len(run.setup.wood_outline) >= 3 else None
    for index, node in enumerate(run.program.nodes):
        if isinstance(node, SpindleOn | SpindleOff):
            turning = isinstance(node, SpindleOn)
        if not isinstance(node, Dwell | Pause) or not turning or outline is None:
            continue
        before = np.flatnonzero(run.moves.node < index)
        if not len(before):
            continue
        place = run.moves.end[before[-1]]
        height = run.setup.wood_top - float(place[2])
        near = outline.distance(shapely.Point(place[:2])) - run.program.tool.radius
        if not np.isfinite(place).all() or height <= -TOUCHES or near > TOUCHES:
            continue
        waits = f"waits {shown(node.seconds)} s" if isinstance(node, Dwell) else "waits for the person"
        found.append(
            Finding(
                rule="dwells-in-the-wood",
                level="refuse",
                message=f"{run.program.tool.name} {waits} with its tip {shown(abs(height))} mm "
                f"{'below' if height >= 0 else 'above'} the top of the wood",
                remedy=f"raise it {up(height + margin)} mm before it waits",
                measured=round(-height, 3),
                limit=margin,
                setup=run.setup.index,
                program=run.program.stem,
                at=(float(place[0]), float(place[1]), float(place[2])),
            )
        )
    return found
