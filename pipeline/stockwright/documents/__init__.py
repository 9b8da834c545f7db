"""read: YAML text -> validated documents.

In: paths. Out: recipe, shop, boards and job as validated models, each with a locator that finds the place of
a value. Promise: every mistake of every document is reported at once, with file:line:column, what was
expected and the nearest right spelling; no code in a document is ever run.
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
