"""A document that was read, and its mistakes.

In: a tree and its kind's model. Out: `Loaded`, a validated model with a locator for later stages, and
mistakes in file order. Promise: one mistake of a document never hides another.
"""

from __future__ import annotations

import re
from dataclasses import field
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from pydantic import ValidationError

from stockwright.documents import board_fit, job, measured, recipe, recipe_fit, shop
from stockwright.documents.board import BoardDocument
from stockwright.documents.fields import Context, Part, nearest, shown
from stockwright.documents.hold_downs import HOLD_DOWN_KINDS
from stockwright.documents.job import JobDocument
from stockwright.documents.measured import MeasuredDocument
from stockwright.documents.post import PostDocument
from stockwright.documents.recipe import STEP_KINDS, RecipeDocument
from stockwright.documents.shop import ShopDocument
from stockwright.documents.source import MOST_MISTAKES, Place, Steps, Table, Tree
from stockwright.frozen import frozen
from stockwright.mistakes import Mistake

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from pydantic_core import ErrorDetails

__all__ = ["KINDS", "Loaded", "validate"]

MOST_ERRORS = 1000  # looked at in one document, before the first ones in file order are kept
FORMAT = 1  # of every kind of document so far
KINDS: dict[str, type[Part]] = {
    "recipe": RecipeDocument,
    "shop": ShopDocument,
    "board": BoardDocument,
    "job": JobDocument,
    "post": PostDocument,
    "measured": MeasuredDocument,
}
_HEADER = re.compile(r"([a-z]+)/(\d{1,9})", re.ASCII)

Model = TypeVar("Model")


@frozen
class Loaded(Generic[Model]):
    """A valid document: its path as given, its text, its model, and where each part of it stands.

    `where(path)` returns line and column, from 1, of the value at a path of keys and indices as written in
    the document (`("steps", 0, "tool")`); of the nearest part that exists, where that one was left out.
    """

    path: str
    text: str
    model: Model
    where: Callable[[Steps], Place] = field(compare=False, repr=False)

    def mistake(self, path: Steps, code: str, message: str, hint: str = "") -> Mistake:
        """Return a mistake placed at a part of this document."""
        line, column = self.where(path)
        return Mistake(self.path, line, column, code, message, hint)


def validate(tree: Tree, kind: str) -> Loaded[Any] | None:
    """Return the document that a tree holds; None where it has mistakes, then in the tree, in file order."""
    loaded: Loaded[Any] | None = None
    if tree.complete and _right_kind(tree, kind):
        model = _model(tree, kind)
        if model is not None:
            loaded = Loaded(tree.path, tree.text, model, tree.where)
    tree.mistakes[:] = sorted(dict.fromkeys(tree.mistakes))[:MOST_MISTAKES]
    return None if tree.mistakes else loaded


def _right_kind(tree: Tree, kind: str) -> bool:
    """Return whether it makes sense to go on; a document of another kind would be nothing but mistakes."""
    if not tree.root:
        return False
    header = tree.root.get("stockwright")
    if header is None:
        return True  # said as a missing key, beside the rest
    place = tree.root.values_at["stockwright"]
    wanted = f"{kind}/{FORMAT}"
    found = _HEADER.fullmatch(header) if isinstance(header, str) else None
    if header == wanted:
        return True
    if found and found[1] in KINDS and found[1] != kind:
        tree.mistake(
            place, "wrong-kind", f"a {found[1]} stands here, expected a {kind}", "is it the right file?"
        )
        return False
    if found and found[1] == kind:
        newer = int(found[2]) > FORMAT
        tree.mistake(
            place,
            "wrong-kind",
            f"got '{header}', {'which is newer than this program, ' if newer else ''}expected '{wanted}'",
            "install a newer version of stockwright" if newer else f"write 'stockwright: {wanted}'",
        )
        return False
    tree.mistake(
        place, "wrong-kind", f"got {shown(header)}, expected '{wanted}'", f"write 'stockwright: {wanted}'"
    )
    return isinstance(header, str) and nearest(header, [wanted]) != ""


def _model(tree: Tree, kind: str) -> Part | None:
    context = recipe.context_of(tree.root) if kind == "recipe" else Context()
    model: Part | None = None
    try:
        model = KINDS[kind].model_validate(tree.root, context=context)
    except ValidationError as error:
        details = error.errors(include_url=False)[:MOST_ERRORS]
        header_said = any(each.code == "wrong-kind" for each in tree.mistakes)
        for detail in details:
            if header_said and detail["loc"] == ("stockwright",):
                continue
            _note(tree, detail, details, kind)
    beside: Iterable[tuple[Steps, str, str, str]] = ()
    match kind:
        case "recipe":
            beside = recipe_fit.contradictions(tree.root)
        case "shop":
            beside = shop.repeats(tree.root)
        case "board":
            beside = board_fit.misfits(tree.root)
        case "job":
            beside = job.half_said(tree.root)
        case "measured":
            beside = measured.misfits(tree.root)
    for path, code, message, hint in beside:
        tree.mistake(tree.where(path), code, message, hint)
    return model


