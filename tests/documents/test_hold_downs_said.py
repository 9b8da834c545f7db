"""A shop's document says what holds boards, how hard and where it may stand, or is told what does not fit."""

from __future__ import annotations

from typing import TYPE_CHECKING

import jsonschema
import pytest
import yaml

from example_jobs import EXAMPLES, bound
from stockwright import hold_downs as bound_as
from stockwright.documents import read_job, schema
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from pathlib import Path

SHOPS = [EXAMPLES / name / "shop.yaml" for name in ("bench-apron", "drawer-front", "box-side")]
JOB = EXAMPLES / "box-side" / "job.yaml"
SHOP = (JOB.parent / "shop.yaml").read_text(encoding="utf-8")
TAPE = "  thin-tape:  {kind: tape, count: 2, width: 25 mm, thickness: 0.15 mm, shear: 0.02 N/mm2}\n"


def _with(tmp_path: Path, text: str, recipe: str | None = None) -> Path:
    """Give the box side's job in a folder of its own, its shop and perhaps its recipe changed."""
    job = JOB.read_text(encoding="utf-8")
    if recipe is not None:
        (tmp_path / "recipe.yaml").write_text(recipe, encoding="utf-8")
        job = job.replace("recipe: faces-held-below", "recipe: recipe.yaml")
    (tmp_path / "job.yaml").write_text(job, encoding="utf-8")
    (tmp_path / "shop.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "board.yaml").write_text((JOB.parent / "board.yaml").read_text("utf-8"), encoding="utf-8")
    return tmp_path / "job.yaml"


def _mistakes(tmp_path: Path, text: str, recipe: str | None = None) -> list[Mistake]:
    with pytest.raises(InputError) as caught:
        read_job(_with(tmp_path, text, recipe))
    return list(caught.value.mistakes)


@pytest.mark.parametrize("path", SHOPS)
def test_shops_that_say_how_they_hold_fit_the_schema(path: Path) -> None:
    """Editors take the documents that the reader takes."""
    text = path.read_text(encoding="utf-8").replace("skimmed: 2026-09-12", 'skimmed: "2026-09-12"')
    jsonschema.validate(yaml.safe_load(text), schema("shop"))


def test_every_kind_is_bound_with_its_numbers(tmp_path: Path) -> None:
    """Forces come out in N, pressures and shears in N/mm2, torques in N mm; what is not said stays open."""
    more = """\
  cam:    {kind: lever-stop, count: 2, length: 40 mm, depth: 45 mm, height: 14 mm, push: 20 lbf}
  wedge:  {kind: wedge, count: 2, length: 70 mm, depth: 60 mm, height: 14 mm, angle: 8 deg}
  screw:  {kind: screw, count: 4, head: 9 mm, head-height: 5 mm, depth: 12 mm, pull: 0.4 kN}
  riser:  {kind: riser, count: 3, length: 100 mm, width: 3 cm, height: 18 mm}
  strap:
    kind: top-clamp
    count: 2
    width: 30 mm
    arm: 150 mm
    arm-height: 18 mm
    body-depth: 30 mm
    reach: 45 mm
    bolt: {diameter: 8 mm, torque: 10 N m, from-heel: 60 mm, from-work: 30 mm}
"""
    job, _ = bound(_with(tmp_path, SHOP.replace(TAPE, TAPE + more)))
    named = {h.name: h for h in job.shop.hold_downs}
    assert named["thin-tape"] == bound_as.Tape("thin-tape", 2, 25.0, 0.15, 0.02, None)
    cam = named["cam"]
    assert isinstance(cam, bound_as.LeverStop)
    assert cam.push == pytest.approx(88.9644)
    assert named["wedge"] == bound_as.Wedge("wedge", 2, 70.0, 60.0, 14.0, 8.0, None, None)
    assert named["screw"] == bound_as.Screw("screw", 4, 9.0, 5.0, 12.0, 0.0, None, 400.0)
    assert named["riser"] == bound_as.Riser("riser", 3, 100.0, 30.0, 18.0)
    strap, vacuum = named["strap"], named["bed-vacuum"]
    assert isinstance(strap, bound_as.TopClamp)
    assert strap.bolt == bound_as.Bolt(8.0, 10_000.0, 60.0, 30.0, None)
    assert isinstance(vacuum, bound_as.Vacuum)
    assert (len(vacuum.areas), vacuum.seal) == (4, 6.0)
    assert vacuum.pressure == pytest.approx(0.06)
    assert job.shop.bed.marks == (bound_as.Channel((700.0, 706.0), (60.0, 640.0), 0.4),)


def test_places_are_bound_in_order(tmp_path: Path) -> None:
    """Slots and the crossings of holes come out sorted, with the play that is stated."""
    places = """\
  places:
    slots: [{along: x, at: [300 mm, 100 mm]}]
    holes: {x: [50 mm, 150 mm], y: 75 mm}
    play: 20 mm
"""
    job, _ = bound(_with(tmp_path, SHOP.replace("  marks:", places + "  marks:")))
    assert job.shop.bed.places == bound_as.Places(
        (("x", 100.0), ("x", 300.0)), ((50.0, 75.0), (150.0, 75.0)), 20.0
    )


@pytest.mark.parametrize(
    ("old", "new", "code", "words"),
    [
        ("pressure: 0.6 bar", "pressure: 1.2 bar", "out-of-range", "at most 1 bar"),
        ("pressure: 0.6 bar", "pressure: 0.6", "unit-missing", "a pressure needs one"),
        ("push: 180 N", "push: 180 newton", "unknown-unit", "no unit of force"),
        ("seal: 6 mm", "seal: 60 mm", "out-of-range", "more than the two lips"),
        ("thickness: 0.15 mm", "thickness: 3 mm", "out-of-range", "at most 1 mm"),
        ("kind: tape", "kind: tapes", "unknown-word", "wedge, lever-stop, tape, vacuum, screw"),
        (
            "  marks:",
            "  places: {play: 5 mm}\n  marks:",
            "missing-key",
            "neither 'slots' nor 'holes'",
        ),
    ],
)
def test_what_does_not_fit_is_told_with_its_place(
    tmp_path: Path, old: str, new: str, code: str, words: str
) -> None:
    """A wrong measure, word or table of a hold-down is one mistake, with its line and what was expected."""
    (mistake,) = _mistakes(tmp_path, SHOP.replace(old, new, 1))
    assert mistake.code == code
    assert words in mistake.message
    assert mistake.line > 1


def test_a_force_said_twice_is_a_mistake(tmp_path: Path) -> None:
    """A clamp's press and its bolt cannot both say how hard it presses."""
    clamp = (
        "  strap: {kind: top-clamp, count: 2, width: 30 mm, arm: 150 mm, arm-height: 18 mm, "
        "body-depth: 30 mm, reach: 45 mm, press: 900 N, "
        "bolt: {diameter: 8 mm, torque: 10 N m, from-heel: 60 mm, from-work: 30 mm}}\n"
    )
    (mistake,) = _mistakes(tmp_path, SHOP.replace(TAPE, TAPE + clamp))
    assert mistake.code == "contradiction"
    assert "'press' and 'bolt'" in mistake.message


@pytest.mark.parametrize(
    ("zone", "code"),
    [
        ("{where: [underneath, edge-1]}", "contradiction"),
        ("{where: waste, below: 10 mm}", "contradiction"),
        ("{where: [raised, end-1]}", "contradiction"),
        ("{where: raised, below: 10 mm}", "contradiction"),
        ("{where: underneath, clear-of: edge-1}", "contradiction"),
        ("{where: underneath, with: thin-tape}", "unknown-key"),
    ],
)
def test_zones_underneath_and_in_waste_stand_alone_and_name_no_shops_thing(
    tmp_path: Path, zone: str, code: str
) -> None:
    """What holds from underneath or in waste is no side, has no height, and is the shop's to choose."""
    recipe = (EXAMPLES.parent / "recipes" / "faces-held-below.yaml").read_text(encoding="utf-8")
    (mistake,) = _mistakes(tmp_path, SHOP, recipe.replace("{where: underneath}", zone))
    assert mistake.code == code
    assert mistake.file.endswith("recipe.yaml")
