"""Trials at the machine: harmless programs, a card, and a profile out of the answers."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import stockwright_posts
from programs import program
from stockwright.bind.shop import bind_shop
from stockwright.documents import read_document
from stockwright.findings import Refused
from stockwright.mistakes import InputError
from stockwright.posting import WordAddress, found, load_post, load_profile
from stockwright.proving.readers import READERS
from stockwright.trying import Room, Trial, making, profile_of, room_of, trial_of
from stockwright.trying.card import answer_sheet, card
from stockwright.trying.questions import QUESTIONS

if TYPE_CHECKING:
    from stockwright.machine import Shop
    from stockwright.posting import Units

WORDY = [name for name in found() if isinstance(load_post(name), WordAddress)]
SHOP = Path(stockwright_posts.__file__).parents[2] / "examples" / "stair-tread" / "shop.yaml"


def made(name: str = "rs274-ngc", units: Units = "mm", room: Room | None = None) -> Trial:
    """Give a trial."""
    post = load_post(name)
    assert isinstance(post, WordAddress)
    return trial_of(post, units, room or Room())


def shop() -> Shop:
    """Give the shop of an example."""
    return bind_shop(read_document(SHOP, "shop").model, "rs274-ngc", "mm")


@pytest.mark.parametrize("name", WORDY)
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_no_program_of_a_trial_does_harm(name: str, units: Units) -> None:
    """No spindle start, no relay, no tool, no offset, no Z but 0, no number above what 10 mm is."""
    for each in made(name, units).programs:
        acts = re.sub(r"\([^()]*\)|^N[0-9]+", "", each.text, flags=re.MULTILINE)
        assert not re.search(
            r"M0*([346789]|1[0-9]|[2-9][0-9])\b|S|T|G0*(10|28|30|38|43|53|9[12])\b", acts.replace("M30", "")
        )
        assert {float(z) for z in re.findall(r"Z([-+0-9.]+)", acts)} <= {0.0}
        for letter, value in re.findall(r"([XYIJR])([-+0-9.]+)", acts):
            assert abs(float(value)) <= 10.0, (each.file, letter)
        assert re.search(r"M0?5\s*\n(N[0-9]+ ?)?M0?(2|30)\s*\n%?\s*$", acts.replace(" ", "")), each.file


def test_most_programs_are_read_back_by_the_standards_reader() -> None:
    """All but those whose word is the question; what is read goes nowhere but 10 mm around, at z 0."""
    programs = made().programs
    assert [each.file for each in programs if not each.read] == ["t01b.ngc", "t11b.ngc"]
    for each in programs:
        if each.read:
            moves = READERS["rs274-ngc"](each.text).moves
            assert abs(moves.end[:, :2]).max() <= 10.0
            assert set(moves.end[:, 2].tolist()) == {0.0}


def test_each_pair_differs_in_the_trait_that_is_asked_and_nothing_else() -> None:
    """Two programs of one question are not the same text."""
    for question in QUESTIONS:
        texts = [each.text for each in made().programs if each.question == question.name]
        assert len(set(texts)) == len(texts) == len(question.tries)


def test_a_program_that_would_do_harm_is_not_given() -> None:
    """The look at each word refuses a spindle start, a height, a long way, a long wait."""
    for line in ("M3", "S9000", "G1 Z1.0", "G1 X99.0", "G4 P500.0", "G28", "M8", "G1 X1,5"):
        with pytest.raises(ValueError, match="t99"):
            making._look_at_words(f"G21\n{line}\nM2\n", "t99", 4.0, "mm")


def test_the_room_is_worked_out_from_the_shop() -> None:
    """Ten below the top of travel, in its middle; too low or too narrow is refused with both numbers."""
    room = room_of(shop())
    assert room.place == (700.0, 450.0, 150.0)
    assert room.size == 4.0
    low = replace(shop(), machine=replace(shop().machine, z=(0.0, 60.0)))
    with pytest.raises(Refused) as raised:
        room_of(low)
    [finding] = raised.value.findings
    assert (finding.rule, finding.limit) == ("trial-too-low", 50.0)
    assert finding.measured is not None
    assert finding.measured < 50.0
    narrow = replace(shop(), machine=replace(shop().machine, x=(0.0, 250.0)))
    assert room_of(narrow).size == 1.9  # 125 mm of half the travel / 25.4 / 2.5
    with pytest.raises(Refused, match="leave the travel"):
        room_of(replace(shop(), machine=replace(shop().machine, x=(0.0, 40.0))))


def test_the_card_says_what_to_see_and_what_it_sets() -> None:
    """Every file, every answer and every key stands on it; cautions come before the first program."""
    trial = made(room=room_of(shop()))
    page = card(trial)
    for each in trial.programs:
        assert f"<code>{each.file}</code>" in page
    for question in QUESTIONS:
        for answer in question.answers:
            assert f"<code>{answer.word}</code>" in page
            assert all(f"{key}: " in page for key in answer.sets)
    assert page.index("manual comes first") < page.index("spindle off") < page.index("t01a")
    assert "X 700, Y 450, Z 150" in page
    assert "{" not in page.split("</style>")[1]


@pytest.mark.wide
@pytest.mark.parametrize("name", WORDY)
def test_every_answer_makes_a_profile_that_loads_and_writes(name: str, tmp_path: Path) -> None:
    """Each answer by itself, in either units; the profile has the trait that the card says."""
    path = tmp_path / "answers.yaml"
    for question in QUESTIONS:
        for answer in question.answers:
            head = f"stockwright: trial/1\nname: found-out\nextends: {name}\nunits: mm\nanswers:\n"
            path.write_text(f"{head}  {question.name}: {answer.word}\n", encoding="utf-8")
            text = profile_of(path)
            for key in answer.sets:
                assert (f"\n{key}: " in text) == (key != "inch-word")
            profile = tmp_path / "profile.yaml"
            profile.write_text(text, encoding="utf-8")
            assert load_profile(profile).write(program(), "mm")


def test_the_sheet_of_answers_is_its_own_example(tmp_path: Path) -> None:
    """With every # taken away the sheet is a valid one, and its first answers a whole profile."""
    sheet = re.sub(r"(?m)^  # (\S+: \S+).*$", r"  \1", answer_sheet(made("lean-serial", "inch")))
    path = tmp_path / "answers.yaml"
    path.write_text(sheet, encoding="utf-8")
    text = profile_of(path)
    assert "extends: lean-serial\nunits: inch\ninch-word: G20\n" in text
    assert text.count("\n") > 20


def test_every_mistake_of_a_sheet_is_told_at_once(tmp_path: Path) -> None:
    """With its line, and the nearest right spelling."""
    path = tmp_path / "answers.yaml"
    path.write_text(
        "stockwright: trial/1\nname: Not Good\nextend: rs274-ngc\nunits: mm\n"
        "answers:\n  spacs: both\n  arcs: roundish\n  end: [a]\n",
        encoding="utf-8",
    )
    with pytest.raises(InputError) as raised:
        profile_of(path)
    told = [(m.line, m.code) for m in raised.value.mistakes]
    assert told == [
        *((1, "missing-key"), (2, "unknown-word"), (3, "unknown-key")),
        *((6, "unknown-name"), (7, "unknown-word"), (8, "unknown-word")),
    ]
    assert "did you mean 'spaces'?" in str(raised.value)


def test_an_unknown_dialect_is_told_of_the_sheet(tmp_path: Path) -> None:
    """A profile that would not load is not given."""
    path = tmp_path / "answers.yaml"
    path.write_text("stockwright: trial/1\nname: a\nextends: rs275\nunits: mm\nanswers:\n  arcs: both\n")
    with pytest.raises(InputError, match="no post is called 'rs275'"):
        profile_of(path)
