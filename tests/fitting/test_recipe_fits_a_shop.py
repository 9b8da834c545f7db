"""Whether a shop can run a recipe: what is matched, how far it goes, what is missing, what comes nearest."""

from __future__ import annotations

import contextlib
import io
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from stockwright.bind import bind
from stockwright.calls.terminal import as_json, folded
from stockwright.cli import main
from stockwright.documents import read_job
from stockwright.fitting import Asked, Fit, fit, lines, values
from stockwright.mistakes import InputError
from stockwright.units import INCH

ROOT = Path(__file__).parents[2]
SHOP = ROOT / "examples" / "stair-tread" / "shop.yaml"
INCHES = ROOT / "examples" / "shops" / "small-inch.yaml"
SIZES = {"length": "1150 mm", "width": "200 mm", "thickness": "27 mm"}


def _fit(recipe: str, *shop: Path, **sets: str) -> Fit:
    [at] = shop or (SHOP,)
    return fit(Asked(recipe, at, (sets, [])))


@cache
def _called(thickness: str) -> tuple[int, Any]:
    """Ask on the command line whether a thickness can be had, once; return the exit code and the answer."""
    sizes = [f"--set={name}={value}" for name, value in {**SIZES, "thickness": thickness}.items()]
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        code = main(["recipes", "fit", "four-sides-square", "--shop", str(SHOP), "--json", *sizes])
    return code, json.loads(said.getvalue())


def _with(folder: Path, *changes: tuple[str, str]) -> Path:
    """Return the example shop with some of its text changed."""
    text = SHOP.read_text(encoding="utf-8")
    for old, new in changes:
        assert text.count(old) == 1
        text = text.replace(old, new)
    file = folder / "shop.yaml"
    file.write_text(text, encoding="utf-8")
    return file


def test_what_fits_is_what_a_job_is_bound_to() -> None:
    """The cutters are those that a job would be given; the try runs to its end, and nothing is missing."""
    found = _fit("four-sides-square", **SIZES)
    job, _ = bind(read_job(ROOT / "examples" / "stair-tread" / "job.yaml"))
    taken = {step.tool.name for step in job.steps if hasattr(step, "tool")}
    assert {name for match in found.roles for name in match.by} == taken
    assert (found.fits, found.missing, found.instead, found.ranges) == (True, (), (), ())
    assert found.tried.setups == 4
    assert found.tried.seconds is not None
    assert 600 < found.tried.seconds < 6000
    assert [name for name, *_ in found.reach] == ["long-end-mill"]
    assert found.reach[0][2] == 40  # it cuts 42 mm deep, and the recipe wants 2 mm more than the wood


@pytest.mark.wide
def test_both_ends_of_a_range_were_tried() -> None:
    """The thickest that passes is what the cutter reaches, the thinnest what the clamps' height leaves."""
    found = _fit("four-sides-square", length="900 mm", width="150 mm")
    [span] = found.ranges
    assert (span.of.name, span.of.low, span.of.high) == ("thickness", 6, 90)
    assert 39 <= span.high <= 40
    assert 17 <= span.low <= 17.6  # 14 mm of clamp and the recipe's 3 mm
    assert span.above is not None
    assert span.below is not None
    assert span.above[0] - span.high <= 1
    assert (span.above[1].rule, span.below[1].rule) == ("no-tool-for-role", "no-hold-down")
    for value, passes in (
        (span.high, True),
        (span.above[0], False),
        (span.low, True),
        (span.below[0], False),
    ):
        again = _fit("four-sides-square", length="900 mm", width="150 mm", thickness=f"{value:g} mm")
        assert again.tried.passes is passes


def test_a_short_machine_says_how_long_a_board_may_be(tmp_path: Path) -> None:
    """The greatest length of a board is told with the travel that ends it, though no input asks for it."""
    shop = _with(
        tmp_path, ("x: 0 mm to 1400 mm", "x: 0 mm to 900 mm"), ("x: 60 mm to 1340 mm", "x: 60 mm to 840 mm")
    )
    found = _fit("both-faces", shop, thickness="25 mm")
    length = next(span for span in found.ranges if span.of.name == "the board's length")
    assert length.high < 900
    assert length.above is not None
    assert "900" in length.above[1].message or "travel" in length.above[1].rule


