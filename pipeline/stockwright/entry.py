"""The `stockwright` command's front door. In: the call. Out: the exit code. Promise: the version at once.

`--version` is answered from a literal before any library is imported; everything else goes to `cli`.
"""

from __future__ import annotations

import gc
import sys

from stockwright import __version__

__all__ = ["main"]

SELDOM = 100_000  # things made and not gone, before cycles are looked for; some ten MB


def main() -> None:
    """Run the command and leave with its exit code."""
    if sys.argv[1:] == ["--version"]:
        sys.stdout.write(f"stockwright {__version__}\n")
        return
    # A call is short, and what it makes goes when nothing names it any more: by default, cycles are looked
    # for two hundred times in the example job and hardly any is found; measured, a thirtieth of its time.
    gc.set_threshold(SELDOM, 20, 20)
    from stockwright import cli

    code = cli.main(sys.argv[1:])
    # What is left goes with the process; Python would look all of it through for cycles once more, which
    # takes as long as reading and binding the example job.
    gc.freeze()
    sys.exit(code)
