"""The sheet on paper. In: its contents. Out: a PDF's bytes, the same for the same contents anywhere.

Promise: what is in the packet goes in as data and is never read as markup; fonts are those that come with the
library, so no machine sets it another way; no date, no place on a disk. The template measures its own words:
a setup that one leaf does not hold in eleven points has two, each with its head.
"""

from __future__ import annotations

import itertools
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from stockwright.packet.closeness import reckoned
from stockwright.packet.placing import LETTERS

if TYPE_CHECKING:
    from collections.abc import Mapping

    import typst

__all__ = ["as_pdf", "as_pictures", "leaves", "set_in"]

TEMPLATE = Path(__file__).with_name("templates") / "sheet.typ"
FONT = "Libertinus Serif"
SCREEN_LETTERS = f'paint-order="stroke" font-size="{LETTERS}"'


def as_pdf(told: Mapping[str, Any]) -> bytes:
    """Set the contents of a sheet as a PDF."""
    made = _compiled(told, "pdf", None)
    assert isinstance(made, bytes)
    return made


def as_pictures(told: Mapping[str, Any], ppi: float = 100.0) -> list[bytes]:
    """Set the contents as one PNG a page, for whoever wants to look at them without a reader of PDF."""
    made = _compiled(told, "png", ppi)
    assert made is not None
    return [made] if isinstance(made, bytes) else made


def leaves(told: Mapping[str, Any]) -> list[int]:
    """Return how many leaves each page takes: the first, the setups', the pictures' where any, the last."""
    begins = json.loads(_settled(told).query("<begins>", field="value"))
    return [after - before for before, after in itertools.pairwise(begins)]


def set_in(told: Mapping[str, Any]) -> list[list[float]]:
    """Return the sizes of steps and of what belongs to them, points, of each leaf for which one is chosen."""
    found: list[list[float]] = json.loads(_settled(told).query("<set-in>", field="value"))
    return found


def _compiled(
    told: Mapping[str, Any], sort: Literal["pdf", "png"], ppi: float | None
) -> bytes | list[bytes] | None:
    return _settled(told).compile(format=sort, ppi=ppi, timestamp=0)


def _settled(told: Mapping[str, Any]) -> typst.Compiler:
    import typst

    inputs = {"sheet": json.dumps(reckoned(_with_font(told)), ensure_ascii=False, sort_keys=True)}
    return typst.Compiler(TEMPLATE, TEMPLATE.parent, ignore_system_fonts=True, sys_inputs=inputs)


def _with_font(told: Any) -> Any:
    """Return contents whose drawings name the font that is there."""
    if isinstance(told, dict):
        return {key: _with_font(value) for key, value in told.items()}
    if isinstance(told, list):
        return [_with_font(value) for value in told]
    if isinstance(told, str) and told.startswith("<svg "):
        words = SCREEN_LETTERS + f' font-family="{FONT}"'
        plain = str(told).replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
        return plain.replace(SCREEN_LETTERS, words)
    return told
