"""What is reported of a fit. In: `Fit`. Out: lines for people, plain values for programs.

Promise: the answer comes first; every no has its reason; what was not tried is never reported as if it were.
Lines are in the shop's own units, also where matching and the checks wrote them; plain values are in mm.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

from stockwright.calls.terminal import count, more_line
from stockwright.motion.nodes import Arc, Pause

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.findings import Finding
    from stockwright.fitting.fit import Fit
    from stockwright.fitting.matching import Match
    from stockwright.fitting.ranges import Open, Range
    from stockwright.packet.writing import Writing

__all__ = ["lines", "values"]


def lines(found: Fit) -> Iterator[str]:
    """Yield the answer, then what it rests on."""
    words = found.writing.words
    yield f"{found.recipe} {found.version} in {found.shop}: {_answer(found)}"
    yield ""
    yield from _matches("tools", found.roles, found.writing)
    yield from _matches("holding", found.zones, found.writing)
    if found.fence is not None:
        yield from _matches("fence", (found.fence,), found.writing)
    for tool, cuts, thickest in found.reach:
        deep = words(f"cuts {cuts:g} mm deep, and edges wood up to {thickest:g} mm thick here")
        yield f"reach: {tool} {deep}"
    yield f"post: {found.post.name}, {'; '.join(_post(found))}"
    yield ""
    yield f"tried {_with(found)}"
    if found.fits:
        yield from _passed(found)
    else:
        for reason, remedy in dict.fromkeys((_because(f), f.remedy) for f in found.tried.refused):
            yield words(f"  refused: {reason}")
            yield words(f"    what to do: {remedy}")
    if found.ranges:
        yield ""
        yield "how far each goes, the others as they were tried"
        for each in found.ranges:
            yield from _range(each, found.writing)
    if found.missing:
        yield ""
        yield "missing here"
        yield from (f"  {words(each)}" for each in found.missing)
    if not found.fits:
        yield ""
        yield (
            "what comes nearest"
            if found.instead
            else "nothing comes near: no other value, tool or recipe was found"
        )
        yield from (f"  {words(each)}" for each in found.instead)
        if found.tried.refused:
            yield ""
            yield more_line(found.tried.refused[0].rule)


def _answer(found: Fit) -> str:
    if not found.fits:
        return "it does not fit"
    number = sum(f.level == "warn" for f in found.tried.findings)
    return f"it fits, with {count(number, 'thing')} to look out for" if number else "it fits"


def _matches(title: str, matches: tuple[Match, ...], writing: Writing) -> Iterator[str]:
    if matches:
        yield title
    for each in matches:
        yield f"  {each.name}, {writing.words(each.wants)}: {', '.join(each.by) or 'nothing here'}"
        yield from (f"    {writing.words(why)}" for why in each.why)


def _post(found: Fit) -> list[str]:
    post, refused = found.post, found.post.refused()
    told = [
        "arcs are refused: " + refused[Arc].why
        if Arc in refused
        else "a path that bends is written as arcs"
        if getattr(post.traits, "arcs", "none") != "none"
        else "a path that bends is written as short lines"
    ]
    told += [
        f"{node.__name__.lower()} is refused: {why.why}" for node, why in refused.items() if node is not Arc
    ]
    if Pause in refused:
        told.append("zero has to be checked by hand")
    if post.reader is None:
        told.append("no reader can prove what it writes")
    return told


def _with(found: Fit) -> str:
    said = [f"{name} {value}" for name, value in found.given.items()]
    said += [f"{name} {_number(name, value, found)}" for name, value in found.at.items()]
    taken = " (nobody gave them: taken from between the recipe's limits)" if found.at else ""
    on = "flat wood made up for it" if found.made_up else "the boards given"
    return f"on {on}, with {', '.join(said) or 'what the recipe takes by itself'}{taken}"


def _number(name: str, value: float, found: Fit) -> str:
    plain = next((r.of.kind for r in found.ranges if r.of.name == name), "length") != "length"
    return f"{value:g}" if plain else found.writing.fine(value)


def _passed(found: Fit) -> Iterator[str]:
    tried, words = found.tried, found.writing.words
    assert tried.seconds is not None
    yield f"  {tried.setups} clampings, the machine runs {tried.seconds / 60:.0f} min; nothing refuses it"
    for title, expected, asked in tried.expected:
        if asked is not None:
            over = ", which is more" if expected > asked else ""
            told = words(f"{expected:.2f} mm to be expected, {asked:g} mm asked")
            yield f"  {title}: {told}{over}"
    yield from (f"  look out: {words(f.message)}" for f in tried.findings if f.level == "warn")
    yield from (f"  {words(said)}" for said in tried.said_otherwise)


def _range(each: Range, writing: Writing) -> Iterator[str]:
    of, words = each.of, writing.words
    low, high, least, most = (_value(of, at, writing) for at in (each.low, each.high, of.low, of.high))
    asked = f", of {least} to {most}" if (each.below or each.above) else ", all of it"
    yield f"  {of.name} ({words(of.ask)}): {low} to {high}{asked}"
    for end in (each.below, each.above):
        if end is not None:
            yield f"    {_value(of, end[0], writing)} is refused: {words(_because(end[1]))}"


def _value(of: Open, value: float, writing: Writing) -> str:
    """Write a value; in inches to the thou and finer, for what was tried is told as it was tried."""
    if of.kind != "length":
        return f"{value:g}"
    return f"{value:g} mm" if writing.units == "mm" else writing.fine(value)


def _because(finding: Finding) -> str:
    return f"{finding.rule}: {finding.message}"


def values(found: Fit) -> dict[str, Any]:
    """Return the same for programs."""
    return {
        "recipe": found.recipe,
        "version": found.version,
        "shop": found.shop,
        "fits": found.fits,
        "tools": [_plain(each) for each in found.roles],
        "holding": [_plain(each) for each in found.zones],
        "fence": None if found.fence is None else _plain(found.fence),
        "post": {"name": found.post.name, "says": _post(found)},
        "reach": [{"tool": t, "cuts": c, "edges_up_to": m} for t, c, m in found.reach],
        "tried": {
            "given": dict(found.given),
            "taken": dict(found.at),
            "on": "flat wood" if found.made_up else "the boards given",
            "setups": found.tried.setups,
            "seconds": None if found.tried.seconds is None else round(found.tried.seconds, 1),
            "expected": [
                {"measure": title, "expected": round(expected, 3), "asked": asked}
                for title, expected, asked in found.tried.expected
            ],
        },
        "findings": [dataclasses.asdict(f) for f in found.tried.findings or found.tried.refused],
        "ranges": [
            {
                "of": each.of.name,
                "low": each.low,
                "high": each.high,
                "limits": [each.of.low, each.of.high],
                "below": _end(each.below),
                "above": _end(each.above),
            }
            for each in found.ranges
        ],
        "missing": list(found.missing),
        "instead": list(found.instead),
    }


def _end(end: tuple[float, Finding] | None) -> dict[str, Any] | None:
    return None if end is None else {"at": end[0], "finding": dataclasses.asdict(end[1])}


def _plain(match: Match) -> dict[str, Any]:
    return {**dataclasses.asdict(match), "by": list(match.by), "why": list(match.why)}
