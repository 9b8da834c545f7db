"""An estimate of how high the words of a PDF page stand, before they are set.

In: its contents. Out: mm, points. The template measures what it sets and takes the next smaller size where
one does not fit; setting takes long, so it begins at the size estimated here. Promise: a wrong estimate costs
time and changes nothing else.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

__all__ = ["reckoned"]

FLOWING = (11.0, 10.5, 10.0, 9.5)  # points, of the first page and the last
STEP, BODY = 11.5, 11.0  # points, of a setup's page: what the template calls its base
COLUMN, WIDE = 91.0, 188.0  # mm, about the same on either paper
HIGH = {"a4": 277.0, "letter": 259.0}  # mm inside the margins, less a page's own head
POINT = 0.3528  # mm
# The face's mean letter and its height of line, by its size, as measured in finished PDFs.
PLAIN, LINE = 0.4, 1.155


def reckoned(told: Mapping[str, Any]) -> dict[str, Any]:
    """Return contents that say about how high they stand.

    A leaf, and each of its groups, how `high` its words are in one column, mm; a setup's page how high its
    plan is, by its width, `drawn`; the first page and the last their `size`, points.
    """
    setups = [
        {
            **page,
            "leaves": [_leaf(leaf) for leaf in page["leaves"]],
            "drawn": _height(page["plan"]) / _across(page["plan"]),
        }
        for page in told["setups"]
    ]
    first, last = ({**told[key], "size": _size(told[key], told["paper"])} for key in ("first", "last"))
    return {**told, "first": first, "setups": setups, "last": last}


def _lines(text: str, points: float, wide: float) -> float:
    """Return the height of a text set `wide` mm wide, mm."""
    return math.ceil(len(text) * points * POINT * PLAIN / wide) * points * POINT * LINE


def _leaf(leaf: Mapping[str, Any]) -> dict[str, Any]:
    groups = [{**group, "high": _group(group)} for group in leaf["groups"]]
    return {**leaf, "groups": groups, "high": sum(group["high"] for group in groups)}


def _group(group: Mapping[str, Any]) -> float:
    total = _lines(group["heading"], STEP, COLUMN) + 2.0
    total += sum(_lines(note, BODY, COLUMN - 2.0) + 1.2 for note in group["notes"])
    for step in group["steps"]:
        total += _lines(step["text"], STEP, COLUMN - 9.0) + 0.9 + (1.2 if step["halt"] else 0.0)
        total += sum(_lines(detail, BODY, COLUMN - 7.0) + 0.3 for detail in step["details"])
        total += len(step["rows"]) * BODY * POINT * LINE
    total += 0.5 * sum(_lines(tick, BODY, COLUMN / 2 - 9.0) + 1.0 for tick in group["ticks"])
    return total + 7.0 * len(group["blanks"]) + (4.0 if group["ticks"] else 0.0)


def _size(part: Mapping[str, Any], paper: str) -> float:
    """Return the largest of `FLOWING` at which the first or the last page may stay on one leaf."""
    # One, or two side by side.
    drawn = max((_height(svg) * WIDE / 186.0 + 2.0 for svg in part.get("drawings", ())), default=0.0)
    texts = [text for text in _texts(part) if text]
    for size in FLOWING:
        if drawn + sum(_lines(text, size, WIDE) + 0.9 for text in texts) <= HIGH[paper]:
            return size
    return FLOWING[-1]


def _height(svg: str) -> float:
    return _seen(svg)[1]


def _across(svg: str) -> float:
    return _seen(svg)[0]


def _seen(svg: str) -> tuple[float, float]:
    found = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    return (float(found[1]), float(found[2])) if found else (1.0, 0.0)


def _texts(value: Any) -> Iterator[str]:
    """Yield every text; those of one row of a table as one."""
    if isinstance(value, str):
        if not value.startswith("<svg "):
            yield value
    elif isinstance(value, dict):
        if all(isinstance(each, str) for each in value.values()):
            yield " ".join(value.values())
        else:
            for each in value.values():
                yield from _texts(each)
    elif isinstance(value, list):
        if len(value) > 2 and all(isinstance(each, str) and len(each) < 40 for each in value):
            yield " ".join(value)
        else:
            for each in value:
                yield from _texts(each)
