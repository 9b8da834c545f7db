"""Small words of the sheet that are looked for at the machine: signs, numbers, remedies, what comes next."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from sample_packet import sample
from sheet_reading import moves_of
from stockwright.packet.extras import Extras, extras_of
from stockwright.packet.last_page import MENDED
from stockwright.packet.model import Packet, ZeroWrong
from stockwright.packet.model.setup import Position
from stockwright.packet.placing import size_of
from stockwright.packet.sheet import as_html, contents
from stockwright.packet.steps.turning import next_setup, turned_from_before
from stockwright.packet.wood import side_names, wood_in
from stockwright.packet.zero_spot import zero_spot

BED = Path(__file__).parents[1] / "golden" / "bed" / "packet.json"


@pytest.fixture(scope="module")
def told() -> dict[str, Any]:
    """Return what stands on the sample's sheet, where a wrong zero meets both parts of a clamp."""
    made = sample()
    setups = list(made.packet.setups)
    solids = [solid.name for solid in setups[-1].solids]
    parts = [name for name in solids if name.endswith((" arm", " body"))][:2]
    wrong = ZeroWrong(
        case="kept",
        off=(0.0, 0.0, -20.0),
        tool="long-end-mill",
        before="wide-facer",
        meets=[*parts, solids[0]],
    )
    setups[-1] = setups[-1].model_copy(update={"if_zero_wrong": [wrong]})
    packet = made.packet.model_copy(update={"setups": setups})
    extras = extras_of(made.job, made.setups, made.programs, made.files)
    return contents(packet, moves_of(made), "mm", extras, {1: ""})


def words_of(svg: str) -> list[str]:
    """Return the words of a drawing."""
    return re.findall(r"<text[^>]*>([^<]*)</text>", svg)


def test_a_drawing_says_what_its_signs_of_zero_are(told: dict[str, Any]) -> None:
    """Below every drawing from above: the ring is the mark, the triangle is z, and where z is taken."""
    made = sample()
    for page, setup in zip(told["setups"], made.packet.setups, strict=True):
        said = words_of(page["plan"])
        assert f"ring: {setup.zero.x}, x 0, y 0" in said
        woods = {lie.board: wood_in(made.packet, setup, lie.board) for lie in setup.lies}
        spot = zero_spot(made.packet, setup, woods, moves_of(made))
        assert spot is not None
        assert f"triangle: z 0 at x {spot.x:.0f}, y {spot.y:.0f}" in said


def test_the_words_below_a_drawing_stand_apart(told: dict[str, Any]) -> None:
    """The three of them lie in one line, on the paper, and none on another, with wide places."""
    widths = [
        size_of(text, bold=False)[0]
        for text in (
            "ring: bed mark, x 0, y 0",
            "near side: you stand here",
            "triangle: z 0 at x -15.51, y 12.62",
        )
    ]
    middle = 0.45 * 186.0
    assert 2.0 + widths[0] <= middle - widths[1] / 2
    assert middle + widths[1] / 2 <= 186.0 - 2.0 - widths[2]
    heights = [
        {y for y, text in re.findall(r'<text[^>]* y="([^"]*)"[^>]*>([^<]*)', page["plan"]) if begins(text)}
        for page in told["setups"]
    ]
    assert all(len(each) == 1 for each in heights)


def begins(text: str) -> bool:
    """Say whether a word of a drawing is one of those at its foot."""
    return text.startswith(("ring: ", "near side: ", "triangle: "))


def test_what_a_wrong_zero_meets_bears_the_drawing_s_number(told: dict[str, Any]) -> None:
    """An arm and its body are one thing with one number, the drawing's; no part's own name is printed."""
    row = next(row["text"] for row in told["last"]["zeros"] if "runs into" in row["text"])
    named = re.search(r"it runs into ([a-z-]+) (\d+), ", row)
    assert named is not None
    assert named[2] in words_of(told["setups"][-1]["plan"])
    assert " arm" not in row
    assert " body" not in row
    assert row.count(named[1]) == 1


def test_a_remedy_stands_beside_what_a_wrong_zero_does(told: dict[str, Any]) -> None:
    """Under the table of wrong zeros the page says what to do, before what no proof can know."""
    html = as_html(told)
    assert html.index("What comes of it") < html.index(MENDED) < html.index("No proof can know")


def test_the_end_of_a_setup_says_what_comes_next(told: dict[str, Any]) -> None:
    """Last of all: the next setup's number, how the board is turned, as its own page says, and its face."""
    after = [
        [
            step["text"]
            for group in leaf["groups"]
            if group["heading"] == "Afterwards"
            for step in group["steps"]
        ]
        for page in told["setups"]
        for leaf in page["leaves"][1:]
    ]
    laid = [
        " ".join(step["text"] for group in page["leaves"][0]["groups"] for step in group["steps"])
        for page in told["setups"]
    ]
    assert not any(text.startswith("Next") for text in after[-1])
    for number, texts in enumerate(after[:-1], 2):
        found = re.fullmatch(rf"Next, setup {number}: ([^.:]+)[.:].*", texts[-1])
        assert found is not None
        assert found[1] in laid[number - 1].replace(found[1].capitalize(), found[1])
        up = re.search(r"Face ([AB]) up", texts[-1])
        assert up is None or f"face {up[1]} up" in laid[number - 1]


