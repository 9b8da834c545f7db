"""A dialect described in words. In: a post. Out: the sentences of `posts show`.

Promise: every sentence is made from the traits and from what the post refuses, so it cannot become outdated.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stockwright.posting.traits import Traits
    from stockwright.posting.word_address import WordAddress

__all__ = ["described"]


def described(post: WordAddress) -> str:
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
    lines += [
        f"numbers: {_numbers(traits)}; speed with {traits.speed_decimals} decimals; "
        + ("words spaced" if traits.spaced else "no spaces"),
        f"codes: {'two digits, G01' if traits.code_digits == 2 else 'as short as may be, G1'}",
        f"motion: absolute; motion word {_every(traits.modal_motion)}, "
        + ("only axes that move" if traits.modal_axes else "every known axis on every line")
        + f", F {_every(traits.modal_feed)}",
        f"arcs: {_ARCS[traits.arcs]}, chords within {traits.sagitta:g} mm",
        "moves in the air: "
        + (f"cutting moves at {traits.rapid_feed:g} mm/min" if traits.rapid_feed else "rapid moves"),
        "line numbers: "
        + (
            f"by {traits.line_number_step} up to {traits.line_number_limit}"
            if traits.line_number_step
            else "none"
        ),
        "comments: "
        + (
            "none"
            if traits.comments == "none"
            else f"in ( ), at most {traits.comment_length} characters, {_CHARACTERS[traits.characters]}"
        ),
        f"lines: at most {traits.line_length} characters of ASCII, ending in {_LINE_END[traits.line_ending]}",
        f"size of a file: {_size(traits)}",
        "start: " + ", ".join(word for word in start if word),
        f"modes: stated first{', and again after each retract' if traits.restate_modes else ''}",
        "end: M5, " + ", ".join((*traits.end_words, *percent)),
        f"retract: {_retract(traits)}",
        f"tool change: {_TOOL[traits.tool_change]}",
        f"spindle: {_spindle(traits)}",
        "dwell: "
        + ("none" if traits.dwell_unit == "none" else f"G4 {traits.dwell_letter} in {traits.dwell_unit}"),
        "pause: " + (traits.pause_word or "none") + ("" if traits.stops_trusted else ", not trusted"),
        f"probing move: {traits.probe_word or 'none'}",
        f"dust collector: {_dust(traits)}",
        "never: block delete, checksums, offsets, incremental positions, several machine actions on a line",
        f"files: .{post.extension}, {traits.name_length} characters before it, {traits.name_case} case"
        + ("" if traits.name_hyphens else ", letters and digits only"),
    ]
    refused = post.refused()
    lines += [
        f"refuses {node.__name__}: {refused[node].why}; {refused[node].remedy}"
        for node in sorted(refused, key=lambda kind: kind.__name__)
    ]
    return "\n".join(lines) + "\n"


def _numbers(traits: Traits) -> str:
    said = "all decimals" if traits.trailing_zeros else "no zeros at the end"
    if not traits.trailing_zeros:
        said += ", always with a point" if traits.point_always else ", no point where whole"
    said += ", a sign always" if traits.plus_sign else ", a sign where below zero"
    return said + (f", {traits.least_digits} digits before the point" if traits.least_digits > 1 else "")


def _size(traits: Traits) -> str:
    limits = [f"{n} {what}" for n, what in ((traits.file_bytes, "bytes"), (traits.file_lines, "lines")) if n]
    if not limits:
        return "any"
    return f"at most {' and '.join(limits)}; longer programs are split where they go about, each part whole"


def _retract(traits: Traits) -> str:
    said = "to a height above the work zero"
    if traits.retract == "machine":
        said += f", and first and last G53 Z alone to {traits.retract_z:g} mm"
    else:
        said += "; no machine-frame word"
    if traits.machine_zero is None:
        return said
    return f"{said}; machine zero at {', '.join(f'{mm:g}' for mm in traits.machine_zero)} mm of the bed"


def _spindle(traits: Traits) -> str:
    where = f"speed and start on {'one line' if traits.speed_with_start else 'lines of their own'}"
    if not traits.spin_up:
        return f"{where}, no wait"
    if traits.spin_up_by == "control":
        return f"{where}, whose word itself waits, about {traits.spin_up:g} s"
    return f"{where}, then a wait of {traits.spin_up:g} s"


def _dust(traits: Traits) -> str:
    if traits.dust_on is None:
        return "by hand"
    return (
        f"{traits.dust_on}, then {traits.dust_on_delay:g} s; "
        f"{traits.dust_off} after {traits.dust_off_delay:g} s more"
    )


_ARCS = {"none": "none", "centre": "by centre, I and J from the start", "radius": "by radius, R"}
_CHARACTERS = {
    "plain": "letters, digits and . + - = / : ' _",
    "capitals": "capitals, digits and . + - /",
    "bare": "capitals and digits",
}
_TOOL = {"none": "none, one file a tool", "word": "T and M6", "pause": "stops for the person"}
_LINE_END = {"lf": "LF", "cr-lf": "CR LF"}


def _every(modal: bool) -> str:
    return "where it changes" if modal else "on every line"
