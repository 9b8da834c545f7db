"""File names as controllers accept them. In: a program's stem and a dialect's rules. Out: a file name.

Promise: the same stem always gets the same name; two shortened stems never get the same one.
"""

from __future__ import annotations

import hashlib
import re
from typing import TYPE_CHECKING, Protocol

from stockwright.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Naming", "file_name", "one_file_for_two"]

_STEM = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*", re.ASCII)
_DIGEST = 4  # letters of a digest that keep two shortened names apart: 1 in 65536


class Naming(Protocol):
    """What a dialect says of its files' names."""

    @property
    def extension(self) -> str:
        """Without its dot."""

    @property
    def name_length(self) -> int:
        """Characters before the extension."""

    @property
    def name_case(self) -> str:
        """`lower` or `upper`."""

    @property
    def name_hyphens(self) -> bool:
        """Whether hyphens may stand in it."""


def file_name(stem: str, naming: Naming) -> str:
    """Give the file name for a program's stem; one too long keeps its start and a digest of the whole.

    Raises ValueError for a stem that is not lower-case letters, digits and single hyphens.
    """
    if not _STEM.fullmatch(stem):
        raise ValueError(f"{stem!r} is no stem of a file name")
    plain = stem if naming.name_hyphens else stem.replace("-", "")
    if len(plain) > naming.name_length:
        digest = hashlib.sha256(stem.encode()).hexdigest()[:_DIGEST]
        plain = plain[: naming.name_length - min(_DIGEST, naming.name_length - 1)].rstrip("-")
        plain = (plain + digest)[: naming.name_length]
    name = f"{plain}.{naming.extension}"
    return name.upper() if naming.name_case == "upper" else name.lower()


def one_file_for_two(names: Sequence[str]) -> tuple[Finding, ...]:
    """Find two files of one packet that would be one, here or where large letters are small ones."""
    small = [name.lower() for name in names]
    twin = next((name for place, name in enumerate(small) if name in small[:place]), None)
    if twin is None:
        return ()
    message = f"two programs would both be {twin}, as this dialect shortens names of files"
    remedy = "choose a dialect with longer names, or give name-length a greater value in the profile"
    return (Finding("one-file-for-two", "refuse", message, remedy, measured=2, limit=1),)
