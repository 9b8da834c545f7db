"""Whether a word-address text shows what its table of traits claims.

In: a `Player`. Out: a check for each trait. Promise: every trait has its check here; a trait without one is
an error of the kit, not of the post.
"""

from __future__ import annotations

import math
import re
from dataclasses import fields
from functools import partial
from typing import TYPE_CHECKING

from stockwright.conformance import samples
from stockwright.conformance import word_numbers as n
from stockwright.conformance.checks import refused
from stockwright.conformance.fault import demand
from stockwright.conformance.word_shown import (
    code_of,
    each_of,
    shown_of,
    traits_of,
    usual_of,
    waits_of,
)
from stockwright.motion.nodes import Arc, Dust, Dwell, Pause, Probe, Rapid, SpindleOff, SpindleOn, UseTool
from stockwright.posting.traits import Traits
from stockwright.units import INCH

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from stockwright.conformance.checks import Named
    from stockwright.conformance.playing import Player

__all__ = ["CLAIMS", "all_of"]

_STARTED = (SpindleOn(12000.0), samples.feed([(1.0, 2.0, 3.0)]), Rapid(z=samples.TOP), SpindleOff())


def all_of(player: Player) -> Iterator[Named]:
    """Give the check of every trait."""
    for field in fields(Traits):
        claim = CLAIMS[field.name]
        yield f"trait {field.name.replace('_', '-')}", partial(claim, player)


def _restate(player: Player) -> None:
    count = usual_of(player).codes.count("G90")
    demand((count > 1) == traits_of(player).restate_modes, f"G90 is said {count} times")


def _arcs(player: Player) -> None:
    if Arc not in player.post.written():
        return
    for shown in each_of(player):
        bent = [w for w in shown.moves() if any(a == "G" and float(b) in {2, 3} for a, b in w)]
        letters = {letter for words in bent for letter, _ in words}
        wanted = {"none": set(), "centre": {"I", "J"}, "radius": {"R"}}[shown.traits.arcs]
        demand(letters & {"I", "J", "K", "R"} == wanted, f"arcs are to have {wanted}, and have {letters}")
        demand(
            bool(bent) == (shown.traits.arcs != "none"),
            f"{len(bent)} arc words for arcs: {shown.traits.arcs}",
        )


def _sagitta(player: Player) -> None:
    """Chords of an arc that is laid out stand no farther off it than is said: s = c^2 / (8 r)."""
    if Arc not in player.post.written() or traits_of(player).arcs != "none":
        return
    radius, units = 500.0, traits_of(player).units[0]
    nodes = (Rapid(x=0.0, y=0.0), Arc((0.0, radius), (radius, radius, samples.TOP), False, 900.0))
    moves = player.reading(samples.program([*samples.START, *nodes]), units).moves
    seen = 0
    for start, end in zip(moves.start.tolist(), moves.end.tolist(), strict=True):
        if any(not abs(math.hypot(x, y - radius) - radius) < 0.1 or z != end[2] for x, y, z in (start, end)):
            continue  # no chord of it, but a way there or back
        off = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) / (8 * radius)
        demand(off <= traits_of(player).sagitta * 1.05 + 1e-4, f"a chord stands {off:.4f} mm off its arc")
        seen += off > 0
    demand(seen > 1, "an arc that is to be laid out as chords is not")


def _rapid_feed(player: Player) -> None:
    shown = usual_of(player)
    demand(
        ("G0" in shown.codes) == (shown.traits.rapid_feed == 0), "rapids are words where they are not to be"
    )


def _start_words(player: Player) -> None:
    shown = usual_of(player)
    before = shown.codes[: next((k for k, c in enumerate(shown.codes) if c in {"G0", "G1", "G53"}), None)]
    wanted = [code_of(word) for word in shown.traits.start_words]
    demand(
        [code for code in before if code in wanted] == wanted,
        f"start words are {before}, and should be {wanted}",
    )


def _work_frame(player: Player) -> None:
    shown = usual_of(player)
    frames = {code for code in shown.codes if re.fullmatch(r"G5[4-9](\.[1-3])?", code)}
    wanted = {shown.traits.work_frame} if shown.traits.work_frame else set()
    demand(frames == wanted, f"work frames {frames}, and should be {wanted}")


def _end_words(player: Player) -> None:
    shown = usual_of(player)
    wanted = [code_of(word) for word in shown.traits.end_words]
    demand(
        shown.codes[-len(wanted) :] == wanted,
        f"the last words are {shown.codes[-4:]}, and should be {wanted}",
    )
    off = shown.codes[: -len(wanted)]
    demand(
        "M5" in off and "M3" not in off[len(off) - 1 - off[::-1].index("M5") :],
        "M5 does not come before them",
    )


def _retract(player: Player) -> None:
    shown = usual_of(player)
    machine = shown.traits.retract == "machine"
    demand(("G53" in shown.codes) == machine, f"the machine frame is named {shown.codes.count('G53')} times")
    demand(not {"G28", "G30", "G92", "G10"} & set(shown.codes), "an offset or a home is named")


def _retract_z(player: Player) -> None:
    if traits_of(player).retract == "machine":
        shown = usual_of(player)
        scale = INCH if shown.units == "inch" else 1.0
        for words in (w for w in shown.said if ("G", "53") in w):
            [z] = [float(value) * scale for letter, value in words if letter == "Z"]
            step = player.post.resolution(shown.units)
            demand(abs(z - shown.traits.retract_z) <= step, f"the machine-frame height is {z}")
            demand(not {"X", "Y"} & {letter for letter, _ in words}, f"{words} moves more than Z")


def _machine_zero(player: Player) -> None:
    traits = traits_of(player)
    demand(
        traits.retract == "work" or traits.machine_zero is not None,
        "nothing can be proven of the machine frame",
    )


