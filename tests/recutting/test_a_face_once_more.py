"""Spots left on a face, a whole face deeper: what comes after keeps its truth, or both numbers are said."""

from __future__ import annotations

import itertools
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest

from made_packets import bare_packet_of
from stockwright.findings import Refused
from stockwright.mistakes import InputError
from stockwright.packet.deliver import deliver
from stockwright.packet.disk import read_packet
from stockwright.packet.model import PlaneGoal, dump_packet, load_packet
from stockwright.packet.sheet_pdf import as_pdf
from stockwright.proving import prove
from stockwright.proving.readers import READERS
from stockwright.recutting import again
from stockwright.recutting.asking import Asked, Words, asked
from stockwright.recutting.telling import pages

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.packet.model import Packet
    from stockwright.recutting.whole import Recut

pytestmark = pytest.mark.usefixtures("no_paper")
BOARD = "ash plank 3"


@cache
def recut(what: Asked) -> Recut:
    """Cut the example's packet once more; each answer is reckoned once."""
    return again(bare_packet_of(), what)


def face(packet: Packet, setup: int) -> PlaneGoal:
    """Return the flat goal of a setup."""
    goals = next(s.goals for s in packet.setups if s.index == setup)
    return next(goal for goal in goals if isinstance(goal, PlaneGoal))


def test_a_first_face_deeper_keeps_the_thickness() -> None:
    """Face A 0.4 mm deeper: the board then lies 0.4 mm lower, and ends 27 mm thick all the same."""
    before = load_packet((bare_packet_of() / "packet.json").read_text())
    made = recut(asked(Words(setup=1, deeper="0.4 mm")))
    assert made.packet.proof.verdict == "proven"
    assert face(made.packet, 1).z == pytest.approx(face(before, 1).z - 0.4, abs=1e-6)
    assert face(made.packet, 2) == face(before, 2)
    for old, new in zip(before.setups[1:], made.packet.setups[1:], strict=True):
        sunk = np.array(new.lies[0].matrix) - np.array(old.lies[0].matrix)
        assert sunk[2, 3] == pytest.approx(-0.4, abs=1e-6)
        assert np.abs(np.delete(sunk.ravel(), 11)).max() == 0
    assert made.packet.finished[BOARD].thickness == pytest.approx((27.0, 27.0), abs=0.01)
    # The heights to read before the second face are those of a board that lies lower.
    for old_check, new_check in zip(
        before.setups[1].seat_check, made.packet.setups[1].seat_check, strict=True
    ):
        assert new_check[2] == pytest.approx(old_check[2] - 0.4, abs=1e-6)


def test_without_the_shift_of_later_setups_the_proof_refuses() -> None:
    """The proof takes the deeper face at its word: later setups as they were are refused."""
    folder = bare_packet_of()
    before = load_packet((folder / "packet.json").read_text())
    made = recut(asked(Words(setup=1, deeper="0.4 mm")))
    stale = made.packet.model_copy(
        update={
            "setups": [
                made.packet.setups[0],
                *(
                    new.model_copy(update={"lies": old.lies})
                    for old, new in zip(before.setups[1:], made.packet.setups[1:], strict=True)
                ),
            ]
        }
    )
    texts = {p.file: made.files[p.file].decode() for s in stale.setups for p in s.programs}
    outcome = prove(stale, texts)
    assert outcome.proof.verdict == "refused"
    finished = outcome.finished[BOARD]
    assert finished.thickness is not None
    assert finished.thickness[0] == pytest.approx(26.6, abs=0.05)


def test_a_first_face_so_deep_that_wood_is_missing_is_refused_with_both_thicknesses() -> None:
    """The greatest thickness still to be had stands against the wanted one, and the remedy works."""
    with pytest.raises(Refused) as caught:
        recut(asked(Words(setup=1, deeper="8 mm")))
    finding = caught.value.findings[0]
    assert finding.rule == "too-little-wood-left"
    assert finding.limit == 27.0
    assert finding.measured is not None
    assert finding.measured < 27.0
    most = finding.remedy.split("go at most ")[1].split(" deeper")[0]
    assert recut(asked(Words(setup=1, deeper=most))).packet.proof.verdict == "proven"


