"""Readings off boards become the shop's own figures, with how sure they are, ready to be pasted."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import yaml

from stockwright.calls.shop_check import Call, check
from stockwright.documents import read_document
from stockwright.mistakes import InputError

SHOP = Path(__file__).parents[2] / "examples" / "stair-tread" / "shop.yaml"
HEAD = "stockwright: measured/1\nname: trial\n"


def figures(folder: Path, text: str) -> dict[str, dict[str, float]]:
    """Give what readings tell, by figure."""
    file = folder / "readings.yaml"
    file.write_text(HEAD + text, encoding="utf-8")
    told = check(Call(SHOP, file))
    return {each["key"]: each for each in told.values["figures"]}


def test_steps_along_tell_the_lean_towards_the_operator(tmp_path: Path) -> None:
    """Steps of 0.061 mm between passes 35 mm apart are a lean of 0.1 degrees in y; across, in x."""
    one = figures(tmp_path, "steps: [{passes: along, stepover: 35 mm, readings: [0.06 mm, 0.062 mm]}]")
    other = figures(tmp_path, "steps: [{passes: across, stepover: 35 mm, readings: [0.06 mm, 0.062 mm]}]")
    assert list(one) == ["tilt-y"]
    assert list(other) == ["tilt-x"]
    assert one["tilt-y"]["value"] == pytest.approx(math.degrees(math.atan(0.061 / 35)), abs=1e-4)


def test_two_edges_together_show_a_lean_twice_and_a_square_once(tmp_path: Path) -> None:
    """A gap of 0.08 mm over 20 mm is half the lean, put together, of the same gap against a square."""
    two = figures(tmp_path, "edges-together: [{of: edges, height: 20 mm, readings: [0.08 mm, 0.08 mm]}]")
    one = figures(tmp_path, "square: [{of: edges, height: 20 mm, readings: [0.08 mm, 0.08 mm]}]")
    assert one["tilt-y"]["value"] == pytest.approx(2 * two["tilt-y"]["value"], rel=1e-4)


def test_diagonals_tell_the_axes(tmp_path: Path) -> None:
    """Diagonals of 1000 x 200 mm that differ by 0.3423 mm are axes 0.05 degrees out of square."""
    text = (
        "diagonals: [{length: 1000 mm, width: 200 mm, near: [1020.3423 mm, 1020.3423 mm], "
        "far: [1020 mm, 1020 mm]}]"
    )
    assert figures(tmp_path, text)["squareness"]["value"] == pytest.approx(0.05, abs=1e-4)


def test_corners_tell_the_bed_over_its_whole_area(tmp_path: Path) -> None:
    """A wedge of 0.1 mm over 640 mm of a bed 1280 mm long is 0.2 mm over the bed."""
    text = (
        "thickness: [{length: 640 mm, width: 100 mm, corners: "
        "[[27 mm, 27 mm, 27.1 mm, 27.1 mm], [27 mm, 27 mm, 27.1 mm, 27.1 mm]]}]"
    )
    assert figures(tmp_path, text)["bed"]["value"] == pytest.approx(0.2, abs=1e-6)


def test_widths_tell_the_fence_and_gaps_the_axes_straightness(tmp_path: Path) -> None:
    """Widths 0.5236 mm apart over 300 mm are 0.1 degrees; a gap over half the travel counts twice."""
    text = (
        "widths: [{length: 300 mm, end-1: [100 mm, 100 mm], end-2: [100.5236 mm, 100.5236 mm]}]\n"
        "straightness: [{of: edges, length: 700 mm, readings: [0.05 mm, 0.05 mm]}]"
    )
    found = figures(tmp_path, text)
    assert found["fence-angle"]["value"] == pytest.approx(0.1, abs=1e-4)
    assert found["straightness-x"]["value"] == pytest.approx(0.1, abs=1e-6)


def test_more_and_finer_readings_are_surer(tmp_path: Path) -> None:
    """Four times as many readings of the same scatter are surer, and so are finer ones."""
    gaps = "0.05 mm, 0.07 mm"
    one, more, fine = (
        figures(tmp_path, f"square: [{{of: edges, height: 20 mm, readings: [{r}], reads: {f}}}]")
        for r, f in ((gaps, "0.02 mm"), (", ".join([gaps] * 4), "0.02 mm"), (gaps, "0.001 mm"))
    )
    assert more["tilt-y"]["within"] < one["tilt-y"]["within"]
    assert fine["tilt-y"]["within"] < more["tilt-y"]["within"] * 10
    assert more["tilt-y"]["readings"] == 8


def test_the_block_is_a_shops_own_words(tmp_path: Path) -> None:
    """The block, put below `machine:`, makes a valid shop that knows the figures as measured."""
    file = tmp_path / "readings.yaml"
    file.write_text(HEAD + "square: [{of: edges, height: 20 mm, readings: [0.05 mm, 0.06 mm]}]", "utf-8")
    block = check(Call(SHOP, file)).values["yaml"]
    assert max(map(len, block.splitlines())) <= 80
    whole = tmp_path / "shop.yaml"
    whole.write_text(SHOP.read_text(encoding="utf-8").replace("machine:\n", "machine:\n" + block, 1), "utf-8")
    errors = read_document(whole, "shop").model.machine.errors
    assert errors.tilt_y.measured
    assert errors.tilt_y.value > 0
    assert yaml.safe_load(block)["errors"]["tilt-y"]["measured"] is True
    # What it knows already stays in the block when other readings come.
    file.write_text(HEAD + "square: [{of: ends, height: 20 mm, readings: [0.05 mm, 0.06 mm]}]", "utf-8")
    assert list(yaml.safe_load(check(Call(whole, file)).values["yaml"])["errors"]) == ["tilt-x", "tilt-y"]


def test_a_block_goes_to_a_file_and_never_over_another(tmp_path: Path) -> None:
    """`out` writes the block where nothing else stands; the shop's own document is never given way."""
    file, out = tmp_path / "readings.yaml", tmp_path / "errors.yaml"
    file.write_text(HEAD + "square: [{of: edges, height: 20 mm, readings: [0.05 mm, 0.06 mm]}]", "utf-8")
    first = check(Call(SHOP, file, out))
    assert out.read_text(encoding="utf-8").endswith(first.values["yaml"])
    check(Call(SHOP, file, out))
    own = tmp_path / "shop.yaml"
    own.write_text(SHOP.read_text(encoding="utf-8"), "utf-8")
    with pytest.raises(InputError) as caught:
        check(Call(own, file, own))
    assert [each.code for each in caught.value.mistakes] == ["exists"]
    assert own.read_text(encoding="utf-8") == SHOP.read_text(encoding="utf-8")


