"""write: motion -> text, through a post. In: a `Program`, a post's name or profile. Out: lines of a dialect.

Promise: posts are found by entry point alone; every post states how each kind of motion is written or why it
is refused, and nothing outside its table is ever written. Your own post needs only the names listed here.
"""

from stockwright.posting.dialect import Axes, Basics, Dialect, Told
from stockwright.posting.digits import count, digits
from stockwright.posting.load import BrokenPost, found, load_post, survey
from stockwright.posting.plain_text import folded, plain, spelled, wrapped
from stockwright.posting.post import Post, Refusal, faults
from stockwright.posting.profile import load_profile
from stockwright.posting.refusing import cannot_say
from stockwright.posting.traits import TraitError, Traits, Units
from stockwright.posting.word_address import Said, WordAddress

__all__ = [
    "Axes",
    "Basics",
    "BrokenPost",
    "Dialect",
    "Post",
    "Refusal",
    "Said",
    "Told",
    "TraitError",
    "Traits",
    "Units",
    "WordAddress",
    "cannot_say",
    "count",
    "digits",
    "faults",
    "folded",
    "found",
    "load_post",
    "load_profile",
    "plain",
    "spelled",
    "survey",
    "wrapped",
]
