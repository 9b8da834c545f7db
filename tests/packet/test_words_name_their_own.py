"""A word of a drawing or a table says which thing it means, where many alike stand close together."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from sample_packet import sample
from sheet_reading import SVG, drawings, moves_of, sheet_of, words
from stockwright.packet.as_cut import as_cut
from stockwright.packet.drawing import Canvas, Window
from stockwright.packet.last_page import HELD, _but_for_a_number
from stockwright.packet.model import Beneath, Packet
from stockwright.packet.placing import Paper, box_at, size_of
from stockwright.packet.plan_drawing import Tagged, draw_plan
from stockwright.packet.plan_words import beside, write_beside, write_lengths
from stockwright.packet.proof_picture import BARS
from stockwright.packet.section_drawing import draw_section
from stockwright.packet.sheet import sheet
from stockwright.packet.wood import Wood, wood_in
from stockwright.packet.work_order import _says
from stockwright.packet.writing import Writing

if TYPE_CHECKING:
    import xml.etree.ElementTree as ET

Point = tuple[float, float]
GOLDEN = Path(__file__).parents[1] / "golden"


def canvas(high: float = 40.0) -> Canvas:
    """Return an empty drawing of 100 by `high` mm, one to one."""
    return Canvas("c", "a drawing", Window((0, 0), (100, high), 0, 0, 0, 0), 100.0, high)


def parsed(svg: str) -> ET.Element:
    """Return a drawing as XML."""
    [drawing] = drawings(svg).values()
    return drawing


def place_of(drawing: ET.Element, said: str) -> Point:
    """Return where a word of a drawing is set."""
    [text] = [each for each in drawing.iter(f"{SVG}text") if each.text == said]
    return float(text.attrib["x"]), float(text.attrib["y"])


def lines(drawing: ET.Element, kind: str) -> list[tuple[float, ...]]:
    """Return both ends of every line of a kind."""
    found = [each for each in drawing.iter(f"{SVG}line") if each.get("class") == kind]
    return [tuple(float(each.attrib[key]) for key in ("x1", "y1", "x2", "y2")) for each in found]


def test_a_word_nearer_to_another_mark_is_put_elsewhere_or_led() -> None:
    """A word stands where no other mark is nearer than its own; where it cannot, a line leads back."""
    own, other, size = (20.0, 20.0), (30.0, 20.0), size_of("a", bold=True)
    near_the_other, near_its_own = box_at(28.0, 16.0, size, "middle"), box_at(18.0, 16.0, size, "middle")
    places = [(28.0, 16.0, "middle"), (18.0, 16.0, "middle")]
    rivals = [own, other]
    assert Paper(100, 40).put(size, places, own, fixed=False)[0] == near_the_other
    assert Paper(100, 40).put(size, places, own, rivals, fixed=False)[0] == near_its_own
    between = box_at(25.0, 20.0, size, "middle")
    assert Paper(100, 40).led(between, own) is None
    assert Paper(100, 40).led(between, own, rivals) == (between[0], 20.0)
    assert Paper(100, 40).led(near_its_own, own, rivals) is None


def test_room_is_asked_for_and_not_taken() -> None:
    """Two words find room side by side and not on one another; asking takes no paper."""
    paper, size = Paper(100, 40), size_of("a 0.5", bold=True)
    alone = (size, [(10.0, 10.0, "start")], (8.0, 10.0))
    beside_it = (size, [(50.0, 10.0, "start")], (48.0, 10.0))
    assert paper.room_for([alone, beside_it], [])
    assert not paper.room_for([alone, alone], [])
    assert not paper.room_for([(size, [(40.0, 10.0, "start")], (8.0, 10.0))], [])
    assert paper.put(*alone[:2], None, fixed=False)[0] == box_at(10.0, 10.0, size, "start")


def test_letters_begin_where_the_leading_line_ends() -> None:
    """A word led from its left begins at the line's end, whatever face it is set in."""
    sheet_of_paper = canvas()
    sheet_of_paper.put([(40.0, 10.0, "end")], "word", "word", (5.0, 30.0), fixed=True)
    drawing = parsed(str(sheet_of_paper.svg()))
    [(_, _, x, _)] = lines(drawing, "lead")
    [text] = drawing.iter(f"{SVG}text")
    assert float(text.attrib["x"]) == pytest.approx(x)
    assert text.attrib["text-anchor"] == "start"


def test_a_length_between_close_lines_stands_above_them() -> None:
    """Words of a dimension lower than letters are not struck out by its lines; a higher one holds them."""
    for gap, inside in ((3.0, False), (12.0, True)):
        sheet_of_paper = canvas()
        sheet_of_paper.span_up(10.0, 10.0 + gap, 20.0, "12 mm")
        _, y = place_of(parsed(str(sheet_of_paper.svg())), "12 mm")
        assert (40.0 - 10.0 - gap < y < 40.0 - 10.0) == inside


