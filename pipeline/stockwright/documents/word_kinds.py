"""How a word in a document is read: one of a set, text for people, a name, a day, yes or no.

In: `Word`s as written. Out: text, or what the word means. Promise: a word that YAML readers could take for
something other than text is never guessed at.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import TYPE_CHECKING, Any, ClassVar, Literal, get_args

from pydantic_core import core_schema

from stockwright.documents.kinds import Context, Informed, Kind, fault, nearest, scalar, shown
from stockwright.documents.source import Word
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, ValidationInfo

__all__ = ["Dated", "OneOf", "Referring", "Written", "YesOrNo"]

# YAML 1.1 (the 2005 specification's types bool and null) and 1.2 disagree on these; people mean either.
AMBIGUOUS = frozenset({"y", "n", "yes", "no", "on", "off", "true", "false", "null", "~"})
LONGEST_TEXT = 2000  # characters


class OneOf:
    """One word of a set, the set taken from the `Literal` that it stands beside."""

    def __get_pydantic_core_schema__(
        self, source: Any, _handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        words: tuple[str, ...] = get_args(source)
        described = {"type": "string", "enum": list(words)}
        return core_schema.no_info_plain_validator_function(
            lambda value: _word(value, words),
            metadata={"pydantic_js_functions": [lambda _schema, _handler: described]},
        )


def _word(value: object, words: tuple[str, ...]) -> str:
    wanted = f"one of {', '.join(words)}" if len(words) > 1 else f"'{words[0]}'"
    text = scalar(value, wanted)
    if text not in words:
        raise fault("unknown-word", f"got {shown(text)}, expected {wanted}", nearest(text, words))
    return text


@frozen
class Written(Kind):
    """Text for people or a name; `pattern` and `wanted` say which."""

    wanted: str
    pattern: re.Pattern[str] | None = None
    longest: int = LONGEST_TEXT

    def read(self, value: object) -> str:
        """Return what the value means, or raise a fault."""
        text = scalar(value, self.wanted)
        if text.lower() in AMBIGUOUS and not (isinstance(value, Word) and value.quoted):
            raise fault(
                "ambiguous-word",
                f"got {text}, which YAML readers take for something other than text, expected {self.wanted}",
                f"""write "{text}" in quotes if that word is meant""",
            )
        strange = next((each for each in text if not each.isprintable() and each != "\n"), "")
        if strange:
            raise fault("wrong-type", f"text with the control character U+{ord(strange):04X}, expected none")
        if len(text) > self.longest:
            raise fault("out-of-range", f"text of {len(text)} characters, expected at most {self.longest}")
        if self.pattern and not self.pattern.fullmatch(text):
            meant = "-".join(text.lower().split())
            hint = f"write {shown(meant)}" if self.pattern.fullmatch(meant) else ""
            raise fault("wrong-type", f"got {shown(text)}, expected {self.wanted}", hint)
        return text

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {"type": ["string", "number"], "description": self.wanted}


@frozen
class Referring(Informed):
    """The name of a tool role or a zone of the same recipe."""

    among: Literal["roles", "zones"]
    noun: str

    def read_in(self, value: object, info: ValidationInfo) -> str:
        """Return what the value means in its document, or raise a fault."""
        text = scalar(value, f"the name of a {self.noun}")
        known = getattr(info.context, self.among) if isinstance(info.context, Context) else None
        if known is not None and text not in known:
            listed = f"expected one of {', '.join(known)}" if known else f"but the recipe has no {self.noun}"
            raise fault(
                "unknown-name", f"no {self.noun} is called {shown(text)}, {listed}", nearest(text, known)
            )
        return text

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {"type": "string", "description": f"the name of a {self.noun} of this recipe"}


class YesOrNo(Kind):
    """`yes` or `no`; `true` and `false` are taken for them."""

    words: ClassVar[dict[str, bool]] = {"yes": True, "no": False, "true": True, "false": False}

    def read(self, value: object) -> bool:
        """Return what the value means, or raise a fault."""
        text = scalar(value, "yes or no")
        if text not in self.words:
            raise fault(
                "unknown-word", f"got {shown(text)}, expected yes or no", nearest(text, list(self.words))
            )
        return self.words[text]

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        return {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no"]}]}


def _day(text: str) -> str:
    """Return a hint for what is nearly a day."""
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text, re.ASCII):
        return "the calendar has no such day"
    return "write the year, the month and the day, in that order" if re.search(r"\d{4}", text) else ""


class Dated(Kind):
    """A day, as ISO 8601 writes it."""

    def read(self, value: object) -> str:
        """Return what the value means, or raise a fault."""
        text = scalar(value, "a date such as 2026-05-30")
        try:
            date = dt.date.fromisoformat(text)
        except ValueError:
            date = None
        if date is None or date.isoformat() != text:  # Python also reads 20260530 and weeks
            raise fault("wrong-type", f"got {shown(text)}, expected a date such as 2026-05-30", _day(text))
        return text

    def schema(self) -> dict[str, Any]:
        """Return how an editor is told what may stand here."""
        # No "type": a YAML reader may hand an editor a date that is no string any more.
        return {"format": "date", "description": "a date, such as 2026-05-30"}
