"""What is wrong with readings, before anyone knows where they were written. In: paths. Out: `Problem`."""

from __future__ import annotations

from stockwright.frozen import frozen

__all__ = ["Path", "Problem"]

Path = tuple[str | int, ...]


@frozen
class Problem:
    """One thing wrong: `path` into the document (keys and indices), what is wrong, and what to do.

    `against` are the paths of the readings that it contradicts: whoever knows the places names them too.
    `code` is the mistake's word. A path that begins with "upper" or "lower" leads into that face's probing
    log: ("upper", row, "z").
    """

    path: Path
    message: str
    hint: str
    against: tuple[Path, ...] = ()
    code: str = "contradiction"
