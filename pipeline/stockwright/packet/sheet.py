"""The sheet on a screen: what the person takes to the machine, or prints.

In: a packet, its programs' moves, the user's units, and further words. Out: one HTML text that needs no other
file. Promise: every name stays text, whatever is written in it; equal packets give equal sheets.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from markupsafe import Markup, escape

from stockwright.packet.extras import Extras
from stockwright.packet.templating import templates
from stockwright.packet.view import view
from stockwright.packet.writing import writing_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stockwright.packet.drawing import Moves
    from stockwright.packet.model import Packet

__all__ = ["as_html", "contents", "sheet"]

TEMPLATES = Path(__file__).with_name("templates")


def contents(
    packet: Packet,
    moves: Mapping[str, Moves],
    units: Literal["mm", "inch"] | None = None,
    extras: Extras | None = None,
    boards_after: Mapping[int, str] | None = None,
    pages: Sequence[dict[str, Any]] | None = None,
) -> dict[str, Any]:
    """Return what stands on the sheet, for `as_html` and for the PDF; arguments as for `view`."""
    return view(packet, moves, extras or Extras(), boards_after or {}, writing_of(packet, units), pages)


def as_html(told: dict[str, Any]) -> str:
    """Set the contents as HTML."""
    environment = templates(TEMPLATES)
    environment.filters["told"] = _with_commands
    return environment.get_template("sheet.html").render(told)


def _with_commands(text: str) -> Markup:
    """Set what is typed, which stands between backquotes."""
    parts = text.split("`")
    return Markup("").join(
        Markup("<code>{}</code>").format(part) if number % 2 else escape(part)
        for number, part in enumerate(parts)
    )


def sheet(
    packet: Packet,
    moves: Mapping[str, Moves],
    units: Literal["mm", "inch"] | None = None,
    extras: Extras | None = None,
    boards_after: Mapping[int, str] | None = None,
) -> str:
    """Return the sheet as HTML. `moves` by file within the packet; a program without them is not drawn.

    `boards_after`: by setup, the drawing of the simulated board.
    """
    return as_html(contents(packet, moves, units, extras, boards_after))
