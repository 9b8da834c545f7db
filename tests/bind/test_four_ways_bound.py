"""Four ways to say what a board is like come to boards, or to mistakes that name both readings."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES
from stockwright.bind import bind_board
from stockwright.documents import read_board
from stockwright.mistakes import InputError
from stockwright.planning.setup import FaceCut
from stockwright.run import Request, check

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.board.surface import Board
    from stockwright.mistakes import Mistake

TREAD = EXAMPLES / "stair-tread"
BOARDS = TREAD / "boards"
WAYS = (
    ("grid", TREAD / "board.yaml"),
    ("probed", BOARDS / "beech-probed.yaml"),
    ("straightedge", BOARDS / "elm-sighted.yaml"),
    ("nominal", BOARDS / "fir-nominal.yaml"),
)


def _edited(folder: Path, source: Path, *edits: tuple[str, str]) -> Path:
    """Copy a board and what lies beside it, and change its text."""
    for each in source.parent.glob("*.csv"):
        shutil.copy(each, folder / each.name)
    text = source.read_text(encoding="utf-8")
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    made = folder / source.name
    made.write_text(text, encoding="utf-8")
    return made


def _mistakes(path: Path) -> list[Mistake]:
    """Return what is wrong with a board, whether it is told when it is read or when it is bound."""
    try:
        return bind_board(read_board(path))[1]
    except InputError as error:
        return list(error.mistakes)


def _board(path: Path) -> Board:
    board, mistakes = bind_board(read_board(path))
    assert mistakes == []
    assert board is not None
    return board


def _line(path: Path, text: str) -> int:
    lines = path.read_text(encoding="utf-8").splitlines()
    return next(number for number, line in enumerate(lines, 1) if text in line)


@pytest.mark.parametrize(("way", "path"), WAYS)
def test_each_way_comes_to_a_board(way: str, path: Path) -> None:
    """Every example board is bound, with an uncertainty of its own and a sentence about it."""
    board = _board(path)
    assert board.uncertainty > 0
    assert any("taken as right within" in note or "taken as right" in note for note in board.notes), way
    assert (board.top > board.bottom).all()


def test_less_measured_is_less_sure() -> None:
    """The probe knows more than the straightedge, and that more than nothing."""
    probed, sighted, nominal = (_board(path).uncertainty for way, path in WAYS if way != "grid")
    assert probed < sighted < nominal


def test_a_touch_left_out_is_named_in_the_notes(tmp_path: Path) -> None:
    """With `drop-outliers: yes` the wild touch is left out and named in the notes; else it is a mistake."""
    kept = _board(BOARDS / "beech-probed.yaml")
    assert any("beech-upper.csv line 18" in note for note in kept.notes)
    strict = _edited(tmp_path, BOARDS / "beech-probed.yaml", ("drop-outliers: yes", "drop-outliers: no"))
    [mistake] = _mistakes(strict)
    assert (mistake.code, mistake.line) == ("outlier", 18)
    assert mistake.file == str(tmp_path / "beech-upper.csv")
    assert "is the limit" in mistake.message


@pytest.mark.parametrize(
    ("source", "edits", "at", "against"),
    [
        pytest.param(
            TREAD / "board.yaml",
            (("    - [37.8 mm, 37.9 mm, 38.2 mm]", "    - [73.8 mm, 37.9 mm, 38.2 mm]"),),
            "[73.8 mm",
            ("board.yaml", "[39.1 mm"),
            id="thicker than it is high",
        ),
        pytest.param(
            TREAD / "board.yaml",
            (("[41.1 mm, 41.3 mm, 39.5 mm]", "[41.1 mm, 41.3 mm, 45.9 mm]"),),
            "45.9 mm",
            ("board.yaml", "[39.0 mm, 38.8 mm, 40.5 mm]"),
            id="turned over it is another",
        ),
        pytest.param(
            TREAD / "board.yaml",
            (("[39.4 mm, 40.1 mm, 38.8 mm]", "[39.4 mm, 0.1 mm, 38.8 mm]"),),
            "0.1 mm, 38.8",
            ("board.yaml", "[40.8 mm"),
            id="a top below a bottom",
        ),
        pytest.param(
            TREAD / "board.yaml",
            (("end-2: {near: 1182 mm, far: 1179 mm}", "end-2: {near: 1182 mm, far: 2 mm}"),),
            "far: 2 mm",
            ("board.yaml", "end-1:"),
            id="ends exchanged",
        ),
        pytest.param(
            BOARDS / "elm-sighted.yaml",
            (("wedge: {reads: 1/16 in, thick: edge-2}", "wedge: {reads: 3/8 in, thick: edge-1}"),),
            "wedge:",
            ("elm-sighted.yaml", "end-"),
            id="a wedge that the corners deny",
        ),
        pytest.param(
            BOARDS / "elm-sighted.yaml",
            (("sticks: 24 in", "sticks: 6 in"),),
            "sticks: 6 in",
            ("elm-sighted.yaml", "size:"),
            id="sticks too short",
        ),
        pytest.param(
            BOARDS / "beech-probed.yaml",
            (("thickness: 36.5 mm}\n  drop", "thickness: 46.5 mm}\n  drop"),),
            "46.5 mm",
            ("beech-upper.csv", ""),
            id="callipers against touches",
        ),
        pytest.param(
            BOARDS / "beech-probed.yaml",
            (("size: {length: 940 mm, width: 168 mm}", "size: {length: 900 mm, width: 168 mm}"),),
            "",
            ("beech-probed.yaml", "size:"),
            id="touches off the board",
        ),
    ],
)
def test_a_contradiction_names_both_lines(
    tmp_path: Path, source: Path, edits: tuple[tuple[str, str], ...], at: str, against: tuple[str, str]
) -> None:
    """Two readings that cannot both be right: a mistake at the one, with the other's file and line."""
    path = _edited(tmp_path, source, *edits)
    found = [m for m in _mistakes(path) if m.code == "contradiction"]
    assert found
    mistake = found[0]
    if at:
        assert mistake.file == str(path)
        assert mistake.line == _line(path, at)
    named = tmp_path / against[0]
    assert f"{named}:" in mistake.message
    if against[1] and against[1] != "end-":
        assert f"{named}:{_line(named, against[1])}" in mistake.message


