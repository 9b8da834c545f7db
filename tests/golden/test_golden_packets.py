"""Emitted programs and packet.json, against those that a person has read."""

from __future__ import annotations

from pathlib import Path

import pytest

from golden_packets import GOLDEN, golden_files


@pytest.mark.parametrize("name", sorted(GOLDEN))
def test_a_packet_is_the_one_that_was_read(name: str) -> None:
    """Every file has the bytes that were accepted, and there are no others."""
    folder = Path(__file__).parent / name
    accepted = {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}
    made = golden_files(name)
    assert sorted(made) == sorted(accepted)
    for path, data in made.items():
        assert data.decode().splitlines() == accepted[path].decode().splitlines(), path
