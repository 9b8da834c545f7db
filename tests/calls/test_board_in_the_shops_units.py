"""A board told in the units of the shop that asks."""

from pathlib import Path

import pytest

from stockwright.calls.board import Call, boards
from stockwright.mistakes import InputError

ROOT = Path(__file__).parents[2]
BOARD = min(ROOT.glob("examples/*/board*.yaml"))
SHOP = ROOT / "examples/shops/small-inch.yaml"


def test_an_inch_shop_is_told_inches() -> None:
    """The inch shop's shims stand by their own sizes, no millimetre is told, and the values stay in mm."""
    told = boards(Call((BOARD,), SHOP))
    text = "\n".join(told.lines)
    assert "0.04 + 0.02 in" in text
    assert " mm" not in text
    in_mm = boards(Call((BOARD,), SHOP, units="mm"))
    assert told.values == in_mm.values
    assert "1.016 + 0.508 mm" in "\n".join(in_mm.lines)


def test_units_that_are_none_are_a_mistake() -> None:
    """A word that is no system of units is told with the ones there are."""
    with pytest.raises(InputError) as caught:
        boards(Call((BOARD,), units="inches"))
    assert [(m.code, m.hint) for m in caught.value.mistakes] == [("unknown-word", "did you mean 'inch'?")]