def test_every_mistake_of_readings_comes_at_once(tmp_path: Path) -> None:
    """One reading, a missing unit, lists of two lengths and a misspelt table are told together, placed."""
    file = tmp_path / "readings.yaml"
    file.write_text(
        HEAD + "square: [{of: edges, height: 20, readings: [0.05 mm]}]\n"
        "diagonals: [{length: 1 m, width: 1 m, near: [1 m, 1 m, 1 m], far: [1 m, 1 m]}]\n"
        "widhts: []\n",
        "utf-8",
    )
    with pytest.raises(InputError) as caught:
        check(Call(tmp_path / "none.yaml", file))
    said = [(each.code, each.line) for each in caught.value.mistakes]
    assert said == [
        ("missing-file", 0),
        ("unit-missing", 3),
        ("wrong-count", 3),
        ("wrong-count", 4),
        ("unknown-key", 5),
    ]


def test_readings_of_nothing_are_a_mistake(tmp_path: Path) -> None:
    """A document of readings without one says which tables there are."""
    file = tmp_path / "readings.yaml"
    file.write_text(HEAD, "utf-8")
    with pytest.raises(InputError) as caught:
        check(Call(SHOP, file))
    assert [each.code for each in caught.value.mistakes] == ["missing-key"]
    assert "edges-together" in caught.value.mistakes[0].message


def test_a_shop_is_told_what_it_leaves_open_and_what_each_guess_costs() -> None:
    """The example's shop leaves its cutters' material open; every guess that counts has a cost and a cut."""
    told = check(Call(SHOP)).values
    assert "tools.long-end-mill.material" in {each["at"] for each in told["lacks"]}
    by_key = {each["key"]: each for each in told["figures"]}
    assert by_key["scale"]["source"] == "guess"
    assert by_key["scale"]["costs"]["length"] > 0.05
    assert all(each["test_cut"] for each in told["figures"])
    assert check(Call(SHOP)) == check(Call(SHOP))