def test_a_second_face_deeper_is_a_thinner_board_and_needs_a_word() -> None:
    """Face B deeper than the tolerance is refused with both numbers; with --thinner that is wanted."""
    with pytest.raises(Refused) as caught:
        recut(asked(Words(setup=2, deeper="0.5 mm")))
    finding = caught.value.findings[0]
    assert (finding.rule, finding.measured, finding.limit) == ("thinner-than-wanted", 26.5, 26.7)
    made = recut(asked(Words(setup=2, deeper="0.5 mm", thinner=True)))
    assert made.packet.proof.verdict == "proven"
    assert made.packet.finished[BOARD].thickness == pytest.approx((26.5, 26.5), abs=0.01)
    clamps = [s for s in made.packet.setups[2].solids if s.name == "toe-clamp 1 arm"]
    assert [clamp.bottom for clamp in clamps] == [26.5]  # they press on the thinner board


def test_a_second_face_within_its_tolerance_needs_none() -> None:
    """0.2 mm of the 0.3 mm that the thickness may be out by is taken without a word."""
    made = recut(asked(Words(setup=2, deeper="0.2 mm")))
    assert made.packet.wanted[BOARD].thickness == 27.0
    assert made.packet.proof.verdict == "proven"


def test_a_deep_face_goes_in_steps_no_deeper_than_before() -> None:
    """3 mm more are taken in steps that the program itself has taken."""
    made = recut(asked(Words(setup=1, deeper="3 mm")))
    texts = {name: content.decode() for name, content in made.files.items() if "/" in name}
    read = READERS["rs274-ngc"]

    def levels(text: str) -> list[float]:
        moves = read(text).moves
        return sorted({float(z) for z in moves.end[~moves.rapid][:, 2]}, reverse=True)

    old, new = levels(texts["done/1b-face-a.ngc"]), levels(texts["programs/1c-face-a-again.ngc"])
    assert new[-1] == pytest.approx(old[-1] - 3.0, abs=0.0015)
    widest = max(a - b for a, b in itertools.pairwise(old))
    assert max(a - b for a, b in itertools.pairwise([old[-1], *new])) <= widest + 0.002


def test_a_proud_spot_is_passed_over_at_the_same_height() -> None:
    """Only passes near the spot are run, at the face's own height, each from outside the wood."""
    spot = (300.0, 150.0)
    made = recut(asked(Words(setup=1, spots=("300 mm, 150 mm",), proud=True)))
    assert made.packet.proof.verdict == "proven"
    text = made.files["programs/1c-face-a-again.ngc"].decode()
    moves = READERS["rs274-ngc"](text).moves
    cutting = ~moves.rapid & (moves.start[:, 2] == moves.end[:, 2])
    assert np.unique(moves.end[cutting, 2]) == pytest.approx([face(made.packet, 1).z], abs=0.001)
    radius = made.packet.tools["wide-facer"].diameter / 2
    away = np.abs(moves.end[cutting, 1] - spot[1])
    assert away.min() < radius  # the spot itself is cleared
    assert away.max() < 2 * radius  # and nothing far from it is run
    low, high = sorted((moves.start[cutting, 0].min(), moves.end[cutting, 0].max()))
    assert low < spot[0] - radius < spot[0] + radius < high


def test_a_spot_higher_than_a_bite_is_taken_in_steps() -> None:
    """A height read at the spot is divided into steps, the last one at the face's height."""
    made = recut(asked(Words(setup=1, spots=("300 mm, 150 mm",), height="4 mm")))
    moves = READERS["rs274-ngc"](made.files["programs/1c-face-a-again.ngc"].decode()).moves
    cutting = ~moves.rapid & (moves.start[:, 2] == moves.end[:, 2])
    levels = np.unique(moves.end[cutting, 2])
    assert len(levels) >= 2
    assert levels[0] == pytest.approx(face(made.packet, 1).z, abs=0.001)
    assert np.diff(levels).max() <= 2.01
    assert made.packet.proof.verdict == "proven"


