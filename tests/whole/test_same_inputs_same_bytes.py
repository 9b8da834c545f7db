"""Same inputs, same packet, byte for byte: whatever process, order of hashing, language, clock or folder."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from hashlib import sha256
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES
from made_packets import made_of

if TYPE_CHECKING:
    from pathlib import Path

ENDINGS = {".ngc", ".json", ".html", ".pdf"}
OTHERWISE = {
    "PYTHONHASHSEED": "2",
    "TZ": "Pacific/Auckland",
    "LC_ALL": "C.UTF-8",
    "COLUMNS": "200",
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "SOURCE_DATE_EPOCH": "1",
    "HOME": "/nowhere",
}


def _made(folder: Path, *call: str, **environment: str) -> dict[str, str]:
    """Copy the example into a folder, work from there, and return each file of the packet with its digest."""
    shutil.copytree(EXAMPLES / "stair-tread", folder / "job")
    done = subprocess.run(
        [sys.executable, "-m", "stockwright", *call],
        cwd=folder,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    made = sorted(path for path in (folder / "out").rglob("*") if path.is_file())
    return {
        path.relative_to(folder / "out").as_posix(): sha256(path.read_bytes()).hexdigest() for path in made
    }


def test_another_process_gives_the_same_packet(tmp_path: Path) -> None:
    """Another hash seed, time zone, folder, home and number of threads change no byte of any file."""
    there = tmp_path / "ein anderer Ördner" / "b"
    there.mkdir(parents=True)
    call = ("make", str(there / "job" / "job.yaml"), "--out", str(there / "out"))
    other = _made(there, *call, **OTHERWISE)
    here = made_of("stair-tread/job").files
    assert other == {name: sha256(here[name]).hexdigest() for name in sorted(here)}
    assert {"." + name.rpartition(".")[2] for name in here} == ENDINGS


@pytest.mark.wide
def test_two_processes_give_the_same_packet(tmp_path: Path) -> None:
    """Another hash seed, language, time zone, folder and way to name it change no byte of any file."""
    here, there = tmp_path / "a", tmp_path / "ein anderer Ördner" / "b"
    here.mkdir()
    there.mkdir(parents=True)
    call = ("make", "job/job.yaml", "--out", "out")
    first = _made(here, *call, PYTHONHASHSEED="1", TZ="UTC", LC_ALL="C", COLUMNS="80")
    second = _made(
        there, *("make", str(there / "job" / "job.yaml"), "--out", str(there / "out")), **OTHERWISE
    )
    assert first == second
    assert {"." + name.rpartition(".")[2] for name in first} == ENDINGS


@pytest.mark.wide
@pytest.mark.parametrize(
    "call",
    [("probe", "job/job.yaml", "--by", "hand", "--out", "out"), ("posts", "trial", "--out", "out")],
)
def test_other_commands_give_the_same_files(call: tuple[str, ...], tmp_path: Path) -> None:
    """A measuring packet and a controller's trial are the same each time too."""
    made = []
    for seed in ("1", "2"):
        (tmp_path / seed).mkdir()
        made.append(_made(tmp_path / seed, *call, PYTHONHASHSEED=seed))
    assert made[0] == made[1]
    assert made[0]
