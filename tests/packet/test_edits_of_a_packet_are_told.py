"""A packet edited by hand is proven as it now is, but not without a word: `prove` says what was changed."""

from __future__ import annotations

import json
import shutil
from typing import TYPE_CHECKING, Any

from made_packets import packet_of
from stockwright.packet.disk import read_packet

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


def notes(folder: Path, change: Callable[[dict[str, Any]], object] | None = None) -> list[str]:
    """Change a fresh copy's packet.json, read the packet back, and give what is said of it."""
    if not folder.exists():
        shutil.copytree(packet_of("bed"), folder)
    place = folder / "packet.json"
    content = json.loads(place.read_bytes())
    if change is not None:
        change(content)
        place.write_text(json.dumps(content, indent=4), encoding="utf-8")
    return read_packet(folder)[2]


def test_a_packet_as_it_was_made_has_nothing_to_tell(tmp_path: Path) -> None:
    """Neither as it was delivered nor laid out otherwise is anything said: the values are the same."""
    assert notes(tmp_path / "packet") == []
    assert notes(tmp_path / "packet", lambda _: None) == []


def test_edited_facts_are_named(tmp_path: Path) -> None:
    """A margin taken away, a cutter made smaller, a zero taken elsewhere: each is told by its name."""
    said = "packet.json is not as it was made: what it says of {} differs; the sheet may say otherwise"
    folder = tmp_path / "packet"
    assert notes(folder, lambda p: p["machine"].update(margin=0)) == [said.format("machine")]
    assert notes(folder, lambda p: p["setups"][0]["zero"].update(how="on the board")) == [
        said.format("machine and setups")
    ]
    tool = next(iter(json.loads((folder / "packet.json").read_bytes())["tools"]))
    more = notes(folder, lambda p: p["tools"][tool].update(ramp=90))
    assert more == [said.format("machine, setups and tools")]
    assert notes(tmp_path / "other", lambda p: p.update(wanted={})) == []  # a bed has none
    assert notes(tmp_path / "third", lambda p: p.pop("digests")) == [
        "packet.json has no digests, so nothing can show whether it is as it was made"
    ]


def test_an_edited_page_is_named(tmp_path: Path) -> None:
    """A page with one letter changed is told, and whichever; one that is gone misleads nobody."""
    folder = tmp_path / "packet"
    assert notes(folder) == []
    for name in ("sheet.html", "sheet.pdf", "playback.html"):
        page = (folder / name).read_bytes()
        (folder / name).write_bytes(page[:-9] + b"?" + page[-8:])
        assert notes(folder) == [f"{name} is not as it was made: do not work from it"]
        (folder / name).unlink()
        assert notes(folder) == []


def test_a_program_that_no_list_names_is_told(tmp_path: Path) -> None:
    """A file among the programs that the packet does not list is proven by nobody; many are counted."""
    shutil.copytree(packet_of("bed"), tmp_path / "packet")
    for number in range(12):
        (tmp_path / "packet" / "programs" / f"9{number:02}.ngc").write_text("G0 Z-50\n", encoding="utf-8")
    told = notes(tmp_path / "packet")
    assert told[0] == "programs/900.ngc is not in the packet's list of programs: nothing is proven of it"
    assert told[9:] == [told[0].replace("900", "909"), "2 more that are not in the list"]
