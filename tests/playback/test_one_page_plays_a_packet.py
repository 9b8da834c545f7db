"""The page as text: what it carries, how large it is, and that it runs nothing but its own script."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from small_packet import small_packet, small_texts
from stockwright.motion.timing import run_time, run_times
from stockwright.playback import playback
from stockwright.playback.lines import LONGEST, MOST_TEXT, lines_of
from stockwright.playback.packing import STEP, unpacked
from stockwright.proving.readers import READERS

if TYPE_CHECKING:
    from stockwright.packet.model import Packet

LARGEST_PAGE = 2_000_000  # bytes


def _data(page: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(page.split('id="data">')[1].split("</script>", maxsplit=1)[0])
    return found


def _programs(data: dict[str, Any]) -> list[dict[str, Any]]:
    return [program for setup in data["setups"] for program in setup["programs"]]


def slat() -> tuple[Packet, dict[str, str]]:
    """Return the small packet with times, which a packet made by hand leaves open."""
    packet = small_packet()
    setups = [
        setup.model_copy(
            update={"programs": [p.model_copy(update={"seconds": 90.0}) for p in setup.programs]}
        )
        for setup in packet.setups
    ]
    return packet.model_copy(update={"setups": setups}), small_texts()


def test_the_page_carries_what_the_text_says() -> None:
    """The places on the page are those that the proof's reader reads, to half a hundredth."""
    packet, texts = slat()
    for program in _programs(_data(playback(packet, texts))):
        read = READERS["rs274-ngc"](texts[program["file"]]).moves
        known = np.isfinite(read.end).all(axis=1)
        x = np.cumsum(unpacked(program["steps"]["x"])) * STEP
        z = np.cumsum(unpacked(program["steps"]["z"])) * STEP
        assert int(unpacked(program["steps"]["moves"]).sum()) == len(read)
        assert x[-1] == pytest.approx(read.end[-1, 0], abs=STEP / 2 + 1e-9)
        assert z.min() == pytest.approx(read.end[known, 2].min(), abs=STEP / 2 + 1e-9)


def test_time_is_the_sheets() -> None:
    """Each program lasts on the page as long as the packet says."""
    packet, texts = slat()
    stated = {p.file: p.seconds for setup in packet.setups for p in setup.programs}
    for program in _programs(_data(playback(packet, texts))):
        last = unpacked(program["steps"]["till"]).sum() * STEP
        assert last == pytest.approx(stated[program["file"]], abs=0.02)


def test_times_of_the_pieces_make_up_the_whole() -> None:
    """A chain's time is that of its pieces summed, none below what its top speed allows."""
    length, cap = np.array([10.0, 200.0, 30.0]), np.array([50.0, 80.0, 20.0])
    each = run_times(length, cap, np.full(3, 400.0), np.array([10.0, 5.0]))
    assert float(each.sum()) == pytest.approx(run_time(length, cap, np.full(3, 400.0), np.array([10.0, 5.0])))
    assert (each >= length / cap).all()


def test_nothing_in_a_name_or_a_line_ends_the_data() -> None:
    """Names and lines that would end the script or begin another are only text in the page's data."""
    packet, texts = slat()
    hostile = "</script><script>alert(1)</script><!--\u2028"
    file = next(iter(texts))
    setup = packet.setups[0].model_copy(update={"title": hostile})
    packet = packet.model_copy(update={"job": hostile, "setups": [setup, *packet.setups[1:]]})
    texts[file] = texts[file].replace("M30", f"({hostile})\nM30", 1)
    page = playback(packet, texts)
    assert "alert(1)</script>" not in page
    assert len(re.findall("<script", page)) == 2
    data = _data(page)
    assert data["setups"][0]["title"] == hostile


def test_the_policy_names_the_one_script() -> None:
    """The page's policy allows nothing but the script whose digest it gives, and fetches nothing."""
    page = playback(*slat())
    script = page.split("<script>")[1].split("</script>")[0]
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'" in page
    assert not re.search(r"https?://|\bimport\b|fetch\(|XMLHttp|url\(|src=", page)


def test_equal_packets_give_equal_pages() -> None:
    """The same packet and texts give the same page, byte for byte, read anew or not."""
    packet, texts = slat()
    known = {file: READERS["rs274-ngc"](text) for file, text in texts.items()}
    assert playback(packet, texts) == playback(packet, dict(texts)) == playback(packet, texts, known)


def test_a_file_that_no_reader_reads_whole_is_not_played() -> None:
    """A line that the reader does not know keeps the whole file off the page, and the page says why."""
    packet, texts = slat()
    file = next(iter(texts))
    texts[file] = texts[file].replace("M30", "G77 X1\nM30", 1)
    program = next(p for p in _programs(_data(playback(packet, texts))) if p["file"] == file)
    assert program["steps"] is None
    assert "no reader" in program["why"]


def test_a_program_of_years_is_not_played() -> None:
    """A packet that says a program runs for centuries: its times are told as too long, not carried."""
    packet = small_packet()
    slow = [
        each.model_copy(update={"programs": [p.model_copy(update={"seconds": 1e12}) for p in each.programs]})
        for each in packet.setups
    ]
    packet = packet.model_copy(update={"setups": slow})
    found = _programs(_data(playback(packet, small_texts())))
    assert {each["steps"] for each in found} == {None}
    assert all("more than a year" in each["why"] for each in found)


@pytest.mark.wide
def test_a_long_program_keeps_the_page_small() -> None:
    """A hundred thousand crooked lines, the worst to carry, stay on a page of two million bytes."""
    packet, texts = slat()
    file = next(file for file in texts if "G1" in texts[file])
    rng = np.random.default_rng(11)
    places = np.cumsum(rng.uniform(-1, 1, (100_000, 2)), axis=0)
    head, tail = texts[file].split("M5", 1)
    more = "\n".join(f"G1 X{x:.3f} Y{y:.3f}" for x, y in places.tolist())
    texts[file] = f"{head}G1 X0.0 Y0.0 F1000\n{more}\nM5{tail}"
    page = playback(packet, texts)
    program = next(p for p in _programs(_data(page)) if p["file"] == file)
    assert program["why"] == ""
    assert program["steps"]["off"] > 0.01
    assert len(page.encode()) <= LARGEST_PAGE
    assert len(unpacked(program["lines"]["numbers"])) == len(program["lines"]["text"].split("\n"))


def test_lines_that_are_too_long_to_carry_leave_their_numbers() -> None:
    """Beyond the bound on text a file's lines are numbers only; a short file beside it keeps its lines."""
    long = "\n".join("(" + "w" * 58 + ")" for _ in range(MOST_TEXT // 50))
    found = lines_of({"long": long, "short": "G1 X1\n" + "y" * 300}, {"long": None, "short": None})
    assert found["short"]["text"] == "G1 X1\n" + "y" * LONGEST
    assert found["long"]["count"] == MOST_TEXT // 50
    assert "numbers" in found["long"]