def test_a_cutter_that_is_missing_is_asked_for_by_what_it_must_do() -> None:
    """Kind, width, cutting length, shank and overall length stand in the list; the nearest one is tried."""
    code, found = _called("45 mm")
    assert (code, found["fits"]) == (1, False)
    [item] = found["missing"]
    assert "an end mill, 6 to 25 mm wide, cutting at least 47 mm deep" in item
    assert "8 mm (then 67 mm long or more) or 12 mm (then 73 mm long or more)" in item
    assert any(
        "long-end-mill comes nearest, and cuts 42 mm deep, not 47 mm" in each for each in found["instead"]
    )
    assert any(
        each.startswith("thickness of 40 mm instead of 45 mm: the machine runs") for each in found["instead"]
    )


def test_a_wider_cutter_is_a_substitution_with_its_cost(tmp_path: Path) -> None:
    """Where only the width keeps a cutter out, it is tried all the same, and time and truth are told."""
    recipe = tmp_path / "narrow.yaml"
    text = (ROOT / "recipes" / "both-faces.yaml").read_text(encoding="utf-8")
    recipe.write_text(
        text.replace("20 mm to 80 mm", "20 mm to 30 mm").replace("name: both-faces", "name: narrow")
    )
    found = _fit(str(recipe), thickness="25 mm")
    assert not found.fits
    assert found.instead[0].startswith("facer: wide-facer comes nearest, and is 50 mm wide, not 20 to 30 mm")
    assert "the machine runs" in found.instead[0]
    assert any(each.startswith("recipe both-faces does the like: the machine runs") for each in found.instead)


def test_holding_that_is_missing_is_told_by_kind(tmp_path: Path) -> None:
    """A shop without tape or vacuum is told so, and offered a recipe that holds from the sides."""
    found = _fit("faces-held-below", thickness="25 mm")
    assert found.missing == (
        "double-sided tape that is made to be taken off again, or a vacuum under part of the bed",
    )
    assert any(each.startswith("recipe both-faces does the like") for each in found.instead)
    low = _with(tmp_path, ("depth: 50 mm, height: 14 mm", "depth: 50 mm, height: 30 mm"))
    found = _fit("both-faces", low, thickness="20 mm")
    edges = next(match for match in found.zones if "edge-1" in match.wants)
    assert edges.by == ()
    assert "side-clamp is 30 mm high" in edges.why
    assert found.missing[0].startswith("side clamps, wedges or lever stops, 17 mm high at most")


def test_no_fence_is_told(tmp_path: Path) -> None:
    """A recipe that turns an edge to a fence wants one, and a shop without is told so."""
    text = SHOP.read_text(encoding="utf-8")
    start, end = text.index("fence:"), text.index("hold-downs:")
    (tmp_path / "shop.yaml").write_text(text[:start] + text[end:], encoding="utf-8")
    found = _fit("four-sides-square", tmp_path / "shop.yaml", **SIZES)
    assert not found.fits
    assert "a fence along x on the near side of the bed" in found.missing
    assert "no-fence" in {f.rule for f in found.tried.refused}


def test_a_recipe_without_boards_fits_without_one() -> None:
    """A recipe that cuts only the bed is tried without a board."""
    found = _fit("skim-the-bed")
    assert (found.fits, found.ranges, found.at) == (True, (), {})


@pytest.mark.wide
def test_your_own_board_is_tried_instead() -> None:
    """With boards of your own the try is on them: too thin a one is refused, a thinner piece offered."""
    boards = (ROOT / "examples" / "stair-tread" / "thin-board.yaml",)
    found = fit(Asked("four-sides-square", SHOP, (SIZES, []), boards))
    assert [f.rule for f in found.tried.refused] == ["board-too-thin"]
    assert any(each.startswith("thickness of ") for each in found.instead)


def test_every_mistake_at_once(tmp_path: Path) -> None:
    """A recipe that is none, a shop that is none and a dialect that is none are told together."""
    with pytest.raises(InputError) as error:
        fit(Asked(str(tmp_path / "none.yaml"), tmp_path / "shop.yaml", ({}, []), (), "nonsense"))
    assert len(error.value.mistakes) == 3
    with pytest.raises(InputError) as error:
        _fit("four-sides-square", lenght="900 mm", width="9 m")
    assert {m.code for m in error.value.mistakes} == {"unknown-name", "out-of-range"}


