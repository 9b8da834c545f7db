"""One parcel of a recipe, its parents, its page and an example.

In: the paths of documents. Out: the bytes of a parcel. Promise: the same documents give the same bytes; only
valid documents go in; a shop's document, and what a job says of a shop, stay at home.
"""

from __future__ import annotations

import hashlib
import io
import re
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

from stockwright import __version__
from stockwright.documents import read_document
from stockwright.documents.parents import parent_of
from stockwright.documents.shipped import recipes_folder, shipped_names
from stockwright.documents.source import Items, Table, Word, parse_yaml, read_text
from stockwright.documents.word_kinds import LONGEST_TEXT
from stockwright.documents.written import written
from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake
from stockwright.sharing.parcel import FORMAT, PARCEL, PLAIN, Entry, MadeWith, Parcel, dump_parcel

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Asked", "pack", "recipe_path"]

AT_HOME = ("shop", "post", "units")  # what a job says of its shop
EXAMPLE, PAGE = "example.yaml", "page.md"
_EPOCH = (1980, 1, 1, 0, 0, 0)  # the first moment that a ZIP file can say: no clock


@frozen
class Asked:
    """What is to be packed: a recipe's name or file, and what goes with it."""

    recipe: str
    page: Path | None = None
    example: Path | None = None
    author: str | None = None
    licence: str | None = None


def pack(asked: Asked) -> tuple[Parcel, bytes]:
    """Return a parcel's table of contents and its bytes. Raises `InputError` with every mistake."""
    if wrong := [*_unfit("--author", asked.author), *_unfit("--licence", asked.licence)]:
        raise InputError(wrong)
    path = recipe_path(asked.recipe)
    recipe = read_document(path, "recipe").model
    files: dict[str, tuple[str, bytes]] = {}
    _add(files, "recipe", path.name, path.read_bytes(), asked.recipe)
    for name, parent in _parents(path):
        _add(files, "parent", name, parent.read_bytes(), asked.recipe)
    if asked.page is not None:
        text, mistakes = read_text(str(asked.page))
        if mistakes:
            raise InputError(mistakes)
        _add(files, "page", PAGE, text.encode(), str(asked.page))
    if asked.example is not None:
        _add_example(files, asked.example, path.name)
    contents = Parcel(
        parcel_format=FORMAT,
        made_with=MadeWith(name="stockwright", version=__version__),
        name=recipe.name,
        version=recipe.version,
        about=" ".join(recipe.about.split()),
        author=asked.author,
        licence=asked.licence,
        files=[
            Entry(file=name, what=what, bytes=len(data), sha256=hashlib.sha256(data).hexdigest())  # type: ignore[arg-type]
            for name, (what, data) in sorted(files.items())
        ],
    )
    return contents, _zipped(
        {PARCEL.file: dump_parcel(contents).encode(), **{n: d for n, (_, d) in files.items()}}
    )


def _unfit(option: str, text: str | None) -> list[Mistake]:
    """Return what is wrong with a text that is shown where the parcel is opened."""
    strange = next((each for each in text or "" if not each.isprintable()), "")
    if strange:
        message = f"text with the control character U+{ord(strange):04X}, expected none"
        return [Mistake(option, 0, 0, "wrong-type", message)]
    if text and len(text) > LONGEST_TEXT:
        message = f"text of {len(text)} characters, expected at most {LONGEST_TEXT}"
        return [Mistake(option, 0, 0, "out-of-range", message)]
    return []


def recipe_path(name: str) -> Path:
    """Return where a recipe lies: a shipped one by its name, any other by its path."""
    if name.endswith((".yaml", ".yml")):
        return Path(name)
    names = shipped_names(recipes_folder())
    if name not in names:
        from stockwright.calls.answering import not_one_of

        raise not_one_of(name, name, names)
    return recipes_folder() / f"{name}.yaml"


def _parents(path: Path) -> list[tuple[str, Path]]:
    """Return the files of a recipe's parents, nearest first, by the names they get in a parcel.

    The recipe is right, so that its chain of parents ends.
    """
    found: list[tuple[str, Path]] = []
    home = path.parent
    while True:
        tree = parse_yaml(str(path), read_text(str(path))[0])
        if "extends" not in tree.root:
            return found
        parent = parent_of(tree, path.parent, recipes_folder())
        assert parent is not None
        path = parent[0]
        inside = path.resolve().is_relative_to(home.resolve())
        found.append((path.resolve().relative_to(home.resolve()).as_posix() if inside else path.name, path))


def _add_example(files: dict[str, tuple[str, bytes]], job: Path, recipe: str) -> None:
    read_document(job, "job")
    tree = parse_yaml(str(job), read_text(str(job))[0])
    for key in AT_HOME:
        tree.root.pop(key, None)
    named = Word(recipe)
    named.quoted = False
    tree.root["recipe"] = named
    _add(files, "job", EXAMPLE, written(tree.root).encode(), str(job))
    boards = tree.root.get("boards", Items((1, 1)))
    for each in boards if isinstance(boards, Items) else [boards]:
        path = job.parent / str(each)
        read_document(path, "board")
        _add(files, "board", str(each), path.read_bytes(), str(job))
        if path.suffix.lower() == ".csv":
            continue
        probed = parse_yaml(str(path), read_text(str(path))[0]).root.get("probed")
        for key in ("upper", "lower"):
            if isinstance(probed, Table) and key in probed:
                log = Path(str(each)).parent / str(probed[key])
                _add(files, "board", log.as_posix(), (job.parent / log).read_bytes(), str(path))


def _add(files: dict[str, tuple[str, bytes]], what: str, name: str, data: bytes, said_in: str) -> None:
    if not re.fullmatch(PLAIN, name, re.ASCII):
        message = f"'{name}' has a name that not every system can read, expected small letters, digits, . _ -"
        raise InputError(
            [Mistake(said_in, 0, 0, "bad-name", message, "rename the file, and where it is named")]
        )
    if name in files and files[name][1] != data:
        message = f"two different files would both be '{name}' in the parcel"
        raise InputError([Mistake(said_in, 0, 0, "repeated", message, "rename one of them")])
    files.setdefault(name, (what, data))


def _zipped(files: Mapping[str, bytes]) -> bytes:
    """Return the files in one, stored as they are: what packs tighter differs from machine to machine."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(files):
            info = zipfile.ZipInfo(name, _EPOCH)
            info.create_system = 3
            info.external_attr = 0o100644 << 16
            archive.writestr(info, files[name])
    return buffer.getvalue()
