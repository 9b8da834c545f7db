"""An invented retrofit, written down from posts/README.md alone: ten lines that pass the whole kit."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from barn_retrofit import PROFILE
from programs import program
from stockwright.conformance import Case, cases, check
from stockwright.motion import Arc, Dust, Feed, Rapid
from stockwright.posting import WordAddress, load_profile

if TYPE_CHECKING:
    from pathlib import Path


def retrofit(folder: Path) -> WordAddress:
    """Load it as a shop's own."""
    path = folder / "barn-retrofit.yaml"
    path.write_text(PROFILE, encoding="utf-8")
    return load_profile(path)


@pytest.fixture(scope="module")
def post(tmp_path_factory: pytest.TempPathFactory) -> WordAddress:
    """Give the retrofit's dialect."""
    return retrofit(tmp_path_factory.mktemp("retrofit"))


def test_it_passes_the_kit(post: WordAddress) -> None:
    """Every case, traits and read-back included."""
    tried: list[Case] = list(cases(post))
    for case in tried:
        check(case)
    assert len(tried) > 80


def test_its_text_is_what_the_retrofit_wants(post: WordAddress) -> None:
    """No comma, N10 to N9990 and again, four decimals, no arc word, G53 first and last, its dust words."""
    import numpy as np

    k = np.arange(1.0, 1201.0)
    nodes = (
        *(Rapid(z=60.0), Rapid(x=0.0, y=0.0), Dust(on=True)),
        Feed(np.column_stack([k, k / 3, -k / 100]), 900.0),
        Rapid(z=60.0),
        *(Rapid(x=10.0, y=0.0), Rapid(z=1.0), Arc((0.0, 0.0), (0.0, 10.0, 1.0), False, 600.0)),
        *(Rapid(z=60.0), Dust(on=False)),
    )
    lines = post.write(program(*nodes), "inch").splitlines()
    assert not any("," in line or "(" in line for line in lines)
    numbers = [int(line.split()[0][1:]) for line in lines]
    assert numbers == [(n % 999 + 1) * 10 for n in range(len(lines))]
    for value in re.findall(r"[XYZ](\S+)", "\n".join(lines)):
        assert re.fullmatch(r"-?[0-9]+\.[0-9]{4}", value)
    assert not re.search(r"G0?[23]\b|[IJR]", "\n".join(lines))
    frame = [k for k, line in enumerate(lines) if "G53" in line]
    moves = [k for k, line in enumerate(lines) if re.search(r"[XYZ]", line)]
    assert [frame[0], frame[-1]] == [moves[0], moves[-1]]
    assert [line.split()[1] for line in lines if re.search(r"M[89]$", line)] == ["M8", "M9"]
