"""Everything that a job names, read at once.

In: a job's path, and what the command line gives in its place. Out: `Documents`. Promise: the mistakes of all
documents are reported together; no path in a document leaves its folder.
"""

from __future__ import annotations

import os
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stockwright.documents.board import BoardDocument
from stockwright.documents.expressions import ExpressionError
from stockwright.documents.extending import child_schema
from stockwright.documents.fields import nearest, shown
from stockwright.documents.folder import ELSEWHERE, elsewhere
from stockwright.documents.loaded import KINDS, Loaded, validate
from stockwright.documents.parents import told_of_parent, whole_recipe
from stockwright.documents.parts import AskedOfBoard, Named, named_boards, said_of_some
from stockwright.documents.points import (
    LARGEST_CSV,
    CsvBoard,
    Log,
    ProbedBoard,
    log_place_of,
    place_of,
    read_log,
    read_points,
)
from stockwright.documents.shipped import recipes_folder, shipped_names
from stockwright.documents.source import Steps, Table, Tree, Word, parse_yaml, read_text
from stockwright.documents.values import Others, values_of
from stockwright.documents.written import written
from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from stockwright.documents.expressions import Quantity
    from stockwright.documents.job import JobDocument
    from stockwright.documents.recipe import RecipeDocument
    from stockwright.documents.shop import ShopDocument

__all__ = [
    "Documents",
    "Gathered",
    "gather",
    "read_board",
    "read_document",
    "read_job",
    "read_recipe",
    "recipe_text",
    "schema",
]

AnyBoard = BoardDocument | CsvBoard | ProbedBoard


@frozen
class Documents:
    """A job's documents, all of them valid, and the values of the recipe's inputs (mm or plain numbers).

    `asked` has a board's own values for each of `boards`, where any entry of the job says something of its
    own; `values` are then those of the first board.
    """

    job: Loaded[JobDocument]
    recipe: Loaded[RecipeDocument]
    shop: Loaded[ShopDocument]
    boards: tuple[Loaded[AnyBoard], ...]
    values: Mapping[str, Quantity]
    asked: tuple[AskedOfBoard, ...] = ()


@frozen
class Gathered:
    """What could be read of a job: `documents` where all of it could, else what was wrong, and the rest.

    `shop` is None where it has mistakes itself, `boards` are those without; `post` is the job's own, as far
    as its `job_tree` could be understood.
    """

    documents: Documents | None
    mistakes: tuple[Mistake, ...]
    job_tree: Tree
    post: str | None
    shop: Loaded[ShopDocument] | None
    boards: tuple[Loaded[AnyBoard], ...]


def read_document(path: str | os.PathLike[str], kind: str) -> Loaded[Any]:
    """Return one document of a kind (`recipe`, `shop`, `board`, `job`, `post`). Raises `InputError`."""
    loaded, mistakes, _ = _read(os.fspath(path), kind)
    if loaded is None:
        raise InputError(mistakes)
    return loaded


def recipe_text(name: str, *, resolved: bool = False) -> str:
    """Return a recipe's text, as written or whole: a shipped one by its name, another by its path.

    Raises `InputError` where it is not valid.
    """
    _, tree, path = read_recipe(name)
    return written(tree.root) if resolved else read_text(path)[0]


def read_recipe(name: str) -> tuple[Loaded[RecipeDocument], Tree, str]:
    """Return a recipe (a shipped one by its name, another by its path), its whole tree, and where it lies.

    Raises `InputError` where it is not valid.
    """
    shipped = not name.endswith((".yaml", ".yml"))
    path = str(recipes_folder() / f"{name}.yaml") if shipped else name
    if shipped and name not in (names := shipped_names(recipes_folder())):
        message, hint = _no_such_recipe(name, names)
        raise InputError([Mistake(name, 0, 0, "unknown-name", message, hint)])
    display = f"recipes/{name}.yaml" if shipped else name
    loaded, mistakes, tree = _read(path, "recipe", display)
    if loaded is None:
        raise InputError(mistakes)
    return loaded, tree, path


