"""The sheet says what the person at the machine needs, and keeps every name as text."""

from __future__ import annotations

from functools import cache

import pytest

from sample_packet import sample
from sheet_reading import drawings, moves_of, sheet_of, to_scale, words
from stockwright.packet.sheet import sheet
from stockwright.packet.writing import Writing

HOSTILE = (
    "<script>alert(1)</script>",
    '"><svg onload=alert(1)>',
    "'><img src=x onerror=alert(1)>",
    "{{ 7 * 7 }} {% raw %} ]]> &amp; &lt;b&gt;",
    "</style></title><b>",
)


@cache
def plain() -> str:
    """Return the sheet of the sample as it is."""
    return sheet_of(sample())


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_board_name_stays_text(name: str) -> None:
    """A board may be called anything: it is read as written and makes no element and no attribute."""
    made = sample(name)
    html = sheet_of(made)
    seen = words(html)
    assert name in "".join(seen.said)
    assert sorted(seen.elements) == sorted(words(plain()).elements)
    assert not [key for key, _ in seen.attributes if key.startswith("on")]
    assert name in to_scale(drawings(html)["plan-1"])


def test_hostile_names_of_everything_else_stay_text() -> None:
    """Tools, hold-downs, titles, findings, notes and the job itself are no more trusted than boards."""
    bad = HOSTILE[1]
    made = sample()
    packet = made.packet
    setup = packet.setups[0].model_copy(
        update={
            "title": bad,
            "solids": [s.model_copy(update={"name": s.name + bad}) for s in packet.setups[0].solids],
        }
    )
    programs = [
        p.model_copy(update={"tool": bad, "standing": [n + bad for n in p.standing]}) for p in setup.programs
    ]
    packet = packet.model_copy(
        update={
            "setups": [setup.model_copy(update={"programs": programs})],
            "tools": {bad: packet.tools["wide-facer"]},
            "findings": [packet.findings[0].model_copy(update={"message": bad, "remedy": bad, "rule": bad})],
        }
    )
    seen = words(sheet(packet, moves_of(made)))
    assert not [key for key, _ in seen.attributes if key.startswith("on")]
    assert set(seen.elements) <= set(words(sheet_of(made)).elements)


def test_the_sheet_has_no_outside_parts() -> None:
    """One file: no address, no script, no picture, and a policy that lets the browser fetch nothing."""
    html = plain()
    seen = words(html)
    assert not {"script", "img", "link", "iframe", "object", "image", "use"} & set(seen.elements)
    assert not [value for key, value in seen.attributes if key in {"src", "href", "action"}]
    assert "http:" not in html
    assert "https:" not in html
    assert "@import" not in html
    assert all(part.startswith("#") for part in html.split("url(")[1:])
    assert "default-src 'none'" in html


def test_every_file_cutter_and_time_stands_on_it() -> None:
    """All programs are listed in order, each to tick, each cutter with its stick-out."""
    made = sample()
    text = words(sheet_of(made)).text
    places = [text.index(p.file.rpartition("/")[2]) for s in made.packet.setups for p in s.programs]
    assert places == sorted(places)
    assert "let it stick out 44 mm from tip to nut" in text
    assert "let it stick out 64 mm from tip to nut" in text


def test_a_setup_is_told_from_cleaning_the_bed_to_looking_at_the_cut() -> None:
    """Nothing is cut before it is held, checked, zeroed, tried in the air, and everyone is clear."""
    html = plain()
    first = words(html[html.index('id="setup-1"') : html.index('id="setup-2"')]).text
    said = (
        "Brush and vacuum the bed, the fence and the board",
        "Lay the board with face A up, edge-1 towards you, end-1 on your left",
        "68.7 mm from the fence line",
        "Put 5 shims under it",
        "Draw pencil lines across face A",
        "Set the side clamps",
        "push and lift hard",
        "H1, x 24 y 90: 42 mm",
        "Spindle locked out. Fit “wide-facer”",
        "Zero of x and y",
        "Zero of z",
        "A block 10 mm thick must just slide under it",
        "Run s1-outline.ngc: once round the work, the tip 56 mm above zero",
        "Cutter in and tight",
        "Stick-out measured: 44 mm",
        "block slid under",
        "Ears, eyes, breath protected",
        "Dust collector on",
        "Everyone clear all round",
        "Stop button within reach",
        "Start s1-face-a.ngc",
        "Wait for standstill",
        "spots the cutter missed",
        "mark again what the cut took off: “A” on the face, an arrow on it to end-1",
        "Spot left, from the mark",
        "It burns",
        "It moves",
    )
    places = [first.index(sentence) for sentence in said]
    assert places == sorted(places)


