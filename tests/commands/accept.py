"""Write into the command documents what their commands print now. In: names of documents, or none for all.

A person then reads the difference, and the commit says why each line moved. Never part of a check: it would
make every one of them right. It does not write a document whose commands break a promise that all make.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from command_documents import DOCUMENTS, broken_promises, rewritten, run


def main(names: list[str]) -> int:
    """Rewrite the documents; return how many cannot be."""
    wrong = 0
    for document in DOCUMENTS:
        if names and document.stem not in names and document.name not in names:
            continue
        text = document.read_text(encoding="utf-8")
        with tempfile.TemporaryDirectory() as first, tempfile.TemporaryDirectory() as second:
            folder = Path(first)
            broken = [
                f"{document.name}: {' '.join(call.words)}: {each}"
                for call, outcome in run(text, folder)
                for each in broken_promises(call, outcome, folder)
            ]
            changed = text if broken else rewritten(text, Path(second))
        sys.stdout.write("".join(f"{each}\n" for each in broken))
        wrong += bool(broken)
        if changed != text:
            document.write_text(changed, encoding="utf-8")
            sys.stdout.write(f"{document.name} is rewritten: read the difference\n")
    return wrong


if __name__ == "__main__":
    sys.exit(min(1, main(sys.argv[1:])))