def test_a_height_below_the_face_lowers_the_whole_of_it() -> None:
    """A hollow is not cured at the same height: the whole face goes under it by a tenth."""
    words = Words(setup=1, spots=("300 mm, 150 mm",), height="-0.3 mm")
    found = asked(words)
    assert found.proud is None
    assert found.deeper == pytest.approx(0.4)
    assert recut(found).planned.said.endswith("0.4 mm deeper")


def test_a_bed_is_skimmed_deeper_too() -> None:
    """A flat goal that is no board's is lowered like a face."""
    made = again(bare_packet_of("bed"), asked(Words(setup=1, deeper="0.2 mm")))
    assert face(made.packet, 1).z == pytest.approx(-0.7)
    assert made.packet.proof.verdict == "proven"


@pytest.mark.wide
def test_once_more_after_once_more(tmp_path: Path) -> None:
    """A packet of `again` is a packet: face A twice deeper, then a stop in the second of them, all proven."""
    first, second = tmp_path / "first", tmp_path / "second"
    deliver(first, recut(asked(Words(setup=1, deeper="0.3 mm"))).files)
    deliver(second, again(first, asked(Words(setup=1, deeper="0.3 mm"))).files)
    assert (second / "programs" / "1d-face-a-again.ngc").is_file()
    assert (second / "done" / "1c-face-a-again.ngc").is_file()
    lines = (second / "programs" / "1d-face-a-again.ngc").read_text().splitlines()
    at = next(k for k, words in enumerate(lines, 1) if words.startswith("G1 Y")) + 2
    third = again(second, asked(Words(stopped=f"1d-face-a-again.ngc:{at}")))
    assert third.packet.proof.verdict == "proven"
    assert len(third.packet.again) == 3
    facts, texts, notes = read_packet(second)
    assert notes == []
    assert prove(facts, texts).proof.verdict == "proven"


def test_a_setup_that_is_over_is_not_cut_again(tmp_path: Path) -> None:
    """Once setup 2 has been run, face A lies underneath: setup 1 is refused by name."""
    deliver(tmp_path / "second", recut(asked(Words(setup=2, deeper="0.2 mm"))).files)
    with pytest.raises(InputError, match="already-run"):
        again(tmp_path / "second", asked(Words(setup=1, deeper="0.1 mm")))
    with pytest.raises(InputError, match="already-run"):
        again(tmp_path / "second", asked(Words(stopped="2b-face-b.ngc:40")))


