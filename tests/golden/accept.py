"""Write the golden packets anew. Then read the diff, and say in the commit why each line moved.

Never in CI.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from golden_packets import GOLDEN, golden_files

if __name__ == "__main__":
    for name in GOLDEN:
        folder = Path(__file__).parent / name
        for old in sorted(folder.rglob("*")):
            if old.is_file():
                old.unlink()
        for path, data in golden_files(name).items():
            target = folder / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
            print(target.relative_to(Path(__file__).parents[2]))
