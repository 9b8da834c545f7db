"""All that is worked out about one measured board. In: `Board`, what is asked. Out: `Account`.

Public:
    Asked(shop_shims, pieces, strips, skips, grain)     what a person may ask for beside the rest
    Account(...)                                        values of the domain, for `report` and `picture`
    account(board, asked=Asked()) -> Account
Promise: every thickness is that of a slab that lies inside the measured wood; none is an estimate.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING

from stockwright.board.first_face import FirstFace, crown, first_face
from stockwright.board.grain import Rises, rises
from stockwright.board.pieces import Parts, Whole, parts, whole
from stockwright.board.seating import seat
from stockwright.board.skips import Skips, with_skips
from stockwright.board.warp import Warps, warps
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.board.first_face import Crown
    from stockwright.board.seating import Policy, Seating
    from stockwright.board.surface import Board

__all__ = ["SKIPS", "Account", "Asked", "account"]

PIECES, STRIPS = (2, 3), (2,)  # what a shop thinks of first; common practice, no source
SKIPS = 0.05  # of a hidden face; common practice, no source


@frozen
class Asked:
    """The shop's shim sizes (none: any thickness), cuts to try first, share of skips, and known grain."""

    shop_shims: tuple[float, ...] = ()
    pieces: tuple[int, ...] = PIECES
    strips: tuple[int, ...] = STRIPS
    skips: float = SKIPS
    grain: Mapping[str, str] = field(default_factory=dict)


@frozen(eq=False)
class Account:
    """What is known of `board`; `ideal` is the thickest seating on shims of any thickness."""

    board: Board
    asked: Asked
    warps: Warps
    seatings: Mapping[Policy, Seating]
    ideal: Seating
    whole: Whole
    parts: tuple[Parts, ...]
    skips: tuple[Skips, Skips]
    first: FirstFace
    crown: Crown
    rises: tuple[Rises, ...]


_ASKED = Asked()


def account(board: Board, asked: Asked = _ASKED) -> Account:
    """Work out everything about `board`."""
    shims = asked.shop_shims
    policies: tuple[Policy, ...] = ("thickest", "no-rocking", "as-it-lies")
    seatings = {p: seat(board, policy=p, shop_shims=shims) for p in policies}
    all_of_it = whole(board)
    cuts = [(n, 1) for n in sorted({*PIECES, *asked.pieces})] + [
        (1, n) for n in sorted({*STRIPS, *asked.strips})
    ]
    return Account(
        board=board,
        asked=asked,
        warps=warps(board),
        seatings=seatings,
        ideal=seat(board) if shims else seatings["thickest"],
        whole=all_of_it,
        parts=tuple(parts(board, all_of_it, *cut) for cut in cuts if cut != (1, 1)),
        skips=(
            with_skips(board, all_of_it, asked.skips, "A"),
            with_skips(board, all_of_it, asked.skips, "B"),
        ),
        first=first_face(board, seatings, shims),
        crown=crown(board),
        rises=rises(asked.grain),
    )
