"""Whatever is spoilt in whatever document: done, refused or told as mistakes, soon, nothing half written."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter

import pytest

from example_jobs import ROOT
from spoilt.kinds import KINDS

TRIALS = 3000  # in all; the bench tries 100,000 others
PARTS = 4  # so that they can run beside each other


@pytest.mark.wide
@pytest.mark.parametrize("part", range(PARTS))
def test_no_spoilt_document_is_a_traceback_or_takes_long(part: int) -> None:
    """Every kind by turns, most only read, some through the whole job: exit code 0, 1 or 2, no more."""
    size = TRIALS // PARTS
    paths = os.pathsep.join([str(ROOT / "tests"), *sys.path])
    done = subprocess.run(  # a process of its own: what it holds is then its own
        [sys.executable, "-m", "spoilt.trial", str(part * size), str((part + 1) * size)],
        env={**os.environ, "PYTHONPATH": paths},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert [each for each in found if each["wrong"]] == []
    tried = Counter(each["kind"] for each in found)
    assert set(tried) == {kind.name for kind in KINDS}
    assert sum(tried.values()) == size
    assert {each["code"] for each in found} == {0, 1, 2}
