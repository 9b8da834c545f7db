"""The readers that prove, by name. In: a reader's name. Out: a function from text to `Reading`.

Promise: none of them shares a table, a constant or a formatter with any post.
"""

from __future__ import annotations

from collections.abc import Callable

from stockwright.proving import rs274
from stockwright.proving.program import Reading

__all__ = ["READERS", "Reader"]

Reader = Callable[[str], Reading]

READERS: dict[str, Reader] = {"rs274-ngc": rs274.read}