def _fitting(packet: Packet) -> list[str]:
    page = as_html(contents(packet, {}, "mm", Extras()))
    return re.findall(r"Spindle locked out\. (Fit |“[^”]*” \([^)]*\) stays in)", page)


def test_a_cutter_that_stays_in_is_not_fitted_again() -> None:
    """It is looked at; it is fitted where it was out: another one in, a pin in the collet, files run."""
    packet = sample().packet
    setups = list(packet.setups)
    tools = [setup.programs[0].tool for setup in setups]
    told = _fitting(packet)
    assert [each == "Fit " for each in told] == [
        number == 0 or tool != tools[number - 1] for number, tool in enumerate(tools)
    ]
    again = next(number for number, each in enumerate(told) if each != "Fit ")
    pin = "Before it is clamped, touch that part with a straight pin in the collet at x 30 mm."
    pinned, run = list(setups), list(setups)
    pinned[again] = setups[again].model_copy(update={"notes": [pin]})
    done = [program.model_copy(update={"done": True}) for program in setups[again - 1].programs]
    run[again - 1] = setups[again - 1].model_copy(update={"programs": done})
    for changed in (pinned, run):
        assert _fitting(packet.model_copy(update={"setups": changed}))[-len(setups) + again] == "Fit "


def test_a_board_slid_along_is_measured_across_at_its_last_position() -> None:
    """Before that edge-2 is not there from end to end: no line asks how wide the board is."""
    packet = sample().packet
    setup = next(each for each in packet.setups if any(cut.name == "edge-2" for cut in each.cuts))
    for number, asked in ((1, 0), (2, 1)):
        slid = Position(number=number, count=2, by=400.0, reach=(0.0, 600.0))
        at = [each.model_copy(update={"position": slid} if each is setup else {}) for each in packet.setups]
        page = as_html(contents(packet.model_copy(update={"setups": at}), {}, "mm", Extras()))
        assert page.count("<span>Width</span>") == asked


def test_of_another_board_s_setup_no_more_is_said_than_a_share_of_a_batch_knows() -> None:
    """Its number, and when this one comes again: the same words whether it is known or blank."""
    packet = sample().packet
    first, second, third, *_ = packet.setups
    others = second.model_copy(
        update={"lies": [lie.model_copy(update={"board": "oak"}) for lie in second.lies]}
    )
    blank = second.model_copy(update={"title": "", "lies": [], "programs": [], "solids": [], "goals": []})
    for between in (others, blank):
        made = packet.model_copy(update={"setups": [first, between, third]})
        assert next_setup(made, first) == "Next, setup 2, with another board; this one again in setup 3."
        assert next_setup(made, third) == ""
        made = packet.model_copy(update={"setups": [first, between]})
        assert next_setup(made, first) == "Next, setup 2, with another board; this one is done."
    run = [program.model_copy(update={"done": True}) for program in second.programs]
    over = packet.model_copy(update={"setups": [first, second.model_copy(update={"programs": run}), third]})
    assert next_setup(over, first).startswith("Next, setup 3: ")
    oak = first.lies[0].model_copy(update={"board": "oak"})
    two = first.model_copy(update={"lies": [*first.lies, oak]})
    goes_on = next_setup(packet.model_copy(update={"setups": [two, others]}), two)
    assert goes_on.startswith("Next, setup 2: turn “oak” over")  # of two, which one


def test_a_setup_that_is_taken_up_again_turns_no_board() -> None:
    """Part of it has run: a board that was moved is brought back as it lay, not turned or slid once more."""
    packet = sample().packet
    second = packet.setups[1]
    programs = [p.model_copy(update={"done": n == 0}) for n, p in enumerate(second.programs)]
    taken_up = second.model_copy(update={"programs": programs})
    for setup, says in ((second, "Turn the board over"), (taken_up, "Bring the board back as it lay.")):
        [lie] = setup.lies
        assert turned_from_before(packet, setup, lie.board, side_names(lie)).startswith(says)


def test_where_the_bed_is_cut_no_board_is_spoken_of() -> None:
    """A skim of the bed was cut in a simulated bed; what no proof can know is of the bed too."""
    packet = Packet.model_validate_json(BED.read_text(encoding="utf-8"))
    sheet = contents(packet, {}, "mm", Extras(), {1: ""})
    html = as_html(sheet)
    assert html.count("simulated bed") >= 3
    assert "simulated board" not in html
    assert not [each for each in sheet["last"]["cannot_know"] if "board" in each]
    assert len(sheet["last"]["cannot_know"]) == len(packet.proof.cannot_know)
