"""What the person asks for, as they write it. In: the call's arguments. Out: `Asked` in mm, or every mistake.

Promise: a length carries a unit, as on the sheet; arguments that contradict each other are reported at once,
with what to write instead.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake
from stockwright.units import LENGTH, MeasureError, parse, parse_length

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

__all__ = ["Asked", "Words", "asked", "may_go_to"]

# How far under a height read low the whole face goes, mm: what a gauge on rough wood may miss; common
# practice, no source.
UNDER = 0.1


@frozen
class Words:
    """The call's options as they were written; None where one was left out."""

    setup: int | None = None
    board: str | None = None
    spots: Sequence[str] = ()
    height: str | None = None
    proud: bool = False
    deeper: str | None = None
    thinner: bool = False
    stopped: str | None = None
    at: str | None = None
    overlap: str | None = None


@frozen
class Asked:
    """One of three: `deeper` mm over a whole face, `proud` mm at `spots`, or a program that stopped.

    `setup` and `board` say which face; `thinner`: the piece may come out thinner than was asked. `file` and
    `line` (from 1), or `at` (x, y and perhaps z, work frame), say where it stopped; `overlap`: mm of path to
    go back.
    """

    setup: int | None = None
    board: str | None = None
    spots: tuple[tuple[float, float], ...] = ()
    proud: float | None = None
    deeper: float | None = None
    thinner: bool = False
    file: str | None = None
    line: int | None = None
    at: tuple[float, ...] | None = None
    overlap: float = 0.0


def may_go_to(packet: Path, out: Path, *, replace: bool) -> str:
    """Return what `may_deliver` does; raise `InputError` too where it would fall on the earlier packet."""
    from stockwright.packet.deliver import may_deliver

    earlier, new = packet.resolve(), out.resolve()
    if new == earlier or earlier in new.parents or new in earlier.parents:
        message = "the earlier packet stands here, and it is never overwritten"
        raise InputError([Mistake(str(out), 0, 0, "exists", message, "name another folder")])
    return may_deliver(out, replace=replace)


class _Reader:
    """Reads words and keeps every mistake."""

    def __init__(self) -> None:
        self.mistakes: list[Mistake] = []

    def wrong(self, place: str, code: str, message: str, hint: str = "") -> None:
        self.mistakes.append(Mistake(place, 0, 0, code, message, hint))

    def length(self, option: str, text: str | None) -> float | None:
        if text is None:
            return None
        try:
            return parse_length(text)
        except MeasureError as error:
            self.wrong(f"{option} {text}", error.code, error.message, error.hint)
            return None

    def place(self, option: str, text: str, most: int) -> tuple[float, ...] | None:
        """Read X,Y or X,Y,Z; a unit after the last number alone goes for all of them."""
        parts = [part.strip() for part in text.split(",")]
        if not 2 <= len(parts) <= most or not all(parts):
            wanted = "X,Y" if most == 2 else "X,Y or X,Y,Z"
            message = f"got '{text}', expected {wanted}, as on the sheet, such as 310 mm,150 mm"
            self.wrong(f"{option} {text}", "wrong-type", message)
            return None
        values: list[float] = []
        try:
            last = parse(parts[-1], LENGTH)
            unit = parts[-1].lstrip("+-0123456789./ ")
            for part in parts[:-1]:
                bare = not part.lstrip("+-0123456789./ ")
                values.append(parse(part + unit if bare and "/" not in part else part, LENGTH))
        except MeasureError as error:
            self.wrong(f"{option} {text}", error.code, error.message, error.hint)
            return None
        return (*values, last)


