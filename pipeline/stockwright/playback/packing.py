"""Whole numbers as short text. In: columns of integers. Out: text that a page carries, and back.

Promise: what comes back is what went in. Each number is folded so that small ones of either sign are small
(0, -1, 1, -2 ... as 0, 1, 2, 3 ...), then written seven bits a byte, the lowest first, the top bit set where
more follow; the bytes as base64 (RFC 4648, section 4).
"""

from __future__ import annotations

import base64
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

__all__ = ["STEP", "packed", "packed_path", "quantised", "unpacked"]

STEP = 0.01  # mm, and s: finer than anyone sees on a screen
MOST_BYTES = 5  # of seven bits: 34 bits and a sign
LARGEST = 2 ** (7 * MOST_BYTES - 1) - 1


def quantised(values: NDArray[np.float64]) -> Ints:
    """Give values as whole numbers of `STEP`, each out by half of it at most."""
    return np.rint(np.asarray(values, dtype=np.float64) / STEP).astype(np.int64)


def packed(numbers: Ints) -> str:
    """Write integers (n,). Raises `ValueError` where one is too large, `LARGEST` either way."""
    numbers = np.asarray(numbers, dtype=np.int64)
    if len(numbers) == 0:
        return ""
    if int(np.abs(numbers).max()) > LARGEST:
        raise ValueError(f"numbers beyond {LARGEST} are not carried")
    folded = (numbers << 1) ^ (numbers >> 63)
    sizes = np.ones(len(folded), dtype=np.int64)
    for more in range(1, MOST_BYTES):
        sizes += folded >= 1 << (7 * more)
    begins = np.cumsum(sizes) - sizes
    out = np.zeros(int(sizes.sum()), dtype=np.uint8)
    for k in range(MOST_BYTES):
        here = sizes > k
        part = (folded[here] >> (7 * k)) & 0x7F
        part |= np.where(sizes[here] > k + 1, 0x80, 0)
        out[begins[here] + k] = part
    return base64.b64encode(out.tobytes()).decode("ascii")


def packed_path(numbers: Ints) -> str:
    """Write integers (n,) as the steps between them, the first from 0."""
    steps = np.array(numbers, dtype=np.int64)
    steps[1:] -= steps[:-1].copy()
    return packed(steps)


def unpacked(text: str) -> Ints:
    """Read what `packed` wrote, (n,)."""
    raw = np.frombuffer(base64.b64decode(text), dtype=np.uint8).astype(np.int64)
    last = (raw & 0x80) == 0
    number = np.cumsum(last) - last  # which number each byte belongs to
    ends = np.flatnonzero(last)
    begins = np.concatenate([[0], ends[:-1] + 1]) if len(ends) else ends
    place = np.arange(len(raw)) - begins[number] if len(raw) else number
    folded = np.zeros(len(ends), dtype=np.int64)
    np.add.at(folded, number, (raw & 0x7F) << (7 * place))
    return (folded >> 1) ^ -(folded & 1)
