"""A measuring made from a job: its program, its card, its table, and when it is refused."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import shapely

from measuring_jobs import PROBE, job_with_probe, measured
from random_boards import random_boards
from stockwright.bind import bind, bind_board
from stockwright.documents import read_board, read_job
from stockwright.findings import Refused
from stockwright.hold_downs import Stop
from stockwright.mistakes import InputError
from stockwright.probing import Asked, Measured
from stockwright.probing.card import card
from stockwright.probing.touches import measuring
from stockwright.proving import prove
from stockwright.proving.rs274 import read

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.probing.lying import By
    from stockwright.tooling import Cylinder

NOMINAL = """stockwright: board/1
name: ash plank 9
nominal: {length: 1210 mm, width: 230 mm, thickness: 38 mm}
surface: rough
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Measured:
    """Make the measuring of the example's board once."""
    return measured(job_with_probe(tmp_path_factory.mktemp("job")))


def program_of(made: Measured) -> str:
    """Give the one program's text."""
    [text] = [data.decode() for name, data in made.files.items() if name.startswith("programs/")]
    return text


def test_the_packet_holds_program_card_table_and_proof(made: Measured) -> None:
    """Four files; the program's purpose is to probe, with the probe's tool and what it gives, proven."""
    assert sorted(made.files) == ["card.html", "packet.json", "programs/1a-probe.ngc", "readings.csv"]
    [setup] = made.packet.setups
    [program] = setup.programs
    assert (program.purpose, program.tool, program.verdict) == ("probe", "probe", "proven")
    assert made.packet.tools["probe"].over_travel == 5.0
    assert setup.cuts == []
    assert setup.goals == []
    assert made.packet.proof.verdict == "proven"


def test_every_touch_begins_above_all_wood_and_ends_within_its_bounds(made: Measured) -> None:
    """35 touches: from above the highest wood, to no more than 1 mm below the least, well above the bed."""
    [m] = made.boards
    moves = read(program_of(made)).moves
    touches = moves.touches
    assert int(touches.sum()) == len(m.touches) == 35
    start, end = moves.start[touches], moves.end[touches]
    lift = m.setup.lies[0].matrix[2, 3]
    tops = m.board.top_at(np.array([(t.x, t.y) for t in m.touches])) + lift
    assert (start[:, 2] > tops.max() + m.board.uncertainty).all()
    below = tops - m.board.uncertainty - end[:, 2]
    assert below.min() > 0
    assert below.max() < 1.3  # and the slope of the wood under the tip
    assert end[:, 2].min() > 3.0
    assert (start[:, :2] == end[:, :2]).all()


def test_the_machine_goes_where_the_card_and_the_table_say(made: Measured) -> None:
    """Place by place: table, card and program agree in number, order and position, to the post's step."""
    [m] = made.boards
    moves = read(program_of(made)).moves
    at = moves.end[moves.touches][:, :2]
    shift = m.setup.lies[0].matrix[:2, 3]
    lines = made.files["readings.csv"].decode().splitlines()
    assert lines[0] == "x,y,z"
    table = np.array([[float(v) for v in line.split(",")[:2]] for line in lines[1:]])
    assert all(line.endswith(",") for line in lines[1:])
    assert np.abs(table + shift - at).max() < 0.001
    shown = made.files["card.html"].decode()
    rows = re.findall(r'<th scope="row">(\d+)</th>' + r'<td class="number">(-?[\d.]+)</td>' * 4, shown)
    assert [int(row[0]) for row in rows] == list(range(1, 36))
    assert np.abs(np.array([row[1:3] for row in rows], dtype=float) - table).max() == 0
    assert np.abs(np.array([row[3:5] for row in rows], dtype=float) - at).max() < 0.001
    assert len(re.findall(r'data-name="place \d+"', shown)) == 35


def test_the_card_says_what_the_standard_does_not_do(made: Measured) -> None:
    """One touch is kept, in three parameters; no word writes a file; --wait stops the program instead."""
    shown = made.files["card.html"].decode()
    for words in ("5061, 5062 and 5063", "NISTIR 6556, 3.5.9", "no word that writes a file", "--wait"):
        assert words in shown
    assert not re.search("https?:|src=|href=", shown)


def test_waiting_stops_after_every_touch_raised(tmp_path: Path) -> None:
    """35 stops more, each at the clear height, and it is proven too."""
    waiting = measured(job_with_probe(tmp_path), Asked(wait=True))
    text = program_of(waiting).splitlines()
    stops = [k for k, line in enumerate(text) if line == "M0"]
    assert len(stops) == 36
    clear = f"G0 Z{waiting.boards[0].setup.clear_z:.1f}"
    assert all(text[k + 1] == clear for k in stops)
    assert all(text[k - 2] == clear for k in stops[1:])  # up, the words, the stop
    assert waiting.packet.proof.verdict == "proven"


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_without_a_probe_the_program_stops_over_every_place(tmp_path: Path, units: str) -> None:
    """The dialect without a touch: one stop a place, above all wood, nothing touched, proven."""
    job = job_with_probe(tmp_path, probe_part="")
    by_hand = measured(job, post="lean-serial", units=units)
    [m] = by_hand.boards
    reading = read(program_of(by_hand))
    assert m.by == "hand"
    assert sum(event.kind == "stop" for event in reading.events) == len(m.touches) == 35
    assert not reading.moves.touches.any()
    assert float(np.nanmin(reading.moves.end[:, 2])) > m.highest
    assert {f.rule for f in by_hand.findings} == {"no-probe", "post-cannot-say"}
    assert {f.level for f in by_hand.findings} == {"note"}
    assert by_hand.packet.proof.verdict == "proven"