def asked(words: Words) -> Asked:
    """Read the call's words. Raises `InputError` with every mistake."""
    reader = _Reader()
    spots = [reader.place("--spot", text, 2) for text in words.spots]
    height = reader.length("--height", words.height)
    deeper = reader.length("--deeper", words.deeper)
    overlap = reader.length("--overlap", words.overlap)
    at = None if words.at is None else reader.place("--at", words.at, 3)
    file, line = _stop(reader, words)
    _belongs_together(reader, words)
    for option, text, value in (("--deeper", words.deeper, deeper), ("--overlap", words.overlap, overlap)):
        if value is not None and value <= 0:
            reader.wrong(f"{option} {text}", "out-of-range", f"got '{text}', expected more than 0 mm")
    if words.spots and words.deeper is None and height is not None and height == 0:
        message = "a height of 0 is the face itself, expected how far the wood stands above it, or below (-)"
        reader.wrong(f"--height {words.height}", "out-of-range", message)
    if reader.mistakes:
        raise InputError(reader.mistakes)
    if height is not None and height < 0:
        deeper = UNDER - height
    proud = None
    if words.spots and deeper is None:
        proud = max(height or 0.0, 0.0)
    found = tuple((spot[0], spot[1]) for spot in spots if spot is not None)
    return Asked(
        setup=words.setup,
        board=words.board,
        spots=found,
        proud=proud,
        deeper=deeper,
        thinner=words.thinner,
        file=file,
        line=line,
        at=at,
        overlap=overlap or 0.0,
    )


def _stop(reader: _Reader, words: Words) -> tuple[str | None, int | None]:
    """Read FILE:LINE, or FILE beside --at."""
    text = words.stopped
    if text is None:
        return None, None
    file, colon, number = text.rpartition(":")
    if words.at is not None:
        if colon and number.isdecimal():
            message = "a line and a place are two ways to say the same, expected one of them"
            reader.wrong(f"--stopped {text}", "usage", message, f"leave out ':{number}' or --at")
        return text, None
    if not colon or not number.isdecimal() or not file:
        message = f"got '{text}', expected FILE:LINE, such as 1b-face-a.ngc:48"
        reader.wrong(f"--stopped {text}", "wrong-type", message, "or name the place with --at X,Y")
        return text, None
    return file, int(number)


def _belongs_together(reader: _Reader, words: Words) -> None:
    """Say what is missing, and what cannot stand beside something else."""
    face = bool(words.spots) or words.deeper is not None
    if words.stopped is None and not face:
        message = "nothing says what is to be cut again"
        hint = "write --spot X,Y, --deeper LENGTH or --stopped FILE:LINE"
        reader.wrong("again", "usage", message, hint)
    if words.stopped is not None:
        beside = {
            "--spot": bool(words.spots),
            "--height": words.height is not None,
            "--proud": words.proud,
            "--deeper": words.deeper is not None,
            "--thinner": words.thinner,
        }
        for option in (name for name, there in beside.items() if there):
            reader.wrong(
                option, "usage", "does not go with --stopped", "make two packets, one after the other"
            )
        return
    for option, there in (("--at", words.at is not None), ("--overlap", words.overlap is not None)):
        if there:
            reader.wrong(option, "usage", "goes with --stopped only")
    if face and words.setup is None:
        reader.wrong("again", "usage", "a face needs its setup", "write --setup N, as on the sheet")
    if words.proud and (words.deeper is not None or (words.height or "").strip().startswith("-")):
        message = "wood that stands proud is cut at the same height, and a face cut deeper is not"
        reader.wrong("--proud", "usage", message, "write one of them")
    if words.height is not None and not words.spots:
        reader.wrong("--height", "usage", "a height needs the spot where it was read", "write --spot X,Y")
    if words.deeper is not None and words.height is not None:
        reader.wrong("--height", "usage", "--deeper says how deep already", "leave one of them out")
    if words.spots and not words.proud and words.deeper is None and words.height is None:
        message = "is wood left standing there, or is it a hollow that the cutter did not reach?"
        hint = (
            "write --proud where wood stands above the face; for a hollow, which no pass at the same height "
            "cleans, --deeper LENGTH, or --height with what a gauge reads (below the face: a minus)"
        )
        reader.wrong("--spot", "usage", message, hint)
    if words.thinner and words.deeper is None and not (words.height or "").strip().startswith("-"):
        reader.wrong("--thinner", "usage", "goes with --deeper only")
