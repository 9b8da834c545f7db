"""Pages filled in from templates. In: the folders they lie in. Out: an environment that fills them in.

Promise: whatever is filled in is escaped, a missing name is an error, and every page is filled in the same
way. Compiled templates are stored beside their sources as Python's own compiled modules are, under the same
conditions: only where the folder may be written to, and never where Python was asked to write none.
"""

from __future__ import annotations

import contextlib
import sys
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from jinja2.bccache import FileSystemBytecodeCache

if TYPE_CHECKING:
    from jinja2.bccache import Bucket

__all__ = ["templates"]


class _BesideTheTemplates(FileSystemBytecodeCache):
    """Compiled templates in `__pycache__`: compiling takes a fifth of a second, more than filling them in."""

    def dump_bytecode(self, bucket: Bucket) -> None:
        if sys.dont_write_bytecode:
            return
        with contextlib.suppress(OSError):
            Path(self.directory).mkdir(exist_ok=True)
            super().dump_bytecode(bucket)

    def load_bytecode(self, bucket: Bucket) -> None:
        # What was cut short or is none of ours is compiled anew.
        with contextlib.suppress(OSError, ValueError, EOFError, TypeError):
            super().load_bytecode(bucket)


def templates(*folders: Path) -> Environment:
    """Return what fills in the templates of these folders, the first that has a name before the others."""
    kept = _BesideTheTemplates(str(folders[0] / "__pycache__"), f"%s.jinja2-{version('jinja2')}.cache")
    return Environment(
        loader=FileSystemLoader(folders),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        bytecode_cache=kept,
    )
