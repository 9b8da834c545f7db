"""What a shop's document may say about sliding a board that is longer than its machine.

In: a tree. Out: `SlidePart`, mm. Promise: every key is optional; what is left out stays None here, and is
later reported as a guess.
"""

from __future__ import annotations

from typing import Annotated, Literal

from stockwright.documents.fields import OneOf, Part, PositiveLength, YesNo

__all__ = ["SlidePart"]


class SlidePart(Part):
    """How a board is found again after it was slid along: by what `register`, and `within` how much.

    `reads` is how closely a height or a place on fresh wood is read there; `supports`: stands as high as the
    bed are there to carry what hangs over.
    """

    register_: Annotated[Literal["stop", "pins", "line"], OneOf()] | None = None
    within: PositiveLength | None = None
    reads: PositiveLength | None = None
    supports: YesNo = False
