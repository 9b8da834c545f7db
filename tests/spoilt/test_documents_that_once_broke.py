"""Documents that spoiling found, which once ended in a traceback or took too long: what they come to now."""

from __future__ import annotations

import shutil
import time
from typing import TYPE_CHECKING

import pytest
import shapely

from example_jobs import EXAMPLES, ROOT
from spoilt.kinds import prepare
from stockwright.cli import main
from stockwright.proving.outlines import area_of

if TYPE_CHECKING:
    from pathlib import Path

# The call, the document, what of it was replaced by what, and the word that its mistake has.
BROKE = [
    # a table's key is looked up among words, and a list cannot be
    (("recipes", "show", "recipe.yaml"), "recipe.yaml", "is: length", "is: [[[[]]]]", "wrong-type"),
    (("recipes", "show", "recipe.yaml"), "recipe.yaml", "is: length", "is: {a: b}", "wrong-type"),
    # a bed or a travel of no extent, by which something is divided
    (("shop", "check", "shop.yaml"), "shop.yaml", "x: 60 mm to 1340 mm", "x: 0 mm to 0 mm", "out-of-range"),
    (("shop", "check", "shop.yaml"), "shop.yaml", "y: 60 mm to 840 mm", "y: 60 mm", "out-of-range"),
    (("shop", "check", "shop.yaml"), "shop.yaml", "x: 0 mm to 1400 mm", "x: 0 mm", "out-of-range"),
]


@pytest.mark.parametrize(("call", "document", "old", "new", "code"), BROKE)
def test_it_is_a_mistake_with_its_word(
    call: tuple[str, ...],
    document: str,
    old: str,
    new: str,
    code: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Exit code 2, told with its place in the document."""
    shutil.copy(EXAMPLES / "stair-tread" / "shop.yaml", tmp_path)
    shutil.copy(ROOT / "recipes" / "four-sides-square.yaml", tmp_path / "recipe.yaml")
    text = (tmp_path / document).read_text(encoding="utf-8")
    assert old in text
    (tmp_path / document).write_text(text.replace(old, new, 1), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert main([*call, "--resolved"] if call[0] == "recipes" else call) == 2
    assert f": {code}: " in capsys.readouterr().err


# Numbers of which arithmetic makes nothing: the call, the document, what was replaced by what, the exit code.
# numpy's and shapely's warnings are errors in tests; before, they were printed.
NUMBERS = [
    # shorter than its faces are apart when it lies level: no rectangle lies inside both
    (("board", "elm-sighted.yaml"), "elm-sighted.yaml", "length: 38-1/2 in", "length: 1/16 in", 0),
    # a place 0.9 m beside the others: shims stood off the outline, and the board sprang by inf mm
    (
        ("make", "job.yaml", "--board", "points.csv", "--out", "made"),
        "points.csv",
        "2,116,0.1,38.1",
        "0.02,1160,0.05,381",
        1,
    ),
]


@pytest.mark.parametrize(("call", "document", "old", "new", "code"), NUMBERS)
def test_it_is_told_in_numbers(
    call: tuple[str, ...],
    document: str,
    old: str,
    new: str,
    code: int,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """No warning, and no number that is none in what is said."""
    prepare(tmp_path)
    text = (tmp_path / document).read_text(encoding="utf-8")
    assert old in text
    (tmp_path / document).write_text(text.replace(old, new, 1), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert main(call) == code
    said = "".join(capsys.readouterr())
    assert not {"inf", "-inf", "nan"} & set(said.split())


def test_the_distance_from_a_solid_with_two_corners_in_one() -> None:
    """A corner 1e-300 mm from the next, between which shapely divided by nothing, is the same one."""
    outline = [(0.0, 0.0), (0.0, 1e-300), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
    path = shapely.linestrings([[[-5.0, -5.0], [-5.0, 5.0]]])
    assert shapely.distance(path, area_of(outline)) == pytest.approx(5.0)


# The call, the document, what of it was replaced by what: work, or refused, and either is soon said.
SLOW = [
    # 2300 passes over the bed, each on top of seventy others: 55 s and 2 GB before what they sweep was put
    # together few by few
    (("check", "bed.yaml"), "shop.yaml", "stepover: 70 %", "stepover: 0.7 %"),
]
SOON = 8.0  # s of the process's own time; five times what it takes


@pytest.mark.parametrize(("call", "document", "old", "new"), SLOW)
def test_it_is_work_that_is_soon_done(
    call: tuple[str, ...], document: str, old: str, new: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Done or refused, in a few seconds."""
    for name in ("shop.yaml", "bed.yaml"):
        shutil.copy(EXAMPLES / "stair-tread" / name, tmp_path)
    text = (tmp_path / document).read_text(encoding="utf-8")
    assert old in text
    (tmp_path / document).write_text(text.replace(old, new, 1), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    began = time.process_time()
    assert main(call) in {0, 1}
    assert time.process_time() - began < SOON