def test_inches_and_millimetres_are_the_same_board(tmp_path: Path) -> None:
    """A grid written in fractions of an inch is the grid in millimetres."""
    inches = """\
stockwright: board/1
name: plank
size: {length: 2 ft, width: 5-1/2 in}
heights:
  along: [1/2 in, 12 in, 23-1/2 in]
  across: [1/4", 2-3/4", 5-1/4"]
  rows: [[1-3/4 in, 1-23/32 in, 1-3/4 in], [1-25/32", 1-3/4", 1-25/32"], [1-3/4 in, 1-23/32 in, 1-13/16 in]]
thickness:
  rows: [[1-5/8 in, 1-5/8 in, 1-5/8 in], [1-5/8 in, -, 1-41/64 in], [1-5/8 in, 1-5/8 in, 1-21/32 in]]
uncertainty: 1/64 in
"""
    path = tmp_path / "inches.yaml"
    path.write_text(inches, encoding="utf-8")
    board = _board(path)
    assert board.top[0].tolist() == pytest.approx([44.45, 43.65625, 44.45])
    assert board.bounds == pytest.approx((0.0, 0.0, 609.6, 139.7))
    assert board.x.tolist() == pytest.approx([12.7, 304.8, 596.9])
    assert (board.top - board.bottom)[2, 2] == pytest.approx(42.06875)
    assert "0.40 mm" not in board.notes[0] or board.uncertainty > 25.4 / 64


def test_a_log_may_be_in_inches(tmp_path: Path) -> None:
    """`units: inch` reads x, y and z of both logs in inches."""
    path = _edited(
        tmp_path, BOARDS / "beech-probed.yaml", ("drop-outliers: yes", "drop-outliers: yes\n  units: inch")
    )
    for name in ("beech-upper.csv", "beech-lower.csv"):
        head, *rows = (BOARDS / name).read_text(encoding="utf-8").splitlines()
        inch = [",".join(repr(float(cell) / 25.4) for cell in row.split(",")) for row in rows]
        (tmp_path / name).write_text("\n".join([head, *inch]) + "\n", encoding="utf-8")
    plain, inches = _board(BOARDS / "beech-probed.yaml"), _board(path)
    assert inches.top == pytest.approx(plain.top, abs=1e-6)
    assert inches.bottom == pytest.approx(plain.bottom, abs=1e-6)


def test_a_list_of_points_in_inches_is_told(tmp_path: Path) -> None:
    """A list of points is in mm: one whose board would be 1 mm thick is asked whether it is in inches."""
    rows = [f"{x},{y},0,{1.0 + x / 500}" for x in range(0, 40, 8) for y in (0, 3, 6)]
    (tmp_path / "inches.csv").write_text("\n".join(["x,y,bottom,top", *rows]) + "\n", encoding="utf-8")
    board, [mistake] = bind_board(read_board(tmp_path / "inches.csv"))
    assert board is None
    assert (mistake.line, mistake.column, mistake.code) == (1, 12, "out-of-range")
    assert "are these inches?" in mistake.hint


def test_a_log_alone_is_no_board_and_says_what_is_missing() -> None:
    """`--board touches.csv` with x, y and z: the other face and the outline are missing."""
    with pytest.raises(InputError) as caught:
        check(Request(TREAD / "bench-slat.yaml", boards=(BOARDS / "beech-upper.csv",)))
    [mistake] = caught.value.mistakes
    assert mistake.code == "csv"
    assert "missing" in mistake.message
    assert "probed: {upper: beech-upper.csv" in mistake.hint