def test_a_length_moved_aside_is_led_to_its_line() -> None:
    """With no room beside a dimension its words stand farther off, and a line leads back to its middle."""
    sheet_of_paper = canvas()
    sheet_of_paper.keep_free((20.0, 20.0), 18.0, 8.0)
    sheet_of_paper.span_up(18.0, 24.0, 20.0, "12 mm")
    assert [line[:2] for line in lines(parsed(str(sheet_of_paper.svg())), "lead")] == [(20.0, 19.0)]


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_a_shim_is_named_at_its_own_mark(units: str) -> None:
    """Twelve shims 15 by 9 mm apart: with their inches they find no room, and letters stand at their own."""
    at = [(10.0 + 15.0 * k, y) for k in range(6) for y in (15.0, 24.0)]
    sheet_of_paper = canvas()
    for place in at:
        sheet_of_paper.dot("shim", (place[0], 40.0 - place[1]))
    thick = [f"{chr(97 + n)} {'0.028' if units == 'inch' else '0.7'}" for n in range(12)]
    ways = [beside(sheet_of_paper, place) for place in at]
    fits = sheet_of_paper.room_for(zip(ways, thick, at, strict=True), "word strong")
    assert fits == (units == "mm")
    for place, text in zip(at, thick, strict=True):
        write_beside(sheet_of_paper, place, text[:1], "word strong", rivals=at)
    drawing = parsed(str(sheet_of_paper.svg()))
    led = {line[:2] for line in lines(drawing, "lead")}
    for place, text in zip(at, thick, strict=True):
        x, y = place_of(drawing, text[:1])
        nearest = min(at, key=lambda each: (each[0] - x) ** 2 + (each[1] - y + 1.4) ** 2)
        assert nearest == place or place in led


def shifted(wood: Wood, by: float) -> Wood:
    """Return a board that lies farther to the left."""
    before, after, piece = ([(x - by, y) for x, y in o] for o in (wood.before, wood.after, wood.piece))
    return replace(wood, before=before, after=after, piece=piece)


def test_a_board_on_both_sides_of_the_mark_has_two_dimensions() -> None:
    """How long it is and how far left of the mark it begins stand on lines of their own."""
    made = sample()
    setup = made.packet.setups[1]
    bare = setup.model_copy(update={"solids": [], "goals": [], "shims": [], "placing": []})
    [lie] = setup.lies
    wood = shifted(wood_in(made.packet, setup, lie.board), 500.0)
    drawing = parsed(str(draw_plan(bare, {lie.board: wood}, {}, Tagged({}, [], []), Writing("mm"))))
    level = {round(y1, 2) for x1, y1, x2, y2 in lines(drawing, "measure") if y1 == y2 and x2 != x1}
    assert len(level) == 2
    spans = [text.text for text in drawing.iter(f"{SVG}text") if (text.text or "").endswith(" mm")]
    assert spans[:2] == ["1182 mm", "496 mm"]
    # In inches it is the same tenth of a millimetre that the step tells to measure off.
    inches = parsed(
        str(draw_plan(bare, {lie.board: shifted(wood, 0.034)}, {}, Tagged({}, [], []), Writing("inch")))
    )
    assert "19.528 in" in [text.text for text in inches.iter(f"{SVG}text")]


def test_lengths_stand_at_every_board_of_a_row_or_at_none() -> None:
    """Two boards with room beside them have their lengths there; where one has none, the other has none."""
    made = sample()
    [name] = made.packet.boards
    wood = wood_in(made.packet, made.packet.setups[0], name)
    low = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 12.0], [0.0, 12.0]])
    woods = {
        each: replace(wood, before=[(float(x), float(y)) for x, y in low + np.array([30.0, 16.0 * row])])
        for row, each in enumerate(("one", "two"))
    }
    for taken, said in ((False, 2), (True, 0)):
        paper = canvas()
        if taken:
            paper.keep_free((50.0, 12.0), 50.0, 7.0)
        write_lengths(paper, woods, Writing("mm").length)
        assert str(paper.svg()).count("40 mm long") == said


def test_thin_wood_has_its_name_above_it() -> None:
    """In a section of wood drawn lower than letters the face's name stands over it, else within it."""
    made = sample()
    setup = made.packet.setups[1]
    [lie] = setup.lies
    wood = wood_in(made.packet, setup, lie.board)
    for top, above in ((wood.top_after, False), (6.0, True)):
        thin = replace(wood, top=top + 2.0, top_after=top)
        svg = draw_section(made.packet, setup, {lie.board: thin}, moves_of(made), Writing("mm").length)
        drawing = parsed(str(svg))
        [y] = [float(t.attrib["y"]) for t in drawing.iter(f"{SVG}text") if (t.text or "").endswith(" up")]
        [group] = [g for g in drawing.iter(f"{SVG}g") if g.get("data-frame") == "work"]
        _, _, _, scale, _, zero = (
            float(v) for v in group.attrib["transform"].removeprefix("matrix(").rstrip(")").split()
        )
        assert (y < zero + scale * top) == above


