"""A packet.json that anyone may have written: facts that cannot be are refused where they come in."""

from __future__ import annotations

import json
import os
import shutil
from typing import TYPE_CHECKING, Any

import pytest

from made_packets import packet_of
from stockwright.cli import main

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


def solid(packet: dict[str, Any]) -> Any:
    """Return the outline of the first thing that stands."""
    return next(each for setup in packet["setups"] for each in setup["solids"])["outline"]


def crossed(packet: dict[str, Any]) -> None:
    """Exchange two corners of the first solid's outline, so that it crosses itself."""
    outline = solid(packet)
    outline[1], outline[2] = outline[2], outline[1]


def far(packet: dict[str, Any]) -> None:
    """Put a goal out of the world."""
    packet["setups"][0]["goals"][0]["z"] = 1e308


def endless(packet: dict[str, Any]) -> None:
    """Give the bed more corners than any line has."""
    packet["setups"][0]["goals"][0]["region"] = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]] * 10_000


def twice(packet: dict[str, Any]) -> None:
    """Let two programs have one file, but for the size of a letter."""
    programs = packet["setups"][0]["programs"]
    programs[1]["file"] = programs[0]["file"].upper()


def again(packet: dict[str, Any]) -> None:
    """Let two setups have one number."""
    packet["setups"][1]["index"] = packet["setups"][0]["index"]


CHANGES: list[tuple[Callable[[dict[str, Any]], object], str]] = [
    (crossed, "the outline crosses itself"),
    (far, "less than or equal to 1000000"),
    (endless, "at most 20000"),
    (twice, "two programs have one file"),
    (again, "two setups have one index"),
]


@pytest.mark.parametrize(("change", "said"), CHANGES)
def test_facts_that_cannot_be_are_refused(
    change: Callable[[dict[str, Any]], object],
    said: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """No traceback out of plan geometry: exit code 2, the place in the packet, what is wrong."""
    shutil.copytree(packet_of("bed"), tmp_path / "packet")
    place = tmp_path / "packet" / "packet.json"
    content = json.loads(place.read_bytes())
    change(content)
    place.write_text(json.dumps(content), encoding="utf-8")
    assert main(["prove", str(tmp_path / "packet")]) == 2
    heard = capsys.readouterr().err
    assert said in heard
    assert "not-a-packet" in heard


def test_more_values_than_a_packet_has_are_not_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Eight megabytes of the shortest numbers would be hundreds as numbers: told, and not taken in."""
    shutil.copytree(packet_of("bed"), tmp_path / "packet")
    (tmp_path / "packet" / "packet.json").write_text("[" + "1," * 4_000_001 + "1]", encoding="utf-8")
    assert main(["prove", str(tmp_path / "packet")]) == 2
    assert "too-large" in capsys.readouterr().err


def test_an_outline_that_touches_itself_is_one(tmp_path: Path) -> None:
    """Corners on a line, or one met twice, enclose the same area: rounding may write that."""
    shutil.copytree(packet_of("bed"), tmp_path / "packet")
    place = tmp_path / "packet" / "packet.json"
    content = json.loads(place.read_bytes())
    outline = solid(content)
    outline.append(list(outline[-1]))
    x, y = outline[0]
    outline[:1] = [[x, y], [x - 5.0, y], [x, y]]  # a spur, out and back
    place.write_text(json.dumps(content), encoding="utf-8")
    assert main(["prove", str(tmp_path / "packet")]) == 0


@pytest.mark.parametrize("name", ["packet.json", "programs/1b-bed.ngc"])
def test_a_pipe_is_not_waited_for(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is no plain file is told as that, where a reader would wait for ever."""
    shutil.copytree(packet_of("bed"), tmp_path / "packet")
    (tmp_path / "packet" / name).unlink()
    os.mkfifo(tmp_path / "packet" / name)
    assert main(["prove", str(tmp_path / "packet")]) in {1, 2}
    heard = capsys.readouterr()
    assert "neither a file nor a folder" in heard.out + heard.err
