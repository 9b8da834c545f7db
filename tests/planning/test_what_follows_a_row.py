"""Which clampings are planned after one of several boards could not be: none whose wood nobody knows."""

from __future__ import annotations

from importlib import import_module
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import pytest

from stockwright.findings import Finding, Refused

if TYPE_CHECKING:
    from stockwright.planning.setup import Setup

planning = import_module("stockwright.planning.plan")  # the package's own `plan` is the function
STEP = SimpleNamespace()
ALONE, ROW = SimpleNamespace(together=1, steps=(STEP,)), SimpleNamespace(together=3, steps=(STEP,))


def clampings(monkeypatch: pytest.MonkeyPatch, groups: tuple[Any, ...], fails: tuple[str, int]) -> list[str]:
    """Plan three boards whose clampings are given; one of them fails at one clamping. Give what is tried."""
    tried: list[str] = []

    def alone(_: Any, m: Any, at: int, __: int, ___: list[Setup], found: list[Finding]) -> Any:
        tried.append(f"{m.name}{at}")
        if (m.name, at) != fails:
            return m
        found.append(Finding("board-too-thin", "refuse", "too thin", "take another", 1.0, 2.0))
        return None

    def row(_: Any, members: list[Any], at: int, *__: Any) -> list[Any]:
        tried.append(f"{''.join(m.name for m in members)}{at}")
        return members

    boards = [SimpleNamespace(name=name, groups=groups, piece=None) for name in "abc"]
    monkeypatch.setattr(planning, "_members", lambda *_: boards)
    monkeypatch.setattr(planning, "_alone", alone)
    monkeypatch.setattr(planning, "_side_by_side", row)
    monkeypatch.setattr(planning, "plan_bed", lambda *_: ())
    job: Any = SimpleNamespace()
    with pytest.raises(Refused):
        planning.plan(job)
    return tried


@pytest.mark.parametrize(("level", "refuses"), [("note", False), ("warn", False), ("refuse", True)])
def test_one_board_of_many_is_refused_for_what_refuses(
    monkeypatch: pytest.MonkeyPatch, level: Any, refuses: bool
) -> None:
    """Planned by itself, too: what is only told stays told, and a refusal is one."""
    told = Finding("held-far-apart", level, "far apart", "put a stop there", 448.0, 400.0)

    def alone(_: Any, m: Any, __: int, ___: int, ____: list[Setup], found: list[Finding]) -> Any:
        found.append(told)
        return m

    only = SimpleNamespace(name="a", groups=(ALONE,), piece=None)
    monkeypatch.setattr(planning, "_members", lambda *_: [only])
    monkeypatch.setattr(planning, "_alone", alone)
    job: Any = SimpleNamespace()
    if refuses:
        with pytest.raises(Refused) as caught:
            planning.plan_board(job, 0, (1,), 1)
        assert caught.value.findings == (told,)
    else:
        assert planning.plan_board(job, 0, (1,), 1).findings == (told,)


def test_boards_that_lie_alone_go_on_without_the_one_that_cannot(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every reason of every board is told at once, so the others are planned to their end."""
    assert clampings(monkeypatch, (ALONE, ALONE), ("b", 0)) == ["a0", "b0", "c0", "a1", "c1"]


def test_a_row_that_lacks_a_board_is_not_planned_nor_what_follows(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two of three boards are another row, and what would be said of it is not so."""
    assert clampings(monkeypatch, (ALONE, ROW, ALONE), ("b", 0)) == ["a0", "b0", "c0"]
    assert clampings(monkeypatch, (ROW, ALONE, ALONE), ("b", 1)) == ["abc0", "a1", "b1", "c1", "a2", "c2"]
