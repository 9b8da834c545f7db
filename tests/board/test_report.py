"""A board's account as plain values and in words."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from stockwright.bind import bind_board
from stockwright.board.account import Account, Asked, account
from stockwright.board.report import report, together
from stockwright.board.seating import seat
from stockwright.board.telling import board_lines
from stockwright.calls.board import Call, boards
from stockwright.calls.terminal import folded
from stockwright.documents import read_board
from stockwright.mistakes import InputError

if TYPE_CHECKING:
    from stockwright.board.surface import Board

EXAMPLE = Path(__file__).parents[2] / "examples" / "stair-tread"
SHOP = (0.1, 0.2, 0.5, 1.0, 2.0, 3.0)


def read(name: str) -> Board:
    """Return a board of the example."""
    board, mistakes = bind_board(read_board(EXAMPLE / name))
    assert mistakes == []
    assert board is not None
    return board


@pytest.fixture(scope="module")
def both() -> tuple[Account, Account]:
    """Return the accounts of the example's two boards, with a shop's shims."""
    asked = Asked(shop_shims=SHOP)
    return account(read("board.yaml"), asked), account(read("thin-board.yaml"), asked)


def test_fields_that_others_read_are_there(both: tuple[Account, Account]) -> None:
    """The names of the first release stay, each with its kind of value, and all of it is plain JSON."""
    said: dict[str, Any] = json.loads(json.dumps(report(both[0]), allow_nan=False))
    for name in ("thickest", "at_rest", "no_rocking"):
        assert isinstance(said[name], float)
    assert set(said["flatness"]) == {"A", "B"}
    assert all(set(shim) == {"x", "y", "thickness"} for shim in said["shims"])
    assert {"name", "rough", "uncertainty", "notes", "warp", "limiting"} <= set(said)


def test_the_seatings_are_those_that_the_plan_uses(both: tuple[Account, Account]) -> None:
    """The three thicknesses and the shims are `seat`'s own, and shimmed for the most is the thickest."""
    board = read("board.yaml")
    said = report(both[0])
    best = seat(board, shop_shims=SHOP)
    assert said["thickest"] == pytest.approx(best.thickness, abs=1e-3)
    assert said["no_rocking"] == pytest.approx(
        seat(board, policy="no-rocking", shop_shims=SHOP).thickness, abs=1e-3
    )
    assert said["at_rest"] == pytest.approx(seat(board, policy="as-it-lies").thickness, abs=1e-3)
    assert said["thickest"] >= max(said["no_rocking"], said["at_rest"])
    assert [shim["thickness"] for shim in said["shims"]] == pytest.approx(
        [shim.thickness for shim in best.shims], abs=1e-3
    )


def test_the_shim_card_stacks_what_the_shop_has(both: tuple[Account, Account]) -> None:
    """Each stack adds up to its shim, of the shop's sizes, and rounding costs what the ideal shims gain."""
    said = report(both[0])
    card = said["shim_card"]
    assert card["sizes"] == list(SHOP)
    for shim, stack in zip(said["shims"], card["stacks"], strict=True):
        assert sum(stack) == pytest.approx(shim["thickness"])
        assert set(stack) <= set(SHOP)
    ideal = report(account(read("board.yaml")))
    assert card["rounding_costs"] == pytest.approx(ideal["thickest"] - said["thickest"], abs=2e-3)
    assert ideal["shim_card"]["stacks"] == [[]] * len(ideal["shims"])


def test_cuts_and_skips_are_compared_with_the_largest_box(both: tuple[Account, Account]) -> None:
    """By default two and three pieces and two strips are tried; none is thinner than the whole."""
    said = report(both[0])
    big = said["largest"]
    assert [(each["pieces"], each["strips"]) for each in said["cut_first"]] == [(2, 1), (3, 1), (1, 2)]
    for each in said["cut_first"]:
        assert each["thickness"] == min(each["each"]) >= big["thickness"]
        assert each["length"] * each["pieces"] == pytest.approx(big["length"], abs=0.01)
        assert each["width"] * each["strips"] == pytest.approx(big["width"], abs=0.01)
    assert said["skips"]["share"] == 0.05
    assert all(each["thickness"] >= big["thickness"] for each in said["skips"]["hidden"].values())
    asked = report(account(read("board.yaml"), Asked(pieces=(5,), strips=(4,), skips=0.0)))
    tried = [(each["pieces"], each["strips"]) for each in asked["cut_first"]]
    assert tried == [(2, 1), (3, 1), (5, 1), (1, 2), (1, 4)]
    assert asked["skips"]["hidden"]["B"]["thickness"] == asked["largest"]["thickness"]


def test_several_boards_are_limited_by_the_least_of_each_measure(both: tuple[Account, Account]) -> None:
    """What all can give is the least length, width and thickness, each with the board that limits it."""
    all_of = together(both)
    each = [report(one)["largest"] for one in both]
    names = [one.board.name for one in both]
    for measure in ("length", "width", "thickness"):
        least = min(range(2), key=lambda k: each[k][measure])
        assert all_of["largest"][measure] == each[least][measure]
        assert all_of["limited_by"][measure] == names[least]
    assert {laid["crown"] for laid in all_of["faces_up"]} == {"up", "down"}


def test_every_place_told_is_on_the_board(both: tuple[Account, Account]) -> None:
    """Flatness, warp, limits, skips and the line to lay the piece by all name places within the outline."""
    said = report(both[0])
    x_low, y_low, x_high, y_high = both[0].board.bounds
    places = [
        *(place for face in said["flatness_at"].values() for ends in face.values() for place in ends),
        *said["warp"].values(),
        *said["limiting_at"],
        *said["skips"]["hidden"].values(),
        *said["largest"]["edge_1_line"],
    ]
    assert len(places) > 15
    for place in places:
        assert x_low <= place["x"] <= x_high
        assert y_low <= place["y"] <= y_high
    assert all(end["from_edge_1"] >= 0 for end in said["largest"]["edge_1_line"])