def test_as_many_numbers_as_setups() -> None:
    """Setups told together are in order, each with its own number, or one for all that are alike."""
    rows = [("6, 8", "it is held 4.9 times as hard"), ("7", "it is held 5.1 times as hard"), ("9", "other")]
    assert _but_for_a_number(rows, HELD) == [
        ("6, 7, 8", "it is held 4.9, 5.1, 4.9 times as hard"),
        ("9", "other"),
    ]
    assert _but_for_a_number(rows[:1], HELD) == [("6, 8", "it is held 4.9 times as hard")]


def test_no_size_is_told_of_sides_that_nobody_cut() -> None:
    """With the ends left as they are and no length wanted, the last page tells none, nor squareness."""
    made = sample()
    [name] = made.packet.boards
    whole = as_cut(made.packet, name)
    assert whole == made.packet.finished[name]
    setups = [
        s.model_copy(update={"goals": [g for g in s.goals if not g.cut.startswith("end-")]})
        for s in made.packet.setups
    ]
    wanted = {name: made.packet.wanted[name].model_copy(update={"length": None})}
    finished = {
        name: made.packet.finished[name].model_copy(
            update={"squareness": {"end-1": 1.0, "edge-1": 0.1}, "length": (193.6, 638.1)}
        )
    }
    packet = made.packet.model_copy(update={"setups": setups, "wanted": wanted, "finished": finished})
    left = as_cut(packet, name)
    assert (left.length, left.squareness) == (None, {"edge-1": 0.1})
    assert left.width == made.packet.finished[name].width
    text = words(sheet(packet, moves_of(made))).text
    assert "193.6" not in text
    assert "193.6" in words(sheet(made.packet.model_copy(update={"finished": finished}), moves_of(made))).text


def test_a_scale_is_a_round_number_of_the_persons_unit() -> None:
    """The bar under a picture of the proof is so many whole or half inches, or tens of millimetres."""
    inches = [Writing("inch").length(bar) for bar in BARS["inch"]]
    assert inches == ["20 in", "10 in", "5 in", "2 in", "1 in", "0.5 in"]
    assert [bar % 10 for bar in BARS["mm"]] == [0.0] * len(BARS["mm"])


def test_a_face_cut_away_is_told_by_the_line_that_is_seen() -> None:
    """A face's section says what the dashed line was, a wall's what the dotted wood was."""
    said = {
        name: " ".join(text.text or "" for text in drawing.iter(f"{SVG}text"))
        for name, drawing in drawings(sheet_of(sample())).items()
        if name.startswith("section-")
    }
    assert "dashed: " in said["section-1"]
    assert "dotted" not in said["section-1"]
    assert "dotted: cut away" in said["section-3"]


def test_a_board_is_tried_for_rocking_before_it_sticks() -> None:
    """Held by tape, a board is tried on the bare bed; else before anything holds it."""
    made = sample()
    assert "Before anything holds it: press the corners" in words(sheet_of(made)).text
    tape = Beneath(name="tape 1", kind="tape", outline=[(0, 0), (9, 0), (9, 9), (0, 9)])
    setups = [s.model_copy(update={"beneath": [tape]}) for s in made.packet.setups]
    text = words(sheet_of(replace(made, packet=made.packet.model_copy(update={"setups": setups})))).text
    assert "On the bare bed, before the tape: press the corners" in text
    assert "Before anything holds it" not in text


def test_where_no_board_lies_none_is_brushed() -> None:
    """The steps of skimming the bed brush the bed alone."""
    packet = Packet.model_validate_json((GOLDEN / "bed" / "packet.json").read_bytes())
    text = words(sheet(packet, {})).text
    assert "Brush and vacuum the bed: no chip" in text
    assert "the fence and the board" not in text


def test_a_cutter_that_stays_is_never_changed() -> None:
    """Two boards cut with one cutter: it is never changed, and nothing is said of zero after a change."""
    made = sample()
    first = made.packet.setups[0]
    other = first.model_copy(
        update={"index": 2, "lies": [lie.model_copy(update={"board": "other"}) for lie in first.lies]}
    )
    assert _says([first, other]) == "The cutter is never changed."
    assert _says(made.packet.setups) == "The cutter is changed once. Zero is taken anew after every change."
