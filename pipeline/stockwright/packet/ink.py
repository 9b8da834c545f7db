"""How each kind of line is drawn on paper. In: the kinds that an element belongs to. Out: its SVG attributes.

Promise: widths and dashes are paper millimetres whatever a drawing's scale, on a screen, in print and in a
PDF alike; black and greys only, and no two kinds differ by a grey alone.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from markupsafe import Markup

from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["INK", "LINE", "SOFT", "drawn_as", "is_bold", "number", "written_as"]

INK, SOFT = "#111", "#555"  # on white 18.9 : 1 and 7.5 : 1, by the formula of WCAG 2.2, 1.4.3
LINE = 0.32  # paper mm, of what is no other kind


@frozen
class _Kind:
    """What one kind changes of a plain black line: width and dashes in paper mm."""

    width: float | None = None
    dashes: tuple[float, ...] = ()
    fill: str | None = None
    stroke: str | None = None


_SOLID = _Kind(fill=INK, stroke="none")
KINDS: Mapping[str, _Kind] = {
    "board": _Kind(0.58, fill="#f3f3f3"),
    "cut-now": _Kind(0.26, fill="#cdcdcd"),
    "cut-before": _Kind(0.26, (0.5, 0.5)),
    "piece": _Kind(0.42, (2.4, 1.3)),
    "pass": _Kind(0.26, stroke="#8a8a8a"),
    "wall": _Kind(0.8),
    "sometimes": _Kind(dashes=(1.1, 0.8)),
    "beyond": _Kind(dashes=(1.1, 0.8)),
    "beneath": _Kind(0.42, (1.6, 1.0)),
    "fence": _Kind(0.48),
    "shim": _SOLID,
    "solid-ink": _SOLID,
    "start": _Kind(0.4, fill=INK, stroke="#fff"),
    "zero": _Kind(0.63),
    "zero-ring": _Kind(0.63),
    "level": _Kind(0.5, fill="#fff"),
    "check": _Kind(0.53),
    "spot": _Kind(0.63),
    "goal-line": _Kind(0.63),
    "patch": _Kind(stroke="none"),
    "measure": _Kind(0.26),
    "extension": _Kind(0.18),
    "thin": _Kind(0.26),
    "lead": _Kind(0.21),
    "reach": _Kind(0.26, (0.6, 0.9)),
    "grain": _Kind(0.26),
    "centre-line": _Kind(0.26, (2.6, 0.8, 0.5, 0.8)),
    "bed": _Kind(0.42),
    "wood-before": _Kind(dashes=(1.3, 0.8)),
    "wood-after": _Kind(0.58, fill="#ddd"),
    "paper": _Kind(fill="#fff"),
    "shank": _Kind(fill="#fff"),
    "nut": _Kind(fill="#ccc"),
    "nose": _Kind(fill="#eee"),
}


@lru_cache(512)  # a sheet has a few dozen of them, each drawn many times
def drawn_as(kinds: str, scale: float = 1.0, fill: str | None = None) -> Markup:
    """Return the attributes of a shape of `kinds` (words, later ones win), `scale` paper mm to its own unit.

    What a group's own attributes say already (a plain line, no fill) is left out. `fill` wins over a kind's.
    """
    width: float | None = None
    dashes: tuple[float, ...] = ()
    stroke: str | None = None
    for name in kinds.split():
        kind = KINDS.get(name)
        if kind is None:
            continue
        width = kind.width or width
        dashes = kind.dashes or dashes
        stroke = kind.stroke or stroke
        fill = fill or kind.fill
    told = Markup("")
    if fill:
        told += Markup(' fill="{}"').format(fill)
    if stroke:
        told += Markup(' stroke="{}"').format(stroke)
    if width and stroke != "none":
        told += Markup(' stroke-width="{}"').format(number(width / scale))
    if dashes:
        told += Markup(' stroke-dasharray="{}"').format(" ".join(number(d / scale) for d in dashes))
    return told


def is_bold(kinds: str) -> bool:
    """Say whether words of `kinds` are set in bold letters."""
    return not {"strong", "tag", "name"}.isdisjoint(kinds.split())


@lru_cache(64)
def written_as(kinds: str) -> Markup:
    """Return the attributes of words of `kinds`."""
    names = kinds.split()
    told = Markup("")
    if is_bold(kinds):
        told += Markup(' font-weight="bold"')
    if "name" in names:
        told += Markup(' font-style="italic"')
    if "quiet" in names:
        told += Markup(' fill="{}"').format(SOFT)
    return told


def number(value: float, decimals: int = 3) -> str:
    """Write a number as short as it goes."""
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
