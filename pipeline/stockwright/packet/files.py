"""What a packet consists of. In: the facts, the programs' texts, the pages' contents. Out: each file's bytes.

Promise: packet.json holds a digest of every page beside it, so that a page edited later is told.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from stockwright.packet.model import dump_packet
from stockwright.packet.sheet import as_html

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from stockwright.packet.model import Packet

__all__ = ["files_of", "with_facts"]


def files_of(
    packet: Packet, texts: Mapping[str, str], contents: dict[str, Any], played: Callable[[], str]
) -> dict[str, bytes]:
    """Return a packet's files: programs, `texts` by file; the sheet, of these contents; playback; facts.

    `played` gives the playback's page: what makes it starts from packets, as this does.
    """
    from concurrent.futures import ThreadPoolExecutor

    from stockwright.packet.sheet_pdf import as_pdf

    files = {file: text.encode() for file, text in texts.items()}
    with ThreadPoolExecutor(1) as beside:  # the library that sets pages runs outside Python's lock
        paper = beside.submit(as_pdf, contents)
        pages = {"sheet.html": as_html(contents).encode(), "playback.html": played().encode()}
        pages["sheet.pdf"] = paper.result()
    return with_facts(packet, files, pages)


def with_facts(packet: Packet, files: Mapping[str, bytes], pages: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return all of them and packet.json, with the pages' digests."""
    return {**files, "packet.json": dump_packet(packet, pages).encode(), **pages}
