"""Write anew what the proof says of seeded faults. Then read the diff, and say in the commit why it moved.

Never in CI.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
PAGE = Path(__file__).parent / "said_of_faults.txt"
PAGE.touch()

from as_read import page_of
from proving.test_faults_told_in_full import FAULTS
from proving.test_seeded_faults import DOCUMENTS, EDITS, edited, reasons, said
from small_packet import small_document

if __name__ == "__main__":
    lines = [*(each[:3] for each in EDITS), *FAULTS]
    told = {f"{file}:{line} {text}": said(reasons(edited(file, line, text))) for file, line, text in lines}
    for apply, rule, *_ in DOCUMENTS:
        document = small_document()
        apply(document)
        told[f"{apply.__name__}, {rule}"] = said(reasons(document=document))
    PAGE.write_text(page_of(told), encoding="utf-8")
    print(PAGE.relative_to(Path(__file__).parents[2]))
