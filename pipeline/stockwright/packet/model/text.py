"""A packet as JSON text.

In: a `Packet`, or text. Out: the other one. Promise: equal packets give equal bytes.
"""

from __future__ import annotations

import hashlib
import json
import math
from typing import TYPE_CHECKING, Any

from stockwright.packet.model.border import DECIMALS
from stockwright.packet.model.whole import Packet

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "PAGES",
    "digests_of",
    "dump_packet",
    "load_packet",
    "short_digest",
]

FACTS = ("boards", "machine", "setups", "tools", "wanted")  # what the proof starts from, and the sheet says
PAGES = ("card.html", "playback.html", "sheet.html", "sheet.pdf")  # what may lie beside packet.json
ON_ONE_LINE = json.JSONEncoder(allow_nan=False, ensure_ascii=False, sort_keys=True)


def dump_packet(packet: Packet, pages: Mapping[str, bytes] | None = None) -> str:
    """Write a packet as JSON text: keys sorted, floats to six decimals, lists of numbers on one line.

    `pages`, by file, are those that lie beside it: of each a digest is written too.
    """
    plain = _rounded(packet.model_dump(mode="json", by_alias=True))
    of_pages = {name: short_digest(page) for name, page in (pages or {}).items()}
    plain["digests"] = digests_of(plain) | of_pages
    return "".join(_lines(plain, "")) + "\n"


def digests_of(plain: dict[str, Any]) -> dict[str, str]:
    """Return a digest of each of a packet's facts, of its plain values: it differs after an edit by hand."""
    told = {name: ON_ONE_LINE.encode(plain.get(name)) for name in FACTS}
    return {name: short_digest(text.encode()) for name, text in told.items()}


def short_digest(content: bytes) -> str:
    """Return what tells these bytes from others, short: it is no seal, whoever edits can make it anew."""
    return hashlib.sha256(content).hexdigest()[:16]


def load_packet(text: str) -> Packet:
    """Read a packet's JSON text.

    Raises `pydantic.ValidationError` (a `ValueError`) listing everything that does not fit.
    """
    return Packet.model_validate_json(text)


def _rounded(value: Any) -> Any:
    """Give plain values with every float rounded and no negative zero."""
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError("a packet holds finite numbers only")
        return round(value, DECIMALS) + 0.0
    if isinstance(value, dict):
        return {key: _rounded(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_rounded(part) for part in value]
    return value


def _lines(value: Any, indent: str) -> list[str]:
    """Lay out JSON: objects over lines, lists that hold no object on one."""
    deeper = indent + "  "
    if isinstance(value, dict) and value:
        parts = [[f"{deeper}{_flat(key)}: ", *_lines(value[key], deeper)] for key in sorted(value)]
        return ["{\n", ",\n".join("".join(part) for part in parts), f"\n{indent}}}"]
    if isinstance(value, list) and any(isinstance(part, dict) for part in value):
        parts = [[deeper, *_lines(part, deeper)] for part in value]
        return ["[\n", ",\n".join("".join(part) for part in parts), f"\n{indent}]"]
    return [_flat(value)]


def _flat(value: Any) -> str:
    return ON_ONE_LINE.encode(value)
