"""What the terminal says. In: results of the stages. Out: lines of plain text, or one JSON document.

Promise: short and calm, 80 columns, the same in a pipe as on a screen, without colour; nothing that a
document says can steer the terminal.
"""

from __future__ import annotations

import dataclasses
import json
import re
import textwrap
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

    from stockwright.findings import Finding
    from stockwright.mistakes import Mistake
    from stockwright.packet.model import Packet, Proof, Reason
    from stockwright.run import Checked, Made
    from stockwright.units import System

__all__ = [
    "as_json",
    "checked_lines",
    "finding_lines",
    "findings_json",
    "folded",
    "list_lines",
    "made_lines",
    "mistake_lines",
    "mistakes_json",
    "proof_json",
    "proof_lines",
    "refused_lines",
]

WIDTH = 80
_LEVEL = {"refuse": "refused", "warn": "look out", "note": "note"}
_HARD_SPACE = "\N{NO-BREAK SPACE}"
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=(?:mm|in|N|kg|rpm|W|s)\b)|(?<=\b[xyz]) (?=-?\d)")
_MEND = "read that line of the program; if the edit was not meant, make the packet anew"
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
    findings = [
        {**r.model_dump(mode="json", by_alias=True), "level": "refuse", "remedy": _MEND}
        for r in proof.reasons
    ]
    if proof.verdict == "unproven" and not findings:
        message = "no reader could read the programs back"
        findings = [{"rule": "unproven", "level": "refuse", "message": message, "remedy": _NO_READER}]
    return {"findings": findings, "notes": list(notes), "proof": proof.model_dump(mode="json", by_alias=True)}


def plain(text: str) -> str:
    """Return text on one line, what a terminal would obey spelled out."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def folded(lines: Iterable[str]) -> Iterator[str]:
    """Yield lines of at most 80 columns, where words allow it; the rest of a long one is set further in."""
    for line in map(plain, lines):
        indent = " " * (len(line) - len(line.lstrip()) + 4)
        together = _NUMBER_AND_UNIT.sub(_HARD_SPACE, line)
        wrapped = textwrap.wrap(
            together, WIDTH, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
        )
        yield from (each.replace(_HARD_SPACE, " ") for each in wrapped or [""])


def list_lines(entries: Iterable[tuple[str, str]]) -> Iterator[str]:
    """Yield names with what each is about, one under the other."""
    column = 20
    for name, about in entries:
        first, *rest = textwrap.wrap(about, WIDTH - column - 1, break_on_hyphens=False) or [""]
        yield f"{name:<{column}} {first}".rstrip()
        yield from (" " * (column + 1) + line for line in rest)


def mistake_lines(mistakes: Iterable[Mistake]) -> Iterator[str]:
    """Yield every mistake on a line of its own, however long, then how many there are."""
    listed = list(mistakes)
    yield from (plain(str(m)) for m in listed)
    yield f"{_count(len(listed), 'mistake')}; nothing was written"


def finding_lines(findings: Iterable[Finding]) -> Iterator[str]:
    """Yield the findings, worst first as they come, each with its numbers and what to do."""
    for f in findings:
        where = f" in setup {f.setup}" if f.setup is not None else ""
        if f.program and not f.message.startswith(f.program):
            where += f", {f.program}"
        yield f"{_LEVEL[f.level]}: {f.rule}{where}: {f.message}{_numbers(f.measured, f.limit)}"
        yield f"    what to do: {f.remedy}"


def refused_lines(findings: Iterable[Finding]) -> Iterator[str]:
    """Yield why a job is refused."""
    yield from finding_lines(findings)
    yield "refused; nothing was written"


def checked_lines(checked: Checked) -> Iterator[str]:
    """Yield what was decided, when nothing is to be written."""
    yield from _decided(checked)
    programs = sum(len(group) for group in checked.programs)
    yield f"nothing refuses it so far: {_count(programs, 'program')} to write and to prove"


def made_lines(made: Made, out: Path) -> Iterator[str]:
    """Yield what was made, and where it lies."""
    yield from _decided(made.checked)
    packet = made.packet
    total = 0.0
    for setup in packet.setups:
        for program in setup.programs:
            total += program.seconds
            yield f"  {program.file:<52} {_clock(program.seconds):>8}  {program.verdict}"
    yield f"  {'all programs, without the handling between them':<52} {_clock(total):>8}"
    yield ""
    yield from finished_lines(packet, made.checked.job.shop.units)
    assert packet.proof is not None
    yield _verdict(packet.proof)
    yield from _unknowable(packet.proof)
    yield ""
    yield f"the packet is in {out}; read {out / 'sheet.html'} first"


def finished_lines(packet: Packet, units: System = "mm") -> Iterator[str]:
    """Yield the finished sizes as the simulated board has them."""
    from stockwright.units import INCH

    scale, decimals, unit = (INCH, 3, "in") if units == "inch" else (1.0, 2, "mm")
    for name, f in packet.finished.items():
        sizes = []
        for measure in (f.length, f.width, f.thickness):
            if measure is not None:
                low, high = (f"{each / scale:.{decimals}f}" for each in measure)
                sizes.append(low if low == high else f"{low} to {high}")
        if sizes:
            yield f"{name} in the simulated board: {' x '.join(sizes)} {unit}"


def proof_lines(proof: Proof, notes: Iterable[str] = ()) -> Iterator[str]:
    """Yield a verdict on a packet as it lies on the disk, each reason with FILE:LINE first."""
    yield from (f"note: {note}" for note in notes)
    yield from (_reason(r) for r in proof.reasons)
    if proof.reasons:
        yield f"    what to do: {_MEND}"
    yield _verdict(proof)
    yield from _unknowable(proof)


def _decided(checked: Checked) -> Iterator[str]:
    from stockwright.units import format_length

    job = checked.job
    yield f"{job.name}: recipe {job.recipe} {job.recipe_version}, shop {job.shop.name}"
    for piece in checked.plan.pieces:
        s = piece.seating
        shims = _count(len(s.shims), "shim") if s.shims else "no shims"
        gives = format_length(s.thickness, job.shop.units)
        yield f"  {piece.wood.board.name}: can give {gives}, seated {s.policy}, {shims}"
    yield ""
    for setup in checked.plan.setups:
        tools = ", ".join(dict.fromkeys(c.tool.name for c in setup.cuts))
        yield f"  {setup.index}  {setup.title} ({tools})"
    yield ""
    if checked.findings:
        yield from finding_lines(checked.findings)
        yield ""


def _verdict(proof: Proof) -> str:
    match proof.verdict:
        case "proven":
            return "proven: every program was read back and cut in a simulated board"
        case "refused":
            return f"refused: {_count(len(proof.reasons), 'reason')}"
        case _:
            return f"unproven: no reader could read the programs back; {_NO_READER}"


def _unknowable(proof: Proof) -> Iterator[str]:
    if proof.cannot_know:
        yield "what no proof can know:"
        yield from (f"  {each}" for each in proof.cannot_know)


def _reason(r: Reason) -> str:
    place = f"{r.program}:{r.line or 0}: " if r.program else ""
    return f"{place}{r.rule}: {r.message}{_numbers(r.measured, r.limit)}"


def _numbers(measured: float | None, limit: float | None) -> str:
    return "" if measured is None or limit is None else f" [{measured:g} against {limit:g}]"


def _count(n: int, what: str) -> str:
    return f"1 {what}" if n == 1 else f"{n} {what}s"


def _clock(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d}"
