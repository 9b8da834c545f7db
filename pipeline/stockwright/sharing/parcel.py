"""The table of contents of a parcel: one recipe on its way to another shop.

In: `parcel.json` as text. Out: `Parcel`. Promise: names in a parcel are plain and lie below its own folder; a
newer format is reported as such.
"""

from __future__ import annotations

import json
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from stockwright.mistakes import InputError, Mistake
from stockwright.packet.deliver import Sort

__all__ = [
    "FORMAT",
    "LARGEST_FILE",
    "MOST_FILES",
    "PARCEL",
    "PLAIN",
    "Entry",
    "MadeWith",
    "Parcel",
    "dump_parcel",
    "load_parcel",
]

FORMAT = 1  # of parcels so far
PARCEL = Sort("parcel", "parcel.json", "parcel_format")
# Of files: no system reads them otherwise
PLAIN = r"[a-z0-9][a-z0-9._-]{0,79}(/[a-z0-9][a-z0-9._-]{0,79}){0,2}"
MOST_FILES = 50
LARGEST_FILE = 1_000_000  # bytes, as of any document
# Text for people, shown at a terminal: nothing there that one would obey.
Said = Annotated[str, Field(max_length=2000, pattern=r"^[^\x00-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e]*$")]


class Border(BaseModel):
    """Unknown fields pass, values do not change."""

    model_config = ConfigDict(extra="ignore", frozen=True)


class MadeWith(Border):
    """The program that made the parcel."""

    name: str
    version: str


class Entry(Border):
    """One file: where it lies in the parcel, what it is, its size and digest."""

    file: Annotated[str, Field(pattern=rf"^{PLAIN}$")]
    what: Literal["recipe", "parent", "page", "job", "board"]
    bytes: Annotated[int, Field(ge=0, le=LARGEST_FILE)]
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class Parcel(Border):
    """What travels: the recipe's name and version, who made it and under which terms, and the files."""

    parcel_format: int
    made_with: MadeWith
    name: Said
    version: Said
    about: Said = ""
    author: Said | None = None
    licence: Said | None = None
    files: Annotated[list[Entry], Field(min_length=1, max_length=MOST_FILES)]

    @property
    def recipe(self) -> str:
        """The file of the recipe itself."""
        return next(each.file for each in self.files if each.what == "recipe")


def dump_parcel(parcel: Parcel) -> str:
    """Return a parcel's table of contents as text; equal ones give equal text."""
    return json.dumps(parcel.model_dump(), indent=1, sort_keys=True, allow_nan=False) + "\n"


def load_parcel(text: str, shown: str) -> Parcel:
    """Read a table of contents. Raises `InputError` with what is wrong; `shown` is the parcel's own name."""

    def refused(code: str, message: str, hint: str) -> InputError:
        return InputError([Mistake(shown, 0, 0, code, message, hint)])

    try:
        content = json.loads(text)
        number = content["parcel_format"]
    except (ValueError, TypeError, KeyError, RecursionError):
        raise refused("not-a-parcel", "its parcel.json is no table of contents", "ask for it anew") from None
    if isinstance(number, int) and number > FORMAT:
        message = f"this parcel is of format {number}, and this program reads up to {FORMAT}"
        raise refused("newer-format", message, "install a newer version of stockwright")
    try:
        parcel = Parcel.model_validate(content)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(step) for step in first["loc"])
        message = f"its parcel.json is not right at {where}: {first['msg']}"
        raise refused("not-a-parcel", message, "ask for it anew") from None
    if [each.what for each in parcel.files].count("recipe") != 1:
        raise refused("not-a-parcel", "its parcel.json does not name one recipe", "ask for it anew")
    names = [each.file for each in parcel.files]
    if len(set(names)) < len(names) or PARCEL.file in names:
        raise refused("not-a-parcel", "its parcel.json names a file twice", "ask for it anew")
    return parcel
