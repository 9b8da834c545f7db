"""How a word-address text writes numbers, lines and names. In: a `Player`. Out: a check for each trait.

Promise: each raises `Fault` with what stands in the text and what the trait says.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from stockwright.conformance import samples
from stockwright.conformance.fault import demand
from stockwright.conformance.word_shown import (
    AXES,
    WORD,
    code_of,
    decimals_of,
    each_of,
    limited,
    shown_of,
    traits_of,
    usual_of,
)
from stockwright.findings import Refused
from stockwright.motion.nodes import Rapid, Remark
from stockwright.units import INCH

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.conformance.playing import Player
    from stockwright.posting.traits import Units

PLACES = (*AXES, "I", "J", "R")


def units(player: Player) -> None:
    """Demand that something is written in each of the units."""
    for shown in each_of(player):
        demand(shown.moves(), f"nothing moves in {shown.units}")


def units_word(units: Units) -> Callable[[Player], None]:
    """Give the check of the word that states units: the only one, before all it governs."""

    def claim(player: Player) -> None:
        if units not in traits_of(player).units:
            return
        shown, word = usual_of(player, units), traits_of(player).units_word(units)
        found = [code for code in shown.codes if code in {"G20", "G21", "G70", "G71"}]
        demand(
            set(found) == ({code_of(word)} if word else set()),
            f"{units} is stated by {word}, the text says {found}",
        )
        if word:
            flat = [f"{letter}{float(value):g}" for words in shown.said for letter, value in words]
            first = next(k for k, each in enumerate(flat) if each[0] in "XYZF")
            demand(code_of(word) in flat[:first], f"{word} does not stand before the first number it governs")

    return claim


def places(units: Units) -> Callable[[Player], None]:
    """Give the check of the decimals of positions."""

    def claim(player: Player) -> None:
        if units not in traits_of(player).units:
            return
        kept = [decimals_of(text) for text in usual_of(player, units).numbers(*PLACES)]
        wanted = traits_of(player).decimals(units)
        demand(max(kept) == wanted, f"positions keep {wanted} decimals, and the text has {max(kept)}")

    return claim


def feeds(units: Units) -> Callable[[Player], None]:
    """Give the check of the decimals of F."""

    def claim(player: Player) -> None:
        if units not in traits_of(player).units:
            return
        kept = max(decimals_of(text) for text in usual_of(player, units).numbers("F"))
        wanted = traits_of(player).feed_decimals(units)
        demand(kept <= max(wanted, 0), f"feeds keep {wanted} decimals, and the text has {kept}")

    return claim


def speeds(player: Player) -> None:
    """Check the decimals of S."""
    kept = [decimals_of(text) for text in usual_of(player).numbers("S")]
    wanted = traits_of(player).speed_decimals
    demand(
        kept and max(kept) <= max(1, wanted) * (wanted > 0), f"S keeps {wanted} decimals, the text has {kept}"
    )


def point(player: Player) -> None:
    """Check the points of positions."""
    for shown in each_of(player):
        for text in shown.numbers(*AXES):
            demand("." in text or not shown.traits.point_always, f"{text} has no point")
            whole, point, rest = text.partition(".")
            demand(
                whole.strip("+-") and (not point or rest), f"{text} lacks a digit on one side of its point"
            )
    if not traits_of(player).point_always and not traits_of(player).trailing_zeros:
        shown = shown_of(player, Rapid(z=7.0 * (INCH if traits_of(player).units[0] == "inch" else 1.0)))
        demand("7" in [text.lstrip("+0") for text in shown.numbers("Z")], "a whole number has a point")


def zeros(player: Player) -> None:
    """Check whether positions keep all their decimals."""
    for shown in each_of(player):
        wanted = shown.traits.decimals(shown.units)
        full = all(decimals_of(text) == wanted for text in shown.numbers(*AXES))
        demand(
            full == shown.traits.trailing_zeros,
            f"positions {'' if full else 'do not '}keep all their decimals",
        )


def plus(player: Player) -> None:
    """Check the signs of positions not below zero."""
    for text in usual_of(player).numbers(*AXES):
        demand(
            text.startswith("-") or text.startswith("+") == traits_of(player).plus_sign, f"the sign of {text}"
        )


def least(player: Player) -> None:
    """Check the digits before the point."""
    for text in usual_of(player).numbers(*AXES):
        before = text.strip("+-").partition(".")[0]
        demand(
            len(before) >= traits_of(player).least_digits, f"{text} has {len(before)} digits before the point"
        )


def spaced(player: Player) -> None:
    """Check the spaces between words."""
    shown = usual_of(player)
    for line in shown.lines:
        bare = re.sub(r"\([^)]*\)", "", line).strip()
        wanted = (" " if shown.traits.spaced else "").join(f"{a}{b}" for a, b in WORD.findall(bare))
        demand(bare in {wanted, "%", ""}, f"the spaces of {line!r}")


def code_digits(player: Player) -> None:
    """Check the digits of codes below ten."""
    for words in usual_of(player).said:
        for letter, value in words:
            if letter in "GM" and float(value) < 10 and float(value) in {0, 1, 2, 3, 4, 5}:
                wanted = traits_of(player).code_digits
                demand(len(value) == wanted, f"{letter}{value} has not {wanted} digits")


def modal_motion(player: Player) -> None:
    """Check that motion words stand wherever they must."""
    if not traits_of(player).modal_motion:
        for words in usual_of(player).moves():
            demand(any(letter == "G" for letter, _ in words), f"{words} moves and names no motion")


def modal_axes(player: Player) -> None:
    """Check that all axes stand wherever they must."""
    cuts = [w for w in usual_of(player).moves() if any(a == "G" and float(b) in {1, 2, 3} for a, b in w)]
    if not traits_of(player).modal_axes:
        for words in cuts:
            demand(set(AXES) <= {letter for letter, _ in words}, f"{words} leaves an axis out")


def modal_feed(player: Player) -> None:
    """Check that F stands wherever it must."""
    for words in usual_of(player).moves():
        if not traits_of(player).modal_feed and any(a == "G" and float(b) in {1, 2, 3} for a, b in words):
            demand(any(letter == "F" for letter, _ in words), f"{words} cuts and names no feed")


def numbered(player: Player) -> None:
    """Check the line numbers, and where they begin again."""
    step, limit = traits_of(player).line_number_step, traits_of(player).line_number_limit
    count = min(4000, limit // step + 20) if step else 20
    shown = shown_of(player, samples.long_feed(count)) if not limited(player) else usual_of(player)
    found = [re.match(r"N([0-9]+)", line) for line in shown.lines if line != "%"]
    if not step:
        demand(not any(found), "there are line numbers")
        return
    expected = step
    for line, number in zip((each for each in shown.lines if each != "%"), found, strict=True):
        demand(number and int(number[1]) == expected, f"{line!r} should be numbered {expected}")
        expected = expected + step if expected + step <= limit else step


def number_limit(player: Player) -> None:
    """Check the highest line number."""
    numbers = [int(each) for line in usual_of(player).lines for each in re.findall(r"^N([0-9]+)", line)]
    limit = traits_of(player).line_number_limit
    demand(max(numbers, default=0) <= limit, f"a line number is above {limit}")


def comments(player: Player) -> None:
    """Check whether there are comments."""
    shown = shown_of(player, *(Remark(text) for text in samples.HARM if Remark in player.post.written()))
    demand(
        bool(shown.comments) == (shown.traits.comments == "parentheses"), f"comments: {shown.comments[:3]}"
    )


def comment_length(player: Player) -> None:
    """Check the longest comment."""
    nodes = [Remark(text) for text in samples.HARM if Remark in player.post.written()]
    for comment in shown_of(player, *nodes).comments:
        demand(len(comment) <= traits_of(player).comment_length, f"a comment has {len(comment)} characters")


def characters(player: Player) -> None:
    """Check the signs in comments."""
    allowed = {"plain": r"[ -~]*", "capitals": r"[^a-z]*", "bare": r"[A-Z0-9 ]*"}[
        traits_of(player).characters
    ]
    nodes = [Remark(text) for text in (*samples.HARM, "small letters") if Remark in player.post.written()]
    for comment in shown_of(player, *nodes, title="Tread 3").comments:
        demand(re.fullmatch(allowed, comment[1:-1]), f"{comment} has signs that it may not have")


def line_length(player: Player) -> None:
    """Check the longest line."""
    shown = shown_of(player, samples.feed([(-899.123456, -899.123456, -39.123456)], 5999.9), title="t" * 600)
    longest = max(map(len, shown.lines))
    demand(longest <= traits_of(player).line_length, f"a line has {longest} characters")


def line_ending(player: Player) -> None:
    """Check that every line has the one end."""
    text = usual_of(player).text
    wanted = text.count("\n") if traits_of(player).line_ending == "cr-lf" else 0
    demand(
        text.endswith("\n") and text.count("\r\n") == text.count("\r") == wanted,
        "line ends are mixed or others",
    )


def file_size(player: Player) -> None:
    """Check that no whole text is longer than is said: a longer program is refused, or split before."""
    traits, units = traits_of(player), traits_of(player).units[0]
    program = samples.program([*samples.START, samples.long_feed(4000), Rapid(z=samples.TOP)])
    try:
        text = player.text(program, units)
    except Refused as error:
        demand(limited(player), f"4000 moves are refused: {error}")
        return
    demand(len(text) <= (traits.file_bytes or len(text)), f"a file of {len(text)} bytes is written")
    count = text.count("\n")
    demand(count <= (traits.file_lines or count), f"a file of {count} lines is written")


def percent(player: Player) -> None:
    """Check the lone % first and last."""
    lines = usual_of(player).lines
    ends = [lines[0], lines[-1]].count("%")
    demand(
        ends == (2 if traits_of(player).percent else 0) == lines.count("%"),
        f"{lines.count('%')} lines are a lone %",
    )


def name(player: Player) -> None:
    """Check names of files."""
    traits = traits_of(player)
    for stem in ("a-b", "x" * 90, "long-" * 20 + "end"):
        before, _, after = player.post.file_name(stem).rpartition(".")
        demand(after.lower() == traits.extension.lower(), f"the file ends in .{after}")
        demand(len(before) <= traits.name_length, f"{before} has {len(before)} characters")
        wanted = before.upper() if traits.name_case == "upper" else before.lower()
        demand(before == wanted, f"{before} is not in {traits.name_case} case")
        demand(traits.name_hyphens or "-" not in before, f"{before} has hyphens")
