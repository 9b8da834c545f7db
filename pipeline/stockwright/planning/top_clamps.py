"""Clamps on top of the board. In: a clamping, a zone on the face, what already stands. Out: arms and bodies.

Work frame, mm. Promise: they reach in from an edge that is not cut, no nearer to a wall that is cut than the
whole assembly allows, and never into the fence; what does not fit is a finding.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.findings import Finding
from stockwright.frozen import frozen
from stockwright.hold_downs import ARM, BODY, TopClamp
from stockwright.planning.clamping import FAR, GAP, beside_wall, box, none_listed, refusal
from stockwright.planning.enough_clamps import are_enough
from stockwright.planning.grips import press_grips
from stockwright.planning.places import BoltPlaces, none_fits
from stockwright.planning.setup import Solid

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.job import Zone
    from stockwright.planning.clamping import Clamping

__all__ = ["LEAST_REACH", "SPAN", "Reaching", "clamp_at", "clamps_on_the_face"]

SPAN = 400.0  # no clamp further from the next than this; common practice, no source
LEAST_REACH = 15.0  # of the arm on the board; common practice, no source
BEARS = 0.6  # of what an arm covers beyond the edge, the least share that is wood; common practice, no source
BELOW = -1.0  # where the tip of a cutter that trims an edge may run, at the lowest
ASIDE = 1.0  # from a piece of a fence that is higher than the board; common practice, no source
STEP = 2.0  # between the places tried along the board


@frozen(eq=False)
class Reaching:
    """A kind of clamp that reaches in over the near edge, or over the far one, among what stands."""

    c: Clamping
    zone: Zone
    clamp: TopClamp
    standing: tuple[Solid, ...]
    from_near: bool


def clamps_on_the_face(
    c: Clamping, zone: Zone, standing: tuple[Solid, ...], found: list[Finding]
) -> list[Solid]:
    """Return arm and body of each clamp, spread along the board; `found` takes what does not fit."""
    kinds = [h for h in c.shop.hold_downs if isinstance(h, TopClamp)]
    if not kinds:
        found.append(none_listed(c, zone, "clamp for the face"))
        return []
    h = kinds[0]
    from_near = c.place.side_looking(0.0, -1.0) not in zone.clear_of
    reaching = Reaching(c, zone, h, standing, from_near)
    lo, hi = _span(c, h, standing)
    solids: list[Solid] = []
    fewest = min(h.count, max(2, int(np.ceil((hi - lo) / SPAN)) + 1)) if hi > lo else 0
    for count in range(fewest, h.count + 1):
        xs = _places(c, h, lo, hi, standing if from_near else (), count)
        stood = _stood(reaching, xs, (lo, hi))
        if isinstance(stood, Finding):
            if count > fewest:
                break  # there is room for no more
            found.append(stood)
            return []
        if count > fewest and len(stood) <= len(solids):
            break
        solids = stood
        # More than hold it apart are set only where the cut asks for them.
        if are_enough(c, press_grips(c, solids)):
            break
    if len(solids) < 4:
        found.append(
            _no_room(
                c,
                zone,
                h,
                f"{len(solids) // 2} of at least 2 can stand along the board",
                (len(solids) / 2, 2),
                f"list at least 2 of {h.name}"
                if h.count < 2
                else _narrower(h, hi - lo, fenced=from_near and bool(_high(c, h, standing))),
            )
        )
    return solids


def _stood(r: Reaching, xs: list[float], room: tuple[float, float]) -> list[Solid] | Finding:
    """Return arm and body of a clamp at each of `xs`, near it where they are bolted; or why one has none."""
    h = r.clamp
    high = _high(r.c, h, r.standing) if r.from_near else []
    solids: list[Solid] = []
    stood: list[float] = []
    for number, x in enumerate(xs, 1):
        fixed = r.c.shop.bed.places is None and _on_wood(r, x) >= BEARS
        why: Finding | None = None
        for at in [x] if fixed else [at for at in _near(x, *room, h, stood) if _between(high, h, at)] or [x]:
            clamp = clamp_at(r, at, f"{h.name} {number}")
            if isinstance(clamp, Finding):
                why = clamp
                continue
            stood.append(at)
            solids.extend(clamp)
            break
        else:
            assert why is not None  # at one place at least it is tried
            return why
    return solids


def _span(c: Clamping, h: TopClamp, standing: tuple[Solid, ...]) -> tuple[float, float]:
    """Return where the middle of a clamp may stand along the board, clear of the ends that are cut."""
    x0, _, x1, _ = c.lying.bounds
    left, right = c.place.side_looking(-1.0, 0.0), c.place.side_looking(1.0, 0.0)
    lo = c.stop_lines.get(left, x0) + _keep(c, h, left)
    hi = c.stop_lines.get(right, x1) - _keep(c, h, right)
    inset = max(0.08 * (hi - lo), h.width / 2 + 3.0)
    lo, hi = lo + inset, hi - inset
    blocks = [
        (float(s.outline[:, 0].min()), float(s.outline[:, 0].max())) for s in standing if s.kind == "backing"
    ]
    middle, off = (lo + hi) / 2, h.width / 2 + GAP
    low = max([lo, *(b + off for a, b in blocks if a + b < 2 * middle)])
    return low, min([hi, *(a - off for a, b in blocks if a + b >= 2 * middle)])


def _near(wanted: float, lo: float, hi: float, h: TopClamp, stood: list[float]) -> list[float]:
    """Return the places to try where a clamp must stand on a slot or a hole, nearest to `wanted` first."""
    free = [
        float(x)
        for x in (wanted, *np.arange(lo, hi + STEP / 2, STEP))
        if all(abs(x - other) >= h.width + GAP for other in stood)
    ]
    return sorted(free, key=lambda x: (abs(x - wanted), x)) or [wanted]


def _keep(c: Clamping, h: TopClamp, side: str) -> float:
    """Return how far the clamps keep from a side that is cut in this clamping."""
    tool = next((t for s, t in c.walls.items() if s == side), None)
    if tool is None:
        return 0.0
    return beside_wall(tool, BELOW, c.face_height + h.arm_height, c.shop.machine.margin) + 2.0


def _places(
    c: Clamping, h: TopClamp, lo: float, hi: float, standing: tuple[Solid, ...], count: int
) -> list[float]:
    """Return where along the board `count` clamps stand: evenly, moved aside where a high fence is there.

    Fewer where so many do not go side by side.
    """
    count = max(0, min(count, int((hi - lo) // (h.width + GAP)) + 1))
    high = _high(c, h, standing)
    if not high:
        return [float(x) for x in np.linspace(lo, hi, count)]
    free = [float(x) for x in np.arange(lo, hi + STEP / 2, STEP) if _between(high, h, float(x))]
    chosen: list[float] = []
    for wanted in np.linspace(lo, hi, count):
        apart = [x for x in free if all(abs(x - other) >= h.width + GAP for other in chosen)]
        if apart:
            chosen.append(min(apart, key=lambda x: (abs(x - float(wanted)), x)))
    return sorted(chosen)


def _high(c: Clamping, h: TopClamp, standing: tuple[Solid, ...]) -> list[Solid]:
    """Return the pieces of a fence over which no clamp reaches, since they are higher than the board."""
    beside = float(c.wood.plan(c.place).bounds[1]) - GAP - h.body_depth
    return [
        s for s in standing if s.kind == "fence" and s.top > c.face_height and s.outline[:, 1].max() > beside
    ]


def _between(high: Sequence[Solid], h: TopClamp, x: float) -> bool:
    """Say whether a clamp at `x` stands clear of pieces that are higher than the board."""
    half = h.width / 2 + ASIDE
    return not any(s.outline[:, 0].max() > x - half and s.outline[:, 0].min() < x + half for s in high)


def _on_wood(r: Reaching, x: float) -> float:
    """Return the share of an arm, as far as it reaches in, that lies on wood: not all by a notch or void."""
    h, plan = r.clamp, r.c.wood.plan(r.c.place)
    a, b = x - h.width / 2, x + h.width / 2
    _, near, _, far = plan.intersection(shapely.box(a, -FAR, b, FAR)).bounds
    low, high = (near, near + h.reach) if r.from_near else (far - h.reach, far)
    share: float = plan.intersection(shapely.box(a, low, b, high)).area / (h.width * (high - low))
    return share


def clamp_at(r: Reaching, x: float, name: str) -> tuple[Solid, Solid] | Finding:
    """Return the arm and body of a clamp at `x` along the board, or why it does not fit."""
    c, zone, h, standing, from_near = r.c, r.zone, r.clamp, r.standing, r.from_near
    a, b = x - h.width / 2, x + h.width / 2
    _, near, _, far = c.wood.plan(c.place).intersection(shapely.box(a, -FAR, b, FAR)).bounds
    across = c.place.side_looking(0.0, 1.0 if from_near else -1.0)
    wall = c.stop_lines.get(across, far if from_near else near)
    room = abs(wall - (near if from_near else far)) - _keep(c, h, across)
    reach = min(h.reach, room)
    if from_near:
        # The body stands between fence and board where there is room for it, else behind the fence.
        behind = [
            float(s.outline[:, 1].min())
            for s in standing
            if s.kind == "fence"
            and s.outline[:, 0].max() > a
            and s.outline[:, 0].min() < b
            and s.outline[:, 1].max() > near - GAP - h.body_depth
        ]
        foot = min([near, *behind]) - GAP
        arm, body = box(a, foot, b, near + reach), box(a, foot - h.body_depth, b, foot)
        need = near + reach - foot
    else:
        foot = far + GAP
        arm, body = box(a, far - reach, b, foot), box(a, foot, b, foot + h.body_depth)
        need = foot - (far - reach)
    if reach < LEAST_REACH:
        bears = f"its arm would bear on {reach:.1f} mm of the board"
        cure = (
            f"list a clamp that reaches {LEAST_REACH:g} mm or more"
            if h.reach < LEAST_REACH
            else f"take a board at least {LEAST_REACH - room:.1f} mm wider"
        )
        return _no_room(c, zone, h, bears, (reach, LEAST_REACH), cure)
    if need > h.arm:
        cure = f"list a clamp with an arm of at least {np.ceil(need * 10) / 10:.1f} mm"
        return _no_room(c, zone, h, f"it would need an arm of {need:.1f} mm", (need, h.arm), cure)
    places = BoltPlaces.of(c.shop)
    way = -1.0 if from_near else 1.0
    out = places.outward(x, float(body[:, 1].mean()), way, h.arm - need)
    if out is None:
        off, _ = places.nearest(x, float(body[:, 1].mean()))
        return none_fits(c.index, h.name, f"x {x:.0f} mm", off, places.play)
    on_wood = _on_wood(replace(r, clamp=replace(h, reach=reach)), x)
    if on_wood < BEARS:
        bears = f"{on_wood:.0%} of its arm would bear on wood at x {x:.0f} mm"
        cure = "list a narrower clamp, saw the notch beside it out"
        return _no_room(c, zone, h, bears, (on_wood, BEARS), cure)
    if out > 0:
        body = body + np.array([0.0, way * out])
        arm = arm + np.array(
            [[0.0, way * out if (y == arm[:, 1].min()) == from_near else 0.0] for y in arm[:, 1]]
        )
    top = c.face_height + h.arm_height
    return (
        Solid(name + ARM, "top-clamp", arm, c.face_height, top),
        Solid(name + BODY, "top-clamp", body, 0.0, top),
    )


def _narrower(h: TopClamp, room: float, *, fenced: bool) -> str:
    """Say how narrow two clamps must be to stand beside each other where their middles have `room`.

    `fenced`: a fence higher than the board is in their way, and clamps stand in its gaps.
    """
    most = h.width - max(0.0, h.width + GAP - max(room, 0.0)) / 2
    if room <= 0 or most <= GAP:
        return f"take a board at least {h.width + GAP - room:.1f} mm longer"
    ways = []
    if most < h.width or not fenced:
        ways.append(f"list clamps at most {np.floor(most * 10) / 10:.1f} mm wide")
    if fenced:
        gap = h.width + 2 * ASIDE
        ways.append(f"leave a gap of {gap:.1f} mm in the fence near either end of the board")
    return ", and ".join(ways)


def _no_room(
    c: Clamping, zone: Zone, h: TopClamp, why: str, numbers: tuple[float, float], cure: str
) -> Finding:
    return refusal(
        c,
        "no-room-for-clamps",
        f"{h.name} does not fit zone {zone.name}: {why}",
        f"{cure}, or hold this board another way",
        *numbers,
    )
