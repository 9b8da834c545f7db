"""A shop is told in its own units what is open, what a board may be out by, and what readings say."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import yaml

from stockwright.calls.shop_check import Call, check
from stockwright.documents import read_document
from stockwright.mistakes import InputError
from stockwright.units import INCH, LENGTH, parse

if TYPE_CHECKING:
    from stockwright.calls.shop_check import Told

SHOPS = Path(__file__).parents[2] / "examples" / "shops"
INCHES, METRIC = SHOPS / "small-inch.yaml", SHOPS / "short-cutters.yaml"
MILLIMETRES = re.compile(r"\d mm\b(?!2)|\bmm/m\b|[.]{3} mm")
SUM = re.compile(r"  (\w+(?: of (?:face )?\S+)?) +([\d.]+) (in|mm) +([\d.]+) (in|mm)  \S")
READINGS = (
    "stockwright: measured/1\nname: trial\n"
    "square: [{of: edges, height: 1 in, readings: [0.002 in, 0.003 in]}]\n"
    "straightness: [{of: edges, length: 30 in, readings: [0.002 in, 0.003 in]}]\n"
)


def _read(folder: Path, shop: Path, out: Path | None = None) -> Told:
    file = folder / "readings.yaml"
    file.write_text(READINGS, encoding="utf-8")
    return check(Call(shop, file, out))


def test_an_inch_shop_is_told_nothing_in_millimetres(tmp_path: Path) -> None:
    """No length of either way of the call is in mm in a shop in inches; one in mm is told none in inches."""
    for told in (check(Call(INCHES)), _read(tmp_path, INCHES)):
        assert [line for line in told.lines if MILLIMETRES.search(line)] == []
    for told in (check(Call(METRIC)), _read(tmp_path, METRIC)):
        assert any(MILLIMETRES.search(line) for line in told.lines)
        assert [line for line in told.lines if re.search(r"\d in\b", line)] == []


def test_lines_are_the_values_in_inches_under_one_another() -> None:
    """Every sum that is told is the plain value in mm over 25.4, and its columns end at the same places."""
    told = check(Call(INCHES))
    rows = [found for line in told.lines if (found := SUM.match(line))]
    assert [row[1] for row in rows] == [each["measure"] for each in told.values["budget"]]
    for row, each in zip(rows, told.values["budget"], strict=True):
        assert (row[3], row[5]) == ("in", "in")
        assert float(row[2]) == pytest.approx(each["expected"] / INCH, abs=7.1e-5)
        assert float(row[4]) == pytest.approx(each["worst"] / INCH, abs=7.1e-5)
    head = next(line for line in told.lines if "at worst" in line)
    assert {row.end(3) for row in rows} == {head.index("expected") + len("expected")}
    assert {row.end(5) for row in rows} == {head.index("at worst") + len("at worst")}


def test_the_board_of_an_inch_shop_has_round_inches() -> None:
    """The board that is named is the one that was computed: 40 x 8 x 1 in, told to programs in mm."""
    told = check(Call(INCHES))
    assert any("a board of 40 x 8 x 1 in may be out by" in line for line in told.lines)
    assert told.values["board"] == {"length": 1016.0, "width": 203.2, "thickness": 25.4}
    sized = {each["measure"]: each for each in told.values["budget"]}
    [scale] = [each["size"] for each in sized["length"]["shares"] if each["what"] == "the axes' scale"]
    assert scale == pytest.approx(0.2 * 1.016, abs=5e-4)  # 0.2 mm over each metre
    assert check(Call(METRIC)).values["board"] == {"length": 1000, "width": 200, "thickness": 25}


def test_a_figure_over_a_metre_is_told_over_as_many_inches() -> None:
    """0.2 mm over a metre is 0.0079 in over 39.37 in, and so far apart the points are pricked."""
    lines = check(Call(INCHES)).lines
    assert "  scale: the axes' scale, 0.0079 in over 39.37 in taken" in lines
    assert any("two points 39.37 in apart" in line for line in lines)
    assert "    write it down as `scale: {value: ... in, measured: yes}`" in lines
    assert any("two points a metre apart" in line for line in check(Call(METRIC)).lines)


def test_a_shop_in_fractions_is_told_tape_lengths_in_fractions(tmp_path: Path) -> None:
    """Where inches are written as fractions, what a tape sets is one; what a gauge reads stays decimal."""
    text = INCHES.read_text(encoding="utf-8")
    file = tmp_path / "shop.yaml"
    file.write_text(text.replace("units: inch\n", "units: inch\ninch-as: fractions\n", 1), encoding="utf-8")
    lines = check(Call(file)).lines
    assert any(line.startswith("  longest-span: 15-3/4 in between supports") for line in lines)
    assert any(line.startswith("  mark: sighting the mark for x and y, 0.0079 in") for line in lines)


def test_the_block_of_an_inch_shop_is_in_inches_and_says_the_same(tmp_path: Path) -> None:
    """Figures are written in inches, and read back they are those of the readings and of the shop, in mm."""
    known = "machine:\n  errors:\n    scale: {value: 0.008 in, within: 0.001 in, measured: yes}\n"
    shop, out = tmp_path / "shop.yaml", tmp_path / "block.yaml"
    shop.write_text(INCHES.read_text(encoding="utf-8").replace("machine:\n", known, 1), encoding="utf-8")
    told = _read(tmp_path, shop, out)
    block = out.read_text(encoding="utf-8")
    assert block.endswith(told.values["yaml"])
    assert " mm" not in block
    assert max(map(len, block.splitlines())) <= 80
    errors = yaml.safe_load(block)["errors"]
    assert errors["scale"] == {"value": "0.008 in", "within": "0.001 in", "measured": True}
    values = {each["key"]: each for each in told.values["figures"]}
    assert values["straightness-x"]["unit"] == "mm"
    for key in ("value", "within"):
        length = parse(errors["straightness-x"][key], LENGTH)
        assert length == pytest.approx(values["straightness-x"][key], abs=2e-5)
    whole = INCHES.read_text(encoding="utf-8").replace("machine:\n", f"machine:\n{told.values['yaml']}", 1)
    shop.write_text(whole, encoding="utf-8")
    again = read_document(shop, "shop").model.machine.errors
    assert again.scale.value == pytest.approx(0.008 * INCH)
    assert again.straightness_x.measured


def test_a_post_that_is_not_installed_is_a_mistake_of_the_shop(tmp_path: Path) -> None:
    """It is told with its place before a job is refused for it; a shop without a post is none."""
    for line, mistakes in (("post: rs247", 1), ("paper: a4", 0)):
        file = tmp_path / "shop.yaml"
        file.write_text(re.sub("(?m)^post: .*$", line, METRIC.read_text(encoding="utf-8")), encoding="utf-8")
        try:
            check(Call(file))
            found: list[int] = []
        except InputError as error:
            found = [m.line for m in error.mistakes if m.code == "unknown-post"]
        assert len(found) == mistakes
