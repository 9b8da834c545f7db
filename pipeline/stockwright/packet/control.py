"""What a post's control takes, as a packet states it. In: a post. Out: `model.Control`.

Promise: nothing is stated that the post does not say of itself in its traits. A proof refuses what a person
writes into a program beyond it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.packet import model
from stockwright.posting.allowed_words import code_of, in_order
from stockwright.posting.traits import Traits

if TYPE_CHECKING:
    from stockwright.posting.post import Post

__all__ = ["control_of"]


def control_of(post: Post) -> model.Control:
    """Give what a post says that its control takes."""
    traits = post.traits
    if not isinstance(traits, Traits):
        return model.Control(
            line_length=traits.line_length,
            spin_up=traits.spin_up,
            names_tool=getattr(post, "names_tool", False),
        )
    modes = [*traits.start_words, *([traits.work_frame] if traits.work_frame else [])]
    also = getattr(post, "also_takes", ())
    return model.Control(
        line_length=traits.line_length,
        line_number=traits.line_number_limit if traits.line_number_step else None,
        file_bytes=traits.file_bytes or None,
        file_lines=traits.file_lines or None,
        comments=traits.comments != "none",
        characters=traits.characters,
        points=traits.point_always and not getattr(post, "takes_whole_numbers", False),
        modes=list(map(code_of, modes)),
        words=sorted({*map(code_of, (*modes, *also, *_others(traits)))}, key=in_order),
        spin_up=traits.spin_up if traits.spin_up_by == "dwell" else 0.0,
        names_tool=traits.tool_change == "word",
    )


def _others(traits: Traits) -> list[str]:
    """Give the words that are no modes, nor moves, spindle or end, which every control has."""
    words = [traits.units_word(unit) for unit in traits.units]
    words += [*traits.end_words, traits.probe_word, traits.dust_on, traits.dust_off]
    words.append(traits.pause_word if traits.can_pause else None)
    words.append("G4" if traits.dwell_unit != "none" else None)
    words.append("G53" if traits.retract == "machine" else None)
    words.append("M6" if traits.tool_change == "word" else None)
    return [word for word in words if word is not None]
