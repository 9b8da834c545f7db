"""What holds a board, bound to millimetres and newtons.

In: a shop's document. Out: hold-downs, and their places. mm, N, N/mm2, N mm, degrees. Promise: a force that
the shop does not state is None here; what is assumed in its place is a guess, and the sheet calls it one.
"""

from __future__ import annotations

from stockwright.frozen import frozen

__all__ = [
    "ARM",
    "BODY",
    "PARTS",
    "Backing",
    "Beside",
    "Bolt",
    "Channel",
    "HoldDown",
    "LeverStop",
    "Places",
    "Riser",
    "Screw",
    "SideClamp",
    "Stop",
    "Tape",
    "TopClamp",
    "Vacuum",
    "Wedge",
    "thing_of",
]

Span = tuple[float, float]

NEAR = 1e-6  # mm; sums of decimals may differ by their last bits
PARTS = ARM, BODY = (" arm", " body")  # how the names of a clamp's solids end


def thing_of(name: str) -> str:
    """Return what a solid is part of, by name: an arm and its body are one clamp."""
    return name.removesuffix(ARM).removesuffix(BODY)


@frozen
class Bolt:
    """What draws a clamp's arm down: `diameter`, `torque` (N mm), `nut_factor`, and the arm as a lever.

    The bolt stands `from_heel` from where the arm's heel bears and `from_work` from where its tip bears.
    """

    diameter: float
    torque: float
    from_heel: float
    from_work: float
    nut_factor: float | None = None


@frozen
class _Beside:
    """What stands on the bed beside a board: `length` along the board, `depth` away from it, `height` up."""

    name: str
    count: int
    length: float
    depth: float
    height: float

    def fits_under(self, low: float) -> bool:
        """Say whether it is no higher than `low`, mm, whatever the last bits of a sum or of an inch say."""
        return self.height <= low + NEAR


@frozen
class SideClamp(_Beside):
    """Squeezes an edge from the side, by `push`."""

    push: float | None = None


@frozen
class LeverStop(_Beside):
    """A cam or lever that swings against an edge or end and pushes it."""

    push: float | None = None


@frozen
class Wedge(_Beside):
    """A pair of wedges of `angle` between the board and a block, driven with `drive`.

    `length` and `depth` are of all three together; `push` is the force on the edge where the shop has
    measured it.
    """

    angle: float
    drive: float | None = None
    push: float | None = None


@frozen
class Stop(_Beside):
    """Stands against an end or edge and carries the feed force, up to `carries`."""

    carries: float | None = None


@frozen
class TopClamp:
    """Presses on the upper face: an arm of `width`, up to `reach` onto the board, from a body beside it.

    `arm` is the greatest distance from the arm's tip to the near side of the body; the body is
    `body_depth` deep, as wide as the arm, and as high as the arm's upper side. It presses with `press`, or
    with what its `bolt` gives.
    """

    name: str
    count: int
    width: float
    arm: float
    arm_height: float
    body_depth: float
    reach: float
    press: float | None = None
    bolt: Bolt | None = None


@frozen
class Backing:
    """Scrap that backs an edge where teeth leave the wood; the cutter may pass through it."""

    name: str
    count: int
    length: float
    depth: float


@frozen
class Tape:
    """Double-sided tape between bed and board, in at most `count` strips `width` wide.

    `shear` is what it carries in its plane, `lift` against being lifted, N/mm2; it peels at far less than it
    shears.
    """

    name: str
    count: int
    width: float
    thickness: float
    shear: float | None = None
    lift: float | None = None


@frozen
class Vacuum:
    """Areas of the bed that draw a board down.

    Each of `areas` is (x, y) in the bed frame, measured over the seal, whose lip is `seal` wide and follows
    an underside that is out of flat by `follows`; `pressure` (N/mm2) is what is measured under a board.
    """

    name: str
    areas: tuple[tuple[Span, Span], ...]
    seal: float
    follows: float | None = None
    pressure: float | None = None


@frozen
class Screw:
    """A screw through waste into the spoilboard.

    Its head is `head` across and `head_height` high, and lies with its upper side `sunk` below the wood it
    is driven into; `depth` is how far it goes into the bed. It carries `shear` sideways and `pull` upwards.
    """

    name: str
    count: int
    head: float
    head_height: float
    depth: float
    sunk: float = 0.0
    shear: float | None = None
    pull: float | None = None


@frozen
class Riser:
    """Stands on the bed and carries a board: `length` across it, `width` along it, `height` off the bed."""

    name: str
    count: int
    length: float
    width: float
    height: float


Beside = SideClamp | LeverStop | Wedge | Stop
HoldDown = Beside | TopClamp | Backing | Tape | Vacuum | Screw | Riser


@frozen
class Places:
    """Where what is bolted to the bed may stand, bed frame.

    `slots` are (along, at): along x at a y, or along y at an x; `holes` are (x, y). The middle of a foot may
    stand off its bolt by up to `play` in x and in y.
    """

    slots: tuple[tuple[str, float], ...]
    holes: tuple[tuple[float, float], ...]
    play: float


@frozen
class Channel:
    """A mark of earlier cuts in the bed, bed frame, and how deep it is."""

    x: Span
    y: Span
    depth: float
