"""Figures of the check stage for the person at the machine. In: a packet. Out: the packet, and sentences.

How far each program's feed may be turned, and how hard to push a board by hand to test its hold; the proof
needs neither.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.packet import model

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["BY_HAND", "held_by_hand", "turned", "with_feeds"]

Told = tuple[float, float, str, str]
BY_HAND = "holding-margin"  # the rule that says how hard a board is held; shown where it is tried


def with_feeds(packet: model.Packet, feeds: Mapping[str, Told]) -> model.Packet:
    """Return the packet with the range of every program that has one.

    `feeds`, by file within the packet: from, to (shares of the feed programmed), what happens below, above.
    """
    setups = [
        setup.model_copy(update={"programs": [_with_feed(program, feeds) for program in setup.programs]})
        for setup in packet.setups
    ]
    return packet.model_copy(update={"setups": setups})


def turned(override: model.FeedRange) -> str:
    """Say the range for the person at the machine: 80 % to 130 %, and what happens beyond."""
    low, high = 100 * override.low, 100 * override.high
    if low > high:
        return (
            f"No feed is right: below {low:.0f} % it {override.below}, above {high:.0f} % {override.above}."
        )
    if high - low < 1:
        usual = "the feed as programmed" if abs(low - 100) < 1 else f"the feed at {low:.0f} %"
        return f"Leave {usual}: below, it {override.below}; above, {override.above}."
    return (
        f"Feed, as it runs, from {low:.0f} % to {high:.0f} %: below, it {override.below}; above, "
        f"{override.above}."
    )


def held_by_hand(packet: model.Packet, setup: int) -> list[str]:
    """Say how hard to try the boards of a setup by hand."""
    found = [f for f in packet.findings if f.rule == BY_HAND and f.setup == setup]
    return list(dict.fromkeys(f.remedy[:1].upper() + f.remedy[1:] + "." for f in found))


def _with_feed(program: model.Program, feeds: Mapping[str, Told]) -> model.Program:
    found = feeds.get(program.file)
    if found is None:
        return program
    low, high, below, above = found
    override = model.FeedRange(low=round(low, 4), high=round(high, 4), below=below, above=above)
    return program.model_copy(update={"override": override})
