"""What is reported of a shop's errors.

In: a shop, its budget, what was learnt. Out: lines, plain values, YAML. Promise: a woodworker's words; every
guess is called one, with what it costs and the test cut that replaces it.
"""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any

from stockwright.budget.figures import FIGURES, figure
from stockwright.machine import Errors

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from stockwright.budget.learning import Learnt
    from stockwright.budget.sums import Sum
    from stockwright.budget.work import Work
    from stockwright.machine import Shop

__all__ = [
    "budget_values",
    "check_lines",
    "costs",
    "figure_values",
    "learnt_lines",
    "learnt_values",
    "pasted",
]

LEAST = 0.005  # mm: what costs less than that is not told


def costs(sums: Sequence[Sum], key: str) -> list[tuple[str, float]]:
    """Return by how much each measure would improve if a figure were zero, the greatest first, mm."""
    saved = [(each.title, each.expected - each.without(key)) for each in sums]
    return sorted((each for each in saved if each[1] >= LEAST), key=lambda each: -each[1])


def figure_values(shop: Shop, sums: Sequence[Sum]) -> list[dict[str, Any]]:
    """Return every figure with its size, source, what it costs and its test cut."""
    found = []
    for key, told in FIGURES.items():
        known = figure(shop, key)
        found.append(
            {
                "key": key,
                "what": told.words,
                "unit": told.unit,
                "size": None if known is None else round(known.size, 6),
                "source": "not said" if known is None else known.source,
                "costs": {title: round(size, 3) for title, size in costs(sums, key)},
                "test_cut": told.cut,
                "enter": told.enter,
            }
        )
    return found


def budget_values(sums: Sequence[Sum]) -> list[dict[str, Any]]:
    """Return the sums of the reference board."""
    return [
        {
            "measure": each.title,
            "expected": round(each.expected, 3),
            "worst": round(each.worst, 3),
            "shares": [
                {"what": p.words, "size": round(p.size, 3), "source": p.source, "kind": p.kind}
                for p in each.parts
            ],
        }
        for each in sums
    ]


def check_lines(
    shop: Shop, work: Work, sums: Sequence[Sum], lacks: Sequence[tuple[str, str]]
) -> Iterator[str]:
    """Yield what a shop's document lacks or leaves to guesses, what that costs, and how to find out."""
    yield f"{shop.name}: what its document leaves open, and what that costs"
    yield ""
    for at, says in lacks:
        yield f"  {at}: {says}"
    if lacks:
        yield ""
    size = f"{work.length:g} x {work.width:g} x {work.thickness:g} mm"
    yield f"what a board of {size} may be out by, faced and squared here"
    if not sums:
        yield "  nothing: no cutter here is for faces, edges or ends"
        return
    yield f"  {'':<24} {'expected':>9} {'at worst':>9}  most of it"
    for each in sums:
        first = each.parts[0]
        guess = ", a guess" if first.source == "guess" else ""
        yield f"  {each.title:<24} {each.expected:>6.2f} mm {each.worst:>6.2f} mm  {first.words}{guess}"
    yield ""
    guessed = [
        known for key in FIGURES if (known := figure(shop, key)) is not None and known.source == "guess"
    ]
    guessed = [known for known in guessed if costs(sums, known.told.key)]
    if not guessed:
        yield "no figure that counts is a guess"
        return
    yield "guesses, what counts most first; each is written below `machine: errors`"
    for known in sorted(guessed, key=lambda known: -costs(sums, known.told.key)[0][1]):
        told = known.told
        title, saved = costs(sums, told.key)[0]
        yield f"  {told.key}: {told.words}, {known.size:g} {told.unit} taken"
        yield f"    costs up to {saved:.2f} mm ({title})"
        yield f"    to find out: {told.cut}"
        if told.enter:
            yield f"    enter it in a document of readings, under {told.enter}"
        else:
            yield f"    write it down as `{told.key}: {{value: ... {_unit(told.unit)}, measured: yes}}`"


def learnt_values(learnt: Sequence[Learnt]) -> list[dict[str, Any]]:
    """Return the figures made of readings."""
    return [
        {
            "key": each.key,
            "unit": FIGURES[each.key].unit,
            "value": round(each.value, 5),
            "within": round(each.within, 5),
            "readings": each.count,
        }
        for each in learnt
    ]


def learnt_lines(learnt: Sequence[Learnt], before: Sequence[Sum], after: Sequence[Sum]) -> Iterator[str]:
    """Yield what the readings say, and what the reference board may be out by with them."""
    for each in learnt:
        told = FIGURES[each.key]
        yield (
            f"{each.key}: {told.words} by {each.value:.3f} {told.unit}, sure within {each.within:.3f} "
            f"{told.unit} ({each.count} readings)"
        )
        if each.within > each.value:
            yield "    that is not told from none at all: more readings, or finer ones, would make it surer"
    yield ""
    was = {each.title: each.expected for each in before}
    changed = [total for total in after if abs(total.expected - was[total.title]) >= LEAST]
    for total in changed:
        yield f"  {total.title:<24} {was[total.title]:>6.2f} mm expected before, {total.expected:.2f} mm now"
    if not changed:
        yield "  what is to be expected of a board stays as it was"


def pasted(shop: Shop, learnt: Sequence[Learnt]) -> str:
    """Return the block for the shop's document as YAML, below its `machine:`; what it says already stays.

    No line is longer than a terminal is wide, so that it can be taken over as it is shown.
    """
    new = {each.key: each for each in learnt}
    lines = ["  errors:"]
    for field in fields(Errors):
        key = field.name.replace("_", "-")
        unit = _unit(FIGURES[key].unit)
        said = getattr(shop.errors, field.name)
        if key in new:
            each = new[key]
            value = f"value: {each.value:.4f} {unit}, within: {each.within:.4f} {unit}, measured: yes"
            lines += [f"    # {each.count} readings", f"    {key}: {{{value}}}"]
        elif said is not None:
            value = f"value: {said.value:g} {unit}, within: {said.within:g} {unit}"
            lines.append(f"    {key}: {{{value}, measured: {'yes' if said.measured else 'no'}}}")
    return "\n".join(lines) + "\n"


def _unit(unit: str) -> str:
    return "deg" if unit == "deg" else "mm"
