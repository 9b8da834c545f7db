"""Documents that spoiling found, which once ended in a traceback or took too long: what they come to now."""

from __future__ import annotations

import shutil
import time
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, ROOT
from stockwright.cli import main

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
