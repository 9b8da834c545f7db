"""How a measure was probably meant that nobody here can read as it was written.

In: text such as `9'000 rpm`, `½ in`, `0–18 in`. Out: what to write instead, to be tried by whoever knows
which measure is expected. Promise: it is proposed in a message and never taken for what the text says.
"""

from __future__ import annotations

import re
import unicodedata

__all__ = ["comma_hint", "meant", "meant_range"]

_SIGNS = str.maketrans("−–—‐‑⁄∕″”“′’", '-----//"""\'\'')
_GROUP = re.compile(r"(?<=\d)['_\s](?=\d{3}(?!\d))")
_POWER = re.compile(r"[-+]?\d+(?:\.\d*)?[eE][-+]?\d{1,2}")
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:,\d{3})+(?!\d)")
_JOINED = re.compile(r"\s*(?:\.{2,}|…|[–—]|~)\s*|\s+-\s+")
_UNIT = re.compile(r"[^\W\d].*|[\"'%°].*")


def meant(text: str) -> str:
    """Return a text with plain signs, fractions and digits in place of whatever stands for them."""
    plain = ""
    for each in text:
        if unicodedata.category(each) == "No" and "⁄" in (over := unicodedata.normalize("NFKC", each)):
            plain = plain.rstrip()
            plain += f"-{over}" if plain[-1:].isdigit() else over
        else:
            plain += " " if each.isspace() else each
    plain = _GROUP.sub("", plain.translate(_SIGNS))
    if power := _POWER.match(plain):
        plain = f"{float(power[0]):.12f}".rstrip("0").rstrip(".") + plain[power.end() :]
    return plain.strip()


def meant_range(text: str) -> str:
    """Return a range as `LOW to HIGH`, both ends with a unit where the last has one, or nothing."""
    ends = text.split(" to ") if " to " in text else _JOINED.split(text)
    if len(ends) == 1 and text.count("-") == 1:
        ends = text.split("-")
    if len(ends) != 2:
        return ""
    low, high = (meant(end) for end in ends)
    unit = _UNIT.search(high)
    if unit and not _UNIT.search(low):
        low = f"{low} {unit[0]}"
    return f"{low} to {high}"


def comma_hint(text: str) -> str:
    """Return what to write for a number with commas, which stand for a decimal point or part thousands."""
    grouped = _THOUSANDS.search(text)
    if not grouped:
        return "write the decimal point as '.'"
    whole = text.replace(",", "")
    if "." in text or grouped[0].count(",") > 1:
        return f"write '{whole}'"
    return f"write '{whole}', or '{text.replace(',', '.')}' if the comma is a decimal point"