def _tool_change(player: Player) -> None:
    shown, change = usual_of(player), traits_of(player).tool_change
    tools = [value for words in shown.said for letter, value in words if letter == "T"]
    demand(bool(tools) == ("M6" in shown.codes) == (change == "word"), f"T {tools}, and tool change {change}")
    if change == "pause":
        other = shown_of(player, UseTool(samples.CUTTER.number, samples.CUTTER.name))
        demand(shown.traits.pause_word in other.codes, "a tool is changed without a stop")


def _pause(player: Player) -> None:
    traits = traits_of(player)
    if Pause in player.post.refused():
        refused(player, samples.program([*samples.START, Pause("x")]), traits.units[0], "a pause")
    else:
        word = code_of(str(traits.pause_word))
        demand(word in shown_of(player, Pause("x")).codes, f"a pause does not say {traits.pause_word}")


def _stops(player: Player) -> None:
    if not traits_of(player).stops_trusted:
        demand(Pause in player.post.refused(), "stops are not trusted, and a pause is written")


def _probe(player: Player) -> None:
    traits = traits_of(player)
    if Probe in player.post.refused():
        refused(
            player, samples.program([*samples.START, Probe(5.0, 99.0)]), traits.units[0], "a probing move"
        )
    else:
        found = shown_of(player, Rapid(z=20.0), Probe(5.0, 99.0)).codes
        demand(code_of(str(traits.probe_word)) in found, f"a probing move does not say {traits.probe_word}")


def _speed_with_start(player: Player) -> None:
    for words in shown_of(player, *_STARTED).said:
        if any(letter == "M" and float(value) == 3 for letter, value in words):
            together = any(letter == "S" for letter, _ in words)
            demand(together == traits_of(player).speed_with_start, f"{words} starts the spindle")


def _spin_up(player: Player) -> None:
    traits, waits = traits_of(player), waits_of(shown_of(player, *_STARTED))
    wanted = [traits.spin_up] if traits.spin_up and traits.spin_up_by == "dwell" else []
    demand(waits == wanted, f"after its start the spindle is waited for {waits}, and should be {wanted}")


def _dwell(player: Player) -> None:
    traits = traits_of(player)
    if Dwell in player.post.refused():
        refused(player, samples.program([*samples.START, Dwell(1.5)]), traits.units[0], "a dwell")
    else:
        shown = shown_of(player, Dwell(1.5))
        demand(
            waits_of(shown) == [1.5],
            f"1.5 s are {waits_of(shown)} s by {traits.dwell_letter}, {traits.dwell_unit}",
        )


def _dust(on: bool) -> Callable[[Player], None]:
    def claim(player: Player) -> None:
        if Dust not in player.post.written():
            return
        traits, shown = traits_of(player), shown_of(player, Dust(on=on))
        word = traits.dust_on if on else traits.dust_off
        allowed = {"M5", "M6", *map(code_of, traits.end_words)} | ({code_of(word)} if word else set())
        codes = {code for code in shown.codes if code[0] == "M"}
        demand(codes <= allowed, f"relays {codes - allowed} are switched")
        demand(word is None or code_of(word) in codes, f"the dust collector's word {word} is not said")

    return claim


def _dust_delay(on: bool) -> Callable[[Player], None]:
    def claim(player: Player) -> None:
        traits = traits_of(player)
        if Dust in player.post.written() and traits.dust_on is not None:
            delay = traits.dust_on_delay if on else traits.dust_off_delay
            waits = waits_of(shown_of(player, Dust(on=on)))
            demand(
                waits == ([delay] if delay else []),
                f"the collector is waited for {waits}, and should be {delay}",
            )

    return claim


CLAIMS: dict[str, Callable[[Player], None]] = {
    "units": n.units,
    "mm_word": n.units_word("mm"),
    "inch_word": n.units_word("inch"),
    "decimals_mm": n.places("mm"),
    "decimals_inch": n.places("inch"),
    "feed_decimals_mm": n.feeds("mm"),
    "feed_decimals_inch": n.feeds("inch"),
    "speed_decimals": n.speeds,
    "point_always": n.point,
    "trailing_zeros": n.zeros,
    "plus_sign": n.plus,
    "least_digits": n.least,
    "spaced": n.spaced,
    "code_digits": n.code_digits,
    "modal_motion": n.modal_motion,
    "modal_axes": n.modal_axes,
    "modal_feed": n.modal_feed,
    "restate_modes": _restate,
    "arcs": _arcs,
    "sagitta": _sagitta,
    "rapid_feed": _rapid_feed,
    "line_number_step": n.numbered,
    "line_number_limit": n.number_limit,
    "comments": n.comments,
    "comment_length": n.comment_length,
    "characters": n.characters,
    "line_length": n.line_length,
    "line_ending": n.line_ending,
    "file_bytes": n.file_size,
    "file_lines": n.file_size,
    "percent": n.percent,
    "start_words": _start_words,
    "work_frame": _work_frame,
    "end_words": _end_words,
    "retract": _retract,
    "retract_z": _retract_z,
    "machine_zero": _machine_zero,
    "tool_change": _tool_change,
    "pause_word": _pause,
    "stops_trusted": _stops,
    "probe_word": _probe,
    "speed_with_start": _speed_with_start,
    "spin_up": _spin_up,
    "spin_up_by": _spin_up,
    "dwell_unit": _dwell,
    "dwell_letter": _dwell,
    "dust_on": _dust(True),
    "dust_off": _dust(False),
    "dust_on_delay": _dust_delay(True),
    "dust_off_delay": _dust_delay(False),
    "extension": n.name,
    "name_length": n.name,
    "name_case": n.name,
    "name_hyphens": n.name,
}
