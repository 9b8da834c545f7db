"""How large a page of the PDF is set, so that it stays one page. In: its contents. Out: points.

A first size is reckoned, so that the type need not be set over and over; what then takes more than a leaf is
set smaller. Promise: never below `LEAST`, where a page goes on over the leaf instead.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = ["narrower", "sized"]

SIZES = (11.0, 10.5, 10.0, 9.5, 9.0)
# Of a setup's page also how large its drawings are: their words are of 10.5 points at their full size.
SET = ((11.0, 1.0), (10.5, 1.0), (10.0, 1.0), (10.0, 0.9), (9.5, 0.9), (9.5, 0.87), (9.0, 0.87))
LEAST = 9.0  # points, of anything printed; common practice for what is read at a machine, no source
PAPER = {"a4": (188.0, 283.0), "letter": (193.9, 265.4)}  # mm inside the margins
POINT = 0.3528  # mm
GUTTER = 6.0  # mm between the columns
# The face's mean letter and its height of line, by its size, as measured in finished PDFs.
PLAIN, LINE = 0.39, 1.155
SLACK = 0.91  # of what is reckoned, found by comparing with finished pages
PICTURE = 1.5  # mm under a drawing in a column


def sized(told: Mapping[str, Any]) -> dict[str, Any]:
    """Return the contents of a sheet, every page but the pictures' with its `size` in points."""
    paper = told["paper"]
    return {
        **told,
        "first": {**told["first"], "size": _of_page(told["first"], paper)},
        "setups": [{**page, **_of_setup(page, paper)} for page in told["setups"]],
        "last": {**told["last"], "size": _of_page(told["last"], paper)},
    }


def narrower(told: Mapping[str, Any], leaves: list[int]) -> dict[str, Any] | None:
    """Return sized contents with every page that takes more than one leaf set smaller; None where all stay.

    `leaves` are those of the first page, of the setups', and of the rest; None too where nothing is smaller.
    """
    first, last = told["first"], told["last"]
    changed = False
    if leaves[0] > 1 and first["size"] > LEAST:
        first, changed = {**first, "size": _after(SIZES, first["size"])}, True
    if leaves[-1] > 1 and last["size"] > LEAST:
        last, changed = {**last, "size": _after(SIZES, last["size"])}, True
    setups = []
    for page, count in zip(told["setups"], leaves[1:], strict=False):
        now = (page["size"], page["drawn"])
        if count > 1 and now != SET[-1]:
            size, drawn = _after(SET, now)
            setups.append({**page, "size": size, "drawn": drawn})
            changed = True
        else:
            setups.append(page)
    return {**told, "first": first, "setups": setups, "last": last} if changed else None


def _after(steps: Sequence[Any], now: Any) -> Any:
    return steps[steps.index(now) + 1]


def _of_setup(page: Mapping[str, Any], paper: str) -> dict[str, float]:
    """Return the largest `size` at which a setup's page stays on one leaf, and how large its drawings are."""
    wide, high = PAPER[paper]
    column = (wide - GUTTER) / 2
    for size, drawn in SET:
        left = high - _head(page, wide * drawn, size)
        # The two columns are never filled evenly: one step does not break.
        if _columns(page, column, size, drawn) <= 2 * left - 5.0 * size * POINT * LINE:
            return {"size": size, "drawn": drawn}
    size, drawn = SET[-1]
    return {"size": size, "drawn": drawn}


def _of_page(part: Mapping[str, Any], paper: str) -> float:
    """Return the largest of `SIZES` at which the first or the last page stays on one leaf."""
    wide, high = PAPER[paper]
    for size in SIZES:
        line = size * POINT * LINE
        letters = wide / (size * POINT * PLAIN)
        drawn = sum(_height(svg) * wide / 186.0 + 2.0 for svg in part.get("drawings", ()))
        lines = sum(math.ceil(len(text) / letters) for text in _texts(part))
        if drawn + lines * (line + 0.7) + 8.0 * (line + 3.0) + 20.0 <= high:
            return size
    return LEAST


def _texts(value: Any) -> list[str]:
    """Return every text, those of one row of a table as one."""
    if isinstance(value, str):
        return [] if value.startswith("<svg ") else [value]
    if isinstance(value, dict):
        if all(isinstance(each, str) for each in value.values()):
            return [" ".join(value.values())]
        return [text for each in value.values() for text in _texts(each)]
    if isinstance(value, list):
        if len(value) > 3 and all(isinstance(each, str) and len(each) < 40 for each in value):
            return [" ".join(value)]
        return [text for each in value for text in _texts(each)]
    return []


def _head(page: Mapping[str, Any], wide: float, size: float) -> float:
    """Return what header, plan and the table of what stands take, mm."""
    line = size * POINT * LINE
    small = max(LEAST, 0.9 * size) * POINT * LINE + 0.9
    plan = _height(page["plan"]) * wide / 186.0 + small
    files = sum(len(f["file"]) + 14 for f in page["files"])
    return line * (1 + files // 90) + 8.0 + (line + 0.8) * len(page["lies"]) + 3.0 + plan + 2.5


def _height(svg: str) -> float:
    found = re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', svg)
    return float(found[1]) if found else 0.0


def _columns(page: Mapping[str, Any], column: float, size: float, drawn: float) -> float:
    """Return how much of one column the steps take, mm."""
    small = max(LEAST, 0.9 * size)

    def lines(text: str, points: float, indent: float, letter: float = PLAIN) -> float:
        letters = (column - indent) / (points * POINT * letter)
        return math.ceil(len(text) / letters) * points * POINT * LINE

    total = _height(page["section"]) * drawn * column / 90.0 + PICTURE if page["section"] else 0.0
    if page["shims"]:
        total += size * POINT * LINE + 3.0
        total += 0.55 * sum(lines("  ".join(row), small, column / 2) + 0.9 for row in page["shims"])
    for group in page["groups"]:
        total += size * POINT * LINE + 2.8
        total += sum(lines(note, small, 2.0) + 1.0 for note in group["notes"])
        for step in group["steps"]:
            total += lines(step["text"], size, 8.0, PLAIN) + 0.9
            total += 1.8 if step["halt"] else 0.0
            total += sum(lines(detail, small, 6.0) + 0.3 for detail in step["details"])
        total += 0.5 * sum(lines(tick, size, column / 2 + 7.0) + 1.0 for tick in group["ticks"])
        total += 4.0 if group["ticks"] else 0.0
        total += len(group["blanks"]) * (1.25 * size * POINT * LINE + 0.9)
    return SLACK * total
