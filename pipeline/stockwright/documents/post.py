"""A post's document: a dialect as a table, in a shop's own folder.

In: a tree. Out: `PostDocument`, the traits that differ from the post it extends. Promise: it can only name
traits; what a trait may be is judged by `stockwright.posting.traits`, once, for documents and packages alike.
"""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict

from stockwright import units as measures
from stockwright.documents.fields import Bounds, Measured, OneOf, Part, Text, Written, one_or_more
from stockwright.documents.fields import YesNo as Yes

__all__ = ["PostDocument"]


def _none(value: object) -> object:
    """Take the word `none` for nothing at all."""
    return None if isinstance(value, str) and value == "none" else value


def _no_words(value: object) -> object:
    return () if isinstance(value, str) and value == "none" else value


_CODE = Written("a word such as G17 or M2", re.compile(r"[GM][0-9]{1,3}(\.[0-9])?", re.ASCII), 8)
Code = Annotated[str, _CODE]
Extension = Annotated[str, Written("1 to 8 letters or digits", re.compile(r"[A-Za-z0-9]{1,8}", re.ASCII), 8)]
PostName = Annotated[
    str,
    Written(
        "a name such as attic-router: small letters, digits, hyphens",
        re.compile(r"[a-z0-9]+(-[a-z0-9]+)*", re.ASCII),
        40,
    ),
]
Whole = Annotated[int, Measured(measures.COUNT, Bounds(least=0.0, most=1e6))]
Seconds = Annotated[float, Measured(measures.TIME, Bounds(least=0.0))]
UnitName = Annotated[Literal["mm", "inch"], OneOf()]


class _NoneOr(Written):
    """A code, or the word `none`."""

    def read(self, value: object) -> Any:
        return None if _none(value) is None else super().read(value)


NoneOrCode = Annotated[
    str | None, _NoneOr("a word such as G54 or M0, or none", re.compile(r"[GM][0-9]{1,3}", re.ASCII), 8)
]
NoneOrProbe = Annotated[
    str | None, _NoneOr("the word G38.2, or none", re.compile(r"G[0-9]{1,3}(\.[0-9])?", re.ASCII), 8)
]
Codes = Annotated[tuple[Code, ...], BeforeValidator(_no_words), one_or_more]


def _without_defaults(schema: dict[str, Any]) -> None:
    """Take the defaults out of what editors see: a trait left out is the extended post's."""
    for each in schema["properties"].values():
        each.pop("default", None)


class PostDocument(Part):
    """A dialect that differs from another in the traits it names."""

    model_config = ConfigDict(json_schema_extra=_without_defaults)

    stockwright: Annotated[Literal["post/1"], OneOf()]
    name: PostName
    about: Text = ""
    extends: PostName
    units: Annotated[tuple[UnitName, ...], one_or_more] = ()
    mm_word: NoneOrCode = None
    inch_word: NoneOrCode = None
    decimals_mm: Whole = 0
    decimals_inch: Whole = 0
    feed_decimals_mm: Whole = 0
    feed_decimals_inch: Whole = 0
    speed_decimals: Whole = 0
    point_always: Yes = True
    spaced: Yes = True
    code_digits: Whole = 0
    modal_motion: Yes = True
    modal_axes: Yes = True
    line_number_step: Whole = 0
    line_number_limit: Whole = 0
    comments: Annotated[Literal["parentheses", "none"], OneOf()] = "none"
    comment_length: Whole = 0
    line_length: Whole = 0
    line_ending: Annotated[Literal["lf", "cr-lf"], OneOf()] = "lf"
    percent: Yes = False
    start_words: Codes = ()
    work_frame: NoneOrCode = None
    end_words: Codes = ()
    tool_change: Annotated[Literal["none", "word", "pause"], OneOf()] = "none"
    pause_word: NoneOrCode = None
    probe_word: NoneOrProbe = None
    spin_up: Seconds = 0.0
    dwell_unit: Annotated[Literal["seconds", "milliseconds", "none"], OneOf()] = "none"
    dust_on: NoneOrCode = None
    dust_off: NoneOrCode = None
    extension: Extension = ""
    name_length: Whole = 0
    name_case: Annotated[Literal["lower", "upper"], OneOf()] = "lower"
    name_hyphens: Yes = True

    def traits(self) -> dict[str, Any]:
        """Give the traits that the document states, by name; a default above is only a shape, never used."""
        stated = self.model_fields_set - {"stockwright", "name", "about", "extends"}
        return {name: getattr(self, name) for name in type(self).model_fields if name in stated}
