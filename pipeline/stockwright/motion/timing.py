"""How long a program runs. In: a `Program` and what the machine can do. Out: seconds.

Promise: acceleration is paid for at every start, stop and corner, not distance over feed. Not modelled:
jerk, the depth of the controller's buffer, the person at a pause; so show the number as a band.
The mathematics is textbook kinematics: uniform acceleration, and a corner run as the arc that touches
both sides and stays within `corner` of the point (common practice, no source).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.motion.arcs import bow_of
from stockwright.motion.moves import moves
from stockwright.motion.nodes import Arc, Dwell, Feed, Program, Rapid, Remark, SpindleOn

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stockwright.motion.moves import Moves
    from stockwright.motion.nodes import Node

    Floats = NDArray[np.float64]

__all__ = ["along", "corner_speed", "run_time", "run_times", "seconds", "segment_time"]

# One less the sine of half the interior angle: below this a corner is a straight line, but for rounding.
_ALMOST_STRAIGHT = 1e-12


def along(limit: tuple[float, float, float], units: Floats) -> Floats:
    """Give what per-axis limits allow along unit vectors (n, 3): (n,), the units of `limit`."""
    share = np.abs(units)
    with np.errstate(divide="ignore"):
        allowed: Floats = np.min(
            np.where(share > 0, np.asarray(limit) / np.where(share > 0, share, 1.0), np.inf), axis=1
        )
    return allowed


def corner_speed(before: Floats, after: Floats, acceleration: Floats, corner: float) -> Floats:
    """Give the fastest speed through corners, mm/s, (n,); infinite where the path runs straight on.

    `before`, `after` (n, 3) unit vectors of travel; `acceleration` (n,) mm/s2; `corner` mm, how far the
    path may cut inside the point. The arc's radius is corner * s / (1 - s), s the sine of half the
    interior angle; 0 mm, or a path that turns back on itself, is a stop.
    """
    turned = np.sum(before * after, axis=1)  # cosine of the angle turned through
    sine = np.sqrt(np.clip((1 + turned) / 2, 0.0, 1.0))
    straight = 1 - sine < _ALMOST_STRAIGHT
    radius = corner * sine / np.where(straight, 1.0, 1 - sine)
    return np.where(straight, np.inf, np.sqrt(acceleration * radius))


def segment_time(length: Floats, cap: Floats, acceleration: Floats, enter: Floats, leave: Floats) -> Floats:
    """Give seconds for straight pieces (n,) entered and left at given speeds.

    mm, mm/s, mm/s2. Trapezoid where the cap is reached, triangle where it is not.
    """
    peak = np.minimum(cap, np.sqrt((2 * acceleration * length + enter**2 + leave**2) / 2))
    peak = np.maximum(peak, np.maximum(enter, leave))  # rounding only: both are within the cap
    ramps = (2 * peak**2 - enter**2 - leave**2) / (2 * acceleration)
    cruise = np.maximum(length - ramps, 0.0) / peak
    seconds_each: Floats = (peak - enter) / acceleration + (peak - leave) / acceleration + cruise
    return seconds_each


def run_time(length: Floats, cap: Floats, acceleration: Floats, junction: Floats) -> float:
    """Give seconds for a chain of pieces: `run_times` summed."""
    return float(np.sum(run_times(length, cap, acceleration, junction)))


def run_times(length: Floats, cap: Floats, acceleration: Floats, junction: Floats) -> Floats:
    """Give seconds (n,) for each piece of a chain, with look-ahead over all of it.

    `length`, `cap`, `acceleration` (n,) in mm, mm/s, mm/s2, lengths above zero; `junction` (n - 1,) mm/s,
    the fastest speed between neighbours (0: a stop). The chain begins and ends at rest.

    Braking asks v[i]^2 <= v[j]^2 + 2 (E[j] - E[i]) for every later j, E the running sum of a * L: a running
    minimum of v^2 + 2 E from the end. Speeding up is the same from the start. No loop is needed.
    """
    if len(length) == 0:
        return np.empty(0)
    square = np.zeros(len(length) + 1)
    square[1:-1] = np.minimum(junction, np.minimum(cap[:-1], cap[1:])) ** 2
    energy = np.concatenate([[0.0], np.cumsum(2 * acceleration * length)])
    braked = np.minimum.accumulate((square + energy)[::-1])[::-1] - energy
    square = np.clip(np.minimum(square, braked), 0.0, None)
    gained = np.minimum.accumulate(square - energy) + energy
    square = np.clip(np.minimum(square, gained), 0.0, None)
    speed = np.sqrt(square)
    return segment_time(length, cap, acceleration, speed[:-1], speed[1:])


def seconds(
    program: Program,
    machine_rapid: float | tuple[float, float, float],
    acceleration: float | tuple[float, float, float],
    corner: float = 0.01,
    *,
    spin_up: float = 0.0,
) -> float:
    """Give how long a program runs, s.

    `machine_rapid` mm/min and `acceleration` mm/s2, one for all axes or one an axis; `corner` mm (0: a
    control that stops exactly at every corner). `spin_up` seconds are added for each spindle start, for
    a post or a machine that waits there. Machine words stop the motion; a remark does not. Moves from a
    place not yet known count the axes that are known.
    """
    columns = moves(program)
    waits = sum(node.seconds for node in program.nodes if isinstance(node, Dwell))
    waits += spin_up * sum(isinstance(node, SpindleOn) for node in program.nodes)
    step = np.nan_to_num(columns.end - columns.start, nan=0.0)
    length = np.linalg.norm(step, axis=1)
    moving = length > 0
    step, length, rapid = step[moving], length[moving], columns.rapid[moving]
    if len(length) == 0:
        return float(waits)
    unit = step / length[:, None]
    top, push = _along(machine_rapid, unit), _along(acceleration, unit)
    cap = np.where(rapid, top, np.fmin(columns.feed[moving], top))
    # On an arc the push bends the path: v^2 / r. Its chords meet too flatly for `corner` to say so.
    cap = np.fmin(cap, 60 * np.sqrt(push * _radii(program, columns)[moving]))
    junction = corner_speed(unit[:-1], unit[1:], np.minimum(push[:-1], push[1:]), corner)
    block = _blocks(program.nodes)[columns.node[moving]]
    junction[block[:-1] != block[1:]] = 0.0
    return float(waits) + run_time(length, cap / 60, push, junction)


def _along(limit: float | tuple[float, float, float], units: Floats) -> Floats:
    if isinstance(limit, tuple):
        return along(limit, units)
    return np.full(len(units), float(limit))


def _radii(program: Program, columns: Moves) -> Floats:
    """Give the radius of the arc that each move is a chord of, mm, (n,); infinite where it is none."""
    radii = np.full(len(columns), np.inf)
    for index, node in enumerate(program.nodes):
        if isinstance(node, Arc):
            chords = np.flatnonzero(columns.node == index)
            radii[chords] = bow_of(columns.start[chords[0]], node).radius
    return radii


def _blocks(nodes: tuple[Node, ...]) -> NDArray[np.intp]:
    """Give each node the number of its stretch between machine words: motion stops where it changes."""
    stops = np.array([not isinstance(node, Feed | Arc | Rapid | Remark) for node in nodes], dtype=np.intp)
    return np.cumsum(stops)
