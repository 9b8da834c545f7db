"""Write anew what the rules say of bad situations and of odd work.

Then read the diff, and say in the commit why it moved. Never in CI.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from as_read import page_of
from checking.said_of_bad_cases import said
from checking.said_of_odd_work import said_at_borders, said_of_odd_work

if __name__ == "__main__":
    for name, told in (
        ("said_of_bad_cases", said),
        ("said_of_odd_work", said_of_odd_work),
        ("said_at_borders", said_at_borders),
    ):
        target = Path(__file__).parent / f"{name}.txt"
        target.write_text(page_of(told()), encoding="utf-8")
        print(target.relative_to(Path(__file__).parents[2]))
