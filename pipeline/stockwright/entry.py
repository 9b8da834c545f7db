"""The `stockwright` command's front door. In: the call. Out: the exit code. Promise: the version at once.

`--version` is answered from a literal before any library is imported; everything else goes to `cli`.
"""

from __future__ import annotations

import gc
import os
import sys

from stockwright import __version__

__all__ = ["main"]

SELDOM = 300_000  # things made and not gone, before cycles are looked for; some thirty MB


def main() -> None:
    """Run the command and leave with its exit code."""
    if sys.argv[1:] == ["--version"]:
        _tell_version()
        return
    # A call is short, and what it makes goes when nothing names it any more: by default, cycles are looked
    # for two hundred times in the example job and hardly any is found; measured, a thirtieth of its time.
    gc.set_threshold(SELDOM, 20, 20)
    # Every matrix here is small: a second thread would only wait for work, busily, all through a short call.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Nobody's plugin judges our documents, so no installed package is searched for one (6 ms and more).
    os.environ["PYDANTIC_DISABLE_PLUGINS"] = "__all__"
    from stockwright import cli

    code = cli.main(sys.argv[1:])
    # What is left goes with the process; Python would look all of it through for cycles once more, which
    # takes as long as reading and binding the example job.
    gc.freeze()
    sys.exit(code)


def _tell_version() -> None:
    if not sys.stdout:  # closed by the caller
        return
    try:
        sys.stdout.write(f"stockwright {__version__}\n")
        sys.stdout.flush()
    except OSError as error:  # nobody reads it, or the disk is full: told as after any other call
        from stockwright.calls.answering import cannot_answer, nobody_reads

        sys.exit(nobody_reads() if isinstance(error, BrokenPipeError) else cannot_answer(error))
