"""A parcel opened with care.

In: the path of a parcel. Out: its table of contents and its files, checked. Promise: nothing is written here
and nothing is run; names, sizes, digests and documents are all valid, or the whole parcel is refused.
"""

from __future__ import annotations

import hashlib
import re
import stat
import tempfile
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from stockwright.documents import read_document
from stockwright.documents.shipped import recipes_folder
from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake
from stockwright.sharing.comparing import differences
from stockwright.sharing.parcel import LARGEST_FILE, MOST_FILES, PARCEL, PLAIN, Parcel, load_parcel

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.documents.recipe import RecipeDocument

__all__ = ["Opened", "changes", "unpack"]

LARGEST = 10_000_000  # bytes of a whole parcel


@frozen
class Opened:
    """A valid parcel: its contents, every file with its bytes, the recipe, and what to know of it."""

    parcel: Parcel
    files: Mapping[str, bytes]
    recipe: RecipeDocument
    notes: tuple[str, ...]


def unpack(path: Path) -> Opened:
    """Open a parcel. Raises `InputError` with what is wrong with it."""
    shown = str(path)
    found = _entries(path)
    parcel = load_parcel(found[PARCEL.file].decode("utf-8", "replace"), shown)
    listed = {each.file: each for each in parcel.files}
    mistakes = [
        Mistake(shown, 0, 0, "not-a-parcel", f"'{name}' is in it and not in its parcel.json", _ANEW)
        for name in sorted(set(found) - set(listed) - {PARCEL.file})
    ]
    for name, each in sorted(listed.items()):
        if name not in found:
            mistakes.append(Mistake(shown, 0, 0, "missing-file", f"'{name}' is not in it", _ANEW))
        elif hashlib.sha256(found[name]).hexdigest() != each.sha256:
            message = f"'{name}' is not as it was packed: its digest differs"
            mistakes.append(Mistake(shown, 0, 0, "changed", message, _ANEW))
    if mistakes:
        raise InputError(mistakes)
    recipe = _documents(shown, parcel, found)
    return Opened(parcel, found, recipe, tuple(_notes(parcel, found)))


def changes(opened: Opened, folder: Path) -> list[str] | None:
    """Return what the parcel's recipe does differently from the one in a folder; None where none is there."""
    try:
        here = load_parcel((folder / PARCEL.file).read_text(encoding="utf-8"), str(folder))
        earlier = read_document(folder / here.recipe, "recipe").model
    except (OSError, UnicodeDecodeError, InputError):
        return None
    if here.name != opened.parcel.name:
        return [f"the recipe that lies there is another one, {here.name} {here.version}"]
    found = differences(earlier, opened.recipe)
    if here.version != opened.parcel.version:
        found.insert(0, f"{here.version}, then {opened.parcel.version}")
    return found or [f"nothing of what the recipe does; it is {here.version} as well"]


def _entries(path: Path) -> dict[str, bytes]:
    """Return the files in a parcel, bounded before anything grows."""
    shown = str(path)

    def refused(message: str, code: str = "not-a-parcel") -> InputError:
        return InputError([Mistake(shown, 0, 0, code, message, _ANEW)])

    try:
        if not path.is_file():
            raise InputError([Mistake(shown, 0, 0, "missing-file", "no such file", "")])
        if path.stat().st_size > LARGEST:
            raise refused(f"more than {LARGEST:,} bytes, expected at most that many", "too-large")
        with zipfile.ZipFile(path) as archive:
            infos = archive.infolist()
            if len(infos) > MOST_FILES + 1:
                raise refused(f"{len(infos)} files, expected at most {MOST_FILES}", "too-large")
            names = [info.filename for info in infos]
            for info in infos:
                if not re.fullmatch(PLAIN, info.filename, re.ASCII):
                    raise refused("it holds a file whose name could leave its folder", "outside-folder")
                sort = stat.S_IFMT(info.external_attr >> 16)
                if info.is_dir() or sort not in {0, stat.S_IFREG}:
                    raise refused(f"'{info.filename}' is no plain file, expected plain files only")
                if info.compress_type != zipfile.ZIP_STORED or info.flag_bits & 1:
                    raise refused(f"'{info.filename}' is packed or locked, expected it stored as it is")
                if info.file_size > LARGEST_FILE or info.file_size != info.compress_size:
                    raise refused(f"'{info.filename}' has {info.file_size:,} bytes, too many", "too-large")
            if len(set(names)) < len(names):
                raise refused("it holds a file twice")
            if PARCEL.file not in names:
                raise refused(f"it holds no {PARCEL.file}")
            return {info.filename: archive.read(info) for info in infos}
    except (zipfile.BadZipFile, NotImplementedError, EOFError, RuntimeError) as error:
        raise refused(f"it is damaged or no parcel: {str(error)[:80]}") from None
    except OSError as error:
        message = f"cannot be read: {error.strerror or type(error).__name__}"
        raise InputError([Mistake(shown, 0, 0, "missing-file", message, "")]) from None


def _documents(shown: str, parcel: Parcel, files: Mapping[str, bytes]) -> RecipeDocument:
    """Return the recipe, every document of the parcel having been read. Raises `InputError`."""
    mistakes: list[Mistake] = []
    recipe: RecipeDocument | None = None
    with tempfile.TemporaryDirectory() as folder:
        for name, data in files.items():
            place = Path(folder, *name.split("/"))
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(data)
        kinds = {"recipe": "recipe", "parent": "recipe", "job": "job", "board": "board"}
        for each in parcel.files:
            if each.what not in kinds or (each.what == "board" and not _is_board(each.file, parcel)):
                continue
            try:
                read = read_document(Path(folder, *each.file.split("/")), kinds[each.what]).model
            except InputError as error:
                inside = folder + "/"
                mistakes += [
                    replace(m, file=f"{shown}:{m.file.removeprefix(inside)}") for m in error.mistakes
                ]
                continue
            recipe = read if each.what == "recipe" else recipe
    if mistakes:
        raise InputError(mistakes)
    assert recipe is not None
    return recipe


def _is_board(name: str, parcel: Parcel) -> bool:
    """Say whether a file of the boards is a document of its own: a table beside a probed board is none."""
    return not name.endswith(".csv") or all(
        each.what != "board" or each.file.endswith(".csv") for each in parcel.files
    )


def _notes(parcel: Parcel, files: Mapping[str, bytes]) -> list[str]:
    """Say where a shipped parent here is not the one that the parcel was made with."""
    notes = []
    for each in parcel.files:
        here = recipes_folder() / each.file
        if each.what == "parent" and here.is_file() and here.read_bytes() != files[each.file]:
            notes.append(
                f"{each.file.removesuffix('.yaml')} here is not as it was where the parcel was made; "
                f"compare it with the parcel's own copy"
            )
    return notes


_ANEW = "ask for it anew"
