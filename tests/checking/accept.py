"""Write anew what the rules say of bad situations. Then read the diff, and say in the commit why it moved.

Never in CI.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from as_read import page_of
from checking.said_of_bad_cases import said

if __name__ == "__main__":
    target = Path(__file__).parent / "said_of_bad_cases.txt"
    target.write_text(page_of(said()), encoding="utf-8")
    print(target.relative_to(Path(__file__).parents[2]))
