"""Ways to spoil a document, by its bytes and by its structure.

In: a whole document's bytes and a seeded chance. Out: the same document spoilt in one to three places.
Structure is found by libraries of their own (PyYAML's composer, json, csv), never by the reader under test.
"""

from __future__ import annotations

import copy
import io
import json
import re
import zipfile
from hashlib import sha256
from typing import TYPE_CHECKING, Any

import yaml

if TYPE_CHECKING:
    import random
    from collections.abc import Callable, Mapping, Sequence

__all__ = ["spoilt_bytes", "spoilt_json", "spoilt_table", "spoilt_yaml", "spoilt_zip"]

SCRAPS = (b"", b" ", b"\n", b"\t", b": ", b"- ", b"-", b"0", b"9", b"1e9", b"[", b"}", b",", b'"', b"=", b"#",
          b"&a ", b"*a", b"!t ", b"mm", b"in", b"no", b"\0", b"\xff", b"\xc3\xa9", b".", b"<<: ", b"? ", b"|",
          b"---\n", b"\x85", b"\xe2\x80\xa8", b"\xef\xbb\xbf", b"\xf0\x9f\xaa\x93", b"\r", b"%", b"{",
          b"]")  # fmt: skip
# Numbers and texts that a careless reader takes at their word.
NUMBERS = ("nan", "inf", "-inf", "1e308", "-1e308", "1e-308", "-0", "0", "-1", "1e999", "0x1F", "1_000",
           "010", "9" * 21, "3.", ".5", "1/3", "12:30", "1,5", "0.001", "1e4", "1e6", "100000", "--1",
           "5 5", "\u0663", "1\u00a0000", "0.1", "2", "7", "40", "9" * 400)  # fmt: skip
UNITS = ("", " mm", " m", " in", " ft", " %", " rpm", " m/min", " mm/min", " deg", " N", " W", " kW", " ell")
TEXTS = ('""', "null", "~", "no", "yes", "[]", "{}", "[[[[[[]]]]]]", "{a: {b: {c: d}}}", "=1/0",
         '"=1 mm / 0"', '"=width - width"', '"=1e308 mm * 1e308"', '"=((((((1 mm))))))"',
         '"=min()"', '"=if(1<2,1 mm,2 mm)"',
         '"=length * 1e300"', "A", "B", "edge-1", "end-2", "../x.yaml", "/etc/passwd", "nul.yaml", "*a",
         "!!python/name:os.system x", '"\\u202e\\0\\x1b[2J"', "<script>alert(1)</script>", "$(id)",
         "2026-02-30", "a" * 3000, '"' + "\\u00e9" * 300 + '"', "1 mm to 0 mm", "5 mm to inf mm",
         "[1 mm, 2 mm]", "x: y",
         "four-sides-square", "rs274-ngc", "&a b", "[" + ", ".join(["1 mm"] * 3000) + "]",
         "[" + ", ".join(["{x: 1 mm, y: 1 mm, size: 2 mm}"] * 1500) + "]")  # fmt: skip
VALUES: tuple[Any, ...] = (None, True, False, 0, -1, 1, 2, 7, -0.0, 0.1, 1e-300, 1e9, 1e308, float("nan"),
                           float("inf"), 10**30, "", "x", "A", "../x", "\0", "\u202e", "a" * 3000, [], {},
                           [[]], [None], {"x": {}}, [0] * 3000, [[0, 0, 0]] * 2000)  # fmt: skip


def spoilt_bytes(text: bytes, chance: random.Random) -> bytes:
    """Return a document with one to three bytes, scraps, digits or lines of it changed."""
    for _ in range(chance.randint(1, 3)):
        lines = text.split(b"\n")
        at, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        place = chance.randrange(len(text) + 1)
        match chance.randrange(7):
            case 0:
                text = text[:place] + bytes([chance.randrange(256)]) + text[place + 1 :]
            case 1:
                text = text[:place] + chance.choice(SCRAPS) + text[place + chance.randint(0, 4) :]
            case 2:
                text = b"\n".join(lines[:at] + lines[at + 1 :])
            case 3:
                lines[at], lines[other] = lines[other], lines[at]
                text = b"\n".join(lines)
            case 4:
                lines.insert(other, lines[at])
                text = b"\n".join(lines)
            case 5:
                text = text[:place]
            case _:  # a digit, changed: most of these stay documents
                digits = [i for i, each in enumerate(text) if 48 <= each <= 57]
                if digits:
                    place = chance.choice(digits)
                    text = text[:place] + bytes([chance.randrange(48, 58)]) + text[place + 1 :]
    return text


