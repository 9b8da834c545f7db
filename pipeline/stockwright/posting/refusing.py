"""What a dialect cannot say in one program. In: post, program, units. Out: findings.

Promise: all of them at once, each with a remedy and only once, before a line is written.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol, TypeAlias

from stockwright.findings import Finding
from stockwright.motion.nodes import Arc, Feed, Pause, Probe, SpindleOff, SpindleOn, UseTool
from stockwright.posting.digits import step_of

if TYPE_CHECKING:
    from stockwright.motion.nodes import Node, Program
    from stockwright.posting.dialect import Dialect
    from stockwright.posting.traits import Units
    from stockwright.posting.word_address import WordAddress

    Speaker: TypeAlias = WordAddress | Dialect

__all__ = ["cannot_say", "no_arc", "refusals", "slanting", "too_big", "too_long", "too_near_to_touch"]


class Named(Protocol):
    """Whoever refuses: its name, and the name it gives a file."""

    name: str

    def file_name(self, stem: str) -> str:
        """Give the file name for a program's stem."""


def refusals(post: Speaker, program: Program, units: Units) -> tuple[Finding, ...]:
    """Give what `post` refuses in `program`, in the order of the nodes, each once."""
    found: dict[Finding, None] = {}
    if units not in post.traits.units:
        message = f"{post.name} is not written in {units}"
        found[_finding(post, program, message, f"write it in {post.traits.units[0]}")] = None
    running = False
    for node in program.nodes:
        finding = _refusal(post, program, node, units, running=running)
        if finding is not None:
            found[finding] = None
        running = isinstance(node, SpindleOn) or (running and not isinstance(node, SpindleOff | UseTool))
    return tuple(found)


def slanting(post: Named, program: Program) -> Finding:
    """Refuse a rapid that goes up and along at once: machines differ in the path they take."""
    message = "a rapid goes vertically and level at once"
    return _finding(post, program, message, "move up, then along, then down")


def too_long(post: Speaker, program: Program, line: str) -> Finding:
    """Refuse a line that has more characters than the dialect takes."""
    message = f"a line is longer than {post.name} takes"
    remedy = "take a post with longer lines, or fewer decimals"
    return _finding(post, program, message, remedy, len(line), post.traits.line_length)


def no_arc(post: Named, program: Program, why: str) -> Finding:
    """Refuse an arc that is none: `why` says what it lacks."""
    return _finding(post, program, why, "move to a known place on the arc first, a quarter turn at a time")


def too_near_to_touch(post: Named, program: Program, least: float) -> Finding:
    """Refuse a probing move from a place that is not known, or too near to where it must stop."""
    message = f"a probing move does not begin {least:g} mm or more straight above where it must stop"
    return _finding(post, program, message, "move to a known height above the place first", 0.0, least)


def cannot_say(
    post: Named,
    program: Program,
    message: str,
    remedy: str,
    measured: float | None = None,
    limit: float | None = None,
) -> Finding:
    """Refuse what a dialect of its own kind cannot say."""
    return _finding(post, program, message, remedy, measured, limit)


def too_big(post: Named, program: Program, measured: int, limit: int, what: str) -> Finding:
    """Refuse a file that has more bytes or lines than the dialect takes."""
    message = f"a file has more {what} than {post.name} takes, and cannot be split further"
    remedy = f"state a greater file-{what} where the control can take it, or take another post"
    return _finding(post, program, message, remedy, measured, limit)


def _refusal(post: Speaker, program: Program, node: Node, units: Units, *, running: bool) -> Finding | None:
    refused, traits = post.refused(), post.traits
    if type(node) in refused:
        reason = refused[type(node)]
        return _finding(post, program, f"{post.name}: {reason.why}", reason.remedy)
    if isinstance(node, UseTool) and node.number != program.tool.number and traits.tool_change == "none":
        message = f"{post.name} changes no tool, and one file asks for two"
        remedy = "make it two programs, one a tool"
        return _finding(post, program, message, remedy, node.number, program.tool.number)
    if isinstance(node, Pause) and running:
        message = "the person is waited for with the spindle running"
        return _finding(post, program, message, "stop the spindle before the pause, or end the program there")
    if isinstance(node, Probe) and running:
        message = "something is touched with the spindle running"
        return _finding(post, program, message, "stop the spindle before the probing move")
    if isinstance(node, SpindleOn) and post.speed_count(node.rpm) <= 0:
        message = f"{post.name} cannot say {node.rpm:g} rpm"
        least = 10.0**-traits.speed_decimals
        return _finding(post, program, message, "ask for a speed the spindle has", node.rpm, least)
    if isinstance(node, Feed | Arc | Probe) and post.feed_count(node.feed, units) <= 0:
        message = f"{post.name} cannot say a feed of {node.feed:g} mm/min"
        least = step_of(traits.feed_decimals(units), units)
        return _finding(post, program, message, "ask for a higher feed", node.feed, least)
    return None


def _finding(
    post: Named,
    program: Program,
    message: str,
    remedy: str,
    measured: float | None = None,
    limit: float | None = None,
) -> Finding:
    return Finding(
        rule="post-cannot-say",
        level="refuse",
        message=message,
        remedy=remedy,
        measured=measured,
        limit=limit,
        setup=program.setup,
        program=post.file_name(program.stem),
    )
