"""A packet read back from its folder. In: a folder. Out: its facts, its programs' texts, notes.

Promise: the programs are taken as they now are, edits and all; a digest that differs is a note, never a
reason; nothing outside the folder is read.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import ValidationError

from stockwright.mistakes import InputError, Mistake
from stockwright.packet.assemble import digest
from stockwright.packet.model import load_packet

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.packet.model import Packet

__all__ = ["read_packet"]

LARGEST_PROGRAM = 200_000_000  # bytes; a slab of a million lines is an eighth of it


def read_packet(folder: Path) -> tuple[Packet, dict[str, str], list[str]]:
    """Return the packet, the texts of its programs by file, and what differs from when it was made.

    Raises `InputError` where the folder holds no packet of a format this version reads. A program that is
    missing is left out of the texts: the proof says so.
    """
    place = folder / "packet.json"
    try:
        packet = load_packet(place.read_text(encoding="utf-8"))
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
    notes: list[str] = []
    root = folder.resolve()
    for setup in packet.setups:
        for program in setup.programs:
            path = (folder / program.file).resolve()
            if not path.is_relative_to(root):
                raise _mistake(place, "outside-folder", f"'{program.file}' leaves the packet's folder")
            try:
                if path.stat().st_size > LARGEST_PROGRAM:
                    raise _mistake(path, "too-large", f"over {LARGEST_PROGRAM} bytes")
                # Bytes that are no text become marks that no reader takes for a word.
                with path.open(encoding="utf-8", errors="replace", newline="") as stream:
                    text = stream.read()
            except OSError as error:
                notes.append(f"{program.file}: {error.strerror or 'cannot be read'}")
                continue
            texts[program.file] = text
            if digest(text) != program.digest:
                notes.append(f"{program.file} is not as it was made: its digest differs")
    return packet, texts, notes


def _mistake(path: Path, code: str, message: str) -> InputError:
    return InputError([Mistake(str(path), 0, 0, code, message)])
