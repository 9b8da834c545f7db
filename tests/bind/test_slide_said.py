"""What shop and recipe say of sliding a long board is bound; what they leave out is a cautious guess."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, bound
from stockwright.machine import Slide
from stockwright.mistakes import InputError
from stockwright.run import Request, read

if TYPE_CHECKING:
    from pathlib import Path

BENCH = EXAMPLES / "hall-bench"
SAID = "slide: {register: line, within: 0.3 mm, reads: 0.05 mm, supports: yes}"


def _with(folder: Path, slide: str) -> Path:
    for name in ("shop.yaml", "board.yaml", "job.yaml"):
        text = (BENCH / name).read_text()
        (folder / name).write_text(text.replace(SAID, slide) if name == "shop.yaml" else text)
    return folder / "job.yaml"


def test_what_is_said_is_bound() -> None:
    """The example's register, its exactness, what is read and the stands arrive, marked as said."""
    job = bound(BENCH / "job.yaml")[0]
    assert job.slide
    assert job.shop.slide == Slide("line", 0.3, 0.05, True, frozenset({"register", "within", "reads"}))


def test_what_is_left_out_is_guessed(tmp_path: Path) -> None:
    """A shop that says only that it uses a stop gets 0.5 mm, 0.05 mm and no stands, as guesses."""
    assert SAID in (BENCH / "shop.yaml").read_text()
    slide = bound(_with(tmp_path, "slide: {register: stop}"))[0].shop.slide
    assert (slide.register, slide.within, slide.reads, slide.supports) == ("stop", 0.5, 0.05, False)
    assert slide.said == {"register"}


def test_other_recipes_do_not_slide() -> None:
    """Nothing is slid by a recipe that does not say so."""
    assert not bound()[0].slide


def test_a_wrong_register_is_a_mistake(tmp_path: Path) -> None:
    """Every mistake of the block comes at once, with the words that would be right."""
    with pytest.raises(InputError) as wrong:
        read(Request(_with(tmp_path, "slide: {register: pin, within: 0 mm, read: 1 mm}")))
    messages = " ".join(m.message + m.hint for m in wrong.value.mistakes)
    assert len(wrong.value.mistakes) == 3
    assert "pins" in messages
    assert "reads" in messages