def _no_such_recipe(name: str, names: Sequence[str]) -> tuple[str, str]:
    """Return what is wrong with a recipe's name that is none of `names`, and the nearest of them."""
    expected = f"expected one of {', '.join(names)}, or a path"
    return f"no shipped recipe is called {shown(name)}, {expected}", nearest(name, names)


def read_board(path: str | os.PathLike[str]) -> Loaded[AnyBoard]:
    """Return one board, YAML or, where the name ends in `.csv`, a list of points. Raises `InputError`."""
    return read_document(path, "board")


def read_job(
    job_path: str | os.PathLike[str],
    *,
    shop: str | os.PathLike[str] | None = None,
    boards: Sequence[str | os.PathLike[str]] = (),
    sets: Mapping[str, str] | None = None,
    shipped_recipes: Path | None = None,
) -> Documents:
    """Return a job with everything it names.

    `shop` and `boards` stand in for the job's own, `sets` goes before its values; `shipped_recipes` is the
    folder of the recipes that go by name alone. Raises `InputError` with every mistake of every document.
    """
    gathered = gather(job_path, shop=shop, boards=boards, sets=sets, shipped_recipes=shipped_recipes)
    if gathered.documents is None:
        raise InputError(list(gathered.mistakes))
    return gathered.documents


def gather(
    job_path: str | os.PathLike[str],
    *,
    shop: str | os.PathLike[str] | None = None,
    boards: Sequence[str | os.PathLike[str]] = (),
    sets: Mapping[str, str] | None = None,
    shipped_recipes: Path | None = None,
    ask: Callable[[str], str | None] | None = None,
) -> Gathered:
    """Return what `read_job` returns, or what of it could be read and every mistake of the rest.

    `ask` is called with a question where an input is given nowhere; see `values.values_of`.
    """
    gathering = _Gathering(os.fspath(job_path), shipped_recipes or recipes_folder())
    job, tree = gathering.job()
    recipe, recipe_tree = gathering.recipe(tree)
    loaded_shop = gathering.shop(tree, None if shop is None else os.fspath(shop))
    named = [Named(os.fspath(each), None) for each in boards] or list(named_boards(tree))
    loaded_boards = gathering.boards(named)
    asked = gathering.values(tree, recipe_tree, sets or {}, ask, named)
    if recipe is not None and asked is not None:
        gathering.sums(recipe, list({id(each.values): each.values for each in asked}.values()))
    documents = None
    if not (gathering.mistakes or job is None or recipe is None or loaded_shop is None or asked is None):
        own = asked if any(each.entry is not None for each in named) else ()
        documents = Documents(job, recipe, loaded_shop, loaded_boards, asked[0].values, own)
    post = _text(tree.root, "post")
    mistakes = tuple(dict.fromkeys(gathering.mistakes))  # entries for boards share what is said once
    return Gathered(documents, mistakes, tree, post, loaded_shop, loaded_boards)


def schema(kind: str) -> dict[str, Any]:
    """Return the JSON Schema of a kind of document, for editors. Raises `KeyError` for no such kind."""
    made = KINDS[kind].model_json_schema(by_alias=True)
    if kind == "recipe":
        parts = made.pop("$defs", {})
        made = {"$defs": parts, "if": {"required": ["extends"]}, "then": child_schema(made), "else": made}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **made,
        "title": f"stockwright {kind}/1",
    }


