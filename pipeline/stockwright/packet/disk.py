"""A packet read back from its folder. In: a folder. Out: its facts, its programs' texts, notes.

Promise: the programs are read as they are now, with any edits; a digest that differs is a note and never a
reason to refuse; nothing outside the folder is read.
"""

from __future__ import annotations

import errno
import json
import stat
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from stockwright.mistakes import InputError, Mistake
from stockwright.packet.assemble import digest
from stockwright.packet.deliver import LARGEST_PACKET_FILE, completed
from stockwright.packet.model import PAGES, digests_of, load_packet, short_digest

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.packet.model import Packet

__all__ = ["read_packet"]

FORMAT = 1  # of packets so far
MOST_VALUES = 4_000_000  # a hundred boards with ten thousand readings each are half of it
MOST_NOT_LISTED = 10  # enough to see what lies there
LARGEST_FILE = 200_000_000  # bytes; a slab of a million lines is an eighth of it


def read_packet(folder: Path) -> tuple[Packet, dict[str, str], list[str]]:
    """Return the packet, the texts of its programs by file, and what differs from when it was made.

    Raises `InputError` where the folder holds no packet of a format that this version reads. A program that
    is missing is left out of the texts, and the proof reports it.
    """
    place = folder / "packet.json"
    said = "" if folder.exists() else completed(folder)
    try:
        text = _plain_file(place, LARGEST_PACKET_FILE).decode()
        content = _of_this_format(place, text)
        packet = load_packet(text)
    except (FileNotFoundError, NotADirectoryError):
        raise _mistake(place, "missing-file", "no such file, expected a packet's folder") from None
    except OSError as error:
        raise _mistake(place, "missing-file", error.strerror or "cannot be read") from None
    except UnicodeDecodeError:
        raise _mistake(place, "binary", "is not text in UTF-8") from None
    except ValidationError as error:
        mistakes = [
            Mistake(str(place), 0, 0, "not-a-packet", f"{'.'.join(map(str, e['loc']))}: {e['msg']}")
            for e in error.errors()
        ]
        raise InputError(mistakes) from None
    except ValueError as error:
        raise _mistake(place, "not-a-packet", str(error)) from None
    texts: dict[str, str] = {}
    notes: list[str] = [said] if said else []
    notes += _edited(content)
    root = folder.resolve()
    for setup in packet.setups:
        for program in setup.programs:
            path = (folder / program.file).resolve()
            if not path.is_relative_to(root):
                raise _mistake(place, "outside-folder", f"'{program.file}' leaves the packet's folder")
            try:
                # Bytes that are no text become marks that no reader takes for a word.
                text = _plain_file(path, LARGEST_FILE).decode("utf-8", "replace")
            except OSError as error:
                notes.append(f"{program.file}: {error.strerror or 'cannot be read'}")
                continue
            texts[program.file] = text
            if digest(text) != program.digest:
                notes.append(f"{program.file} is not as it was made: its digest differs")
    return packet, texts, [*notes, *_edited_pages(content, folder), *_not_listed(folder, packet)]


def _edited(content: Any) -> list[str]:
    """Say which of the packet's own facts were changed by hand: the sheet still gives the earlier ones."""
    made = content.get("digests")
    if not isinstance(made, dict):
        return ["packet.json has no digests, so nothing can show whether it is as it was made"]
    changed = [name for name, digest in digests_of(content).items() if made.get(name) != digest]
    if not changed:
        return []
    named = changed[0] if len(changed) == 1 else f"{', '.join(changed[:-1])} and {changed[-1]}"
    text = f"packet.json is not as it was made: what it says of {named} differs; the sheet may say otherwise"
    return [text]


def _edited_pages(content: dict[str, Any], folder: Path) -> list[str]:
    """Say which of the pages beside the facts are others than were made; one that is gone misleads nobody."""
    made = content.get("digests")
    if not isinstance(made, dict):
        return []  # said already
    changed: list[str] = []
    for name in PAGES:
        try:
            page = _plain_file(folder / name, LARGEST_FILE)
        except OSError:
            continue
        if short_digest(page) != made.get(name):
            changed.append(f"{name} is not as it was made: do not work from it")
    return changed


def _not_listed(folder: Path, packet: Packet) -> list[str]:
    """Say which files stand among the programs and are none of the packet's: nothing is proven of them."""
    listed = {folder / program.file for setup in packet.setups for program in setup.programs}
    beside = {path.parent for path in listed} - {folder}
    found: list[str] = []
    for place in sorted(beside):
        try:
            found += [f"{place.name}/{path.name}" for path in sorted(place.iterdir()) if path not in listed]
        except OSError:
            continue  # that its programs cannot be read is said already
    told = [f"{name} is not in the packet's list of programs: nothing is proven of it" for name in found]
    more = len(told) - MOST_NOT_LISTED
    return told if more <= 0 else [*told[:MOST_NOT_LISTED], f"{more} more that are not in the list"]


def _plain_file(path: Path, largest: int) -> bytes:
    """Return a file's bytes; only of a plain file, as a pipe would be waited for, at most `largest`."""
    status = path.stat()
    if stat.S_ISDIR(status.st_mode):
        raise IsADirectoryError(errno.EISDIR, "a folder, expected a file")
    if not stat.S_ISREG(status.st_mode):
        raise OSError(errno.EINVAL, "neither a file nor a folder, expected a file")
    with path.open("rb") as stream:
        content = stream.read(largest + 1)
    if len(content) > largest:
        raise _mistake(path, "too-large", f"more than {largest:,} bytes, expected at most that many")
    return content


def _of_this_format(place: Path, text: str) -> Any:
    """Return the plain values. Raises `InputError` for another format; what is no packet its model says."""
    # Counted before anything is made of them: read, a value takes some forty bytes, however short it is.
    if text.count(",") > MOST_VALUES:
        raise _mistake(place, "too-large", f"more than {MOST_VALUES} values, which no packet of ours has")
    try:
        content = json.loads(text)
    except (ValueError, RecursionError):
        return None
    number = content.get("packet_format") if isinstance(content, dict) else None
    if type(number) is not int or number == FORMAT:
        return content
    older = number < FORMAT
    message = f"this packet is of format {number}, and this program reads format {FORMAT}"
    hint = "make it anew from its job" if older else "install a newer version of stockwright"
    raise InputError([Mistake(str(place), 0, 0, "older-format" if older else "newer-format", message, hint)])


def _mistake(path: Path, code: str, message: str) -> InputError:
    return InputError([Mistake(str(path), 0, 0, code, message)])