def _spoilt_job(folder: Path, *more: tuple[str, str, str]) -> Path:
    """Copy the tread's documents with a board that contradicts itself, and change them further."""
    shutil.copytree(TREAD, folder, dirs_exist_ok=True)
    edits = (
        ("board.yaml", "[41.1 mm, 41.3 mm, 39.5 mm]", "[41.1 mm, 41.3 mm, 45.9 mm]"),
        *more,
    )
    for name, old, new in edits:
        text = (folder / name).read_text(encoding="utf-8")
        assert text.count(old) == 1
        (folder / name).write_text(text.replace(old, new), encoding="utf-8")
    return folder / "job.yaml"


def _codes(job: Path, post: str | None = None) -> set[tuple[str, str]]:
    with pytest.raises(InputError) as caught:
        check(Request(job, post=post))
    return {(m.file.rsplit("/", 1)[-1], m.code) for m in caught.value.mistakes}


def test_readings_and_post_are_told_with_the_documents_mistakes(tmp_path: Path) -> None:
    """A misspelt key, a post that is none and a board that contradicts itself come all at once."""
    job = _spoilt_job(
        tmp_path,
        ("job.yaml", "name: stair-tread", "name: stair-tread\nnmae: x"),
        ("shop.yaml", "post: rs274-ngc", "post: rs274-ncg"),
    )
    assert _codes(job) == {
        ("job.yaml", "unknown-key"),
        ("shop.yaml", "unknown-post"),
        ("board.yaml", "contradiction"),
    }


def test_the_shops_post_is_not_asked_for_where_another_is_meant(tmp_path: Path) -> None:
    """Where the job or the call names a post that is there, the shop's unknown one is nobody's mistake."""
    job = _spoilt_job(
        tmp_path,
        ("job.yaml", "name: stair-tread", "name: stair-tread\nnmae: x\npost: lean-serial"),
        ("shop.yaml", "post: rs274-ngc", "post: rs274-ncg"),
    )
    assert ("shop.yaml", "unknown-post") not in _codes(job)
    assert ("--post rs247-ngc", "unknown-post") in _codes(job, post="rs247-ngc")


def test_a_shop_that_cannot_be_read_hides_neither(tmp_path: Path) -> None:
    """With the shop misspelt, the job's own unknown post and the board's contradiction are still told."""
    job = _spoilt_job(
        tmp_path,
        ("job.yaml", "name: stair-tread", "name: stair-tread\npost: nothing-like-it"),
        ("shop.yaml", "name: two-bench workshop", "nam: two-bench workshop"),
    )
    assert _codes(job) == {
        ("job.yaml", "unknown-post"),
        ("shop.yaml", "unknown-key"),
        ("board.yaml", "contradiction"),
    }


JOBS = {"grid": "job", "probed": "bench-slat", "straightedge": "window-sill", "nominal": "coat-rail"}


@pytest.mark.parametrize("way", JOBS)
def test_the_uncertainty_reaches_the_plan(way: str) -> None:
    """In all four ways the first face begins at the highest reading and the uncertainty above it."""
    checked = check(Request(TREAD / f"{JOBS[way]}.yaml"))
    [board] = checked.job.boards
    first, piece = checked.plan.setups[0], checked.plan.pieces[0]
    cut = first.cuts[0]
    assert isinstance(cut, FaceCut)
    matrix = first.lies[0].matrix
    points = board.critical_points()
    highest = (matrix[2, :3] @ [points[:, 0], points[:, 1], board.top_at(points)]).max() + matrix[2, 3]
    assert cut.ceiling == pytest.approx(highest + board.uncertainty, abs=1e-6)
    assert checked.job.wanted.thickness is not None
    assert piece.seating.thickness > checked.job.wanted.thickness


@pytest.mark.parametrize("way", JOBS)
def test_a_size_within_the_doubt_is_warned_of(way: str, tmp_path: Path) -> None:
    """In all four ways a thickness that leaves less wood than is sure is planned, and said."""
    own = (
        () if way != "nominal" else (_edited(tmp_path, BOARDS / "fir-nominal.yaml", ("2 in}", "1-3/4 in}")),)
    )
    easy = check(Request(TREAD / f"{JOBS[way]}.yaml", boards=own))
    [board] = easy.job.boards
    thick = easy.plan.pieces[0].seating.best - 1.5 * board.uncertainty
    values = {"thickness": f"{thick:.2f} mm"}
    tight = check(Request(TREAD / f"{JOBS[way]}.yaml", boards=own, values=values))
    rules = {f.rule: f for f in tight.findings}
    assert "board-barely-thick-enough" not in {f.rule for f in easy.findings}
    warned = rules["board-barely-thick-enough"]
    assert warned.limit == pytest.approx(2 * board.uncertainty, abs=0.001)
    assert warned.measured is not None
    assert warned.limit is not None
    assert warned.measured < warned.limit


def test_what_measuring_saves_is_said_where_little_is_known() -> None:
    """The nominal board's job says what measuring would save in millimetres and levels."""
    said = {
        way: [f for f in check(Request(TREAD / f"{JOBS[way]}.yaml")).findings if f.rule == "known-too-little"]
        for way in JOBS
    }
    assert (said["grid"], said["probed"]) == ([], [])
    [note] = said["nominal"]
    assert "mm of thickness" in note.remedy
    assert "4 levels" in note.remedy