def _read(
    path: str, kind: str, display: str | None = None, shipped: Path | None = None
) -> tuple[Loaded[Any] | None, list[Mistake], Tree]:
    shown_path = display or path
    csv = kind == "board" and path.lower().endswith(".csv")
    text, mistakes = _text_of(path, shown_path, LARGEST_CSV if csv else None)
    if mistakes:
        return None, mistakes, Tree(shown_path, "")
    if csv:
        tree = Tree(shown_path, text)
        points = read_points(tree)
        if tree.mistakes:
            return None, tree.mistakes, tree
        return Loaded(shown_path, text, points, lambda at: place_of(tree, points, at)), [], tree
    tree = parse_yaml(shown_path, text)
    extends = tree.root.values_at.get("extends") if kind == "recipe" and tree.complete else None
    if extends is not None:
        tree, mistakes = whole_recipe(tree, path, shipped or recipes_folder())
        if mistakes:
            return None, mistakes, Tree(shown_path, "")
    loaded = validate(tree, kind)
    if extends is not None:
        told_of_parent(tree, extends)
    logs, mistakes = _logs(tree, Path(path).parent) if kind == "board" else ({}, [])
    if loaded is not None and not mistakes and "upper" in logs:
        both = ProbedBoard(loaded.model, logs["upper"], logs.get("lower"))
        loaded = Loaded(loaded.path, loaded.text, both, loaded.where)
    return None if mistakes else loaded, [*tree.mistakes, *mistakes], tree


def _text_of(path: str, shown_path: str, limit: int | None) -> tuple[str, list[Mistake]]:
    """Return a file's text, or the mistake that kept it from being read, under the name it is shown by."""
    text, mistakes = read_text(path) if limit is None else read_text(path, limit=limit)
    return text, [
        Mistake(shown_path, each.line, each.column, each.code, each.message, each.hint) for each in mistakes
    ]


def _logs(tree: Tree, folder: Path) -> tuple[dict[str, Loaded[Log]], list[Mistake]]:
    """Read the probing logs that a board's document names, whatever else is wrong with it."""
    found: dict[str, Loaded[Log]] = {}
    mistakes: list[Mistake] = []
    probed = tree.root.get("probed")
    if not isinstance(probed, Table):
        return found, mistakes
    for key in ("upper", "lower"):
        name = _text(probed, key)
        if name is None:
            continue
        place = tree.where(("probed", key))
        if wrong := elsewhere(name, folder):
            mistakes.append(Mistake(tree.path, *place, "outside-folder", wrong, ELSEWHERE))
            continue
        path = str(folder / name)
        text, unread = _text_of(path, path, LARGEST_CSV)
        mistakes += [
            each if each.line else Mistake(tree.path, *place, each.code, f"{path}: {each.message}", each.hint)
            for each in unread
        ]
        if unread:
            continue
        log_tree = Tree(path, text)
        log = read_log(log_tree)
        mistakes += log_tree.mistakes
        if not log_tree.mistakes:
            where = partial(log_place_of, log_tree, log)
            found[key] = Loaded(path, text, log, where)
    return found, mistakes


