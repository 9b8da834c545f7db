"""What the program says of bad things, as text for a person to read once and a test to hold.

In: findings of the check stage, reasons of the proof. Out: paragraphs; a page of them in a file. Promise:
every number that a finding or a reason carries stands in its paragraph, to six digits.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from stockwright.findings import Finding
    from stockwright.packet.model import Reason

__all__ = ["finding_as_read", "page_of", "pages_in", "reason_as_read"]

HEAD = "== "


def finding_as_read(finding: Finding) -> list[str]:
    """Give a finding as lines: what it is, where and how much, what it says, what to do."""
    what = f"{finding.level} {finding.rule}, setup {finding.setup}, {finding.program}"
    return [
        what + _at(finding.at) + _two(finding.measured, finding.limit),
        f"  {finding.message}",
        f"  > {finding.remedy}",
    ]


def reason_as_read(reason: Reason) -> list[str]:
    """Give a reason as lines: what it is, where and how much, what it says, the block."""
    what = f"{reason.rule}, setup {reason.setup}, {reason.program}:{reason.line}, {reason.board}"
    return [
        what + _at(reason.at) + _two(reason.measured, reason.limit),
        f"  {reason.message}",
        *([f"  {reason.place}"] if reason.place else []),
        *([f"  > {reason.block}"] if reason.block else []),
    ]


def page_of(told: Mapping[str, Iterable[str]]) -> str:
    """Give a page: under each name its lines."""
    return "\n".join(line for name, lines in told.items() for line in (f"{HEAD}{name}", *lines, ""))


def pages_in(path: Path) -> dict[str, list[str]]:
    """Read a page back: by name its lines."""
    found: dict[str, list[str]] = {}
    lines: list[str] = []
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.startswith(HEAD):
            lines = found[line.removeprefix(HEAD)] = []
        elif line:
            lines.append(line)
    return found


def _at(at: tuple[float, float, float] | None) -> str:
    return "" if at is None else f", at {at[0]:.6g} {at[1]:.6g} {at[2]:.6g}"


def _two(measured: float | None, limit: float | None) -> str:
    told = [f"{number:.6g}" if number is not None else "-" for number in (measured, limit)]
    return "" if told == ["-", "-"] else f": {told[0]} of {told[1]}"
