"""A program that stopped in the middle: whatever the line, what was cut and what takes it up are proven."""

from __future__ import annotations

import random
from itertools import takewhile
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from made_packets import bare_packet_of
from stockwright.findings import Refused
from stockwright.mistakes import InputError
from stockwright.packet.model import PlaneGoal
from stockwright.proving import prove
from stockwright.proving.readers import READERS
from stockwright.recutting import again
from stockwright.recutting.asking import Words, asked

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.recutting.whole import Recut

pytestmark = pytest.mark.usefixtures("no_paper")
LINES = 60  # the sweep
FEW = 3  # of them in every run of the suite


def stops(folder: Path, number: int) -> list[tuple[str, int]]:
    """Return seeded places in a packet's cutting programs: file and line."""
    draw = random.Random(20261125)
    files = [f for f in sorted((folder / "programs").iterdir()) if "outline" not in f.name]
    texts = {file.name: file.read_text() for file in files}
    return [
        (name, draw.randint(1, len(texts[name].splitlines())))
        for name in (draw.choice(sorted(texts)) for _ in range(number))
    ]


def within_a_level(folder: Path) -> int:
    """Return a line of face A's program that cuts along, in the middle of its last level."""
    lines = (folder / "programs/1b-face-a.ngc").read_text().splitlines()
    along = [words.startswith(("G1 X", "G1 Y")) for words in lines]
    last = max(k for k, cuts in enumerate(along) if cuts)
    length = sum(1 for _ in takewhile(bool, reversed(along[: last + 1])))
    assert length >= 4
    return last + 1 - length // 2


def taken_up(folder: Path, name: str, line: int, overlap: str | None = None) -> Recut | str:
    """Return the new packet, or the rule that says there is nothing to take up."""
    try:
        return again(folder, asked(Words(stopped=f"{name}:{line}", overlap=overlap)))
    except Refused as refused:
        return refused.findings[0].rule


def texts_of(made: Recut) -> dict[str, str]:
    """Return the programs of a new packet."""
    return {
        name: content.decode()
        for name, content in made.files.items()
        if name.startswith(("done", "programs"))
    }


def judge(number: int, folder: Path) -> None:
    """Take up at every one of the seeded places, and judge what comes of it."""
    proven = 0
    for name, line in stops(folder, number):
        made = taken_up(folder, name, line)
        text = (folder / "programs" / name).read_text().splitlines()
        if isinstance(made, str):
            feeds = [k for k, words in enumerate(text, 1) if words.startswith("G1 ")]
            # Nothing is finished before the second pass, and nothing is left after the last one.
            assert (made == "nothing-was-cut" and line <= feeds[2]) or (
                made == "all-was-cut" and line > feeds[-1]
            ), (name, line, made)
            continue
        assert made.packet.proof.verdict == "proven"
        assert prove(made.packet, texts_of(made)).proof.verdict == "proven"
        assert made.planned.taken_up is not None
        # Never later than the line that was said: what is between is cut twice, not left out.
        cut_later = [k for k in range(line, made.planned.taken_up.line) if text[k - 1].startswith("G1 X")]
        assert cut_later == [], (name, line)
        proven += 1
    assert proven >= number // 2


@pytest.mark.wide
def test_a_stop_at_seeded_lines_is_taken_up_proven() -> None:
    """Stops drawn over the example's programs give packets that are proven from the measured board on."""
    judge(FEW, bare_packet_of())


@pytest.mark.sweep
def test_a_stop_at_sixty_lines_is_taken_up_proven() -> None:
    """Sixty stops over the example's programs give packets that are proven from the measured board on."""
    judge(LINES, bare_packet_of())


@pytest.mark.wide
def test_another_dialect_in_inches_is_taken_up_too() -> None:
    """Resolution, units and dialect are the program's own."""
    judge(2, bare_packet_of(post="lean-serial", units="inch"))


@pytest.mark.wide
def test_how_far_the_interrupted_pass_had_come_does_not_matter() -> None:
    """The rest is proven if nothing of the pass it begins with was cut, and if all of it was."""
    folder = bare_packet_of()
    middle = within_a_level(folder)
    first, second = (taken_up(folder, "1b-face-a.ngc", line) for line in (middle, middle + 1))
    assert not isinstance(first, str)
    assert not isinstance(second, str)
    done = "done/1b1-done-face-a.ngc"
    texts = texts_of(first)
    assert texts[done] != texts_of(second)[done]
    texts[done] = texts_of(second)[done]
    assert prove(first.packet, texts).proof.verdict == "proven"


