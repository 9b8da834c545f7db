"""How two recipes differ in what they do. In: two recipes, read. Out: sentences, none where they do the same.

Promise: order of keys, spelling of lengths, comments and file names make no difference; a step keeps its name
when others are added or removed before it.
"""

from __future__ import annotations

from difflib import SequenceMatcher
from typing import TYPE_CHECKING, get_args

from stockwright.documents.expressions import Expression, Quantity
from stockwright.documents.fields import Part
from stockwright.documents.number_kinds import Measured, Ranged, Summed, WordOrSummed
from stockwright.units import LENGTH, Measure

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from pydantic.fields import FieldInfo

    from stockwright.documents.recipe import RecipeDocument, Step

__all__ = ["differences"]

_SECTIONS = (("inputs", "input"), ("tools", "tool role"), ("holding", "holding zone"))


def differences(one: RecipeDocument, other: RecipeDocument) -> list[str]:
    """Return a sentence for each thing that the second recipe does differently from the first."""
    found: list[str] = []
    for section, noun in _SECTIONS:
        found += _tables(noun, getattr(one, section), getattr(other, section))
    for section in ("tolerance", "finished"):
        found += _parts(section, getattr(one, section), getattr(other, section))
    found += _steps(one.steps, other.steps)
    return found


def _tables(noun: str, one: Mapping[str, Part], other: Mapping[str, Part]) -> Iterator[str]:
    for name in dict.fromkeys([*one, *other]):
        if name not in other:
            yield f"{noun} {name}: only in the first ({_told(one[name])})"
        elif name not in one:
            yield f"{noun} {name}: only in the second ({_told(other[name])})"
        else:
            yield from _parts(f"{noun} {name}", one[name], other[name])


def _parts(name: str, one: Part, other: Part) -> Iterator[str]:
    for key, field in type(one).model_fields.items():
        a, b = getattr(one, key), getattr(other, key)
        if a != b:
            shown = str(field.alias or key).replace("_", "-")
            yield f"{name}: {shown} {_said(a, _measure(field))}, then {_said(b, _measure(field))}"


def _steps(one: tuple[Step, ...], other: tuple[Step, ...]) -> Iterator[str]:
    names, others = _labels(one), _labels(other)
    for kind, a0, a1, b0, b1 in SequenceMatcher(a=names, b=others, autojunk=False).get_opcodes():
        if kind == "equal":
            for name, a, b in zip(names[a0:a1], one[a0:a1], other[b0:b1], strict=True):
                yield from _parts(f"step {name}", a, b)
            continue
        after = f"after {names[a0 - 1]}" if a0 else "at the beginning"
        for name, step in zip(names[a0:a1], one[a0:a1], strict=True):
            moved = ", it comes elsewhere in the second" if name in others else ""
            yield f"step {name}: {after} only in the first{moved} ({_told(step)})"
        for name, step in zip(others[b0:b1], other[b0:b1], strict=True):
            moved = ", it comes elsewhere in the first" if name in names else ""
            yield f"step {name}: {after} only in the second{moved} ({_told(step)})"


def _labels(steps: tuple[Step, ...]) -> list[str]:
    seen: dict[str, int] = {}
    found = []
    for step in steps:
        label = _label(step)
        seen[label] = seen.get(label, 0) + 1
        found.append(label if seen[label] == 1 else f"{label} {seen[label]}")
    return found


def _label(step: Step) -> str:
    for key in ("face", "bed"):
        if hasattr(step, key):
            return f"{key} {getattr(step, key)}"
    for key in ("edge", "end"):
        if hasattr(step, key):
            return str(getattr(step, key))
    return type(step).__name__.removesuffix("Step").lower()


def _told(part: Part) -> str:
    said = []
    for key, field in type(part).model_fields.items():
        value = getattr(part, key)
        if value is not None and value != ():
            said.append(f"{str(field.alias or key).replace('_', '-')} {_said(value, _measure(field))}")
    return ", ".join(said)


def _measure(field: FieldInfo) -> Measure | None:
    """Return what a field's numbers measure; None where they are plain."""
    looked_at: list[object] = [*field.metadata, field.annotation]
    while looked_at:
        each = looked_at.pop()
        if isinstance(each, Measured | Ranged):
            return each.measure
        if isinstance(each, Summed | WordOrSummed):
            return LENGTH
        looked_at += get_args(each)
    return None


def _number(value: float, measure: Measure | None) -> str:
    unit = next(iter(measure.units), "") if measure is not None else ""
    return f"{value / measure.units[unit]:g} {unit}" if measure is not None and unit else f"{value:g}"


def _said(value: object, measure: Measure | None = None) -> str:
    if value is None:
        return "not said"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return _number(value, measure)
    if isinstance(value, Expression):
        return value.text
    if isinstance(value, Quantity):
        return str(value)
    if isinstance(value, tuple):
        if len(value) == 2 and all(isinstance(each, float) for each in value):
            return f"{_number(value[0], measure)} to {_number(value[1], measure)}"
        return "[" + ", ".join(_said(each) for each in value) + "]"
    if isinstance(value, Part):
        return _told(value)
    return str(value)
