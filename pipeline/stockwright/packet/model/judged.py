"""Verdicts on a packet: those of the checks, of the proof, and of the error budget. mm."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from stockwright.packet.model.border import Border, Length, NotBelow, Point3, Span, Verdict

__all__ = [
    "Expected",
    "Finished",
    "PacketFinding",
    "Proof",
    "Reason",
    "Share",
]


class PacketFinding(Border):
    """One check's result."""

    rule: str
    level: Literal["refuse", "warn", "note"]
    setup: int | None = None
    program: str | None = None
    at: Point3 | None = None
    measured: float | None = None
    limit: float | None = None
    message: str
    remedy: str


class Finished(Border):
    """What the proof's board measures at the end; None where it was not made or cannot be told."""

    length: Span | None = None
    width: Span | None = None
    thickness: Span | None = None
    flatness: dict[str, float | None] = Field(default={})
    parallelism: float | None = None
    squareness: dict[str, float | None] = Field(default={})
    straightness: dict[str, float | None] = Field(default={})


class Share(Border):
    """One cause's share of one measure, mm; `key` names its figure in the shop's document, "" for none."""

    key: str = ""
    words: str
    size: NotBelow
    kind: Literal["rectangular", "normal"]
    source: Literal["stated", "measured", "guess"]


class Expected(Border):
    """What one measure may be out by, from the machine's errors, mm, not from the simulated board.

    `of`: a face, a side, or "" for the whole; `asked`: the tolerance, None where nothing is asked; `expected`
    by the root sum of squares with k = 2, `worst` by the plain sum; `shares` largest first.
    """

    name: str
    of: str = ""
    asked: NotBelow | None = None
    expected: NotBelow
    worst: NotBelow
    shares: list[Share] = Field(default=[])


class Reason(Border):
    """Why a packet is not proven; `line` counts from 1, `block` is its text, `place` where it is in words.

    `at` is wherever the text leads, however far: a lost point may send a move kilometres away.
    """

    rule: str
    setup: int | None = None
    program: str | None = None
    line: int | None = None
    at: tuple[float, float, float] | None = None
    measured: float | None = None
    limit: float | None = None
    message: str
    block: str | None = None
    board: str | None = None
    place: str | None = None


class Proof(Border):
    """The verdict on what the text does; `cell` is the simulated board's cell, mm."""

    verdict: Verdict = "unproven"
    cell: Length = 1.0
    cannot_know: list[str] = Field(default=[])
    reasons: list[Reason] = Field(default=[])
