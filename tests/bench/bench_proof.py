"""How fast the proof is, and in how much memory: the example, a slab, programs of many short moves.

`make bench` prints it. Each packet is proven in a process of its own, so that its peak memory is its own. The
slab is 2440 x 1220 mm with a 25 mm cutter at 40 % stepover, both faces, in cells of 1 mm: see slab/.
"""

from __future__ import annotations

import math
import os
import platform
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest

from example_jobs import STAIR_TREAD
from stockwright.packet.deliver import deliver
from stockwright.run import Request, make

HERE = Path(__file__).parent
SLAB = HERE / "slab" / "job.yaml"
STEPS = (None, 300.0, 30.0, 3.6)  # mm: the last makes about a million lines of the slab's programs
PROVE = """
import resource, sys, time
from pathlib import Path
sys.path.insert(0, sys.argv[2])
from short_moves import in_short_moves
from stockwright.packet.model import Packet
from stockwright.proving import prove
folder, step = Path(sys.argv[1]), float(sys.argv[3])
packet = Packet.model_validate_json((folder / "packet.json").read_text())
files = [program.file for setup in packet.setups for program in setup.programs]
texts = {file: (folder / file).read_text() for file in files}
if step > 0:
    texts = {file: in_short_moves(text, step) for file, text in texts.items()}
wall, own = time.perf_counter(), time.process_time()
outcome = prove(packet, texts)
wall, own = time.perf_counter() - wall, time.process_time() - own
status = Path("/proc/self/status")
if status.exists():  # the greatest ever of this process; ru_maxrss begins with what called it held
    memory = int(status.read_text().split("VmHWM:")[1].split()[0]) / 1024
else:
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(sum(text.count("\\n") for text in texts.values()), wall, own, memory, outcome.proof.verdict)
"""


def _proven(folder: Path, step: float | None = None) -> tuple[int, float, float]:
    """Prove a packet apart; give lines, seconds of the process and peak MB, and print them."""
    call = [sys.executable, "-c", PROVE, str(folder), str(HERE.parent), str(step or 0)]
    lines, wall, own, memory, verdict = subprocess.run(
        call, check=True, capture_output=True, text=True
    ).stdout.split()
    print(
        f"  {int(lines):>9,} lines  {float(wall):6.2f} s, {float(own):6.2f} s of the processor,"
        f"  {float(memory):6.1f} MB  {verdict}"
    )
    assert verdict == "proven"
    return int(lines), float(own), float(memory)


@pytest.mark.parametrize("job", [STAIR_TREAD, SLAB], ids=["stair-tread", "slab"])
def test_proof_of_a_packet(job: Path, tmp_path: Path) -> None:
    """Print the time and the memory of proving a whole packet, three times."""
    deliver(tmp_path / "packet", make(Request(job)).files)
    print(f"\n{platform.machine()}, Python {platform.python_version()}, load {os.getloadavg()[0]:.1f}")
    for _ in range(3):
        _proven(tmp_path / "packet")


def test_growth_with_short_moves(tmp_path: Path) -> None:
    """Print how time and memory grow when the slab's passes are split into ever shorter swaying moves."""
    deliver(tmp_path / "packet", make(Request(SLAB)).files)
    print(f"\n{platform.machine()}, Python {platform.python_version()}, load {os.getloadavg()[0]:.1f}")
    rows = [_proven(tmp_path / "packet", step) for step in STEPS]
    for (n, t, m), (n2, t2, m2) in pairwise(rows):
        scale = math.log(n2 / n)
        print(
            f"  {n:,} to {n2:,}: slope of time {math.log(t2 / t) / scale:.2f},"
            f" of memory {math.log(m2 / m) / scale:.2f}; {1e6 * (t2 - t) / (n2 - n):.1f} us a move"
        )
