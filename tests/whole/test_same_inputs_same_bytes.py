"""Same inputs, same packet, byte for byte."""

from __future__ import annotations

import os
import subprocess
import sys

from example_jobs import STAIR_TREAD

SCRIPT = """
import hashlib, sys
from pathlib import Path
from stockwright.run import Request, make
files = make(Request(Path(sys.argv[1]))).files
for name in sorted(files):
    print(name, hashlib.sha256(files[name]).hexdigest())
"""


def _packet(seed: str, **more: str) -> str:
    environment = {**os.environ, "PYTHONHASHSEED": seed, **more}
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(STAIR_TREAD)],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout


def test_two_processes_give_the_same_packet() -> None:
    """Another hash seed, locale and time zone change no byte of any file."""
    first = _packet("1", TZ="UTC", LC_ALL="C")
    second = _packet("2", TZ="Pacific/Auckland", LC_ALL="C.UTF-8")
    assert first == second
    assert "sheet.html" in first
