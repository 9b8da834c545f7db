"""What every test runs under. Cycles are looked for as seldom as in a call: a twentieth of the time."""

from __future__ import annotations

import gc
import os

import pytest

from stockwright.entry import SELDOM

gc.set_threshold(SELDOM, 20, 20)


@pytest.fixture(scope="session", autouse=True)
def _one_folder_for_all_workers(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Let the workers of this run share the examples that one of them has made."""
    from made_packets import share

    own = tmp_path_factory.getbasetemp()
    share(own.parent if "PYTEST_XDIST_WORKER" in os.environ else own)


@pytest.fixture
def no_paper(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave the PDF empty in packets of which a test looks at all but that: it is half of what they cost."""
    monkeypatch.setattr("stockwright.packet.sheet_pdf.as_pdf", lambda _told: b"")
