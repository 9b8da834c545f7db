"""What `stockwright board` does: read, bind, account, report, and draw where asked.

In: the call's arguments. Out: `Told`, and a drawing's file. Promise: every mistake of the call and of all
boards is reported at once, before anything is written.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    from stockwright.board.account import Account
    from stockwright.board.shown import Shown
    from stockwright.documents import Loaded
    from stockwright.units import System

__all__ = ["Call", "Told", "boards"]

_MOST_PARTS = 20  # more is no board any more
_MARK = "<!-- stockwright board picture -->"
_KINDS = (".svg", ".html")


@frozen
class Call:
    """The call: boards, and as written what else was asked."""

    boards: tuple[Path, ...]
    shop: Path | None = None
    pieces: tuple[str, ...] = ()
    strips: tuple[str, ...] = ()
    skips: str | None = None
    picture: Path | None = None
    job: Path | None = None
    units: str | None = None


@frozen
class Told:
    """The answer, for programs and for people."""

    values: Mapping[str, Any]
    lines: tuple[str, ...]


def boards(call: Call) -> Told:
    """Account for every board of the call, and draw them where asked.

    Raises `InputError` with every mistake of the call, the shop and the boards.
    """
    from stockwright.board.account import Asked, account
    from stockwright.board.report import report, together
    from stockwright.board.telling import board_lines
    from stockwright.calls.answering import units_said
    from stockwright.packet.writing import Writing

    mistakes: list[Mistake] = []
    pieces = tuple(_parts("--pieces", call.pieces, mistakes))
    strips = tuple(_parts("--strips", call.strips, mistakes))
    skips = _share(call.skips, mistakes)
    shims, shop_units = _shop(call.shop or _shop_of(call.job, mistakes), mistakes)
    units: System = units_said(call.units, mistakes) or shop_units
    asked = Asked(pieces=pieces, strips=strips, skips=skips, shop_shims=shims)
    if call.job is not None and call.picture is None:
        message = "a job is named and no picture, expected both: a picture draws how the job seats and cuts"
        mistakes.append(Mistake(f"--job {call.job}", 0, 0, "missing-key", message, "add --picture FILE.svg"))
    if call.picture is not None and call.picture.suffix.lower() not in _KINDS:
        message = f"got '{call.picture.name}', expected a name that ends in {' or '.join(_KINDS)}"
        mistakes.append(Mistake(f"--picture {call.picture}", 0, 0, "unknown-word", message))
    found = list(_boards(call.boards, mistakes))
    if mistakes:
        raise InputError(mistakes)
    from dataclasses import replace

    accounts = [account(board, replace(asked, grain=_grain(loaded))) for loaded, board in found]
    reports = [report(each) for each in accounts]
    values: dict[str, Any] = {"boards": reports}
    if len(accounts) > 1:
        values["together"] = together(accounts)
    writing = Writing(units, names=tuple(str(each["name"]) for each in reports))
    lines = [*board_lines(reports, values.get("together"), units, writing.words)]
    if call.picture is not None:
        _draw(call, accounts, lines, units)
        values["picture"] = str(call.picture)
        lines += [f"the picture is in {call.picture}"]
    return Told(values, tuple(lines))


def _boards(paths: Sequence[Path], mistakes: list[Mistake]) -> Iterator[tuple[Loaded[Any], Any]]:
    from stockwright.bind import bind_board
    from stockwright.documents import read_board

    for path in paths:
        try:
            loaded = read_board(path)
        except InputError as error:
            mistakes += error.mistakes
            continue
        board, wrong = bind_board(loaded)
        mistakes += wrong
        if board is not None:
            yield loaded, board


def _grain(loaded: Loaded[Any]) -> dict[str, str]:
    """Return the end towards which fibres rise, for each side of which the document says it."""
    grain = getattr(loaded.model, "grain", None)
    said = {} if grain is None else grain.model_dump(by_alias=True, exclude_none=True)
    return {str(side): str(end) for side, end in said.items()}


def _shop_of(job: Path | None, mistakes: list[Mistake]) -> Path | None:
    """Return the shop that a job names: its shims are the ones that the job's boards lie on."""
    from stockwright.documents import read_document

    if job is None:
        return None
    try:
        shop = read_document(job, "job").model.shop
    except InputError as error:
        mistakes += error.mistakes
        return None
    return None if shop is None else job.parent / shop


def _shop(path: Path | None, mistakes: list[Mistake]) -> tuple[tuple[float, ...], System]:
    """Return a shop's shims, mm, and its units."""
    from stockwright.documents import read_document

    if path is None:
        return (), "mm"
    try:
        shop = read_document(path, "shop")
    except InputError as error:
        mistakes += error.mistakes
        return (), "mm"
    return tuple(sorted(shop.model.shims)), shop.model.units


def _parts(option: str, texts: Sequence[str], mistakes: list[Mistake]) -> Iterator[int]:
    for text in texts:
        if text.isascii() and text.isdigit() and 2 <= int(text[:9]) <= _MOST_PARTS:
            yield int(text)
        else:
            message = f"got '{text}', expected a whole number from 2 to {_MOST_PARTS}"
            mistakes.append(Mistake(f"{option} {text}", 0, 0, "out-of-range", message))


def _share(text: str | None, mistakes: list[Mistake]) -> float:
    from stockwright.board.account import SKIPS
    from stockwright.units import PERCENT, MeasureError, parse

    if text is None:
        return SKIPS
    try:
        share = parse(text, PERCENT)
    except MeasureError as error:
        mistakes.append(Mistake(f"--skips {text}", 0, 0, error.code, error.message, error.hint))
        return SKIPS
    if not 0.0 <= share <= 0.5:
        message = f"got '{text}', expected 0 % to 50 %"
        mistakes.append(Mistake(f"--skips {text}", 0, 0, "out-of-range", message))
        return SKIPS
    return share


def _draw(call: Call, accounts: Sequence[Account], lines: Sequence[str], units: System) -> None:
    from stockwright.board.picture import html, svg
    from stockwright.calls.terminal import folded
    from stockwright.packet.one_file import deliver_file

    assert call.picture is not None
    shown = None if call.job is None else _as_planned(call, call.job)
    page = call.picture.suffix.lower() == ".html"
    drawing = html(accounts, folded(lines), shown, units) if page else svg(accounts, shown, units)
    first, rest = drawing.split("\n", 1)
    deliver_file(call.picture, f"{first}\n{_MARK}\n{rest}".encode(), _MARK.encode())


def _as_planned(call: Call, job: Path) -> dict[str, Shown]:
    from stockwright import run
    from stockwright.calls.as_planned import as_planned

    return as_planned(run.check(run.Request(job, call.shop, call.boards)))