def spoilt_yaml(text: bytes, chance: random.Random) -> bytes:
    """Return a YAML document with one to three of its values or keys moved, replaced or repeated."""
    said = text.decode()
    for _ in range(chance.randint(1, 3)):
        try:
            root = yaml.compose(said, Loader=yaml.CSafeLoader)
        except (yaml.YAMLError, RecursionError):
            break  # an earlier change left no YAML: spoilt enough
        keys, values = _spans(root)
        if not values:
            break
        span = chance.choice(values)
        match chance.randrange(8):
            case 0:
                said = _put(said, span, _number(chance))
            case 1 | 2:  # another number of its unit: most of these stay documents
                said = _put(said, span, _near(said[slice(*span)], chance))
            case 3:
                said = _put(said, span, chance.choice(TEXTS))
            case 4:  # the value of another key
                other = chance.choice(values)
                said = _put(said, span, said[slice(*other)].replace("\n", " "))
            case 5:  # another key's name, so that one is missing and one perhaps stands twice
                said = _put(said, chance.choice(keys or values), said[slice(*chance.choice(keys or values))])
            case 6:
                said = _put(said, span, "")
            case _:  # the number as it is, in another unit or none, or negative
                number = said[slice(*span)].split(" ")[0]
                said = _put(said, span, chance.choice(["", "-"]) + number + chance.choice(UNITS))
    return said.encode("utf-8", "surrogatepass")


def spoilt_table(text: bytes, chance: random.Random) -> bytes:
    """Return a table of numbers with one to three of its cells, rows or columns changed."""
    rows = [line.split(",") for line in text.decode().splitlines()]
    for _ in range(chance.randint(1, 3)):
        at, other = chance.randrange(len(rows)), chance.randrange(len(rows))
        column = chance.randrange(max(1, len(rows[at])))
        match chance.randrange(7):
            case 0 | 1:
                rows[at][column : column + 1] = [chance.choice(NUMBERS)]
            case 2:
                rows[at] = [_near(each, chance) for each in rows[at]]
            case 3:
                rows[at][column : column + 1] = []
            case 4:
                rows.insert(at, list(rows[other]))
            case 5:
                rows = [row[:column] + row[column + 1 :] for row in rows]
            case _:
                del rows[at : at + chance.choice([1, 1, len(rows) // 2])]
        if not rows:
            break
    return "\n".join(",".join(row) for row in rows).encode()


def spoilt_json(text: bytes, chance: random.Random) -> bytes:
    """Return a JSON document with one to three of its values replaced, taken out or exchanged."""
    content = json.loads(text)
    for _ in range(chance.randint(1, 3)):
        places = list(_places(content))
        if not places:
            break
        holder, key = chance.choice(places)
        match chance.randrange(7):
            case 0 | 1:
                holder[key] = copy.deepcopy(chance.choice(VALUES))  # what is changed later is its own
            case 2 if isinstance(holder[key], int | float) and not isinstance(holder[key], bool):
                holder[key] = chance.choice([-1, 0, 0.5, 2, 10, 1000, 1e7]) * holder[key]
            case 3:
                del holder[key]
            case 4 if isinstance(holder, list):
                holder.insert(key, holder[key])
            case 5:
                other, name = chance.choice(places)
                if name in other if isinstance(other, dict) else name < len(other):
                    holder[key] = json.loads(json.dumps(other[name]))
            case _:
                holder[key] = {"x": holder[key]} if chance.random() < 0.5 else [holder[key]]
    return json.dumps(content).encode()


def spoilt_zip(text: bytes, chance: random.Random, within: Mapping[str, Callable[..., bytes]]) -> bytes:
    """Return an archive with one file spoilt `within`, most times its digests put right after it."""
    with zipfile.ZipFile(io.BytesIO(text)) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    name = chance.choice(sorted(files))
    spoil = within[name.rpartition(".")[2]]
    files[name] = spoil(files[name], chance)
    if name != "parcel.json" and chance.random() < 0.8:
        contents = json.loads(files["parcel.json"])
        for each in contents["files"]:
            if each["file"] == name:
                each |= {"bytes": len(files[name]), "sha256": sha256(files[name]).hexdigest()}
        files["parcel.json"] = json.dumps(contents).encode()
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as archive:
        for each_name, data in files.items():
            archive.writestr(zipfile.ZipInfo(each_name), data)
    return buffer.getvalue()


def _number(chance: random.Random) -> str:
    return chance.choice(NUMBERS) + chance.choice(UNITS)


def _near(text: str, chance: random.Random) -> str:
    """Return a value with each of its numbers another one of the same sort."""
    times = chance.choice([0, 0.01, 0.1, 0.5, 0.9, 0.999, 1.001, 1.1, 2, 3, 10, 100])
    return re.sub(r"\d+(?:\.\d+)?", lambda found: f"{float(found[0]) * times:.6g}", text)


def _put(text: str, span: tuple[int, int], instead: str) -> str:
    return text[: span[0]] + instead + text[span[1] :]


def _spans(root: yaml.Node | None) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
    """Return where each key and each value stands; the values of lists too."""
    keys: list[tuple[int, int]] = []
    values: list[tuple[int, int]] = []
    waiting: list[yaml.Node] = [] if root is None else [root]
    while waiting:
        node = waiting.pop()
        pairs: Sequence[Any] = node.value if isinstance(node, yaml.CollectionNode) else ()
        for each in pairs:
            key, value = each if isinstance(each, tuple) else (None, each)
            if key is not None:
                keys.append((key.start_mark.index, key.end_mark.index))
            values.append((value.start_mark.index, value.end_mark.index))
            waiting.append(value)
    return keys, values


def _places(content: Any) -> Any:
    """Yield each holder with each of its keys."""
    if isinstance(content, dict | list):
        for key in list(content) if isinstance(content, dict) else range(len(content)):
            yield content, key
            yield from _places(content[key])
