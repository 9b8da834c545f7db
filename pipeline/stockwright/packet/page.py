"""What one setup's page is made from. In: a packet, one of its setups, what is known beside. Out: `Page`.

Work frame, mm. Promise: what tells a setup step by step is given this one value and looks up nothing else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.packet.drawing import Moves
    from stockwright.packet.extras import Extras
    from stockwright.packet.model import Packet, Setup
    from stockwright.packet.plan_drawing import Tagged
    from stockwright.packet.wood import Wood
    from stockwright.packet.writing import Writing
    from stockwright.packet.zero_spot import ZeroSpot

__all__ = ["Page"]


@frozen(eq=False)
class Page:
    """One setup, and all that its page tells it from.

    `woods`, by board, as the setup receives and leaves them; `moves`, by file, as its programs were read
    back; `tags` are the short names of what stands; `z_zero` is where the drawing shows that z is taken, None
    where it does not.
    """

    packet: Packet
    setup: Setup
    woods: Mapping[str, Wood]
    moves: Mapping[str, Moves]
    extras: Extras
    writing: Writing
    tags: Tagged
    z_zero: ZeroSpot | None
