"""People's text made harmless. In: names and notes from documents. Out: text that a comment can hold.

Promise: the result holds only the letters, digits and signs listed below. It cannot close a comment, nor be
read as a word or a message (`(MSG, ...)` needs a comma), nor act on its way down a serial line, where some
firmwares take signs such as ! ? ~ % out of the stream whatever stands around them.
"""

from __future__ import annotations

import re
import unicodedata

__all__ = ["bare", "folded", "plain", "spelled", "wrapped"]

_KEPT = re.compile(r"[^A-Za-z0-9 .+\-=/:'_]+", re.ASCII)
_SAID = str.maketrans(
    {
        "\u2044": "/",
        "\u2010": "-",
        "\u2011": "-",
        "\u2012": "-",
        "\u2013": "-",
        "\u2014": "-",
        "\u2212": "-",
        "\u2018": "'",
        "\u2019": "'",
        "\u00d7": "x",
        "\u00b1": "+/-",
        "\u00b0": " deg",
        "\u00b5": "u",
        "\u03bc": "u",
        "\u00df": "ss",
        "\u00f8": "o",
        "\u00d8": "O",
        "\u00e6": "ae",
        "\u00c6": "AE",
        "%": " percent",
        "&": " and ",
    }
)


def spelled(text: str) -> str:
    """Give text with letters and signs that have a plain spelling in it; the others are left as they are."""
    # A fraction sign stands beside its whole number: 1 1/2 must not become 11/2.
    text = "".join(f" {c}" if unicodedata.decomposition(c).startswith("<fraction>") else c for c in text)
    text = unicodedata.normalize("NFKD", text.translate(_SAID)).translate(_SAID)
    return "".join(c for c in text if not unicodedata.combining(c))


def plain(text: str) -> str:
    """Give text as printable ASCII on one line; what has no such form is left out."""
    text = spelled(text)
    text = re.sub(r"(?<=[0-9]),(?=[0-9])", ".", text, flags=re.ASCII)
    text = re.sub(r'(?<=[0-9])(\u2033|"|\u2032\u2032)', " in", text, flags=re.ASCII)
    # What stood apart stays apart: `on the bed, never on the board` must not lose its comma's sense.
    text = _KEPT.sub(" ", re.sub(r"[,;()]", " - ", text))
    parts = (" ".join(part.split()) for part in re.split(r"(?:^|(?<=\s))-(?=\s|$)", text))
    return " - ".join(part for part in parts if part)


def bare(text: str, *, signs: bool) -> str:
    """Give plain text in capitals, with . + - and / alone as signs; without `signs` none is left."""
    kept = r"[^A-Z0-9.+\-/]+" if signs else r"[^A-Z0-9]+"
    return re.sub(kept, " ", plain(text).upper(), flags=re.ASCII).strip()


def wrapped(text: str, width: int) -> list[str]:
    """Give plain text in lines of at most `width` characters, broken at spaces where there are any."""
    return folded(plain(text), width)


def folded(text: str, width: int) -> list[str]:
    """Give text in lines of at most `width` characters, broken at spaces where there are any."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        rest = word
        if line and len(line) + 1 + len(rest) > width:
            lines.append(line)
            line = ""
        while len(rest) > width:
            lines.append(rest[:width])
            rest = rest[width:]
        line = f"{line} {rest}" if line else rest
    return [*lines, line] if line else lines
