"""The drawing of a board's warp."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import shapely

from stockwright.bind import bind_board
from stockwright.board.account import Account, account
from stockwright.board.contours import at_least
from stockwright.board.picture import html, svg
from stockwright.board.shown import Level, Shown
from stockwright.board.surface import Board
from stockwright.documents import read_board
from stockwright.mistakes import InputError
from stockwright.packet.one_file import deliver_file

EXAMPLE = Path(__file__).parents[2] / "examples" / "stair-tread" / "board.yaml"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def example() -> Account:
    """Return the account of the example's board."""
    board, mistakes = bind_board(read_board(EXAMPLE))
    assert mistakes == []
    assert board is not None
    return account(board)


def words(drawing: str) -> list[str]:
    """Return all words of a drawing."""
    return [each.text or "" for each in ET.fromstring(drawing).iter(f"{SVG}text")]


def test_it_is_one_whole_drawing_without_outside_parts(example: Account) -> None:
    """Well-formed, no script, picture, link or font from elsewhere; the only address is SVG's own name."""
    drawing = svg([example])
    ET.fromstring(drawing)
    assert re.findall(r"https?://[^\s\"']*", drawing) == ["http://www.w3.org/2000/svg"]
    page = html([example], ["a < b"])
    for forbidden in ("<script", "<image", "<img", "href", "@import", "@font-face", "src="):
        assert forbidden not in page
    assert page.startswith("<!DOCTYPE html>")
    assert "a &lt; b" in page


def test_it_needs_no_colour(example: Account) -> None:
    """Every tone is grey, and none behind numbers is darker than a third of black."""
    for tone in re.findall(r"#([0-9a-f]{3,6})\b", svg([example])):
        full = tone if len(tone) == 6 else "".join(c + c for c in tone)
        assert full[:2] == full[2:4] == full[4:]
    fills = [
        int(tone[:2], 16) for tone in re.findall(r'class="contour" fill="#([0-9a-f]{6})"', svg([example]))
    ]
    assert fills
    assert min(fills) >= 0x96


def test_it_says_what_it_shows(example: Account) -> None:
    """Every shim's thickness, the slab's, each reading's number and the factor of heights stand in it."""
    said = words(svg([example]))
    best = example.seatings["thickest"]
    assert any("heights 25 times as large as lengths" in each for each in said)
    assert f"{best.thickness:.2f} mm" in said
    for shim in best.shims:
        assert f"{shim.thickness:.2f}" in said
    board = example.board
    xx, yy = np.meshgrid(board.x, board.y, indexing="ij")
    off = board.top - best.a * xx - best.b * yy - best.top
    for value in off.ravel():
        assert f"{round(float(value), 2) + 0.0:.2f}" in said


def test_it_speaks_inches_where_they_are_asked_for(example: Account) -> None:
    """Every size is in inches and none in millimetres, and what is drawn stays but for the contours."""
    drawing = svg([example], units="inch")
    said = words(drawing)
    assert not [each for each in said if re.search(r"\bmm\b", each)]
    best = example.seatings["thickest"]
    assert f"{best.thickness / 25.4:.3f} in" in said
    for shim in best.shims:
        assert f"{shim.thickness / 25.4:.3f}" in said
    assert "in and more." in said
    steps = [
        float(each)
        for each in said
        if re.fullmatch(r"0(\.\d+)?", each) and each in said[: said.index("in and more.")]
    ]
    assert 0.02 in steps

    def sections(text: str) -> list[str]:
        return re.findall(r'<(?:polygon class="waste"|rect class="shim")[^>]*>', text)

    assert sections(drawing) == sections(svg([example]))
    assert "46.54 x 9.00 in rough" in " ".join(said)


def test_one_board_goes_on_one_leaf(example: Account) -> None:
    """A drawing that a leaf of Letter holds in nine points is held to its height; two of them are not."""
    assert "max-height: 263mm" in html([example], [])
    assert "max-height" not in html([example, example], [])


def test_equal_boards_give_equal_bytes(example: Account) -> None:
    """Drawn twice, from the document anew, it is the same to the byte."""
    board, _ = bind_board(read_board(EXAMPLE))
    assert board is not None
    assert svg([account(board), example]) == svg([example, account(board)])


def test_printed_on_a_leaf_it_is_read(example: Account) -> None:
    """As wide as A4 within 10 mm margins no word is below nine points, and every line stays on the paper."""
    drawing = ET.fromstring(svg([example]))
    wide = float(drawing.get("viewBox", "").split()[2])
    style = drawing.findtext(f"{SVG}style") or ""
    sizes = {
        kind or "text": float(size) for kind, size in re.findall(r"(\.\w+|text) {[^}]*?([\d.]+)px", style)
    }
    sizes.pop(".halo")  # how wide the paper about a word is
    assert min(sizes.values()) * 190.0 / wide / 25.4 * 72 >= 9.0
    for each in drawing.iter(f"{SVG}text"):
        size = sizes.get(f".{each.get('class')}", sizes["text"])
        if each.get("text-anchor") is None:
            # A plain face's mean letter, on the wide side.
            assert float(each.get("x", 0)) + 0.56 * size * len(each.text or "") <= wide, each.text


