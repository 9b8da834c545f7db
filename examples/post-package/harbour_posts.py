"""The dialect of an invented bench router in a harbour workshop. In: motion. Out: lines for its control.

It knows no dwell; after its stop word it wants a second one, for it takes the first for an acknowledgement.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.motion import Dwell
from stockwright.posting import Refusal, Traits, WordAddress

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.motion import Dust, Pause
    from stockwright.posting import Said


class HarbourBench(WordAddress):
    """Traits where a table does, and two methods where it does not."""

    name = "harbour-bench"
    reader: str | None = "rs274-ngc"
    about = "an invented bench router: no dwell, the dust collector by hand with a stop for it"
    traits = Traits(
        units=("mm",),
        dwell_unit="none",
        comment_length=40,
        line_length=80,
        end_words=("M30",),
        extension="hbr",
        name_length=16,
    )
    refuses = {  # noqa: RUF012 - a table
        Dwell: Refusal("it knows no dwell", "leave the wait out: its start word waits by itself"),
    }

    def pause(self, node: Pause, said: Said) -> Iterator[str]:
        """Stop, and stop again."""
        yield from super().pause(node, said)
        yield str(self.traits.pause_word)

    def dust(self, node: Dust, said: Said) -> Iterator[str]:  # noqa: ARG002
        """Tell the person; it has no relay for it."""
        yield from self.comment("switch the dust collector " + ("on" if node.on else "off"))