def test_words_fit_the_terminal_and_say_the_numbers(both: tuple[Account, Account]) -> None:
    """No line is longer than 80 columns, and the three thicknesses stand one under the other."""
    reports = [report(one) for one in both]
    lines = list(folded(board_lines(reports, together(both))))
    assert max(map(len, lines)) <= 80
    for said in reports:
        at = next(i for i, line in enumerate(lines) if f"{said['at_rest']:.2f} mm  as it lies" in line)
        assert f"{said['no_rocking']:.2f} mm  shimmed only until" in lines[at + 1]
        assert f"{said['thickest']:.2f} mm  shimmed for the most" in lines[at + 2]
    assert any("ash plank 5 limits it" in line for line in lines)


CHIP = """
stockwright: board/1
name: chip
edge-1: {along: [0 mm, 0.8 mm, 1.6 mm], offset: [0 mm, 0 mm, 0 mm]}
edge-2: {along: [0 mm, 0.8 mm, 1.6 mm], offset: [12 mm, 12 mm, 12 mm]}
ends: {end-1: {near: 0 mm, far: 0 mm}, end-2: {near: 1.6 mm, far: 1.6 mm}}
heights: {along: [0.1 mm, 0.8 mm, 1.5 mm], across: [1 mm, 6 mm, 11 mm], rows: [@, @, @]}
thickness: {rows: [@, @, @]}
uncertainty: 0.05 mm
""".replace("@", "[1 mm, 1 mm, 1 mm]")


def test_what_is_small_is_told_in_hundredths(tmp_path: Path) -> None:
    """A chip 1.6 long gives parts 0.80 and 0.53 long, rounded down, and none is told as 0 x 12."""
    file = tmp_path / "chip.yaml"
    file.write_text(CHIP.lstrip(), encoding="utf-8")
    told = boards(Call((file,)))
    lines = list(told.lines)
    assert lines[0] == "chip: 1.60 x 12 mm rough"
    assert "  largest it can give, squared: 1.60 x 12 x 1.00 mm" in lines
    parts = [line.split("mm")[0].strip() for line in lines if line.endswith("thicker") and " x " in line]
    assert parts == ["0.80 x 12 x 1.00", "0.53 x 12 x 1.00", "1.60 x 6.00 x 1.00"]
    said = told.values["boards"][0]
    said["cut_first"][0] |= {"length": 0.0, "width": 0.0}
    askew = "    nothing                  2 pieces: too small, or so askew that no rectangle lies in each"
    assert askew in list(board_lines([said]))


def test_grain_is_told_where_the_document_says_it(tmp_path: Path) -> None:
    """`grain` in the document comes back for its sides and for those across from them."""
    text = (EXAMPLE / "board.yaml").read_text(encoding="utf-8")
    file = tmp_path / "board.yaml"
    file.write_text(text + "grain: {face-A: end-2, edge-1: end-1}\n", encoding="utf-8")
    told = boards(Call((file,)))
    sides = {each["side"]: each["towards"] for each in told.values["boards"][0]["rises_towards"]}
    assert sides == {"face-A": "end-2", "face-B": "end-1", "edge-1": "end-1", "edge-2": "end-2"}
    assert any("face-A rises towards end-2: travel towards end-2" in line for line in told.lines)
    file.write_text(text + "grain: {face-C: end-2, edge-1: edge-2}\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        boards(Call((file,)))
    assert sorted(m.code for m in caught.value.mistakes) == ["unknown-key", "unknown-word"]


def test_all_mistakes_of_a_call_come_at_once(tmp_path: Path) -> None:
    """Counts, share, picture, job, shop and boards that are wrong are told together, and nothing is drawn."""
    picture = tmp_path / "a.png"
    call = Call(
        (tmp_path / "none.yaml", EXAMPLE / "board.yaml"),
        shop=tmp_path / "no-shop.yaml",
        pieces=("1", "2"),
        strips=("two",),
        skips="60 %",
        picture=picture,
    )
    with pytest.raises(InputError) as caught:
        boards(call)
    said = sorted((m.file.split()[0].replace(str(tmp_path), ""), m.code) for m in caught.value.mistakes)
    assert said == [
        ("--picture", "unknown-word"),
        ("--pieces", "out-of-range"),
        ("--skips", "out-of-range"),
        ("--strips", "out-of-range"),
        ("/no-shop.yaml", "missing-file"),
        ("/none.yaml", "missing-file"),
    ]
    assert list(tmp_path.iterdir()) == []


def test_a_job_is_drawn_as_it_seats_and_cuts(tmp_path: Path) -> None:
    """With a job the drawing has its finished thickness, its shop's shims and the levels of its programs."""
    picture = tmp_path / "levels.svg"
    told = boards(Call((EXAMPLE / "board.yaml",), picture=picture, job=EXAMPLE / "job.yaml"))
    assert told.values["boards"][0]["shim_card"]["sizes"] == [0.1, 0.2, 0.5, 1, 2, 3]  # of the job's shop
    drawing = picture.read_text(encoding="utf-8")
    assert "as the job stair-tread seats it: 27.00 mm" in drawing
    assert drawing.count('class="level"') > 10
    with pytest.raises(InputError):
        boards(Call((EXAMPLE / "board.yaml",), job=EXAMPLE / "job.yaml"))
