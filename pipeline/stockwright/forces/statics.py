"""Whether a board stays where it is. In: what holds it, and where it is pushed. Out: how hard it may be.

Rigid-body statics, mm, N, N mm, N/mm2. What resists in the plane is a convex body of (force x, y, moment):
the sum of a polygon inside each friction circle, of each contact that only pushes, of each clamp's constant
push. Such a sum of segments has its faces across two of its segments each, so all of them are listed and none
is left to chance. By the static theorem of limit analysis a push inside it is held; friction that only a
contact's own reaction would raise is left out, for two stops could else squeeze without end. Public:
    Resistance: the body, and how great a force is `held` at places
    bow_from_edge: how far a squeeze off its middle bows a board
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.spring import second_moment
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = [
    "Resistance",
    "bow_from_edge",
]

SPOKES = 4  # segments of a friction polygon: an octagon with its corners on the circle, at worst 7.6 % inside
NEAR = 1e-6  # N; sums that should be nothing
FLAT = 1e-9  # of the scale: a normal shorter than this belongs to two parallel segments
LEVEL = 1e-6  # sine: normals that differ by less are one


def bow_from_edge(
    force: float, off: float, width: float, length: float, thickness: float, stiffness: float
) -> float:
    """Return the bow of a board squeezed `off` its mid-plane across its width, mm: M w2 / (8 E I)."""
    return force * off * width**2 / (8 * stiffness * second_moment(length, thickness))


@frozen(eq=False)
class Resistance:
    """What can act against a push, as a convex body about `about` (x, y), moments over `arm` mm.

    The body is {r : normals @ r <= reach}: `normals` (m, 3), `reach` (m,), N. With no normals nothing holds.
    """

    about: tuple[float, float]
    arm: float
    normals: Floats
    reach: Floats

    @property
    def loose(self) -> bool:
        """Whether the pushes alone move the board: nothing balances them."""
        return len(self.reach) > 0 and float(self.reach.min()) < -NEAR

    @classmethod
    def of(
        cls,
        about: tuple[float, float],
        arm: float,
        rubs: Sequence[tuple[float, float, float]],
        bears: Sequence[tuple[float, float, float, float, float]],
        pushes: Sequence[tuple[float, float, float, float, float]],
    ) -> Resistance:
        """Give the body of friction `rubs` (x, y, most), contacts `bears` and constant `pushes`.

        Both of the latter (x, y, way x, way y, force): a contact answers with none of its force up to all of
        it, a push is always there.
        """
        segments: list[tuple[float, float, float]] = []
        middle = np.zeros(3)

        def wrench(x: float, y: float, fx: float, fy: float) -> Floats:
            return np.array([fx, fy, ((x - about[0]) * fy - (y - about[1]) * fx) / arm])

        for x, y, most in rubs:
            half = most * math.sin(math.pi / (2 * SPOKES))
            for k in range(SPOKES):
                turn = math.pi * k / SPOKES
                segments.append(tuple(wrench(x, y, half * math.cos(turn), half * math.sin(turn))))
        for x, y, wx, wy, most in bears:
            half_way = wrench(x, y, wx * most / 2, wy * most / 2)
            middle += half_way
            segments.append(tuple(half_way))
        for x, y, wx, wy, force in pushes:
            middle += wrench(x, y, wx * force, wy * force)
        halves = np.array([s for s in segments if any(s)], dtype=np.float64).reshape(-1, 3)
        one, two = np.triu_indices(len(halves), 1)
        normals = np.cross(halves[one], halves[two])
        size = np.linalg.norm(normals, axis=1)
        scale = float(np.abs(halves).max(initial=0.0)) ** 2
        keep = size > FLAT * max(scale, FLAT)
        normals = normals[keep] / size[keep][:, None]
        if len(normals) and float(np.abs(np.cross(normals[0], normals)).max()) < LEVEL:
            # All that resists is at one place: a body without thickness, which its rim bounds as well.
            rim = np.cross(normals[0], halves)
            long = np.linalg.norm(rim, axis=1)
            normals = np.vstack([normals[:1], rim[long > 0] / long[long > 0][:, None]])
        normals = np.vstack([normals, -normals])
        reach = np.abs(normals @ halves.T).sum(axis=1) + normals @ middle
        return cls(about, arm, normals, reach)

    def held(self, places: Floats) -> Floats:
        """Return for each place (n, 2) how great a force is held there whichever way it pushes, N, (n,).

        0 where nothing holds, or where the pushes themselves move the board.
        """
        if len(self.normals) == 0 or self.loose:
            return np.zeros(len(places))
        x = (places[:, 0] - self.about[0]) / self.arm
        y = (places[:, 1] - self.about[1]) / self.arm
        u = self.normals
        # A force of one newton at (x, y), any way: against a face it weighs at most this much.
        weighs = np.hypot(u[:, 0] - u[:, 2] * y[:, None], u[:, 1] + u[:, 2] * x[:, None])
        held: Floats = np.where(
            weighs > FLAT, np.maximum(self.reach, 0.0) / np.maximum(weighs, FLAT), np.inf
        ).min(axis=1)
        return held
