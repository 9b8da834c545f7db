"""Reading a sheet back: its words and its drawings, for tests."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from typing import TYPE_CHECKING

import numpy as np

from stockwright.motion.moves import Moves, moves
from stockwright.packet.assemble import file_in_packet
from stockwright.packet.extras import extras_of
from stockwright.packet.sheet import sheet

if TYPE_CHECKING:
    from sample_packet import Sample

SVG = "{http://www.w3.org/2000/svg}"


def moves_of(made: Sample) -> dict[str, Moves]:
    """Return the moves of every program by its file within the packet."""
    return {file_in_packet(made.files[p.stem][0]): moves(p) for group in made.programs for p in group}


def sheet_of(made: Sample, units: str = "mm") -> str:
    """Return the sheet of a sample with everything the pipeline would give it."""
    extras = extras_of(made.job, made.setups, made.programs, made.files)
    return sheet(made.packet, moves_of(made), "inch" if units == "inch" else "mm", extras)


class Words(HTMLParser):
    """Collects what a person reads, and every element and attribute on the way."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []
        self.elements: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self._style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note the element."""
        self.elements.append(tag)
        self.attributes += attrs
        self._style = tag == "style"

    def handle_endtag(self, tag: str) -> None:
        """Note that a style sheet has ended."""
        self._style = False

    def handle_data(self, data: str) -> None:
        """Keep what is not style."""
        if not self._style:
            self.said.append(data)

    @property
    def text(self) -> str:
        """All words, white space made plain."""
        return " ".join(" ".join(self.said).split())


def words(html: str) -> Words:
    """Read a sheet as a browser's parser would."""
    reader = Words()
    reader.feed(html)
    reader.close()
    return reader


def drawings(html: str) -> dict[str, ET.Element]:
    """Return every drawing by its class, parsed as XML."""
    found = {}
    for text in re.findall(r"<svg .*?</svg>", html, flags=re.DOTALL):
        root = ET.fromstring(text.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))
        found[root.attrib["class"].split()[-1]] = root
    return found


def to_scale(drawing: ET.Element) -> dict[str, np.ndarray]:
    """Return the named shapes of the to-scale group: name -> points (n, 2), work frame."""
    [group] = [g for g in drawing.iter(f"{SVG}g") if g.get("data-frame") == "work"]
    shapes: dict[str, np.ndarray] = {}
    for element in group:
        name = element.get("data-name")
        if name and "points" in element.attrib:
            pairs = element.attrib["points"].split()
            shapes.setdefault(name, np.array([[float(v) for v in pair.split(",")] for pair in pairs]))
        elif name:
            shapes[name] = np.array([[float(element.attrib["cx"]), float(element.attrib["cy"])]])
    return shapes