@pytest.mark.wide
def test_a_rest_that_begins_too_late_is_refused() -> None:
    """The proof sees a pass that is in neither part: the verdict does not hang on the tool's own word."""
    folder = bare_packet_of()
    *_, late = (
        line
        for line, words in enumerate((folder / "programs/1b-face-a.ngc").read_text().splitlines(), 1)
        if words.startswith("G1 X")
    )
    first, second = (taken_up(folder, "1b-face-a.ngc", line) for line in (late - 4, late))
    assert not isinstance(first, str)
    assert not isinstance(second, str)
    texts = texts_of(first)
    rest = "programs/1b2-on-face-a.ngc"
    texts[rest] = texts_of(second)[rest]
    proof = prove(first.packet, texts).proof
    assert {reason.rule for reason in proof.reasons} & {"spots-left", "plunge-without-centre-edges"}


def test_a_cutter_that_cannot_plunge_comes_in_from_outside() -> None:
    """Within a level the facing cutter is lowered where its rim keeps off the wood, then comes in level."""
    folder = bare_packet_of()
    made = taken_up(folder, "1b-face-a.ngc", within_a_level(folder))
    assert not isinstance(made, str)
    moves = READERS["rs274-ngc"](texts_of(made)["programs/1b2-on-face-a.ngc"]).moves
    low = next(k for k in range(len(moves)) if not moves.rapid[k])
    goal = made.packet.setups[0].goals[0]
    assert isinstance(goal, PlaneGoal)
    rim = shapely.Point(moves.end[low, :2]).distance(shapely.Polygon(goal.region))
    assert rim > made.packet.tools["wide-facer"].diameter / 2
    assert np.isnan(moves.start[0]).all()  # nothing is known before it, so it raises first and alone
    assert moves.end[0, 2] >= np.nanmax(moves.end[:, 2])


def test_an_overlap_goes_back_along_what_was_cut() -> None:
    """A stated overlap begins that much earlier, across levels too."""
    folder = bare_packet_of()
    plain, further = (
        taken_up(folder, "1b-face-a.ngc", within_a_level(folder)),
        taken_up(folder, "1b-face-a.ngc", within_a_level(folder), overlap="1.5 m"),
    )
    assert not isinstance(plain, str)
    assert not isinstance(further, str)
    assert plain.planned.taken_up is not None
    assert further.planned.taken_up is not None
    assert further.planned.taken_up.line < plain.planned.taken_up.line


def test_a_place_says_the_same_as_its_line() -> None:
    """x, y and z of a pass find the line that lowers to it; x and y alone are asked back for their level."""
    folder = bare_packet_of()
    by_line = taken_up(folder, "3b-edge-1.ngc", 40)
    assert not isinstance(by_line, str)
    text = (folder / "programs/3b-edge-1.ngc").read_text()
    moves = READERS["rs274-ngc"](text).moves
    assert by_line.planned.taken_up is not None
    row = next(
        k
        for k in range(len(moves))
        if moves.line[k] >= by_line.planned.taken_up.line
        and moves.end[k, 2] == by_line.planned.taken_up.z
        and moves.end[k, 0] != moves.start[k, 0]
    )
    x, y, z = (moves.start[row] + moves.end[row]) / 2
    words = Words(stopped="3b-edge-1.ngc", at=f"{x:.1f}, {y:.3f}, {z:.3f} mm")
    by_place = again(folder, asked(words)).planned.taken_up
    assert by_place is not None
    assert (by_place.line, by_place.z) == (by_line.planned.taken_up.line, by_line.planned.taken_up.z)
    with pytest.raises(InputError, match="ambiguous-place"):
        again(folder, asked(Words(stopped="3b-edge-1.ngc", at=f"{x:.1f}, {y:.3f} mm")))


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (Words(stopped="1b-face-a.ngc:4000"), "no-such-line"),
        (Words(stopped="1b-face-a.ngc:0"), "no-such-line"),
        (Words(stopped="1b-fase-a.ngc:40"), "no-such-file"),
        (Words(stopped="1a-outline.ngc:14"), "cuts-nothing"),
        (Words(stopped="1b-face-a.ngc", at="300 mm, 2000 mm"), "no-such-pass"),
        (Words(stopped="1b-face-a.ngc", at="300 mm, 150 mm, 3 mm"), "no-such-pass"),
        (Words(stopped="1b-face-a.ngc:40", setup=2), "out-of-range"),
    ],
)
def test_a_stop_that_is_none_is_a_mistake(words: Words, code: str) -> None:
    """A file, a line or a place that is none comes back with those that are."""
    with pytest.raises(InputError) as caught:
        again(bare_packet_of(), asked(words))
    assert [mistake.code for mistake in caught.value.mistakes] == [code]
