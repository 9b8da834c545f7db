"""The sheet as a PDF: leaves by design, the same bytes anywhere, and no name read as markup."""

from __future__ import annotations

import hashlib
import os
import struct
import subprocess
import sys
import zlib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from sample_packet import sample
from sheet_reading import moves_of
from stockwright.packet.extras import extras_of
from stockwright.packet.sheet import contents
from stockwright.packet.sheet_pdf import as_pdf, as_pictures, leaves, set_in

HOSTILE = (
    '#panic("read as markup")',
    "*bold* _slanted_ $x^2$ `raw` @label <tag> // gone",
    '"]#read("sheet.css")',
    "]} \\ #{",
    "= heading",
)
AGAIN = """
import hashlib, sys
from sample_packet import sample
from test_sheet_pdf import told
from stockwright.packet.sheet_pdf import as_pdf
print(hashlib.sha256(as_pdf(told())).hexdigest())
"""


def told(name: str = "ash plank 3", paper: str | None = None, units: str = "mm") -> dict[str, Any]:
    """Return what stands on the sample's sheet."""
    made = sample(name)
    packet = made.packet.model_copy(update={"paper": paper, "units": units})
    extras = extras_of(made.job, made.setups, made.programs, made.files)
    return contents(packet, moves_of(made), "inch" if units == "inch" else "mm", extras)


@cache
def plain() -> bytes:
    """Return the sample's sheet as it is, set once."""
    return as_pdf(told())


@cache
def plain_leaves() -> list[int]:
    """Return how many leaves its pages take."""
    return leaves(told())


@pytest.mark.parametrize(
    ("paper", "units"), [("a4", "mm"), ("a4", "inch"), ("letter", "mm"), ("letter", "inch")]
)
def test_every_setup_has_its_leaves_in_large_type(paper: str, units: str) -> None:
    """Laying and running have a leaf each, in 11 points or more."""
    sheet = told(paper=paper, units=units)
    assert leaves(sheet) == [1, 2, 2, 2, 2, 1]
    sizes = set_in(sheet)
    assert len(sizes) == 8
    assert min(size for each in sizes for size in each) >= 11.0


def test_a_short_setup_has_one_leaf() -> None:
    """Where the words of both leaves go on one in 11 points, one is made."""
    sheet = told()
    for page in sheet["setups"]:
        for leaf in page["leaves"]:
            leaf["groups"] = leaf["groups"][:1]
        page["shims"] = []
    assert leaves(sheet) == [1, 1, 1, 1, 1, 1]


def test_what_goes_below_no_drawing_goes_on_before_the_run() -> None:
    """Too many words for the first leaf in 11 points, and two leaves for all of them: two, not three."""
    sheet = told()
    page = sheet["setups"][0]
    lay, hold = page["leaves"][0]["groups"]
    assert hold["heading"].startswith("Hold it")
    steps = lay["steps"]
    # The board is held on the second leaf; the second leaf begins within how it is laid.
    for extra in (6, 16):
        lay["steps"] = [*steps, *steps[-1:] * extra]
        sizes = set_in({**sheet, "setups": [page]})
        assert len(sizes) == 2
        assert min(size for each in sizes for size in each) >= 11.0


def test_many_words_go_on_in_smaller_type_before_they_go_over_the_leaf() -> None:
    """A setup with ten times the steps is set smaller, and then goes on; nothing is left out."""
    sheet = told()
    page = sheet["setups"][0]
    page["leaves"][1]["groups"] *= 4
    assert min(size for each in set_in(sheet) for size in each) == pytest.approx(9.0)
    assert leaves(sheet)[1] > 2


def test_the_paper_follows_the_units_unless_it_is_named() -> None:
    """A4 for millimetres, Letter for inches; `paper` in the shop's document wins."""
    assert [told()["paper"], told(units="inch")["paper"]] == ["a4", "letter"]
    named = told(paper="letter")
    assert named["paper"] == "letter"
    assert b"612 792" in as_pdf(named)
    assert b"595.27" in plain()


def test_the_same_bytes_whatever_the_clock_the_folder_and_the_hashes(tmp_path: Path) -> None:
    """Another process, time zone, hash seed and folder give the same PDF to the byte."""
    here = Path(__file__).parent
    paths = os.pathsep.join([str(here), str(here.parent)])
    environment = {**os.environ, "TZ": "Pacific/Kiritimati", "PYTHONHASHSEED": "77", "PYTHONPATH": paths}
    environment["SOURCE_DATE_EPOCH"] = "1000000000"
    done = subprocess.run(
        [sys.executable, "-c", AGAIN],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    pdf = plain()
    assert done.stdout.strip() == hashlib.sha256(pdf).hexdigest()
    assert b"CreationDate" not in pdf
    assert str(here.parents[1]).encode() not in pdf


@pytest.mark.parametrize(
    "name", [*HOSTILE[:2], *(pytest.param(name, marks=pytest.mark.wide) for name in HOSTILE[2:])]
)
def test_a_hostile_name_is_never_markup(name: str) -> None:
    """A board named as a command of the typesetter is set as any other name: no error, no page more."""
    made = told(name)
    assert leaves(made) == plain_leaves()
    assert made["first"]["boards"][0]["name"] == name


def test_a_name_takes_the_room_of_its_letters() -> None:
    """`#read(...)` brings in no file: the PDF is about as long as with a plain name."""
    plain, hostile = as_pdf(told("x" * 18)), as_pdf(told('#read("sheet.css")'))
    assert abs(len(plain) - len(hostile)) < 3000


def test_no_page_is_blank() -> None:
    """As pictures, every page has ink on many of its lines."""
    pictures = as_pictures(told(), 40.0)
    assert len(pictures) == 10
    for picture in pictures:
        assert inked(picture) > 100


def inked(png: bytes) -> int:
    """Return how many of a PNG's lines are not all alike (by their filtered bytes)."""
    data, at = b"", 8
    width = struct.unpack(">I", png[16:20])[0]
    depth = {0: 1, 2: 3, 4: 2, 6: 4}[png[25]]
    while at < len(png):
        (size,) = struct.unpack(">I", png[at : at + 4])
        if png[at + 4 : at + 8] == b"IDAT":
            data += png[at + 8 : at + 8 + size]
        at += 12 + size
    raw = zlib.decompress(data)
    step = 1 + width * depth
    rows = [raw[i + 1 : i + step] for i in range(0, len(raw), step)]
    return sum(len(set(row[depth:])) > 1 for row in rows)
