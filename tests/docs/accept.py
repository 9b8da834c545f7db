"""Write the pages that are made from schemas, rules, posts and recipes. In: nothing. Out: files.

Part of no check: `test_pages_are_made.py` compares. Read the difference before it is kept.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from made_pages import ROOT, made, no_more


def main() -> int:
    """Write what differs, and take away pages of what is no more."""
    for path, content in made().items():
        file = ROOT / path
        if not file.is_file() or file.read_bytes() != content:
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(content)
            sys.stdout.write(f"{path} is written: read the difference\n")
    for path in no_more():
        (ROOT / path).unlink()
        sys.stdout.write(f"{path} is taken away\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
