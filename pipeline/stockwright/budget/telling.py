"""What is reported of a shop's errors.

In: a shop, its budget, what was learnt. Out: lines, plain values, YAML. Promise: a woodworker's words in the
shop's own units, plain values in mm; every guess is called one, with what it costs and the test cut that
replaces it.
"""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any

from stockwright.budget.figures import FIGURES, figure
from stockwright.machine import Errors
from stockwright.units import INCH, format_length

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from stockwright.budget.learning import Learnt
    from stockwright.budget.sums import Sum
    from stockwright.budget.work import Work
    from stockwright.machine import Shop
    from stockwright.units import System

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
METRE = 1000.0  # mm: over which figures in mm/m are read


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
    units = shop.units
    yield f"{shop.name}: what its document leaves open, and what that costs"
    yield ""
    for at, says in lacks:
        yield f"  {at}: {says}"
    if lacks:
        yield ""
    unit = _unit("mm", units)
    size = " x ".join(f"{_in(each, units):g}" for each in (work.length, work.width, work.thickness))
    yield f"what a board of {size} {unit} may be out by, faced and squared here"
    if not sums:
        yield "  nothing: no cutter here is for faces, edges or ends"
        return
    yield f"  {'':<24} {'expected':>9} {'at worst':>9}  most of it"
    for each in sums:
        first = each.parts[0]
        guess = ", a guess" if first.source == "guess" else ""
        expected, worst = (_out_by(size, units) for size in (each.expected, each.worst))
        yield f"  {each.title:<24} {expected:>9} {worst:>9}  {first.words}{guess}"
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
        yield f"  {told.key}: {told.words}, {_size(known.size, told.unit, units)} taken"
        yield f"    costs up to {_out_by(saved, units)} ({title})"
        yield f"    to find out: {_far(told.cut, units)}"
        if told.enter:
            yield f"    enter it in a document of readings, under {told.enter}"
        else:
            value = f"value: ... {_unit(told.unit, units)}"
            yield f"    write it down as `{told.key}: {{{value}, measured: yes}}`"


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


def learnt_lines(
    learnt: Sequence[Learnt], before: Sequence[Sum], after: Sequence[Sum], units: System
) -> Iterator[str]:
    """Yield what the readings say, and what the reference board may be out by with them."""
    for each in learnt:
        told = FIGURES[each.key]
        value, within = (_read(size, told.unit, units) for size in (each.value, each.within))
        yield f"{each.key}: {told.words} by {value}, sure within {within} ({each.count} readings)"
        if each.within > each.value:
            yield "    that is not told from none at all: more readings, or finer ones, would make it surer"
    yield ""
    was = {each.title: each.expected for each in before}
    changed = [total for total in after if abs(total.expected - was[total.title]) >= LEAST]
    for total in changed:
        old, now = _out_by(was[total.title], units), _out_by(total.expected, units)
        yield f"  {total.title:<24} {old:>9} expected before, {now} now"
    if not changed:
        yield "  what is to be expected of a board stays as it was"


def pasted(shop: Shop, learnt: Sequence[Learnt]) -> str:
    """Return the block for the shop's document as YAML, below its `machine:`; what it says already stays.

    Its lengths are in the shop's own units. No line is longer than a terminal is wide, so that it can be
    taken over as it is shown.
    """
    units = shop.units
    new = {each.key: each for each in learnt}
    lines = ["  errors:"]
    for field in fields(Errors):
        key = field.name.replace("_", "-")
        unit = _unit(FIGURES[key].unit, units)
        size = 1.0 if unit == "deg" else _in(1.0, units)
        places = 6 if unit == "in" else 4
        said = getattr(shop.errors, field.name)
        if key in new:
            each = new[key]
            found = (f"{figure * size:.{places}f} {unit}" for figure in (each.value, each.within))
            value = "value: {}, within: {}, measured: yes".format(*found)
            lines += [f"    # {each.count} readings", f"    {key}: {{{value}}}"]
        elif said is not None:
            value = f"value: {said.value * size:g} {unit}, within: {said.within * size:g} {unit}"
            lines.append(f"    {key}: {{{value}, measured: {'yes' if said.measured else 'no'}}}")
    return "\n".join(lines) + "\n"


def _unit(unit: str, units: System) -> str:
    """Return what a figure's value carries in the shop's document."""
    return "deg" if unit == "deg" else "in" if units == "inch" else "mm"


def _in(value: float, units: System) -> float:
    return value / INCH if units == "inch" else value


def _out_by(value: float, units: System) -> str:
    """Write what a board is out by, as many places in every line, so that columns stay columns."""
    return f"{value / INCH:.4f} in" if units == "inch" else f"{value:.2f} mm"


def _size(value: float, unit: str, units: System) -> str:
    """Write a figure as it is taken."""
    if units == "mm" or unit == "deg":
        return f"{value:g} {unit}"
    return format_length(value, units, 2) + _over(unit, units)


def _read(value: float, unit: str, units: System) -> str:
    """Write a figure made of readings."""
    if units == "mm" or unit == "deg":
        return f"{value:.3f} {unit}"
    return f"{value / INCH:.4f} in{_over(unit, units)}"


def _over(unit: str, units: System) -> str:
    # A document's figure is over a metre in whatever units it is written, and so it is told.
    return f" over {format_length(METRE, units, 1)}" if unit == "mm/m" else ""


def _far(cut: str, units: System) -> str:
    """Return a test cut in words that a rule in the shop's own units can follow."""
    return cut.replace("a metre", format_length(METRE, units, 1)) if units == "inch" else cut
