"""What the terminal shows. In: results of the stages. Out: lines of plain text, or one JSON document.

Promise: short and calm, 80 columns, the same in a pipe as on a screen, colour only on a terminal; no text
from a document can control the terminal.
"""

from __future__ import annotations

import dataclasses
import functools
import json
import os
import re
import textwrap
from collections import Counter
from typing import TYPE_CHECKING, Any

from stockwright.units import INCH

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from typing import TextIO

    from stockwright.findings import Finding
    from stockwright.mistakes import Mistake
    from stockwright.packet.model import Proof, Reason
    from stockwright.packet.writing import Writing

__all__ = [
    "WIDTH",
    "as_json",
    "clock",
    "coloured",
    "count",
    "finding_lines",
    "findings_json",
    "folded",
    "list_lines",
    "mistake_lines",
    "mistakes_json",
    "more_line",
    "plain",
    "proof_json",
    "proof_lines",
    "refused_lines",
    "verdict_line",
]

WIDTH = 80  # columns: what any terminal has
_LEVEL = {"refuse": "refused", "warn": "look out", "note": "note"}
_COLOURS = {"refused": "1;31", "unproven": "1;31", "look out": "1;33", "proven": "1;32", "note": "1"}
MANY = 3  # notes alike that are told one by one; more are counted
_BEGINS = re.compile(rf"(?:{'|'.join(_COLOURS)})(?=[:;])")
_HARD_SPACE = "\N{NO-BREAK SPACE}"
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=(?:mm|in|N|kg|rpm|W|s)\b)|(?<=\b[xyz]) (?=-?\d)")
_MEND = "a program that was changed by mistake is made anew with its packet: `stockwright make`"
# A number by itself: not the digits of `end-1`, nor those of `2b-face-b`.
_NUMBER = re.compile(r"(?<![\w.])(?<!\w-)(-?\d+(?:\.\d+)?)(?!\w)( ?%)?")
_LENGTH = re.compile(r"-?\d+(?:\.\d+)?(?= mm\b(?!2|/))")
_FIRST = "they stand in the order of the cuts: mend the first and prove again, others often come of it"
_NO_READER = "make it anew with a post that names a reader; until then it is taken on your own word"


def as_json(value: Any) -> str:
    """Return one JSON document, keys in a fixed order."""
    return json.dumps(value, indent=2, sort_keys=True, allow_nan=False, ensure_ascii=False)


def mistakes_json(mistakes: Iterable[Mistake]) -> dict[str, Any]:
    """Return what `--json` gives with exit code 2."""
    return {"errors": [dataclasses.asdict(m) for m in mistakes]}


def findings_json(findings: Iterable[Finding], **more: Any) -> dict[str, Any]:
    """Return what `--json` gives with exit codes 0 and 1."""
    return {"findings": [dataclasses.asdict(f) for f in findings], **more}


def proof_json(proof: Proof, notes: Iterable[str]) -> dict[str, Any]:
    """Return what `prove --json` gives: the proof, and its reasons once more in the form of findings."""
    from stockwright.proving.what_to_do import what_to_do

    findings = [
        {**r.model_dump(mode="json", by_alias=True), "level": "refuse", "remedy": what_to_do(r.rule)}
        for r in proof.reasons
    ]
    if proof.verdict == "unproven" and not findings:
        message = "no reader could read the programs back"
        findings = [{"rule": "unproven", "level": "refuse", "message": message, "remedy": _NO_READER}]
    return {"findings": findings, "notes": list(notes), "proof": proof.model_dump(mode="json", by_alias=True)}


