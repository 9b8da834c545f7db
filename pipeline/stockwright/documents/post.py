"""A post's document: a dialect as a table, in a shop's own folder.

In: a tree. Out: `PostDocument`, the traits that differ from the post it extends. Promise: it can only name
traits; what a trait may be is judged by `stockwright.posting.traits`, once, for documents and packages alike.
"""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict

from stockwright import units as measures
from stockwright.documents.fields import (
    Bounds,
    Length,
    Measured,
    OneOf,
    Part,
    SignedLength,
    Text,
    Written,
    one_or_more,
)
from stockwright.documents.fields import YesNo as Yes

__all__ = ["PostDocument"]


def _none(value: object) -> object:
    """Take the word `none` for nothing at all."""
    return None if isinstance(value, str) and value == "none" else value


def _no_words(value: object) -> object:
    return () if isinstance(value, str) and value == "none" else value


class _NoneOrFeed(Measured):
    """A feed, or the word `none`."""

    def read(self, value: object) -> Any:
        return 0.0 if _none(value) is None else super().read(value)


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
Many = Annotated[int, Measured(measures.COUNT, Bounds(least=0.0, most=1e9))]
FeedOrNone = Annotated[float, _NoneOrFeed(measures.FEED, Bounds(above=0.0))]
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


class MachineZero(Part):
    """Where the machine frame's zero is, in the bed frame: where the spindle nose is when all axes read 0."""

    x: SignedLength
    y: SignedLength
    z: SignedLength


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
    trailing_zeros: Yes = False
    plus_sign: Yes = False
    least_digits: Whole = 0
    spaced: Yes = True
    code_digits: Whole = 0
    modal_motion: Yes = True
    modal_axes: Yes = True
    modal_feed: Yes = True
    restate_modes: Yes = False
    arcs: Annotated[Literal["none", "centre", "radius"], OneOf()] = "none"
    sagitta: Length = 0.0
    rapid_feed: FeedOrNone = 0.0
    line_number_step: Whole = 0
    line_number_limit: Whole = 0
    comments: Annotated[Literal["parentheses", "none"], OneOf()] = "none"
    comment_length: Whole = 0
    characters: Annotated[Literal["plain", "capitals", "bare"], OneOf()] = "plain"
    line_length: Whole = 0
    line_ending: Annotated[Literal["lf", "cr-lf"], OneOf()] = "lf"
    file_bytes: Many = 0
    file_lines: Many = 0
    percent: Yes = False
    start_words: Codes = ()
    work_frame: NoneOrCode = None
    end_words: Codes = ()
    retract: Annotated[Literal["work", "machine"], OneOf()] = "work"
    retract_z: SignedLength = 0.0
    machine_zero: MachineZero | None = None
    tool_change: Annotated[Literal["none", "word", "pause"], OneOf()] = "none"
    pause_word: NoneOrCode = None
    stops_trusted: Yes = True
    probe_word: NoneOrProbe = None
    speed_with_start: Yes = False
    spin_up: Seconds = 0.0
    spin_up_by: Annotated[Literal["dwell", "control"], OneOf()] = "dwell"
    dwell_unit: Annotated[Literal["seconds", "milliseconds", "none"], OneOf()] = "none"
    dwell_letter: Annotated[Literal["P", "F", "X"], OneOf()] = "P"
    dust_on: NoneOrCode = None
    dust_off: NoneOrCode = None
    dust_on_delay: Seconds = 0.0
    dust_off_delay: Seconds = 0.0
    extension: Extension = ""
    name_length: Whole = 0
    name_case: Annotated[Literal["lower", "upper"], OneOf()] = "lower"
    name_hyphens: Yes = True

    def traits(self) -> dict[str, Any]:
        """Give the traits that the document states, by name; a default above is only a shape, never used."""
        stated = self.model_fields_set - {"stockwright", "name", "about", "extends"}
        found = {name: getattr(self, name) for name in type(self).model_fields if name in stated}
        if self.machine_zero is not None:
            found["machine_zero"] = (self.machine_zero.x, self.machine_zero.y, self.machine_zero.z)
        return found
