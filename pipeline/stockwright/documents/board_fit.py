"""Whether a board's document is consistent: one way, one outline, readings that match in number.

In: the document's tree. Out: what does not fit, each with its path. Promise: the tree is judged as written,
even where other parts of it could not be understood; a contradiction names the line of both sides.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from stockwright.board.species import SPECIES
from stockwright.documents.board import BESIDE, WAYS, BoardDocument
from stockwright.documents.fields import nearest
from stockwright.documents.source import Items, Table

__all__ = ["misfits"]

Fault = tuple[tuple[str | int, ...], str, str, str]

_KEYS = tuple(str(each.alias) for each in BoardDocument.model_fields.values())
_OUTLINES = ("size", "outline", "voids", "edge-1", "edge-2", "ends")


def misfits(root: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield (path, code, message, hint) where readings differ in number, or the outline is unclear."""
    if "moisture" in root and "species" not in root:
        yield (
            ("moisture",),
            "missing-key",
            "'species' is missing: how far wood of this moisture moves hangs on it",
            f"name it, as in 'species: oak-white'; known are {', '.join(SPECIES)}",
        )
    yield from _ways(root)
    yield from _outlines(root)
    yield from _thicknesses(root)
    for key in ("edge-1", "edge-2"):
        along, offset = _items(root, key, "along"), _items(root, key, "offset")
        if along is not None and offset is not None and len(along) != len(offset):
            yield (
                (key, "offset"),
                "wrong-count",
                f"got {len(offset)} offsets for {len(along)} stations, expected as many",
                "",
            )
    rounds = [("outline",), *(("voids", index) for index, _ in enumerate(_items(root, "voids") or ()))]
    for path in rounds:
        along, across = _items(root, *path, "along"), _items(root, *path, "across")
        if along is not None and across is not None and len(along) != len(across):
            yield (
                (*path, "across"),
                "wrong-count",
                f"got {len(across)} places across for {len(along)} along, expected one for each corner",
                "",
            )
    along, across = _items(root, "heights", "along"), _items(root, "heights", "across")
    for key in ("heights", "thickness", "turned-over"):
        rows = _items(root, key, "rows")
        if rows is None:
            continue
        if along is not None and len(rows) != len(along):
            yield (
                (key, "rows"),
                "wrong-count",
                f"got {len(rows)} rows for {len(along)} stations along, expected one for each",
                "",
            )
        for index, row in enumerate(rows):
            if isinstance(row, Items) and across is not None and len(row) != len(across):
                at = f" (at {along[index]})" if along is not None and index < len(along) else ""
                yield (
                    (key, "rows", index),
                    "wrong-count",
                    f"got {len(row)} readings in row {index + 1}{at}, expected {len(across)}",
                    "put a dash where the callipers do not reach" if key == "thickness" else "",
                )


def _ways(root: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield what is wrong where not exactly one way says what the board is like."""
    said = [way for way in WAYS if way in root]
    spelt = (*WAYS, *(key for keys in BESIDE.values() for key in keys))
    misspelt = any(nearest(str(key), spelt) for key in root if key not in _KEYS)
    for key in ("thickness", "turned-over", "surface"):
        if key in root and not said:
            said.append("nominal" if key == "surface" else "heights")
    if not said and not misspelt:
        yield (
            (),
            "missing-key",
            f"nothing says what the board is like, expected one of {', '.join(WAYS)}",
            "heights on a grid are the surest; 'nominal' and 'surface: rough' the least",
        )
    for way in said[1:]:
        yield (
            (way,),
            "contradiction",
            f"'{way}' and '{said[0]}'{_line(root, said[0])} both describe the board, expected one of them",
            "keep the surer one",
        )
    for way in said[:1]:
        for key in (way, *BESIDE[way]):
            if key not in root and not misspelt:
                hint = "write 'surface: rough'" if key == "surface" else ""
                yield (), "missing-key", f"'{key}' is missing: it belongs to '{way}'", hint
        for key, owner in (("thickness", "heights"), ("turned-over", "heights"), ("surface", "nominal")):
            if key in root and owner != way:
                hint = "read it as part of 'probed' or 'straightedge'" if key == "thickness" else ""
                yield (
                    (key,),
                    "contradiction",
                    f"'{key}' belongs to '{owner}', expected none with '{way}'",
                    hint,
                )
        if way == "nominal" and "uncertainty" in root:
            yield (
                ("uncertainty",),
                "contradiction",
                "'uncertainty' is of one reading, expected none with 'nominal': nothing was read",
                "leave it out",
            )


def _outlines(root: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield what is wrong where the outline is said twice, in part or not at all."""
    if "nominal" in root:
        for key in _OUTLINES:
            if key in root:
                where = _line(root, "nominal")
                yield (
                    (key,),
                    "contradiction",
                    f"'{key}' and 'nominal'{where} both say the outline, expected one of them",
                    "keep 'nominal' only where nothing was measured",
                )
        return
    measured = [key for key in ("edge-1", "edge-2", "ends") if key in root]
    if "size" in root and measured and "outline" not in root:
        where = _line(root, measured[0])
        yield (
            ("size",),
            "contradiction",
            f"'size' says a rectangle, '{measured[0]}'{where} that it was measured, expected one of both",
            "keep the measured lines; they are the truer",
        )
    if "outline" in root and (others := [key for key in ("size", *measured) if key in root]):
        yield (
            ("outline",),
            "contradiction",
            f"'outline' and '{others[0]}'{_line(root, others[0])} both say the outline, expected one of them",
            "keep 'outline' where its edges follow no straight lines",
        )
    elif "size" not in root and "outline" not in root:
        for key in ("edge-1", "edge-2", "ends"):
            if key not in root:
                hint = "" if measured else "or, for a rectangle, 'size: {length: 800 mm, width: 150 mm}'"
                yield (), "missing-key", f"'{key}' is missing: it makes the outline", hint
    sighted = root.get("straightedge")
    if measured and isinstance(sighted, Mapping) and "crook" in sighted:
        where = _line(root, measured[0])
        yield (
            ("straightedge", "crook"),
            "contradiction",
            f"'crook' and '{measured[0]}'{where} both say how the edges run, expected one of both",
            "keep the measured lines; they are the truer",
        )


def _thicknesses(root: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield what is wrong where logs or a straightedge come with two kinds of thickness, or with none."""
    for way, many in (("probed", "callipers"), ("straightedge", "corners")):
        table = root.get(way)
        if not isinstance(table, Mapping):
            continue
        if "thickness" in table and many in table:
            yield (
                (way, "thickness"),
                "contradiction",
                f"'thickness' and '{many}'{_line(table, many)} both say the thickness, expected one of both",
                f"keep '{many}'",
            )
        elif not any(key in table or nearest(key, list(table)) for key in ("thickness", many)):
            yield (
                (way,),
                "missing-key",
                f"the thickness is missing: expected '{many}', or one 'thickness'",
                "the upper face alone does not say where the lower one is",
            )


def _line(table: Mapping[str, Any], key: str) -> str:
    """Return where a key stands, in words, if that is known."""
    return f" in line {table.keys_at[key][0]}" if isinstance(table, Table) and key in table.keys_at else ""


def _items(root: Mapping[str, Any], *keys: str | int) -> Items | None:
    node: Any = root
    for key in keys:
        if isinstance(node, Items) and isinstance(key, int):
            node = node[key]
        elif isinstance(node, Mapping):
            node = node.get(key)
        else:
            return None
    return node if isinstance(node, Items) else None