def test_what_a_fresh_reader_asked_is_answered() -> None:
    """Half the cutter, each shim's pull, each piece in its row, the new places, marks and blanks are told."""
    html = plain()
    pages = [words(part).text for part in html.split('id="setup-')[1:]]
    first, last = pages[0], pages[3]
    assert "go on half its width, 25 mm, zero: for x, then for y" in first
    assert "Pull at every shim: all must be pinched" in first
    assert "If you switch the spindle by hand: " in first
    assert "end-1”, “end-2”, “edge-2”" in last
    assert first.index("Heights") < first.index("Spot left, from the mark") < first.index("If it stopped")
    asked = ("Try end-1", "Measure the size", "both diagonals", "Square: gaps", "Straight: gaps")
    places = [last.index(said) for said in (*asked, "Diagonals from end-1", "If it stopped")]
    assert places == sorted(places)


def test_what_stands_alone_and_sizes_left_as_they_are_are_told_so() -> None:
    """One stop is not called several, and where no width is wanted it is measured and written down."""
    made = sample()
    first, last = made.packet.setups[0], made.packet.setups[-1]
    stops = [solid for solid in first.solids if solid.kind == "stop"]
    assert len(stops) > 1
    alone = first.model_copy(update={"solids": [s for s in first.solids if s not in stops[1:]]})
    wanted = {
        name: each.model_copy(update={"length": None, "width": None})
        for name, each in made.packet.wanted.items()
    }
    packet = made.packet.model_copy(
        update={"setups": [alone, *made.packet.setups[1:-1], last], "wanted": wanted}
    )
    said = words(sheet(packet, moves_of(made))).text
    assert "Set the stops" in words(sheet_of(made)).text
    assert "Set the stop " in said
    assert "Measure the length at both edges and the width at both ends, and write it down." in said
    assert "Measure the size" not in said


def test_the_board_is_tried_for_rocking_before_face_b() -> None:
    """The flattened face goes down, and the person is asked whether it rocks before any clamp."""
    html = plain()
    second = words(html[html.index('id="setup-2"') : html.index('id="setup-3"')]).text
    assert second.index("Does it rock?") < second.index("Set the side clamps")
    assert "Turn the board over, edge over edge: the ends stay left and right." in second


def test_a_clamp_move_stops_the_spindle_first_and_never_lets_go() -> None:
    """Between two files the new clamp is set before the old one is taken off, spindle locked out."""
    made = sample()
    setup = made.packet.setups[3]
    moved = [
        p.model_copy(
            update={"standing": [n for n in p.standing if ("clamp 1" in n) == late or "clamp" not in n]}
        )
        for p, late in zip(setup.programs, (False, False, False, True), strict=True)
    ]
    setups = [*made.packet.setups[:3], setup.model_copy(update={"programs": moved})]
    html = sheet(made.packet.model_copy(update={"setups": setups}), moves_of(made))
    last = words(html[html.index('id="setup-4"') :]).text
    said = (
        "s4-end-2.ngc:",
        "Then disconnect it from its power",
        "Set toe-clamp 1 arm",
        "Only then take off toe-clamp 2 arm",
        "s4-edge-2.ngc:",
    )
    start = last.index("Run s4-outline.ngc")
    places = [last.index(sentence, start) for sentence in said]
    assert places == sorted(places)


def test_a_change_of_cutter_asks_for_its_stick_out_and_z_again() -> None:
    """A second cutter within a setup is fitted with the spindle locked out, and z is taken anew."""
    made = sample()
    setup = made.packet.setups[0]
    changed = [
        *setup.programs,
        setup.programs[1].model_copy(update={"tool": "long-end-mill", "file": "programs/x.ngc"}),
    ]
    setups = [setup.model_copy(update={"programs": changed}), *made.packet.setups[1:]]
    html = sheet(made.packet.model_copy(update={"setups": setups}), moves_of(made))
    text = words(html[html.index('id="setup-1"') : html.index('id="setup-2"')]).text
    start = text.index("Start s1-face-a.ngc")
    said = ("then lock it out", "Fit “long-end-mill”", "Take z again", "Start x.ngc")
    places = [text.index(sentence, start) for sentence in said]
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("verdict", "said"),
    [("proven", "Proven."), ("unproven", "Not proven."), ("refused", "Do not run these files.")],
)
def test_the_verdict_stands_on_the_first_page(verdict: str, said: str) -> None:
    """Whatever the proof says is said before anything else."""
    text = words(sheet_of(sample(verdict=verdict))).text  # type: ignore[arg-type]
    assert text.index(said) < text.index("The files, in the order they are run")


