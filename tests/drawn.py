"""How many examples a property test draws: few in `make test`, many in `make matrix`, always the same ones.

`STOCKWRIGHT_WIDE` in the environment asks for many; the marker `drawn` finds the tests that know of it.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["WIDE", "drawn"]

WIDE = bool(os.environ.get("STOCKWRIGHT_WIDE"))


def drawn(few: int, many: int) -> Callable[[Callable[..., Any]], Any]:
    """Decorate a property test that draws `few` examples, or `many` where there is time for them."""
    held = settings(max_examples=many if WIDE else few, deadline=None, derandomize=True)
    return lambda test: pytest.mark.drawn(held(test))