def _note(tree: Tree, detail: ErrorDetails, details: Sequence[ErrorDetails], kind: str) -> None:
    """Turn one of pydantic's errors into a mistake with a place."""
    loc = tuple(detail["loc"])
    context = detail.get("ctx", {})
    got = detail["input"]
    key = bool(loc) and loc[-1] == "[key]"
    if key:
        loc = loc[:-1]
    match detail["type"]:
        case "extra_forbidden":
            table = _table(tree, loc[:-1])
            known = table.known if table is not None else ()
            tree.mistake(
                tree.where(loc, key=True),
                "unknown-key",
                f"got {shown(loc[-1])}, expected one of {', '.join(sorted(known))}",
                nearest(str(loc[-1]), known) or _elsewhere(tree, loc),
            )
        case "missing":
            if not _misspelt(str(loc[-1]), loc[:-1], details):
                hint = f"begin with 'stockwright: {kind}/{FORMAT}'" if loc == ("stockwright",) else ""
                tree.mistake(tree.where(loc[:-1]), "missing-key", f"'{loc[-1]}' is missing", hint)
        case "union_tag_not_found" | "union_tag_invalid":
            _note_kind(tree, loc, got)
        case "too_short" | "too_long":
            number = len(got) if isinstance(got, (list, dict)) else 0
            least, most = context.get("min_length"), context.get("max_length")
            if least is not None and number >= least:
                return  # items were there, but none that could be understood: said of each
            bound = f"at least {least}" if most is None else f"at most {most}"
            tree.mistake(tree.where(loc), "wrong-count", f"{number or 'none'} here, expected {bound}")
        case "tuple_type" | "list_type":
            tree.mistake(
                tree.where(loc), "wrong-type", f"got {shown(got)}, expected a list", "write it as [a, b]"
            )
        case "dict_type" | "model_type" | "model_attributes_type":
            tree.mistake(
                tree.where(loc),
                "wrong-type",
                f"got {shown(got)}, expected a table",
                "write it as {key: value}",
            )
        case code:
            path = (*loc, *context.get("at", ()))
            message = context.get("message") or f"got {shown(got)}: {detail['msg']}"
            code = code if "message" in context else "wrong-type"
            tree.mistake(tree.where(path, key=key), code, message, context.get("hint", ""))


def _note_kind(tree: Tree, loc: Steps, got: object) -> None:
    place = tree.where(loc)
    steps = bool(loc) and loc[0] == "steps"
    kinds = STEP_KINDS if steps else HOLD_DOWN_KINDS
    listed = ", ".join(kinds)
    if not isinstance(got, Table):
        tree.mistake(place, "wrong-type", f"got {shown(got)}, expected a table", "write it as {key: value}")
        return
    if not steps:
        kind = got.get("kind")
        at = got.values_at.get("kind", place)
        if kind is None:
            tree.mistake(at, "missing-key", f"'kind' is missing, one of {listed}")
        else:
            hint = nearest(kind, kinds) if isinstance(kind, str) else ""
            tree.mistake(at, "unknown-word", f"got {shown(kind)}, expected one of {listed}", hint)
        return
    said = [kind for kind in kinds if kind in got]
    if said:
        joined = " and ".join(f"'{kind}'" for kind in said)
        tree.mistake(
            place, "contradiction", f"one step has {joined}, expected one of both", "make two steps of it"
        )
        return
    for each in got:
        if hint := nearest(each, kinds):
            tree.mistake(
                got.keys_at[each], "unknown-key", f"got {shown(each)}, expected one of {listed}", hint
            )
            return
    tree.mistake(place, "missing-key", f"the step does not say what it is, expected one of {listed}")


def _elsewhere(tree: Tree, loc: Steps) -> str:
    """Return a hint where a key is known one table further out, or in a table that stands just above it."""
    key = str(loc[-1])
    for end in range(len(loc) - 2, -1, -1):
        outer = _table(tree, loc[:end])
        if outer is not None and key in outer.known:
            where = f"'{loc[end - 1]}'" if end else "the document itself"
            return f"'{key}' is a key of {where}: is this line, or one above it, indented too far?"
    around = _table(tree, loc[:-1])
    for name, table in around.items() if around is not None else ():
        if isinstance(table, Table) and key in table.known:
            return f"'{key}' is a key of '{name}': is it to stand below that, indented?"
    return ""


def _misspelt(missing: str, table: Steps, details: Sequence[ErrorDetails]) -> bool:
    """Return whether an unknown key of the same table is the missing one, misspelt: one mistake says both."""
    extras = [
        str(each["loc"][-1])
        for each in details
        if each["type"] == "extra_forbidden" and tuple(each["loc"][:-1]) == table
    ]
    return bool(get_close_matches(missing, extras, n=1))


def _table(tree: Tree, loc: Steps) -> Table | None:
    node = tree.at(loc)
    return node if isinstance(node, Table) else None