def test_only_what_is_to_be_run_lies_in_programs() -> None:
    """What has been run lies in done/; the earlier packet stays byte for byte as it was."""
    folder = bare_packet_of()
    before = {path: path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}
    made = again(folder, asked(Words(setup=2, deeper="0.2 mm")))
    names = sorted(name for name in made.files if "/" in name)
    assert [name for name in names if name.startswith("done/")] == [
        "done/1a-outline.ngc",
        "done/1b-face-a.ngc",
        "done/2b-face-b.ngc",
    ]
    assert made.files["done/1b-face-a.ngc"] == (folder / "programs/1b-face-a.ngc").read_bytes()
    listed = {p.file: p.done for s in made.packet.setups for p in s.programs}
    assert sorted(listed) == names
    assert all(done == file.startswith("done/") for file, done in listed.items())
    assert before == {path: path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def test_the_sheet_begins_with_what_is_to_be_done_now() -> None:
    """The first page says it, setups that are over have no page, and no file that has been run is listed."""
    made = recut(asked(Words(stopped="2b-face-b.ngc:60")))
    page = made.files["sheet.html"].decode()
    assert page.index("Now: setup 2: 2b-face-b.ngc stopped") < page.index("The wood")
    assert 'id="setup-1"' not in page
    assert 'id="setup-2"' in page
    assert ">2b-face-b.ngc<" not in page
    assert ">2b2-on-face-b.ngc<" in page
    for told in ("New cutter, always: take z anew", "take x and y anew too", "A control reads ahead"):
        assert told in page
    text = made.files["programs/2b2-on-face-b.ngc"].decode()
    assert "take z anew" in text
    assert "take x - y and z anew" in text
    texts = {p.file: made.files[p.file].decode() for s in made.packet.setups for p in s.programs}
    assert as_pdf(pages(made.packet, texts, made.planned)).startswith(b"%PDF-")


@pytest.mark.wide
def test_the_same_call_gives_the_same_bytes() -> None:
    """Two runs of one call agree in every byte, the sheet included."""
    words = Words(setup=1, spots=("300 mm, 150 mm", "12 in, 6 in"), height="0.2 mm")
    assert again(bare_packet_of(), asked(words)).files == again(bare_packet_of(), asked(words)).files


def test_words_that_the_proof_does_not_use_change_no_verdict() -> None:
    """Titles, notes, `done` and `again` are for people: the proof of a packet without them is the same."""
    made = recut(asked(Words(setup=1, deeper="0.4 mm")))
    texts = {p.file: made.files[p.file].decode() for s in made.packet.setups for p in s.programs}
    bare = made.packet.model_copy(
        update={
            "again": [],
            "setups": [
                s.model_copy(
                    update={
                        "notes": [],
                        "seat_check": [],
                        "programs": [p.model_copy(update={"title": "", "done": False}) for p in s.programs],
                    }
                )
                for s in made.packet.setups
            ],
        }
    )
    assert prove(bare, texts).proof == made.packet.proof
    assert load_packet(dump_packet(made.packet)) == made.packet


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        (Words(), ["usage"]),
        (Words(deeper="0.3 mm"), ["usage"]),
        (Words(setup=1, deeper="0.3"), ["unit-missing"]),
        (Words(setup=1, deeper="-0.3 mm"), ["out-of-range"]),
        (Words(setup=1, spots=("300 mm",)), ["usage", "wrong-type"]),
        (Words(setup=1, spots=("300, 150",), proud=True), ["unit-missing"]),
        (Words(setup=1, spots=("300 mm, 150 mm",)), ["usage"]),
        (Words(setup=1, spots=("300 mm, 150 mm",), proud=True, deeper="1 mm"), ["usage"]),
        (Words(setup=1, height="1 mm", deeper="1 mm"), ["usage", "usage"]),
        (Words(stopped="1b-face-a.ngc"), ["wrong-type"]),
        (Words(stopped="1b-face-a.ngc:30", at="1 mm,1 mm"), ["usage"]),
        (Words(stopped="1b-face-a.ngc:30", deeper="1 mm"), ["usage"]),
        (Words(setup=1, deeper="1 mm", overlap="3 mm"), ["usage"]),
    ],
)
def test_words_that_do_not_go_together_are_mistakes(words: Words, codes: list[str]) -> None:
    """What is missing, without a unit, or contradicts something else is told at once."""
    with pytest.raises(InputError) as caught:
        asked(words)
    assert sorted(mistake.code for mistake in caught.value.mistakes) == codes


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (Words(setup=9, deeper="1 mm"), "no-such-setup"),
        (Words(setup=3, deeper="1 mm"), "no-face-there"),
        (Words(setup=1, spots=("2000 mm, 150 mm",), proud=True), "outside-board"),
        (Words(setup=1, board="ash plonk 3", deeper="1 mm"), "no-such-board"),
    ],
)
def test_a_place_or_name_that_is_none_is_a_mistake(words: Words, code: str) -> None:
    """A setup, a board or a place that is none comes back with those that are."""
    with pytest.raises(InputError) as caught:
        recut(asked(words))
    assert [mistake.code for mistake in caught.value.mistakes] == [code]


def test_every_spot_outside_the_board_is_told() -> None:
    """Two places outside are two mistakes, each with its distance."""
    words = Words(setup=1, spots=("2000 mm, 150 mm", "0 mm, 0 mm", "300 mm, 150 mm"), proud=True)
    with pytest.raises(InputError) as caught:
        recut(asked(words))
    assert len(caught.value.mistakes) == 2
