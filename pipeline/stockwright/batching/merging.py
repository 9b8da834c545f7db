"""Parts joined into one packet.

In: the job, and the parts in the job's order. Out: `Merged`: packet, files, findings, lines. Promise: the
result is byte for byte what the whole job gives when it is run in one go; it does not depend on which process
made a part, nor on when.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

from stockwright.checking import RULES
from stockwright.findings import Finding, severity
from stockwright.frozen import frozen
from stockwright.packet.extras import Extras
from stockwright.packet.model import Packet, PacketFinding, Proof, Tool
from stockwright.packet.sheet import contents
from stockwright.run import packed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.batching.part import Part
    from stockwright.calls.told_job import Row
    from stockwright.job import Job

__all__ = ["Merged", "in_order", "merged"]

ORDER = {rule.name: number for number, rule in enumerate(RULES, 1)}  # planning's own come first, as 0
# Said once for a cutter, however many programs it is true of.
ONCE = frozenset({"chip-too-thin", "chip-too-thick"})


@frozen(eq=False)
class Merged:
    """A whole packet, its files as bytes, all findings, and the terminal's lines on pieces and setups."""

    packet: Packet
    files: dict[str, bytes]
    findings: tuple[Finding, ...]
    pieces: tuple[str, ...]
    setups: tuple[Row, ...]


def in_order(finding: Finding) -> tuple[int, int, int]:
    """Return the key that sorts a finding among all boards': worst first, then by rule, then by setup."""
    return severity(finding), ORDER.get(finding.rule, 0), finding.setup or 0


def merged(
    job: Job, parts: Sequence[Part], more: Sequence[Finding] = (), begins_with: tuple[str, ...] = ()
) -> Merged:
    """Make one packet of the parts, given in the job's order with the bed last.

    `more` are findings on the job as a whole; `begins_with` is what its first page says before anything else.
    """
    first = parts[0].packet
    pairs = [pair for part in parts for pair in zip(part.findings, part.packet.findings, strict=True)]
    pairs += [(finding, _of_job(finding)) for finding in more]
    pairs = _told_once(sorted(pairs, key=lambda pair: in_order(pair[0])))
    setups = sorted((setup for part in parts for setup in part.packet.setups), key=lambda s: s.index)
    reasons = [reason for part in parts for reason in part.packet.proof.reasons]
    packet = first.model_copy(
        update={
            "guesses": [guess for part in parts for guess in part.packet.guesses],
            "said_otherwise": list(dict.fromkeys(each for p in parts for each in p.packet.said_otherwise)),
            "wanted": {name: each for part in parts for name, each in part.packet.wanted.items()},
            "boards": {name: each for part in parts for name, each in part.packet.boards.items()},
            "tools": _tools(parts),
            "setups": setups,
            "findings": [shown for _, shown in pairs],
            "finished": dict(sorted(each for part in parts for each in part.packet.finished.items())),
            "expected": {name: each for part in parts for name, each in part.packet.expected.items()},
            "proof": Proof(
                verdict=first.proof.verdict,
                cell=max(part.packet.proof.cell for part in parts),
                cannot_know=first.proof.cannot_know,
                reasons=sorted(reasons, key=lambda reason: reason.setup or 0),
            ),
        }
    )
    # Files and drawings in the order of the work, as a whole job makes them.
    texts = {file: text for part in parts for file, text in part.texts.items()}
    pictures = {index: svg for part in parts for index, svg in part.pictures.items()}
    pages = sorted((page for part in parts for page in part.pages), key=lambda page: page["index"])
    told = contents(
        packet,
        {},
        job.shop.units,
        _extras(parts, begins_with),
        {index: pictures[index] for index in sorted(pictures)},
        pages,
    )
    lines = {index: line for part in parts for index, line in part.setups.items()}
    return Merged(
        packet,
        packed(packet, texts, told),
        tuple(finding for finding, _ in pairs),
        tuple(line for part in parts for line in part.pieces),
        tuple(lines[index] for index in sorted(lines)),
    )


def _told_once(pairs: list[tuple[Finding, PacketFinding]]) -> list[tuple[Finding, PacketFinding]]:
    """Leave out what is said of the shop or a cutter, and was said of it with another board already."""
    told: set[tuple[str, str]] = set()
    kept = []
    for finding, shown in pairs:
        said = (finding.rule, finding.message)
        if said in told and (finding.setup is None or finding.rule in ONCE):
            continue
        told.add(said)
        kept.append((finding, shown))
    return kept


def _of_job(f: Finding) -> PacketFinding:
    return PacketFinding(rule=f.rule, level=f.level, message=f.message, remedy=f.remedy)


def _tools(parts: Sequence[Part]) -> dict[str, Tool]:
    """Return the cutters in the order of their first use; each may take what any board's cuts may take."""
    used: dict[str, list[Tool]] = {}
    setups = sorted(
        ((setup, part) for part in parts for setup in part.packet.setups), key=lambda pair: pair[0].index
    )
    for setup, part in setups:
        for program in setup.programs:
            if program.tool is not None:
                used.setdefault(program.tool, []).append(part.packet.tools[program.tool])
    return {
        name: tools[0].model_copy(
            update={
                "deepest": max((t.deepest for t in tools if t.deepest is not None), default=None),
                "trim": max(t.trim for t in tools),
            }
        )
        for name, tools in used.items()
    }


def _extras(parts: Sequence[Part], begins_with: tuple[str, ...]) -> Extras:
    """Return what the sheet says beyond the packet: tables put together, and everything else said once."""
    found: dict[str, Any] = {}
    for field in dataclasses.fields(Extras):
        each = [getattr(part.said, field.name) for part in parts]
        if isinstance(each[0], dict):
            table = {key: value for one in each for key, value in one.items()}
            found[field.name] = {key: table[key] for key in _by_setup(table)}
        elif isinstance(each[0], tuple):
            told = tuple(dict.fromkeys(value for one in each for value in one))
            found[field.name] = each[0] if all(one == each[0] for one in each) else told
        else:
            found[field.name] = each[0]
    return Extras(**(found | {"now_says": begins_with}))


def _by_setup(table: dict[Any, Any]) -> list[Any]:
    """Return a table's keys, those by setup in the order of the work."""
    return sorted(table) if all(isinstance(key, int) for key in table) else list(table)
