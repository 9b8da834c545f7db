"""The programs' own lines on the page. In: texts, and the steps drawn from them. Out: what the page carries.

Promise: a line is shown as it stands in the file, cut after `LONGEST` characters. Where the texts are too
long to be carried whole, only the last line of each drawn step is; where that is still too long, its number
alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from stockwright.playback.packing import packed_path

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.playback.steps import Steps

__all__ = ["LONGEST", "MOST_TEXT", "lines_of"]

LONGEST = 100  # signs: the widest post writes lines of 60
MOST_TEXT = 800_000  # signs of all programs together


def lines_of(texts: Mapping[str, str], steps: Mapping[str, Steps | None]) -> dict[str, dict[str, Any]]:
    """Give for each file `count`, `text` and, where not all lines are carried, `numbers` of those."""
    whole = {file: len(text) for file, text in texts.items()}
    left = MOST_TEXT
    found: dict[str, dict[str, Any]] = {}
    # The short ones first: one long file does not take the others' lines away.
    for file in sorted(texts, key=lambda each: (whole[each], each)):
        lines = texts[file].splitlines()
        drawn = steps.get(file)
        if whole[file] <= left:
            left -= whole[file]
            found[file] = {"count": len(lines), "text": _shown(lines)}
            continue
        numbers = np.unique(drawn.line) if drawn is not None else np.empty(0, dtype=np.int64)
        some = [lines[n - 1] if 0 < n <= len(lines) else "" for n in numbers.tolist()]
        size = sum(min(len(line), LONGEST) + 1 for line in some)
        kept = size <= left
        left -= size if kept else 0
        found[file] = {
            "count": len(lines),
            "numbers": packed_path(numbers),
            "text": _shown(some) if kept else None,
        }
    return {file: found[file] for file in texts}


def _shown(lines: list[str]) -> str:
    return "\n".join(line[:LONGEST] for line in lines)
