"""A person at a terminal begins a shop: each answer is judged at its question, and none is ever lost."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from stockwright.calls.asking import Answers
from stockwright.documents import read_document
from stockwright.documents.described import TABLES
from stockwright.documents.hold_downs import WedgePart
from stockwright.documents.shop import Area, FencePart, ShopDocument, ToolPart, Travel
from stockwright.mistakes import InputError, Mistake
from stockwright.starting import shop as starting
from stockwright.starting.judging import judged, words_of
from stockwright.starting.shop import DraftKept, new_shop

ANSWERS = Path(__file__).with_name("small_shop_answers.txt").read_text(encoding="utf-8")


def _told(folder: Path, *changed: tuple[str, str]) -> tuple[str, Path]:
    """Return what a person was shown, and the shop; some answers are others, or several lines."""
    text = ANSWERS
    for old, new in changed:
        assert old in text
        text = text.replace(old, new, 1)
    shown, out = io.StringIO(), folder / "attic.yaml"
    new_shop(out, Answers(io.StringIO(text), person=True, shown=shown))
    return shown.getvalue(), out


def test_a_travel_of_one_place_is_asked_again_at_once(tmp_path: Path) -> None:
    """700 mm alone is refused where it is asked, not after everything else, and the right range counts."""
    shown, out = _told(tmp_path, ("0 mm to 600 mm\n", "700 mm\n0 mm to 600 mm\n"))
    assert "got 700 mm alone, expected a range from one place to another\nhow far" in shown
    assert read_document(out, "shop").model.machine.travel.x == (0, 600)


def test_a_piece_of_fence_and_a_post_are_judged_at_their_questions(tmp_path: Path) -> None:
    """A piece from 1400 mm to nowhere and a dialect that nobody installed are asked for again."""
    shown, out = _told(tmp_path, ("100 mm to 500 mm\n", "500 mm\n100 mm to 500 mm\n"))
    assert "got 500 mm alone" in shown
    assert read_document(out, "shop").model.fence.pieces == ((100, 500),)
    out.unlink()
    shown, out = _told(tmp_path, ("rs274-ngc\n", "rs247\nrs274-ngc\n"))
    assert "no post is called 'rs247'" in shown
    assert read_document(out, "shop").model.post == "rs274-ngc"


def test_figures_of_a_controller_are_known_when_seen(tmp_path: Path) -> None:
    """A z travel that ends at 0 is asked again, saying what is measured and from where."""
    shown, out = _told(tmp_path, ("40 mm to 120 mm\n", "-80 mm to 0 mm\n5 mm\n40 mm to 120 mm\n"))
    assert "looks like a controller's figures" in shown
    assert "got 5 mm alone" in shown
    assert "z, height of the spindle nose above the bed, lowest to highest" in shown
    assert read_document(out, "shop").model.machine.travel.z == (40, 120)


def test_the_default_stays_after_a_bad_answer(tmp_path: Path) -> None:
    """What stands in brackets still stands there when the question comes again."""
    shown, _ = _told(tmp_path, ("18 mm\n1\n100 mm to 500 mm", "18 mm\nmany\n\n100 mm to 500 mm"))
    again = shown[shown.index("got 'many'") :]
    assert "than one long one [1]: " in again.splitlines()[1]


def test_a_question_mark_says_more_and_back_goes_back(tmp_path: Path) -> None:
    """`?` shows the key and how it is written; `back` asks the question before again, and the rest stays."""
    shown, out = _told(tmp_path, ("800 W\n", "900 W\n?\nback\n800 W\n"))
    assert "`nose-diameter`: how wide the spindle's body is above the nut. It is written as" in shown
    assert shown.count("how much power it has") == 2
    model = read_document(out, "shop").model
    assert (model.spindle.power, model.spindle.nose_diameter, model.name) == (800, 65, "attic")


def test_a_question_mark_says_how_to_find_out(tmp_path: Path) -> None:
    """Of the fence's angle `?` says how it is measured; of a wedge's angle it says no such thing."""
    shown, _ = _told(tmp_path, ("0.05 deg\n", "?\n0.05 deg\n"))
    assert "To find out: let the spindle carry a gauge" in shown
    assert (WedgePart, "angle") not in starting.FOUND_OUT
    for part, key in starting.FOUND_OUT:
        assert key in TABLES[part.__name__]


def test_a_name_of_two_words_is_shown_as_it_may_be_written(tmp_path: Path) -> None:
    """`toe clamp` is no name, and the answer says that `toe-clamp` is."""
    shown, _ = _told(tmp_path, ("top-clamp\ntoe-clamp\n", "top-clamp\nToe clamp\ntoe-clamp\n"))
    assert "; write 'toe-clamp'\nwhat it is called here" in shown


def test_commas_may_stand_in_lists(tmp_path: Path) -> None:
    """What a cutter may do is taken with commas as well as with spaces, and shims as they are said."""
    facer = "2\nfacer\nfacing-cutter\n\n"
    _, out = _told(tmp_path, (facer, "2\nfacer\nfacing-cutter\nface, bed\n"), ("0.2 mm, 1 mm", "0.2 mm 1 mm"))
    model = read_document(out, "shop").model
    assert (model.tools["facer"].does, model.shims) == (("face", "bed"), (0.2, 1.0))
    assert words_of("edge,end , bed") == ["edge", "end", "bed"]


def test_no_name_and_no_size_is_taken_twice(tmp_path: Path) -> None:
    """A second cutter of the same name is asked for another one."""
    shown, out = _told(tmp_path, ("\n\nend-mill\n", "\nfacer\n\nend-mill\n"))
    assert "'facer' is called so already, expected another name" in shown
    assert list(read_document(out, "shop").model.tools) == ["facer", "cutter2"]


def test_answers_are_kept_though_the_whole_is_wrong(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the document is not right at the end it is kept as a draft, and its mistakes are named in it."""

    def wrong(path: Path, _text: str, _kind: str) -> None:
        raise InputError([Mistake(str(path), 7, 35, "out-of-range", "got 1, expected 2", "say 2")])

    monkeypatch.setattr(starting, "begin", wrong)
    with pytest.raises(DraftKept) as kept:
        _told(tmp_path)
    text = (tmp_path / "attic.yaml").read_text(encoding="utf-8")
    assert text.endswith("# a draft; not right yet:\n#   line 7: got 1, expected 2; say 2\n")
    assert "max-feed: 3 m/min" in text
    assert f"{tmp_path / 'attic.yaml'}:7:35: out-of-range" in kept.value.lines[0]


@pytest.mark.parametrize(
    ("part", "key", "wrong"),
    [
        (Travel, "x", "5 mm"),
        (Area, "y", "600 mm"),
        (FencePart, "angle", "120 deg"),
        (ToolPart, "stepover", "140 %"),
        (ToolPart, "marked-max", "18000"),
        (ShopDocument, "longest-span", "10 mm"),
    ],
)
def test_the_model_itself_is_the_judge(part: type, key: str, wrong: str) -> None:
    """What the document would refuse, or take without its unit, the question refuses too."""
    with pytest.raises(Exception, match="got"):
        judged(part, key)(wrong)