def test_a_dialect_without_a_stop_gets_places_and_no_program(tmp_path: Path) -> None:
    """The card lists the places to go to by hand; nothing runs, and nothing claims to have been proven."""
    job = job_with_probe(tmp_path, ("post: rs274-ngc", "post: plain.yaml"), probe_part="")
    profile = "stockwright: post/1\nname: plain\nabout: No stop.\nextends: lean-serial\npause-word: none\n"
    (tmp_path / "plain.yaml").write_text(profile, encoding="utf-8")
    listed = measured(job)
    assert sorted(listed.files) == ["card.html", "packet.json", "readings.csv"]
    shown = listed.files["card.html"].decode()
    assert "No program: this dialect has no word that waits" in shown
    assert "read back" not in shown
    assert shown.count('<th scope="row">') == 35


def test_a_board_of_which_only_sizes_are_known_is_measured_too(tmp_path: Path) -> None:
    """Nominal and rough: the range is wide, the dead probe is warned of, and the program is proven."""
    job = job_with_probe(tmp_path)
    (tmp_path / "nominal.yaml").write_text(NOMINAL, encoding="utf-8")
    rough = measured(job, boards=(tmp_path / "nominal.yaml",))
    assert rough.packet.proof.verdict == "proven"
    [warned] = rough.findings
    assert (warned.rule, warned.level, warned.limit) == ("dead-probe-is-pushed", "warn", 5.0)
    assert warned.measured == pytest.approx(rough.boards[0].push, abs=0.001)


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_the_filled_table_is_read_back_as_it_is(tmp_path: Path, units: str) -> None:
    """Heights written in become the board's: a sheet of 38 to 41 mm comes back within 0.05 mm."""
    job = job_with_probe(tmp_path)
    (tmp_path / "nominal.yaml").write_text(NOMINAL, encoding="utf-8")
    rough = measured(job, boards=(tmp_path / "nominal.yaml",), units=units)
    scale = 25.4 if units == "inch" else 1.0
    head, *lines = rough.files["readings.csv"].decode().splitlines()
    filled = [head]
    for line in lines:
        x, y, _ = (float(v or 0) for v in line.split(","))
        filled.append(f"{line}{(38 + 0.002 * x * scale + 0.004 * y * scale) / scale:.4f}")
    (tmp_path / "readings.csv").write_text("\n".join(filled) + "\n", encoding="utf-8")
    probed = tmp_path / "probed.yaml"
    probed.write_text(
        "stockwright: board/1\nname: ash plank 9\nsize: {length: 1210 mm, width: 230 mm}\n"
        f"probed: {{upper: readings.csv, units: {units}, thickness: 38 mm}}\n",
        encoding="utf-8",
    )
    board, wrong = bind_board(read_board(probed))
    assert wrong == []
    assert board is not None
    places = np.array([(t.x, t.y) for t in rough.boards[0].touches])
    wanted = 38 + 0.002 * places[:, 0] + 0.004 * places[:, 1]
    off = board.top_at(places) - wanted
    assert float(np.ptp(off)) < 0.05


def test_a_place_left_open_is_a_mistake_with_its_line(tmp_path: Path) -> None:
    """The table as it comes: every open z is named by line and column."""
    job = job_with_probe(tmp_path)
    (tmp_path / "readings.csv").write_bytes(measured(job).files["readings.csv"])
    probed = tmp_path / "probed.yaml"
    probed.write_text(
        "stockwright: board/1\nname: open\nsize: {length: 1182 mm, width: 228 mm}\n"
        "probed: {upper: readings.csv, thickness: 38 mm}\n",
        encoding="utf-8",
    )
    with pytest.raises(InputError) as raised:
        bind_board(read_board(probed))
    lines = [m.line for m in raised.value.mistakes if m.file.endswith("readings.csv")]
    assert lines == list(range(2, 2 + len(lines)))
    assert len(lines) >= 20
    assert "z" in raised.value.mistakes[0].message