@pytest.mark.wide
def test_told_twice_the_same_and_within_the_terminal() -> None:
    """Lines are the same each time and as wide as a terminal; the JSON is plain."""
    found = _fit("both-faces", thickness="25 mm")
    again = _fit("both-faces", thickness="25 mm")
    told = list(folded(lines(found)))
    assert told == list(folded(lines(again)))
    assert max(map(len, told)) <= 80
    assert told[0] == "both-faces 1.0.0 in two-bench workshop: it fits"
    assert json.loads(as_json(values(found)))["fits"] is True


@pytest.mark.parametrize(("thickness", "code"), [("27 mm", 0), ("45 mm", 1), ("27", 2)])
def test_exit_codes(thickness: str, code: int) -> None:
    """0 where it fits, 1 where it does not, 2 where the call is wrong."""
    came_to, answer = _called(thickness)
    assert came_to == code
    assert answer


def test_what_stands_elsewhere_already_holds_no_end(tmp_path: Path) -> None:
    """A clamp that could stand at an end is not told to hold it where the plan has them all at the edges."""
    stop = "  end-stop:   {kind: stop, count: 4, length: 40 mm, depth: 30 mm, height: 14 mm}\n"
    clamps = "count: 6, length: 60 mm, depth: 50 mm, height: 14 mm}\n"
    shop = _with(tmp_path, (stop, ""), (clamps, clamps.replace("6", "2", 1)))
    found = _fit("both-faces", shop, thickness="27 mm")
    assert not found.fits
    held = {match.wants.split(" at ")[0]: match for match in found.zones}
    assert held["something that can push"].by == ("side-clamp",)
    firm = held["something that can stand firm"]
    assert firm.by == ()
    assert firm.why[-1].endswith(
        "the shop lists none; every side-clamp that could stand there is at other sides"
    )
    assert firm.missing in found.missing


def test_what_to_look_out_for_is_counted_in_the_answer(tmp_path: Path) -> None:
    """Where checks warn, the first line says how many things, and so many lines name them."""
    unskimmed = _with(tmp_path, ("  skimmed: 2026-05-30 ", "  # skimmed: 2026-05-30 "))
    told = list(lines(_fit("four-sides-square", unskimmed, **SIZES)))
    warned = [line for line in told if line.startswith("  look out: ")]
    assert warned
    things = "thing" if len(warned) == 1 else "things"
    assert told[0].endswith(f": it fits, with {len(warned)} {things} to look out for")


def test_an_inch_shop_is_told_whether_it_fits_in_inches() -> None:
    """What fits, what was tried and how far it goes are in inches; what was said stays as it was said."""
    found = _fit("both-faces", INCHES, thickness="19 mm")
    told = list(lines(found))
    assert [line for line in told if re.search(r"\d mm\b", line) and "19 mm" not in line] == []
    assert "  facer, one that is for faces, is 0.787 in to 3.15 in wide: facer" in told
    [tried] = [line for line in told if line.startswith("tried on ")]
    assert "with thickness 19 mm, the board's length " in tried
    # What is taken between the limits is round in inches, and so it is what is told.
    for name, value in found.at.items():
        assert value / INCH * 200 == pytest.approx(round(value / INCH * 200), abs=1e-4)
        assert f"{name} {value / INCH:g} in" in tried
    for span in found.ranges:
        [line] = [each for each in told if each.startswith(f"  {span.of.name} (")]
        assert f": {span.low / INCH:.4f}"[:8] in line
        assert f"to {span.high / INCH:g} in, of" in line
    plain = values(found)
    assert plain["tried"]["taken"] == dict(found.at)  # mm
    assert plain["tools"][0]["wants"] == "one that is for faces, is 20 to 80 mm wide"
    assert plain["ranges"][0]["limits"] == [150.0, 3000.0]


@pytest.mark.wide
def test_an_inch_shop_is_told_what_is_missing_in_inches() -> None:
    """Refusals, the shopping list and what comes nearest are in inches, names of cutters as they are."""
    found = _fit("four-sides-square", INCHES, thickness="2.5 in", length="20 in", width="6 in")
    told = "\n".join(lines(found))
    assert not re.search(r"\d mm\b", told)
    assert "an end mill, 0.236 in to 0.984 in wide, cutting at least 2.579 in deep" in told
    assert "a collet here holds: 0.5 in (then 3.579 in long or more)" in told
    assert "long-end-mill comes nearest, and cuts 2.25 in deep, not 2.579 in" in told
    assert re.search(r"thickness of 1\.\d+ in instead of 2\.5 in: the machine runs", told)
    assert any("57.15 mm" in each for each in values(found)["instead"])