def plain(text: str) -> str:
    """Return text on one line, with anything that a terminal would obey spelled out."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def folded(lines: Iterable[str]) -> Iterator[str]:
    """Yield lines of at most 80 columns, where the words allow it; the rest of a long line is indented."""
    for line in map(plain, lines):
        indent = " " * (len(line) - len(line.lstrip()) + 4)
        together = _NUMBER_AND_UNIT.sub(_HARD_SPACE, line)
        wrapped = textwrap.wrap(
            together, WIDTH, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
        )
        yield from (each.replace(_HARD_SPACE, " ") for each in wrapped or [""])


def coloured(lines: Iterable[str], stream: TextIO) -> Iterator[str]:
    """Yield lines, with the word that matters at their beginning in colour where a person can see it.

    Only on a terminal that says it can, and never where `NO_COLOR` is set (the common convention).
    """
    able = stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM", "dumb") != "dumb"
    for line in lines:
        word = _BEGINS.match(line) if able else None
        if word is None:
            yield line
        else:
            yield f"\x1b[{_COLOURS[word[0]]}m{word[0]}\x1b[0m{line[word.end() :]}"


def list_lines(entries: Iterable[tuple[str, str]]) -> Iterator[str]:
    """Yield names with what each is about, one under the other."""
    column = 20
    for name, about in entries:
        first, *rest = textwrap.wrap(about, WIDTH - column - 1, break_on_hyphens=False) or [""]
        if len(name) > column:  # on a line of its own, so that the table keeps its columns
            yield name
        yield f"{name if len(name) <= column else '':<{column}} {first}".rstrip()
        yield from (" " * (column + 1) + line for line in rest)


def mistake_lines(mistakes: Iterable[Mistake]) -> Iterator[str]:
    """Yield every mistake on a line of its own, however long, then how many there are."""
    listed = list(mistakes)
    yield from (plain(str(m)) for m in listed)
    yield f"{count(len(listed), 'mistake')}; nothing was written"


def finding_lines(findings: Iterable[Finding], writing: Writing | None = None) -> Iterator[str]:
    """Yield the findings, worst first as they come, each with its numbers and what to do.

    Those of one rule stand together, and a remedy that they share is told once. `writing` is how the person
    reads lengths; None is millimetres.
    """
    groups: dict[tuple[str, str], list[Finding]] = {}
    for f in findings:
        groups.setdefault((f.level, f.rule), []).append(f)
    for (level, rule), alike in groups.items():
        told = [f"{_place(f)}{_in_units(f, writing)}" for f in alike]
        if len(alike) == 1:
            yield f"{_LEVEL[level]}: {rule}{' in ' if alike[0].setup is not None else ': '}{told[0]}"
        else:
            yield f"{_LEVEL[level]}: {rule}, {len(alike)} times"
        remedies = [f.remedy if writing is None else writing.words(f.remedy) for f in alike]
        first = {(f.setup, f.program, f.remedy): at for at, f in reversed([*enumerate(alike)])}
        like = Counter((f.setup, f.program, f.remedy) for f in alike)
        for at, (f, remedy) in enumerate(zip(alike, remedies, strict=True)):
            key = (f.setup, f.program, f.remedy)
            brief = level == "note" and like[key] > MANY  # of a row's boards, one stands for all
            if len(alike) > 1 and (not brief or first[key] == at):
                yield f"    {told[at]}"
                if brief:
                    yield f"    and {like[key] - 1} more like it"
            if remedy not in remedies[at + 1 :]:
                yield f"    what to do: {remedy}"


def _place(f: Finding) -> str:
    where = "" if f.setup is None else f"setup {f.setup}"
    if f.program and not f.message.startswith(f.program):
        where += f"{', ' if where else ''}{f.program}"
    return f"{where}: " if where else ""


def _in_units(f: Finding | Reason, writing: Writing | None) -> str:
    if writing is None or writing.units == "mm":
        return f"{f.message}{_numbers(f, writing)}"
    return f"{writing.words(f.message)}{_numbers_in_inches(f, writing)}"


def _numbers_in_inches(f: Finding | Reason, writing: Writing) -> str:
    """Return the two numbers compared, where they are not said: in inches what is known to be lengths."""
    numbers, message = _numbers(f, writing), _nameless(f.message, writing)
    if not numbers or f.measured is None or f.limit is None:
        return ""
    if _says(message, f.measured / INCH) and _says(message, f.limit / INCH):
        return ""
    if _says(" ".join(_LENGTH.findall(message)), f.measured):
        return f" [{writing.fine(f.measured)} against {writing.fine(f.limit)}]"
    unlike = _says(_LENGTH.sub("", message), f.measured)  # a share, a force, a number of things
    return numbers if unlike or not _LENGTH.search(message) else f"{numbers[:-1]}, lengths in mm]"


def more_line(rule: str) -> str:
    """Return the line that every refusal ends with."""
    return f"`stockwright explain {rule}` says more"


def refused_lines(findings: Iterable[Finding], writing: Writing | None = None) -> Iterator[str]:
    """Yield why a job is refused."""
    listed = list(findings)
    yield from finding_lines(listed, writing)
    yield "refused; nothing was written"
    if listed:
        yield more_line(listed[0].rule)


def proof_lines(proof: Proof, notes: Iterable[str] = (), writing: Writing | None = None) -> Iterator[str]:
    """Yield a verdict on a packet as it lies on the disk, each reason with FILE:LINE first.

    `writing` is how its people read lengths; None is millimetres.
    """
    from stockwright.proving.what_to_do import what_to_do

    listed = list(notes)
    yield from (f"note: {note}" for note in listed)
    told: set[str] = set()
    for number, reason in enumerate(proof.reasons, 1):
        yield from _reason(reason, number if len(proof.reasons) > 1 else None, writing)
        if reason.rule not in told:
            yield f"    what to do: {what_to_do(reason.rule)}"
        told.add(reason.rule)
    yield verdict_line(proof)
    if len(proof.reasons) > 1:
        yield _FIRST
    if proof.reasons and listed:
        yield _MEND
    yield from _unknowable(proof)
    if proof.verdict != "proven":
        yield more_line(proof.reasons[0].rule if proof.reasons else "unproven")


def verdict_line(proof: Proof, programs: int | None = None) -> str:
    """Say the verdict, and of how many programs, where that is known."""
    match proof.verdict:
        case "proven":
            every = "every program" if programs is None else f"all {programs} programs"
            was = "was" if programs is None else "were"
            return f"proven: {every} {was} read back and cut in a simulated board"
        case "refused":
            return f"refused: {count(len(proof.reasons), 'reason')}"
        case _:
            return f"unproven: no reader could read the programs back; {_NO_READER}"


def _unknowable(proof: Proof) -> Iterator[str]:
    if proof.cannot_know:
        yield "what no proof can know:"
        yield from (f"  {each}" for each in proof.cannot_know)


def _reason(r: Reason, number: int | None, writing: Writing | None) -> Iterator[str]:
    """Yield one reason: where it stands, what is wrong, the line as written, the place on the board."""
    if r.program:
        place = f"{r.program}:{r.line}" if r.line else r.program
    else:
        place = "the whole job" if r.setup is None else f"setup {r.setup}"
    which = "" if number is None else f" ({number})"
    yield f"{place}: {r.rule}{which}: {_in_units(r, writing)}"
    if r.block is not None:
        yield f"    the line: {r.block or '(empty)'}"
    if r.at is not None:
        inch = writing is not None and writing.units == "inch"
        x, y, z = (f"{v / INCH:.4f} in" if inch else f"{v:.10g}" for v in r.at)
        named = r.place if writing is None or not r.place else writing.words(r.place)
        yield f"    the place: {f'{named}: ' if named else ''}x {x}, y {y}, z {z}"


def _numbers(found: Finding | Reason, writing: Writing | None) -> str:
    """Return the two numbers compared, unless both are said already: the limit perhaps in what to do."""
    measured, limit = found.measured, found.limit
    if measured is None or limit is None:
        return ""
    message = _nameless(found.message, writing)
    remedy = _nameless(getattr(found, "remedy", ""), writing)
    if _says(message, measured) and _says(f"{message} {remedy}", limit):
        return ""
    return f" [{measured:g} against {limit:g}]"


def _nameless(text: str, writing: Writing | None) -> str:
    """Return a text without the names in it: the 1 of a board called `slat 1` is no number that is told."""
    names = None if writing is None else _names(writing.names)
    return text if names is None else names.sub(" ", text)


@functools.lru_cache(maxsize=1)
def _names(names: tuple[str, ...]) -> re.Pattern[str] | None:
    """Return what finds those of the names that have a digit; None where none has."""
    some = sorted((name for name in names if any(map(str.isdigit, name))), key=len, reverse=True)
    told = "|".join(map(re.escape, some))
    return re.compile(rf"(?<![\w.])(?:{told})(?!\w|\.\d)") if some else None


def _says(message: str, value: float) -> bool:
    for number, percent in _NUMBER.findall(message):
        decimals = len(number.partition(".")[2]) + (2 if percent else 0)
        if abs(float(number) / (100 if percent else 1) - value) <= 0.5 * 10**-decimals + 1e-9:
            return True
    return False


def count(n: int, what: str) -> str:
    """Say how many of something there are."""
    return f"1 {what}" if n == 1 else f"{n} {what}s"


def clock(seconds: float) -> str:
    """Write minutes and seconds."""
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d}"