class _Gathering:
    """Reads a job's documents one by one and keeps what was wrong with any of them."""

    def __init__(self, path: str, shipped: Path) -> None:
        self.path = path
        self.folder = Path(path).parent
        self.shipped = shipped
        self.mistakes: list[Mistake] = []
        self.job_tree = Tree(path, "")

    def job(self) -> tuple[Loaded[JobDocument] | None, Tree]:
        loaded, mistakes, self.job_tree = _read(self.path, "job")
        self.mistakes += mistakes
        return loaded, self.job_tree

    def recipe(self, tree: Tree) -> tuple[Loaded[RecipeDocument] | None, Tree]:
        missing = Tree("", "")
        name = _text(tree.root, "recipe")
        if name is None:
            return None, missing
        if "/" in name or name.endswith((".yaml", ".yml")):
            path = self._beside(name, ("recipe",))
            return self._take(path, "recipe", None, ("recipe",)) if path else (None, missing)
        names = shipped_names(self.shipped)
        if name not in names:
            self._fault(("recipe",), "unknown-name", *_no_such_recipe(name, names))
            return None, missing
        return self._take(str(self.shipped / f"{name}.yaml"), "recipe", f"recipes/{name}.yaml", ("recipe",))

    def shop(self, tree: Tree, instead: str | None) -> Loaded[ShopDocument] | None:
        if instead is not None:
            return self._take(instead, "shop", None, None)[0]
        if (name := _text(tree.root, "shop")) is not None:
            path = self._beside(name, ("shop",))
            return self._take(path, "shop", None, ("shop",))[0] if path else None
        if tree.root and tree.complete and "shop" not in tree.root:
            self._fault((), "missing-key", "'shop' is missing", "name a shop here, or with --shop")
        return None

    def boards(self, named: Sequence[Named]) -> tuple[Loaded[AnyBoard], ...]:
        found: list[Loaded[AnyBoard]] = []
        for each in named:
            path = each.file if each.at is None else self._beside(each.file, each.at)
            if path is None:
                continue
            loaded = self._take(path, "board", None, each.at)[0]
            if loaded is None:
                continue
            twin = next((other for other in found if other.model.name == loaded.model.name), None)
            if twin is not None:
                place = loaded.where(("name",))
                message = f"the board '{loaded.model.name}' has the name of the one in {twin.path}"
                self.mistakes.append(
                    Mistake(loaded.path, *place, "repeated", f"{message}, expected a name of its own")
                )
            found.append(loaded)
        return tuple(found)

    def values(
        self,
        tree: Tree,
        recipe_tree: Tree,
        sets: Mapping[str, str],
        ask: Callable[[str], str | None] | None,
        named: Sequence[Named],
    ) -> tuple[AskedOfBoard, ...] | None:
        """Return what is asked of each board, of one at least; None where a value is missing or wrong."""
        of_entry: dict[Steps | None, dict[str, Quantity] | None] = {}
        entries = list(dict.fromkeys(each.entry for each in named)) or [None]
        others = Others(said_of_some(tree, entries))
        for entry in entries:
            of_entry[entry], mistakes = values_of(tree, recipe_tree, sets, ask, entry, others)
            self.mistakes += mistakes
        boards = [(each.part, of_entry[each.entry]) for each in named] or [("", of_entry[None])]
        asked = tuple(AskedOfBoard(part, values) for part, values in boards if values is not None)
        return asked if len(asked) == len(boards) else None

    def sums(self, recipe: Loaded[RecipeDocument], every: Sequence[Mapping[str, Quantity]]) -> None:
        """Work out every sum of the recipe, so that one that cannot be worked out is known now."""
        for path, each in recipe.model.expressions():
            for values in every:
                try:
                    each.evaluate(values)
                except ExpressionError as error:
                    used = ", ".join(f"{name} {values[name]}" for name in each.names if name in values)
                    message = f"{error.message}, with {used}" if used else error.message
                    self.mistakes.append(recipe.mistake(path, error.code, message, error.hint))

    def _take(
        self, path: str, kind: str, display: str | None, at: Steps | None
    ) -> tuple[Loaded[Any] | None, Tree]:
        loaded, mistakes, tree = _read(path, kind, display, self.shipped)
        for each in mistakes:
            if each.line == 0 and at is not None:
                # The file has no place to point at, so point at where it was named.
                self._fault(at, each.code, f"{each.file}: {each.message}", each.hint)
            else:
                self.mistakes.append(each)
        return loaded, tree

    def _beside(self, name: str, at: Steps) -> str | None:
        """Return the path of a file named in the job, which lies in the job's folder or below."""
        if wrong := elsewhere(name, self.folder):
            self._fault(at, "outside-folder", wrong, ELSEWHERE)
            return None
        return str(self.folder / name)

    def _fault(self, at: Steps, code: str, message: str, hint: str = "") -> None:
        line, column = self.job_tree.where(at)
        self.mistakes.append(Mistake(self.path, line, column, code, message, hint))


def _text(root: Table, key: str) -> str | None:
    value = root.get(key)
    return str(value) if isinstance(value, Word) and value else None
