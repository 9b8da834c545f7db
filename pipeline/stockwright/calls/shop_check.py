"""What `stockwright shop check` does: read, bind, budget, report; from readings, also the shop's own figures.

In: the call's arguments. Out: `Told`, and a file where asked. Promise: every mistake of the shop and of the
readings is reported at once; the shop's own document is never changed; lines are in the shop's own units.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    from stockwright.budget.learning import Learnt
    from stockwright.documents.fields import Part
    from stockwright.machine import Shop

__all__ = ["Call", "Told", "check"]

_MARK = "# Made by stockwright shop check: figures of this machine, of readings."
# What a key that was left out means; the keys of `machine: errors` are told by the budget.
_SAYS = {
    "post": "no dialect is named: the job or --post must",
    "skimmed": "nobody says that the bed was ever skimmed, and every second face is cut parallel to it",
    "fence": "no fence: recipes that turn an edge to one are refused",
    "hold-downs": "no hold-downs: nothing is planned to hold a board",
    "shims": "no shims: places that hang are filled with whatever is measured there",
    "probe": "no touch probe: boards are read by hand",
    "inch-as": "not said: inches are written as decimals",
    "paper": "not said: A4 is taken for millimetres, Letter for inches",
    "slide": "not said how a board is slid along: a cautious accuracy is taken",
    "zero": "not said what z is touched with: paper or a touch plate, and how thick it is",
    "marked-max": "no greatest speed is known for it, and no job runs it",
    "stickout": "taken as the longest that still fills the collet",
    "material": "steel is taken, which bends most",
    "fluted": "flutes are taken to reach as far as it cuts",
    "places": "hold-downs may stand anywhere on the bed",
    "carries": "what it bears before it shifts is not said: a cautious force is taken",
    "push": "how hard it squeezes is not said: a cautious force is taken",
    "press": "how hard it presses is not said: a cautious force is taken",
    "bolt": "how high its bolt stands, and how tight, is not said",
    "torque": "the same torque is taken at every speed",
    "friction": "how the bed grips wood was not tried: a low friction is taken",
    "cutting-pressure": "how hard wood is to cut here was not tried: 30 N/mm2 is taken",
    "helix": "its teeth are taken to pull upwards",
    "longest-span": "400 mm between supports is taken",
}
_SILENT = {
    "about",
    "units",
    "errors",
    "corner-radius",
    "ramp",
    "attached",
    "marks",
    "power-at",
}  # what is rarely there is not missed


@frozen
class Call:
    """The call: the shop's document, and where there are any, readings and where their figures go."""

    shop: Path
    measured: Path | None = None
    out: Path | None = None


@frozen
class Told:
    """The answer, for programs and for people."""

    values: Mapping[str, Any]
    lines: tuple[str, ...]


def check(call: Call) -> Told:
    """Say what the shop's document leaves open, or what readings say of its machine.

    Raises `InputError` with every mistake of the call and of both documents.
    """
    from stockwright.bind.shop import bind_shop
    from stockwright.budget.sums import budget
    from stockwright.budget.telling import budget_values, check_lines, figure_values
    from stockwright.budget.work import reference
    from stockwright.packet.writing import Writing

    document, read = _read(call)
    shop = bind_shop(document, document.post or "", document.units)
    if read is not None:
        return _learnt(call, shop, read)
    work = reference(shop)
    writing = Writing(shop.units, shop.inch_as)
    sums = budget(shop, work)
    lacks = tuple(_lacks(document, ()))
    values = {
        "shop": shop.name,
        "lacks": [{"at": at, "says": says} for at, says in lacks],
        "board": {"length": work.length, "width": work.width, "thickness": work.thickness},
        "budget": budget_values(sums),
        "figures": figure_values(shop, sums),
    }
    return Told(
        values, tuple(check_lines(shop, work, sums, [(at, writing.words(says)) for at, says in lacks]))
    )


def _read(call: Call) -> tuple[Any, Any]:
    from stockwright.bind import post_of
    from stockwright.documents import read_document

    mistakes: list[Mistake] = []
    found: list[Any] = []
    for path, kind in ((call.shop, "shop"), (call.measured, "measured")):
        if path is None:
            found.append(None)
            continue
        try:
            document = read_document(path, kind)
            found.append(document.model)
            if kind == "shop" and document.model.post is not None:
                post_of(None, document.model.post, path.parent, document.mistake(("post",), "", ""))
        except InputError as error:
            mistakes += error.mistakes
    if call.out is not None and call.measured is None:
        message = "no readings are named, expected --measured FILE: of what is the file to be?"
        mistakes.append(Mistake(f"--out {call.out}", 0, 0, "missing-key", message))
    if mistakes:
        raise InputError(mistakes)
    return found[0], found[1]


def _learnt(call: Call, shop: Shop, read: Any) -> Told:
    from stockwright.budget.learning import learn
    from stockwright.budget.sums import budget
    from stockwright.budget.telling import budget_values, learnt_lines, learnt_values, pasted
    from stockwright.budget.work import reference

    learnt = learn(read, shop)
    work = reference(shop)
    before, after = budget(shop, work), budget(_with(shop, learnt), work)
    block = pasted(shop, learnt)
    values: dict[str, Any] = {
        "shop": shop.name,
        "figures": learnt_values(learnt),
        "before": budget_values(before),
        "after": budget_values(after),
        "yaml": block,
    }
    lines = [*learnt_lines(learnt, before, after, shop.units), ""]
    if call.out is None:
        lines += ["for the shop's document, below `machine:`", *block.splitlines()]
    else:
        from stockwright.packet.one_file import deliver_file

        deliver_file(call.out, f"{_MARK}\n{block}".encode(), _MARK.encode(), "block")
        values["out"] = str(call.out)
        lines.append(f"the block for the shop's document is in {call.out}")
    return Told(values, tuple(lines))


def _with(shop: Shop, learnt: Sequence[Learnt]) -> Shop:
    from stockwright.machine import Figure

    new = {each.key.replace("-", "_"): Figure(each.value, each.within, measured=True) for each in learnt}
    return replace(shop, errors=replace(shop.errors, **new))


def _lacks(part: Part, path: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    """Yield (where, what it means) of every key that was left out and has a meaning when it is."""
    from stockwright.documents.fields import Part as Table

    for name, field in type(part).model_fields.items():
        key = str(field.alias)
        value = getattr(part, name)
        if name not in part.model_fields_set:
            if not field.is_required() and key not in _SILENT:
                yield ".".join((*path, key)), _SAYS.get(key) or _default(field.json_schema_extra, value)
        elif isinstance(value, Table):
            yield from _lacks(value, (*path, key))
        elif isinstance(value, dict):
            for each, below in value.items():
                if isinstance(below, Table):
                    yield from _lacks(
                        below, (*path, key, f"{each:g}" if isinstance(each, float) else str(each))
                    )


def _default(extra: object, value: object) -> str:
    said = extra.get("default") if isinstance(extra, dict) else None
    if said is None and isinstance(value, bool):
        said = "yes" if value else "no"
    return "not said; a cautious value is taken" if said is None else f"not said; {said} is taken"
