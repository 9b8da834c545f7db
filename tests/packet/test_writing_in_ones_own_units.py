"""Numbers on the sheet are in the person's own units, in what others wrote too."""

from __future__ import annotations

import re
import shutil
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES
from sample_packet import sample
from sheet_reading import moves_of, words
from stockwright.packet.sheet import sheet
from stockwright.packet.writing import Writing, in_fractions
from stockwright.run import Request, make
from stockwright.units import GAUGE

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize(
    ("value", "said"),
    [(25.4, "1"), (27.0, "1-1/16"), (9.525, "3/8"), (0.0, "0"), (-19.05, "-3/4"), (1181.1, "46-1/2")],
)
def test_fractions_are_of_a_sixty_fourth_and_shortened(value: float, said: str) -> None:
    """A length is told by the nearest 64th of an inch, in its lowest terms."""
    told, off = in_fractions(value)
    assert told == said
    assert off <= 25.4 / 128 + 1e-9


def test_a_fraction_that_is_off_has_its_decimal_beside_it() -> None:
    """27 mm is 0.01 mm more than 1-1/16 in and stands alone; 27.1 mm is not, and says so."""
    writing = Writing("inch", "fractions")
    assert writing.length(27.0) == "1-1/16 in"
    assert writing.length(27.1) == "1-1/16 in (1.067)"


def test_what_a_machine_shows_always_has_its_decimal() -> None:
    """A stick-out, a height over the bed: the fraction for the rule, the decimal for the display."""
    assert Writing("inch", "fractions").shown(44.45) == "1-3/4 in (1.75)"
    assert Writing("inch").shown(44.45) == "1.75 in"
    assert Writing("mm").shown(44.45) == "44.5 mm"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("it is 50.8 mm wide", "it is 2 in wide"),
        ("22 to 25.4 mm", "0.866 in to 1 in"),
        ("a step of up to 0.1 mm", "a step of up to 0.0039 in"),
        ("at 2540 mm/min", "at 100 in/min"),
        ("(6451.6 mm2 of tape)", "(10.00 square in of tape)"),
        ("M6 and 5 mms stay", "M6 and 5 mms stay"),
        ("for 30 N (4 kg), nor for 100 N.", "for 30 N (6.7 lb), nor for 100 N (22 lb)."),
        ("2.9 kg hang over", "6.4 lb hang over"),
        ("at 5 N m, 0.02 N/mm2, 650 kg/m3", "at 5 N m, 0.02 N/mm2 (2.9 psi), 650 kg/m3"),
        ("a wood of 12000 N/mm2", "a wood of 12000 N/mm2 (1700000 psi)"),
    ],
)
def test_what_a_check_wrote_is_told_in_inches(text: str, said: str) -> None:
    """In sentences of others lengths, feeds, areas become inches; pounds and psi stand beside newtons."""
    assert Writing("inch").words(text) == said


def test_cells_are_told_as_a_person_would() -> None:
    """A cell of a millimetre is no thousandths of an inch: to one figure, and about."""
    assert Writing("mm").cells(0.5) == "0.5 mm cells"
    assert [Writing("inch").cells(cell) for cell in (1.0, 0.25)] == [
        "cells about 0.04 in wide",
        "cells about 0.01 in wide",
    ]


def test_what_is_left_as_it_is_is_said_once() -> None:
    """One size left as it is stands among the others; where all are, that is said in words."""
    writing = Writing("mm")
    assert writing.sizes((820.0, None, 30.0)) == "820 mm × as it is × 30 mm"
    assert writing.sizes((None, None, None)) == "sizes stay as they are"


def test_a_block_for_the_zero_is_one_that_somebody_owns() -> None:
    """10 mm, or 3/8 in however inches are read."""
    assert Writing("mm").shown(GAUGE["mm"]) == "10 mm"
    assert Writing("inch").shown(GAUGE["inch"]) == "0.375 in"
    assert Writing("inch", "fractions").shown(GAUGE["inch"]) == "3/8 in (0.375)"


def test_names_keep_their_own_numbers() -> None:
    """A board called `ash 27 mm` is called so in inches too."""
    writing = Writing("inch", names=("ash 27 mm",))
    assert writing.words("ash 27 mm is 27 mm thick") == "ash 27 mm is 1.063 in thick"
    assert Writing("mm").words("27 mm") == "27 mm"


@pytest.mark.parametrize("inch_as", ["decimals", "fractions"])
def test_no_millimetre_is_left_on_an_inch_sheet(inch_as: str) -> None:
    """Findings, placings and notes follow the person's units to the last one."""
    made = sample()
    packet = made.packet.model_copy(update={"units": "inch", "inch_as": inch_as})
    text = words(sheet(packet, moves_of(made))).text
    assert " mm" not in text
    assert ("1-1/16 in" in text) == (inch_as == "fractions")


def test_a_shop_chooses_fractions_and_paper(tmp_path: Path) -> None:
    """`units: inch`, `inch-as` and `paper` of a shop reach the packet, the sheet and the PDF."""
    folder = tmp_path / "job"
    shutil.copytree(EXAMPLES / "drawer-front", folder)
    shop = folder / "shop.yaml"
    kept = [line for line in shop.read_text().splitlines() if not line.startswith("units:")]
    shop.write_text("\n".join([*kept, "units: inch", "inch-as: fractions", "paper: a4"]) + "\n")
    made = make(Request(folder / "job.yaml"))
    assert (made.packet.units, made.packet.inch_as, made.packet.paper) == ("inch", "fractions", "a4")
    text = words(made.files["sheet.html"].decode()).text
    assert re.findall(r"[^ ]* [^ ]* mm2?\b", text) == []
    assert re.search(r"stick out \d+-\d+/\d+ in \(1\.\d+\) from tip to nut", text)
    assert b"595.27" in made.files["sheet.pdf"]
