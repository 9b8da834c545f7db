"""What each key of each document means, in a few words.

In: a part's type and a key. Out: a phrase, for editors that complete and check YAML, and for the questions
that begin a document. Promise: every key of every kind has a phrase, and no phrase is left of a key that is
gone; a test compares them.
"""

from stockwright.documents.described.boards import BOARDS
from stockwright.documents.described.hold_downs import HOLD_DOWNS
from stockwright.documents.described.posts import POSTS
from stockwright.documents.described.recipes import RECIPES
from stockwright.documents.described.shops import SHOPS

__all__ = ["TABLES", "phrase"]

TABLES: dict[str, dict[str, str]] = {**RECIPES, **SHOPS, **HOLD_DOWNS, **BOARDS, **POSTS}
EVERY = {
    "stockwright": "which kind of document this is, and its format",
    "name": "what it is called",
    "about": "what it is, in a sentence for people",
}


def phrase(part: type, key: str) -> str | None:
    """Return what a key of a part means; None where nobody says."""
    for each in part.__mro__:
        found = TABLES.get(each.__name__, {}).get(key)
        if found is not None:
            return found
    return EVERY.get(key)
