"""read: YAML text -> validated documents.

In: paths. Out: recipe, shop, boards and job as validated models with a locator each. Promise: every mistake
of every document comes at once, with file:line:column, what was expected and the nearest right spelling; no
code is ever run from a document.
"""

from stockwright.documents.load import (
    Documents,
    Gathered,
    gather,
    read_board,
    read_document,
    read_job,
    schema,
)
from stockwright.documents.loaded import KINDS, Loaded

__all__ = [
    "KINDS",
    "Documents",
    "Gathered",
    "Loaded",
    "gather",
    "read_board",
    "read_document",
    "read_job",
    "schema",
]