def test_places_keep_away_from_high_stops(made: Measured) -> None:
    """Stops nearly as high as the board and a short stylus: places at the ends give way inwards."""
    job, [m] = made.job, made.boards
    assert job.shop.probe is not None
    shop = replace(job.shop, hold_downs=(Stop("high-stop", 2, 40.0, 30.0, 32.0),))
    short = replace(job.shop.probe.tool, assembly=_short(job.shop.probe.tool.assembly))
    crowded = measuring(replace(job, shop=shop), job.boards[0], "probe", short, 1, 0.001, (None, None))
    solids = [s for s in crowded.setup.solids if s.kind == "stop"]
    assert len(solids) == 2
    moved = {(t.x, t.y) for t in crowded.touches} - {(t.x, t.y) for t in m.touches}
    assert moved
    low = [touch for touch in crowded.touches if touch.floor + 1.0 < 32.0 + 3.0]  # the body beside the stop
    assert low
    for touch in low:
        for solid in solids:
            away = shapely.Polygon(solid.outline).distance(shapely.Point(touch.work_x, touch.work_y))
            assert away >= 12.5 + 3.0


def _short(assembly: tuple[Cylinder, ...]) -> tuple[Cylinder, ...]:
    """Give the probe with a stylus of 1 mm: its body comes down beside the stops."""
    tip, body, *rest = assembly
    return (replace(tip, top=1.0), replace(body, bottom=1.0), *rest)


@pytest.mark.parametrize(
    ("edit", "rule", "asked"),
    [
        (("stickout: 70 mm", "stickout: 110 mm"), "no-room-to-measure", Asked()),
        (("x: 0 mm to 1400 mm", "x: 160 mm to 1400 mm"), "place-out-of-reach", Asked()),
        (("z: 40 mm to 160 mm", "z: 140 mm to 190 mm"), "place-out-of-reach", Asked()),
        (("shank: 8 mm\n  stickout", "shank: 9 mm\n  stickout"), "no-probe", Asked(by="probe")),
    ],
)
def test_what_cannot_be_measured_is_refused_with_both_numbers(
    tmp_path: Path, edit: tuple[str, str], rule: str, asked: Asked
) -> None:
    """No room above, a place beyond the travel, a probe no collet holds: numbers and a remedy."""
    with pytest.raises(Refused) as raised:
        measured(job_with_probe(tmp_path, edit), asked)
    refused = [f for f in raised.value.findings if f.level == "refuse"]
    assert {f.rule for f in refused} == {rule}
    for finding in refused:
        assert finding.measured is not None
        assert finding.limit is not None
        assert finding.measured != finding.limit
        assert finding.remedy


def test_a_probe_with_the_number_of_a_tool_is_a_mistake(tmp_path: Path) -> None:
    """Two things cannot be tool 2."""
    with pytest.raises(InputError, match="number 2 is that of 'long-end-mill' already"):
        measured(job_with_probe(tmp_path, probe_part=PROBE.replace("number: 9", "number: 2")))


def test_two_boards_have_two_programs_and_two_tables(tmp_path: Path) -> None:
    """Each board is its own setup, with a table of its own name; names do not collide."""
    job = job_with_probe(tmp_path)
    two = measured(job, boards=(tmp_path / "board.yaml", tmp_path / "thin-board.yaml"))
    assert {name for name in two.files if name != "packet.json"} == {
        *("card.html", "programs/1a-probe.ngc", "programs/2a-probe.ngc"),
        *("readings-1.csv", "readings-2.csv"),
    }
    assert two.packet.proof.verdict == "proven"


def test_same_job_same_bytes(tmp_path: Path) -> None:
    """Made twice from two folders, every file is the same."""
    first, second = (measured(job_with_probe(tmp_path / name)) for name in ("a", "b"))
    assert first.files == second.files


def test_names_stay_text_on_the_card(made: Measured) -> None:
    """A title and a board called like markup are shown as they are written."""
    [m] = made.boards
    named = replace(m, setup=replace(m.setup, title="<b>plank</b>"), board=replace(m.board, name="<i>x</i>"))
    text = card(made.packet, [(named, None, "readings.csv")], "mm", job="j", wait=False, lift=True)
    assert "<b>plank" not in text
    assert "<i>x" not in text
    assert "&lt;b&gt;plank" in text


def test_the_packet_proves_again_from_its_own_text(made: Measured) -> None:
    """What `prove` reads from the disk is judged alike."""
    texts = {n: d.decode() for n, d in made.files.items() if n.startswith("programs/")}
    assert prove(made.packet, texts).proof.reasons == []


@pytest.mark.parametrize("by", ["probe", "hand"])
def test_what_is_planned_is_proven_on_random_boards(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, by: By
) -> None:
    """Six seeded boards, warped, wedged and up to 1250 mm long: the proof finds nothing in any."""
    job = job_with_probe(tmp_path, ("x: 0 mm to 1400 mm", "x: 0 mm to 1500 mm"))
    bound, post = bind(read_job(job))
    few = [b for b in random_boards(1.0, 120) if b.bounds[2] - b.bounds[0] < 1250 and b.top.max() < 42][:6]
    assert len(few) == 6
    monkeypatch.setattr("stockwright.bind.bind", lambda *_, **__: (replace(bound, boards=tuple(few)), post))
    made = measured(job, Asked(by=by))
    assert made.packet.proof.verdict == "proven"
    assert len(made.packet.setups) == 6
