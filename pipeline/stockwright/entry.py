"""The `stockwright` command's front door. In: the call. Out: the exit code. Promise: the version at once.

`--version` is answered from a literal before any library is imported; everything else goes to `cli`.
"""

from __future__ import annotations

import sys

from stockwright import __version__

__all__ = ["main"]


def main() -> None:
    """Run the command and leave with its exit code."""
    if sys.argv[1:] == ["--version"]:
        sys.stdout.write(f"stockwright {__version__}\n")
        return
    from stockwright import cli

    sys.exit(cli.main(sys.argv[1:]))
