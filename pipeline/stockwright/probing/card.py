"""The card to measure by. In: the boards as they are read, their programs. Out: one HTML text to print.

Promise: every place has the same number on the drawing and in the table, in the order of the program; the
page needs no other file; every name stays text.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from stockwright.packet.drawing import ALONG, Canvas, Window
from stockwright.packet.plan_drawing import HATCH_OF
from stockwright.packet.templating import templates
from stockwright.packet.writing import Writing

if TYPE_CHECKING:
    from collections.abc import Sequence

    from markupsafe import Markup

    from stockwright.packet.model import Packet
    from stockwright.probing.touches import Measuring

__all__ = ["Page", "card"]

TEMPLATES = (Path(__file__).with_name("templates"), Path(__file__).parents[1] / "packet" / "templates")
LONG_TABLE = 12  # lines; a longer one is set in two beside each other

Page = tuple["Measuring", str | None, str]  # how a board is read, its program's file, its table's file


def card(
    packet: Packet, pages: Sequence[Page], units: Literal["mm", "inch"], *, job: str, wait: bool, lift: bool
) -> str:
    """Return the card. `wait`: the program stops after every touch; `lift`: it stops for the first trial."""
    environment = templates(*TEMPLATES)
    writing = Writing(units)
    return environment.get_template("card.html").render(
        packet=packet,
        job=job,
        writing=writing,
        unit="inches" if units == "inch" else "mm",
        wait=wait,
        lift=lift,
        pages=[_page(m, file, readings, writing) for m, file, readings in pages],
    )


def _page(m: Measuring, file: str | None, readings: str, writing: Writing) -> dict[str, Any]:
    rows = [(t.number, *map(writing.bare, (t.x, t.y, t.work_x, t.work_y))) for t in m.touches]
    half = (len(rows) + 1) // 2
    return {
        "m": m,
        "file": file,
        "readings": readings,
        "tables": [rows[:half], rows[half:]] if len(rows) > LONG_TABLE else [rows],
        "lowest": min((t.floor for t in m.touches), default=0.0),
        "drawing": _drawing(m, writing),
        "stops": [s for s in m.setup.solids if s.kind == "stop"],
    }


def _drawing(m: Measuring, writing: Writing) -> Markup:
    """Draw the bed from above: the board, what stands, the places in order and the way between them."""
    outlines = [np.zeros((1, 2)), m.setup.wood_outline, *(s.outline for s in m.setup.solids)]
    points = np.vstack(outlines)
    low, high = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    window = Window((low[0], low[1]), (high[0], high[1]), left=14.0, right=28.0, above=13.0, below=12.0)
    canvas = Canvas(f"places-{m.setup.index}", f"Where {m.board.name} is read", window, 186.0, 104.0)
    for solid in m.setup.solids:
        canvas.hatched(
            f"solid {solid.kind}", solid.outline.tolist(), HATCH_OF.get(solid.kind, "slant"), solid.name
        )
    canvas.polygon("board", m.setup.wood_outline.tolist(), m.board.name)
    for hole in m.board.holes:
        canvas.polygon("paper", (np.asarray(hole) + m.setup.lies[0].matrix[:2, 3]).tolist(), "hole")
    spots = [(t.work_x, t.work_y) for t in m.touches]
    canvas.line("pass", spots, "way")
    for touch, spot in zip(m.touches, spots, strict=True):
        canvas.dot("shim", spot, f"place {touch.number}", 0.8)
    _zero(canvas)
    (x0, y0), (x1, y1) = m.setup.wood_outline.min(axis=0).tolist(), m.setup.wood_outline.max(axis=0).tolist()
    canvas.span_across(x0, x1, 5.6, writing.length(x1 - x0))
    canvas.span_up(y0, y1, canvas.at((high[0], 0.0))[0] + 4.0, writing.length(y1 - y0))
    for touch, spot in zip(m.touches, spots, strict=True):
        x, y = canvas.at(spot)
        side = (
            1.0 if spot[0] < (x0 + x1) / 2 else -1.0
        )  # towards the middle: the ends' own words stand outside
        canvas.word(
            (x + 1.6 * side, y - 2.0), str(touch.number), "word strong", "start" if side > 0 else "end"
        )
    middle, pad = ((x0 + x1) / 2, (y0 + y1) / 2), 1.5 / canvas.scale
    canvas.word(canvas.at((middle[0], y0 - 3 * pad)), "edge-1", "word name", tries=ALONG)
    canvas.word(canvas.at((middle[0], y1 + 2 * pad)), "edge-2", "word name", tries=ALONG)
    canvas.word(canvas.at((x0 - pad, y1 - pad)), "end-1", "word name", "end")
    canvas.word(canvas.at((x1 + 4 * pad, y1 + pad)), "end-2", "word name", "start")
    canvas.word(
        (canvas.width / 2, canvas.height - 2.4), "near side: you stand here", "word quiet", tries=ALONG
    )
    return canvas.svg()


def _zero(canvas: Canvas) -> None:
    x, y = canvas.at((0.0, 0.0))
    canvas.stroke("zero", (x - 3, y), (x + 11, y))
    canvas.stroke("zero", (x, y + 3), (x, y - 11))
    canvas.arrow("solid-ink", (x + 13, y), (1.0, 0.0), 2.8)
    canvas.arrow("solid-ink", (x, y - 13), (0.0, -1.0), 2.8)
    canvas.dot("zero-ring", (0.0, 0.0), "zero mark", 2.0)
    canvas.word((x + 15, y), "x", "word strong")
    canvas.word((x, y - 15), "y", "word strong")
    canvas.word((x, canvas.height - 2.4), "mark: x 0, y 0", "word strong", "start", ALONG)
