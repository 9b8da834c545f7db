"""A run of several processes that is stopped or killed from outside: nobody is left behind, parts are."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from many_boards import boards_job

pytestmark = pytest.mark.skipif(not Path("/proc").is_dir(), reason="looks for processes in /proc")

# Who runs the suite in the background hands on that SIGINT is to be ignored; a terminal does not.
AS_FROM_A_TERMINAL = """
import runpy, signal
signal.signal(signal.SIGINT, signal.default_int_handler)
runpy.run_module("stockwright", run_name="__main__", alter_sys=True)
"""
PATIENCE = 120.0  # s a crowded machine may take for a few boards


def _descendants(process: int) -> set[int]:
    parents = {}
    for entry in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = entry.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if fields[0] != "Z":
            parents[int(entry.parent.name)] = int(fields[1])
    found, waiting = set(), {process}
    while waiting:
        waiting = {child for child, parent in parents.items() if parent in waiting}
        found |= waiting
    return found


def _until(what: object, happens: object) -> None:
    assert callable(happens)
    end = time.monotonic() + PATIENCE
    while not happens():
        assert time.monotonic() < end, f"{what} has not happened"
        time.sleep(0.05)


def _alive(process: int) -> bool:
    try:
        return (Path("/proc") / str(process) / "stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@pytest.mark.wide
@pytest.mark.parametrize("blow", [signal.SIGINT, signal.SIGKILL])
def test_nobody_is_left_behind(blow: signal.Signals, tmp_path: Path) -> None:
    """Asked to stop, or killed outright, a run takes its processes with it; what was finished is kept."""
    job, out = boards_job(tmp_path, 12), tmp_path / "out"
    kept = tmp_path / ".out.kept"
    words = ["make", str(job), "--out", str(out), "--resume", "--processes", "2"]
    call = [sys.executable, "-c", AS_FROM_A_TERMINAL, *words]
    with subprocess.Popen(
        call, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    ) as running:
        _until("a finished board", lambda: kept.is_dir() and any(kept.glob("*.part")))
        workers = _descendants(running.pid)
        assert len(workers) >= 2
        if blow is signal.SIGINT:  # as a terminal does: everybody hears it
            os.killpg(running.pid, blow)
        else:
            os.kill(running.pid, blow)
        said = running.communicate(timeout=PATIENCE)
    _until("the end of all processes", lambda: not any(_alive(worker) for worker in workers))
    if blow is signal.SIGINT:
        assert (running.returncode, *said) == (130, "", "stopped\n")
    assert not out.exists()
    assert list(kept.glob("*.part"))