def test_a_refusal_names_file_and_line() -> None:
    """The last page gives each reason with its place in the text."""
    assert "programs/s2-face-b.ngc:5:" in words(sheet_of(sample(verdict="refused"))).text


def test_guesses_and_findings_are_on_the_first_page() -> None:
    """What was taken because it was not stated, and what the checks warn of, comes before the setups."""
    html = plain()
    text = words(html[: html.index('id="setup-1"')]).text
    assert "uncertainty was left out: 0.3 mm is taken" in text
    assert "Take care, setup 2: The thickest place of face B takes four levels." in text


def test_the_cautions_and_the_published_rules_are_named() -> None:
    """Everything that can hurt, and the rules to read, stand on the last page."""
    html = plain()
    last = words(html[html.index('id="proof"') :]).text
    for said in (
        "kickback",
        "Dust",
        "Noise",
        "turning cutter",
        "Pinch points",
        "Fire",
        "manual",
        "local codes",
    ):
        assert said in last
    for rule in ("29 CFR 1910.212", "1910.213", "1910.95", "ISO 19085-1", "ISO 19085-3"):
        assert rule in last
    assert "No proof lets a hand near a cutter" in last


def test_words_of_the_workshop_only() -> None:
    """No word that only a draughtsman or a programmer would use."""
    text = words(plain()).text.lower()
    for word in ("datum", "height field", "prism", "minimum zone", "polygon", "vector", "none", "nan"):
        assert f" {word}" not in text, word


def test_inches_all_through() -> None:
    """A shop that works in inches finds no millimetre on its sheet but in what others wrote."""
    made = sample()
    packet = made.packet.model_copy(
        update={
            "findings": [],
            "setups": [s.model_copy(update={"placing": []}) for s in made.packet.setups],
        }
    )
    text = words(sheet(packet, moves_of(made), "inch")).text
    assert " mm" not in text
    assert "46.535 in" in text  # 1182 mm
    assert "1.063 in" in text  # 27 mm


def test_equal_packets_give_equal_sheets() -> None:
    """The same packet twice is the same sheet to the byte."""
    assert sheet_of(sample()) == sheet_of(sample())


def test_a_packet_alone_still_makes_a_sheet() -> None:
    """Without moves and without the words beside it, every setup is still drawn and told."""
    made = sample()
    html = sheet(made.packet, {})
    assert sum(key.startswith("plan-") for key in drawings(html)) == len(made.packet.setups)
    assert "Start s1-face-a.ngc" in words(html).text


def test_a_bed_without_a_board_makes_a_sheet() -> None:
    """Skimming the bed is a setup like any other, without wood to lay."""
    made = sample()
    setup = made.packet.setups[0]
    goal = setup.goals[0].model_copy(update={"board": None, "cut": "bed", "z": -0.5})
    cut = setup.cuts[0].model_copy(update={"board": None, "name": "bed"})
    bed = setup.model_copy(
        update={
            "lies": [],
            "goals": [goal],
            "cuts": [cut],
            "shims": [],
            "placing": [],
            "title": "the spoilboard",
        }
    )
    text = words(sheet(made.packet.model_copy(update={"setups": [bed]}), moves_of(made))).text
    assert "The spoilboard" in text
    assert "Take everything off the bed but what the drawing shows." in text
    assert "Clear the bed" in text
    assert "Lay the board" not in text


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0.2, "1 s"),
        (35.4, "35 s"),
        (214.4, "3 min 30 s"),
        (240, "4 min"),
        (3540, "59 min"),
        (7260, "2 h 1 min"),
    ],
)
def test_times_are_rounded_to_what_anyone_waits_for(seconds: float, said: str) -> None:
    """Seconds, then tens of seconds, then minutes, then hours and minutes."""
    assert Writing("mm").time(seconds) == said