def test_levels_are_drawn_where_they_cut(example: Account) -> None:
    """A level that passes over half of the board is dotted over that half, and the words say so."""
    lines = np.array([[[0.0, 15.0], [590.0, 15.0]]])
    shown = Shown(example.seatings["thickest"], "as drawn", (Level("A", 1.0, lines, 25.0),))
    drawing = svg([example], {example.board.name: shown})
    dotted = [each for each in ET.fromstring(drawing).iter(f"{SVG}line") if each.get("class") == "level"]
    assert dotted
    longest = max(float(each.get("x2", 0)) - float(each.get("x1", 0)) for each in dotted)
    assert longest == pytest.approx(0.52 * 608, rel=0.02)
    assert "dotted: where each level cuts" in " ".join(words(drawing))


@pytest.mark.parametrize(
    ("axis", "fixed", "spans"),
    [
        (0, 100.0, [(-20.0, 520.0)]),  # along the way itself: its length and a radius at both ends
        (0, 112.0, [(-16.0, 516.0)]),  # 12 off it: the circle reaches 16
        (0, 121.0, []),
        (1, 250.0, [(80.0, 120.0)]),  # across it: the cutter's width
        (1, 512.0, [(84.0, 116.0)]),
    ],
)
def test_a_cutter_passes_where_its_circle_does(
    axis: int, fixed: float, spans: list[tuple[float, float]]
) -> None:
    """A 40 mm cutter on its way from x 0 to 500 at y 100, cut by lines along and across."""
    level = Level("A", 0.5, np.array([[[0.0, 100.0], [500.0, 100.0]]]), 20.0)
    assert level.spans(axis, fixed) == pytest.approx([pytest.approx(span) for span in spans])


def test_a_dense_log_is_drawn_too() -> None:
    """A board of 60 x 30 readings is drawn with at most 9 x 5 of them told on each face."""
    x, y = np.linspace(0, 700, 60), np.linspace(0, 200, 30)
    low = 1.5 * np.sin(x[:, None] / 200) + 0.004 * y[None, :]
    outline = np.array([(0, 0), (700, 0), (700, 200), (0, 200)], dtype=float)
    board = Board("dense & <odd>", outline, x, y, low + 25, low + 0.0, 0.1)
    drawing = svg([account(board)])
    dots = [each for each in ET.fromstring(drawing).iter(f"{SVG}circle") if each.get("class") == "dot"]
    assert len(dots) == 2 * 9 * 5
    assert "dense & <odd>" in words(drawing)


def test_contours_enclose_the_area_that_is_high() -> None:
    """On a tilted plane and on a dome the loops enclose what is as high as the level, holes taken out."""
    x, y = np.linspace(0, 10, 81), np.linspace(0, 4, 41)
    plane = 0.1 * x[:, None] + 0 * y[None, :]
    [loop] = at_least(x, y, plane, 0.25)
    assert shapely.Polygon(loop).area == pytest.approx(7.5 * 4)
    assert shapely.is_ccw(shapely.LinearRing(loop))
    bowl = (x[:, None] - 5) ** 2 + (y[None, :] - 2) ** 2
    loops = at_least(x, y, bowl, 1.0)
    areas = sorted(
        shapely.Polygon(each).area * (1 if shapely.is_ccw(shapely.LinearRing(each)) else -1) for each in loops
    )
    assert areas == pytest.approx([-np.pi, 40.0], rel=0.01)
    assert at_least(x, y, plane, 2.0) == []


def test_only_an_earlier_drawing_gives_way(tmp_path: Path) -> None:
    """A drawing replaces a drawing; a file of anything else, a folder, a file for a folder are mistakes."""
    place = tmp_path / "a.svg"
    deliver_file(place, b"<!-- ours --> 1", b"<!-- ours -->")
    deliver_file(place, b"<!-- ours --> 2", b"<!-- ours -->")
    assert place.read_bytes() == b"<!-- ours --> 2"
    place.write_bytes(b"a drawing by hand")
    for where, code in ((place, "exists"), (tmp_path, "exists"), (place / "b.svg", "cannot-write")):
        with pytest.raises(InputError) as caught:
            deliver_file(where, b"<!-- ours --> 3", b"<!-- ours -->")
        assert [mistake.code for mistake in caught.value.mistakes] == [code]
    assert place.read_bytes() == b"a drawing by hand"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["a.svg"]
    deliver_file(tmp_path / "new" / "b.svg", b"<!-- ours --> 4", b"<!-- ours -->")
    assert (tmp_path / "new" / "b.svg").is_file()  # as for a packet, its folder is made
