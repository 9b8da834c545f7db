"""The result of one share of a job: a part, or the reasons why there is none.

In: values. Out: `Part`, `Lost`, JSON. Promise: a part read back equals the part that was written; any other
text is rejected, and nothing in it is run.
"""

from __future__ import annotations

import dataclasses
import hashlib
import json
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from stockwright.findings import Finding
from stockwright.frozen import frozen
from stockwright.packet.extras import Extras
from stockwright.packet.model import Packet, dump_packet, load_packet

if TYPE_CHECKING:
    from stockwright.calls.told_job import Row

__all__ = ["Lost", "Part", "as_text", "from_text"]

FORMAT = 2  # of what one board leaves for --resume; what another version left is made anew


@frozen(eq=False)
class Part:
    """One board, or the bed, planned, cut, checked, written and proven by itself.

    `packet` holds nothing of other boards; `findings` are its own, planning's first; `texts` by file; `pages`
    of the sheet in order; `pictures` by setup; `said` is what the sheet says beyond the packet;
    `pieces` are lines for the terminal, `setups` rows of its table by their index.
    """

    packet: Packet
    findings: tuple[Finding, ...]
    texts: dict[str, str]
    pages: tuple[dict[str, Any], ...]
    pictures: dict[int, Markup]
    said: Extras
    pieces: tuple[str, ...]
    setups: dict[int, Row]


@frozen(eq=False)
class Lost:
    """Why a share has no result: all its findings, at least one of which refuses."""

    findings: tuple[Finding, ...]


def as_text(found: Part | Lost, key: str) -> str:
    """Return it as text that says what it answers to, its own digest on the first line."""
    plain: dict[str, Any] = {"findings": [dataclasses.asdict(f) for f in found.findings]}
    if isinstance(found, Part):
        plain |= {
            "packet": dump_packet(found.packet),
            "texts": found.texts,
            "pages": [_marked(page) for page in found.pages],
            "pictures": [[index, str(svg)] for index, svg in found.pictures.items()],
            "said": {
                field.name: _laid_open(getattr(found.said, field.name))
                for field in dataclasses.fields(Extras)
            },
            "pieces": found.pieces,
            "setups": [[index, line] for index, line in found.setups.items()],
        }
    body = json.dumps({"format": FORMAT, "key": key, "found": plain}, ensure_ascii=False)
    return f"{_digest(body)}\n{body}\n"


def from_text(text: str, key: str) -> Part | Lost | None:
    """Return what `as_text` wrote for this key; None for anything else."""
    digest, _, body = text.partition("\n")
    body = body.removesuffix("\n")
    if digest != _digest(body):
        return None
    try:
        whole = json.loads(body)
        if whole["format"] != FORMAT or whole["key"] != key:
            return None
        return _found(whole["found"])
    except (ValueError, TypeError, KeyError, RecursionError):
        return None


def _digest(body: str) -> str:
    return hashlib.sha256(body.encode()).hexdigest()


def _found(plain: dict[str, Any]) -> Part | Lost:
    findings = tuple(
        Finding(**{**each, "at": None if each["at"] is None else tuple(each["at"])})
        for each in plain["findings"]
    )
    if "packet" not in plain:
        return Lost(findings)
    return Part(
        packet=load_packet(plain["packet"]),
        findings=findings,
        texts=dict(plain["texts"]),
        pages=tuple(_unmarked(page) for page in plain["pages"]),
        pictures={index: Markup(svg) for index, svg in plain["pictures"]},  # noqa: S704 - our own drawing
        said=Extras(**{name: _closed(value) for name, value in plain["said"].items()}),
        pieces=tuple(plain["pieces"]),
        setups={index: tuple(row) for index, row in plain["setups"]},
    )


def _laid_open(value: Any) -> Any:
    """Return a field of `Extras` as JSON keeps it: a table as its rows, for its keys may be numbers."""
    return {"rows": [[key, each] for key, each in value.items()]} if isinstance(value, dict) else value


def _closed(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _closed(each) for key, each in value["rows"]}
    return tuple(map(_closed, value)) if isinstance(value, list) else value


def _marked(value: Any) -> Any:
    """Tell drawings from words, so that words are still escaped once they are read back."""
    if isinstance(value, Markup):
        return {"drawing": str(value)}
    if isinstance(value, dict):
        return {"fields": [[key, _marked(each)] for key, each in value.items()]}
    if isinstance(value, list | tuple):
        return [_marked(each) for each in value]
    return value


def _unmarked(value: Any) -> Any:
    if isinstance(value, dict):
        if "drawing" in value:
            return Markup(value["drawing"])  # noqa: S704 - our own drawing
        return {key: _unmarked(each) for key, each in value["fields"]}
    if isinstance(value, list):
        return [_unmarked(each) for each in value]
    return value
