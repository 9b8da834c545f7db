"""Which face to cut first, and which go up side by side. In: `Board`. Out: a choice, and why in a sentence.

Public:
    Down(face, at_rest, rocking, largest_shim)      how the board lies with that face down
    FirstFace(face, ways, why)                      `face` "A" or "B" to cut first, or None: either
    first_face(board, seatings, shop_shims=()) -> FirstFace
    crown(board) -> "up" | "down" | "flat"          how face A is shaped from edge to edge
    alternate(crowns) -> tuple of (face, crown)     the face to lay up, board by board: crowns alternate
    turned_over(board) -> Board                     half a turn about its length: face B up
Promise: both ways are computed by the same rules, and told with their numbers.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from stockwright.board.seating import seat
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from stockwright.board.seating import Policy, Seating
    from stockwright.board.surface import Board

    Floats = NDArray[np.float64]

__all__ = ["Crown", "Down", "FirstFace", "alternate", "crown", "first_face", "turned_over"]

Crown = Literal["up", "down", "flat"]
_ALIKE = 0.1  # mm; a hand feels no less rocking, and no shim in common sets is thinner; common practice


@frozen
class Down:
    """How the board lies with `face` down.

    `at_rest` is the thickness it gives on nothing, `rocking` how far it drops where it is pressed, and
    `largest_shim` the largest it wants for the thickest slab; mm.
    """

    face: Literal["A", "B"]
    at_rest: float
    rocking: float
    largest_shim: float


@frozen
class FirstFace:
    """The face to cut first (None: either); `ways` are face B down and face A down."""

    face: Literal["A", "B"] | None
    ways: tuple[Down, Down]
    why: str


def turned_over(board: Board) -> Board:
    """Return the board after half a turn about its length: y and z change their sense, face B is up."""
    _, y_low, _, y_high = board.bounds
    y_sum, z_sum = y_low + y_high, float(board.top.max() + board.bottom.min())

    def about(points: Floats) -> Floats:
        # Mirrored in y, so run through backwards to stay anticlockwise.
        return np.column_stack([points[::-1, 0], y_sum - points[::-1, 1]])

    return replace(
        board,
        outline=about(board.outline),
        y=y_sum - board.y[::-1],
        top=z_sum - board.bottom[:, ::-1],
        bottom=z_sum - board.top[:, ::-1],
        holes=tuple(about(hole) for hole in board.holes),
    )


def first_face(
    board: Board, seatings: Mapping[Policy, Seating], shop_shims: Sequence[float] = ()
) -> FirstFace:
    """Compare face B down with face A down; `seatings` are the board's own, with face B down."""
    over = turned_over(board)
    policies: tuple[Policy, ...] = ("as-it-lies", "thickest")
    other = {p: seat(over, policy=p, shop_shims=shop_shims) for p in policies}
    ways = (_down("B", seatings), _down("A", other))
    shapes = {"B": _shape(board.y, -board.bottom), "A": _shape(board.y, board.top)}
    sooner, later = ways
    for better in (_rocks_less, _wants_less):
        if better(later, sooner):
            sooner, later = later, sooner
        if better(sooner, later):
            return FirstFace("A" if sooner.face == "B" else "B", ways, _why(sooner, later, shapes, better))
    why = "it lies about as still, and wants about the same shims, on either face"
    return FirstFace(None, ways, why)


def _down(face: Literal["A", "B"], seatings: Mapping[Policy, Seating]) -> Down:
    rest, best = seatings["as-it-lies"], seatings["thickest"]
    shims = [shim.thickness for shim in best.shims]
    return Down(face, rest.thickness, rest.rocking, max(shims, default=0.0))


def _rocks_less(a: Down, b: Down) -> bool:
    return a.rocking < b.rocking - _ALIKE


def _wants_less(a: Down, b: Down) -> bool:
    return a.largest_shim < b.largest_shim - _ALIKE


def _why(sooner: Down, later: Down, shapes: Mapping[str, Crown], better: object) -> str:
    """Return the reason: the shape of the face that goes down, then the two numbers compared."""
    hollow = {face for face, shape in shapes.items() if shape == "down"}
    if sooner.face in hollow:
        start = f"face {sooner.face} is the hollow one and lies down"
    elif later.face in hollow:
        start = f"face {sooner.face} lies down though face {later.face} is the hollow one"
    else:
        start = f"face {sooner.face} lies down, and neither face is hollow enough to matter"
    if better is _rocks_less:
        fact = (
            f"on face {sooner.face} the board rocks by {sooner.rocking:.2f} mm, on face {later.face} by "
            f"{later.rocking:.2f} mm"
        )
    else:
        fact = (
            f"under face {sooner.face} the largest shim is {sooner.largest_shim:.2f} mm, under face "
            f"{later.face} {later.largest_shim:.2f} mm"
        )
    return f"{start}: {fact}"


def crown(board: Board) -> Crown:
    """Return whether face A stands up in the middle from edge to edge, or lies hollow.

    Both faces are looked at, as wood cups as a whole; flat where the readings' own error could be the cup.
    """
    both = _cup(board.y, board.top) + _cup(board.y, board.bottom)
    if abs(both) / 2.0 <= board.uncertainty / np.sqrt(len(board.x)):
        return "flat"
    return "up" if both > 0.0 else "down"


def _shape(y: Floats, out: Floats) -> Crown:
    """Return how a face is shaped whose heights `out` (n, m) are counted outwards."""
    cup = _cup(y, out)
    return "flat" if abs(cup) < _ALIKE else "up" if cup > 0.0 else "down"


def _cup(y: Floats, heights: Floats) -> float:
    """Return how far the face stands above its chords edge to edge, at its middle, on the average, mm."""
    share = (y - y[0]) / (y[-1] - y[0])
    off = heights - (heights[:, :1] * (1.0 - share) + heights[:, -1:] * share)
    # The mean of a parabola over its chord is 2/3 of its middle: readings stand anywhere, so weigh them so.
    weight = 4.0 * share * (1.0 - share)
    total = float((weight * weight).sum())
    return float((off.mean(axis=0) * weight).sum() / total) if total > 0.0 else 0.0


def alternate(crowns: Iterable[Crown]) -> tuple[tuple[Literal["A", "B"], Crown], ...]:
    """Return for each board, in their order, the face to lay up and how its crown then lies.

    The first board that has a crown is laid crown up; a flat one lies anyhow and face A is taken.
    """
    laid: list[tuple[Literal["A", "B"], Crown]] = []
    wanted: Crown = "up"
    for each in crowns:
        if each == "flat":
            laid.append(("A", each))
            continue
        laid.append(("A" if each == wanted else "B", wanted))
        wanted = "down" if wanted == "up" else "up"
    return tuple(laid)
