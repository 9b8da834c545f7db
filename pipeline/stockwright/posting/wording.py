"""A dialect in words. In: a post. Out: the sentences of `posts show`.

Promise: everything said is read from the traits and from what the post refuses, so it cannot go stale.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stockwright.posting.post import Post

__all__ = ["described"]


def described(post: Post) -> str:
    """Give the lines that say what a post does."""
    traits = post.traits
    percent = ("%",) if traits.percent else ()
    start = (*percent, *traits.start_words, traits.work_frame)
    lines = [f"{post.name}: {post.about}"]
    lines.append(
        f"proof: read back by {post.reader}" if post.reader else "proof: no reader; its packets are unproven"
    )
    for units in traits.units:
        word = traits.units_word(units)
        lines.append(
            f"{units}: {traits.decimals(units)} decimals, feed {traits.feed_decimals(units)}, "
            f"step {post.resolution(units):g} mm, "
            + (f"stated by {word}" if word else "not stated by a word")
        )
    numbers = "always with a point" if traits.point_always else "without a point where whole"
    lines += [
        f"numbers: {numbers}; speed with {traits.speed_decimals} decimals; "
        + ("words spaced" if traits.spaced else "no spaces"),
        f"motion: straight lines only, absolute; motion word {_every(traits.modal_motion)}, "
        + ("only axes that move" if traits.modal_axes else "every known axis on every line"),
        "line numbers: "
        + (
            f"by {traits.line_number_step} up to {traits.line_number_limit}"
            if traits.line_number_step
            else "none"
        ),
        "comments: "
        + ("none" if traits.comments == "none" else f"in ( ), at most {traits.comment_length} characters"),
        f"lines: at most {traits.line_length} characters, ending in {_LINE_END[traits.line_ending]}",
        "start: " + ", ".join(word for word in start if word),
        "end: M5, " + ", ".join((*traits.end_words, *percent)),
        "retract: to a height above the work zero; no machine-frame word",
        f"tool change: {_TOOL[traits.tool_change]}",
        "spindle: speed and start on lines of their own, "
        + (f"then a wait of {traits.spin_up:g} s" if traits.spin_up else "no wait"),
        "dwell: " + ("none" if traits.dwell_unit == "none" else f"G4 P in {traits.dwell_unit}"),
        f"pause: {traits.pause_word or 'none'}",
        f"probing move: {traits.probe_word or 'none'}",
        "dust collector: " + (f"{traits.dust_on}, {traits.dust_off}" if traits.dust_on else "by hand"),
        f"files: .{post.extension}, {traits.name_length} characters before it, {traits.name_case} case"
        + ("" if traits.name_hyphens else ", letters and digits only"),
    ]
    refused = post.refused()
    lines += [
        f"refuses {node.__name__}: {refused[node].why}; {refused[node].remedy}"
        for node in sorted(refused, key=lambda kind: kind.__name__)
    ]
    return "\n".join(lines) + "\n"


_TOOL = {"none": "none, one file a tool", "word": "T and M6", "pause": "stops for the person"}
_LINE_END = {"lf": "LF", "cr-lf": "CR LF"}


def _every(modal: bool) -> str:
    return "where it changes" if modal else "on every line"
