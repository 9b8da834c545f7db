"""What the terminal shows of a measuring. In: `Measured`. Out: lines, or what `--json` gives."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from stockwright.calls.terminal import finding_lines, findings_json
from stockwright.calls.told_job import writing_of_job

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from stockwright.probing.run import Measured

__all__ = ["measured_json", "measured_lines"]

BY = {"probe": "by probe", "hand": "by hand"}


def measured_lines(made: Measured, out: Path) -> Iterator[str]:
    """Yield what was made, and where it lies."""
    yield f"{made.job.name}: measuring, shop {made.job.shop.name}"
    for m in made.boards:
        yield f"  {m.board.name}: {len(m.touches)} places, {BY[m.by]} ({m.tool.name})"
    yield ""
    programs = [p for setup in made.packet.setups for p in setup.programs]
    for p in programs:
        minutes, rest = divmod(round(p.seconds), 60)
        yield f"  {p.file:<52} {f'{minutes}:{rest:02d}':>8}  {p.verdict}"
    for name in sorted(n for n in made.files if n.endswith(".csv")):
        yield f"  {name:<52} to fill"
    yield ""
    if made.findings:
        yield from finding_lines(made.findings, writing_of_job(made.job))
        yield ""
    if not programs:
        yield "no program: the dialect has no word that waits; the card has the places"
    elif made.packet.proof.verdict == "proven":
        yield "proven: every program was read back and followed over a simulated board"
    else:
        yield "unproven: no reader could read the programs back; they are taken on your own word"
    yield f"it is in {out}; print {out / 'card.html'} first"


def measured_json(made: Measured, out: Path) -> dict[str, Any]:
    """Give the findings, the files, and every place in its order."""
    boards = [
        {
            "name": m.board.name,
            "by": m.by,
            "places": [
                {"number": t.number, "x": t.x, "y": t.y, "bed_x": t.work_x, "bed_y": t.work_y}
                for t in m.touches
            ],
        }
        for m in made.boards
    ]
    programs = any(setup.programs for setup in made.packet.setups)
    verdict = made.packet.proof.verdict if programs else None
    return findings_json(
        made.findings, packet=str(out), files=sorted(made.files), verdict=verdict, boards=boards
    )
