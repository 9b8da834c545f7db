"""A fence jointed in place by a cutter too short for it: a longer cutter is asked for, and cures."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES
from stockwright.findings import Refused
from stockwright.run import Request, check

if TYPE_CHECKING:
    from pathlib import Path

SHORT = "cutting-length: 12 mm\n    shank: 8 mm"


def test_a_longer_cutter_is_asked_for_and_is_enough(tmp_path: Path) -> None:
    """Neither moving the fence nor lifting it off would joint it, so neither is said."""
    job, shop = EXAMPLES / "stair-tread" / "bed.yaml", EXAMPLES / "shops" / "short-cutters.yaml"
    with pytest.raises(Refused) as refused:
        check(Request(job, shop=shop))
    [remedy] = {f.remedy for f in refused.value.findings if f.rule == "hold-down-in-the-way"}
    assert "lift" not in remedy
    [depth] = re.findall(r"joint the fence with a cutter that cuts (\S+) mm deep or more", remedy)
    text = shop.read_text(encoding="utf-8")
    assert text.count(SHORT) == 1
    longer = tmp_path / "longer.yaml"
    longer.write_text(text.replace(SHORT, SHORT.replace("12", depth)), encoding="utf-8")
    assert not [f for f in check(Request(job, shop=longer)).findings if f.level == "refuse"]
