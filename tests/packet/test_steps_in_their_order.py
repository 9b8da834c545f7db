"""Steps stand in the order in which hands can do them; each thing is called by its number in the drawing."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Any

from sample_packet import Sample, sample
from sheet_reading import moves_of
from stockwright.packet.clamp_states import hand_steps, states_of
from stockwright.packet.counted import numbered
from stockwright.packet.extras import extras_of
from stockwright.packet.feeds import BY_HAND
from stockwright.packet.last_page import _held, _sides_together
from stockwright.packet.model import Beneath, Packet, Placing, Position, Program, Setup, Solid
from stockwright.packet.page import Page
from stockwright.packet.plan_drawing import Tagged
from stockwright.packet.steps import steps_for
from stockwright.packet.steps.standing import where_they_stand
from stockwright.packet.steps.turning import next_setup
from stockwright.packet.view import _what
from stockwright.packet.wood import wood_in
from stockwright.packet.writing import Writing

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.packet.steps.group import Group


@cache
def made() -> Sample:
    """Make the sample once; what a test changes it copies."""
    return sample()


def groups_of(packet: Packet, setup: Setup, notes: Sequence[str] = ()) -> list[Group]:
    """Return the groups of steps of a setup."""
    sampled = made()
    extras = extras_of(sampled.job, sampled.setups, sampled.programs, sampled.files)
    extras = replace(extras, notes={setup.index: tuple(notes)}, seat_checks={})
    woods = {lie.board: wood_in(packet, setup, lie.board) for lie in setup.lies}
    tags = Tagged(numbered(s.name for s in setup.solids), [str(n) for n in range(len(setup.shims))], [])
    page = Page(packet, setup, woods, moves_of(sampled), extras, Writing("mm"), tags, None)
    return list(steps_for(page))


def told(packet: Packet, setup: Setup, notes: Sequence[str] = ()) -> list[tuple[str, tuple[str, ...]]]:
    """Return the steps of a setup, each with its details."""
    return [(step.text, step.details) for group in groups_of(packet, setup, notes) for step in group.steps]


def place(steps: Sequence[tuple[str, tuple[str, ...]]], begins: str) -> int:
    """Return which step begins so; there is one."""
    [found] = [number for number, (text, _) in enumerate(steps) if text.startswith(begins)]
    return found


def with_solids(setup: Setup, *more: Solid) -> Setup:
    """Return a setup with further things that stand for all its files."""
    programs = [
        p.model_copy(update={"standing": [*p.standing, *(s.name for s in more)]}) for p in setup.programs
    ]
    return setup.model_copy(update={"solids": [*setup.solids, *more], "programs": programs})


def box(name: str, kind: str, x: float, wide: float = 40.0, y: float = -90.0) -> Solid:
    """Return something 40 mm deep and 24 mm high beside the board."""
    outline = [(x, y), (x + wide, y), (x + wide, y + 40.0), (x, y + 40.0)]
    return Solid.model_validate({"name": name, "kind": kind, "outline": outline, "bottom": 0.0, "top": 24.0})


def test_what_a_board_is_laid_on_and_measured_from_stands_before_it_comes() -> None:
    """Fence and risers are set before the board is laid, what holds it after; x and y are explained once."""
    first = made().packet.setups[0]
    setup = with_solids(first, box("riser 1", "riser", 10.0), box("riser 2", "riser", 300.0))
    steps = told(made().packet, setup)
    order = [
        place(steps, each)
        for each in ("Set the risers", "Fence pieces", "Knock off", "Put ", "Set the stops")
    ]
    assert order == sorted(order)
    explained = [text for text, details in steps if any(d.startswith("From the mark, mm") for d in details)]
    assert [text[:13] for text in explained] == ["Set the riser"]
    headings = [group.heading for group in groups_of(made().packet, setup)]
    assert "Hold it (mm from the mark)" in headings  # and in short where that may be another leaf


def test_boards_have_their_distances_before_anything_goes_under_one() -> None:
    """Of two boards in one setup both are laid, then set to their distances, then shimmed and tried."""
    packet = made().packet
    [lie] = packet.setups[0].lies
    other = lie.model_copy(update={"board": "other"})
    setup = packet.setups[0].model_copy(
        update={
            "lies": [lie, other],
            "placing": [Placing(text="other: against it, 5 mm from the mark", x=0.0, y=5.0)],
        }
    )
    both = {"other": packet.boards[lie.board], **packet.boards}
    steps = told(packet.model_copy(update={"boards": both, "setups": [setup]}), setup)
    order = [place(steps, each) for each in ("Set the distances", "Put 5 shims", "Pull at every shim")]
    laid = max(number for number, (text, _) in enumerate(steps) if "with face A up" in text)
    assert [laid, *order] == sorted([laid, *order])


def test_a_row_that_stays_is_not_laid_again() -> None:
    """Of two boards that keep their places each stays as it is, and so says the setup before."""
    packet = made().packet
    [lie] = packet.setups[0].lies
    both = {"other": packet.boards[lie.board], **packet.boards}
    lies = [lie, lie.model_copy(update={"board": "other"})]
    row = packet.setups[0].model_copy(update={"lies": lies, "shims": []})
    again = row.model_copy(update={"index": 2})
    two = packet.model_copy(update={"boards": both, "setups": [row, again]})
    place(told(two, again), "All stays; no board moves. Still face A up")
    assert next_setup(two, row) == "Next, setup 2: all stays; no board moves."


def test_a_bolt_is_told_where_its_clamp_is_set_and_by_its_number() -> None:
    """The planner's note of a bolt stands at the step that sets the thing, under the drawing's number."""
    setup = made().packet.setups[0]
    clamp = next(s.name for s in setup.solids if s.kind == "side-clamp")
    note = f"{clamp}: bolt in slot 3 (x 200 mm), 13 mm off the middle of its foot."
    steps = told(made().packet, setup, [note])
    number = numbered(s.name for s in setup.solids)[clamp]
    [at] = [
        text for text, details in steps if any(d.startswith(f"{number}: bolt in slot 3") for d in details)
    ]
    assert at.startswith("Set the side clamps")


def test_a_board_slid_along_is_not_taken_off_for_a_zero_that_is_kept() -> None:
    """With the cutter that was in, it is slid first; taken off and laid again only where zero was lost."""
    packet = made().packet
    first = packet.setups[0]
    slid = Position(number=2, count=2, by=300.0, reach=(0.0, 600.0), then="")
    edge = next(s for s in packet.setups if any(c.name == "edge-2" for c in s.cuts))
    edge = with_solids(edge, box("in the way", "stop", -20.0, y=-20.0))
    for setup, before, taken_off in ((edge, edge, False), (edge, first, True)):
        now = setup.model_copy(update={"index": 9, "position": slid})
        steps = told(packet.model_copy(update={"setups": [before, now]}), now)
        assert (
            any(text.startswith("Take off what held the board, and the board") for text, _ in steps)
            == taken_off
        )
        again = any("lay it again by its scribed lines" in d for _, details in steps for d in details)
        assert again != taken_off


def test_sizes_that_several_share_stand_above_their_table() -> None:
    """Four pieces of two sizes: a line for each size, and a table of places two abreast without sizes."""
    setup = made().packet.setups[0]
    pieces = [box(f"piece {n}", "stop", 100.0 * n, wide) for n, wide in enumerate((150, 160, 160, 150), 1)]
    setup = with_solids(setup.model_copy(update={"solids": []}), *pieces)
    lines, rows = where_they_stand(setup, pieces, numbered(s.name for s in pieces), Writing("mm"))
    assert lines == ["1, 4: 150 × 40, 24 high.", "2, 3: 160 × 40, 24 high."]
    assert rows == (
        ("no.", "x", "y", "no.", "x", "y"),
        ("1", "100", "-90", "3", "300", "-90"),
        ("2", "200", "-90", "4", "400", "-90"),
    )


def test_the_other_clamp_is_one_or_several() -> None:
    """While one of two clamps is moved the other one holds; while one of three is, the other two hold."""
    setup = made().packet.setups[0]
    for many, said in ((2, "the other one holds"), (3, "the other 2 hold")):
        old, new = (
            [box(f"clamp {n}, {where}", "top-clamp", 100.0 * n + off) for n in range(1, many + 1)]
            for where, off in (("first place", 0.0), ("second place", 50.0))
        )
        program = setup.programs[0]
        runs = [program.model_copy(update={"standing": [s.name for s in some]}) for some in (old, new)]
        moved = setup.model_copy(update={"solids": [*old, *new], "programs": runs})
        before, after = states_of(moved)
        steps = hand_steps(moved, before, after, numbered(s.name for s in moved.solids), Writing("mm"))
        assert sum(said in detail for _, details, _ in steps for detail in details) == 1


def test_the_table_of_files_says_which_file_runs_in_the_air_and_no_more() -> None:
    """How a board lies stands on the setup's page: beside its first file stands what, and that it is air."""
    setup = made().packet.setups[0].model_copy(update={"title": "edge-1, with face B up, against the fence"})
    air, cut = (
        Program.model_validate(p.model_dump() | {"file": f})
        for p, f in zip(setup.programs, "ab", strict=True)
    )
    setup = setup.model_copy(update={"programs": [air, cut]})
    titles = {"a": f"{setup.title}: outline in the air", "b": f"{setup.title}: edge-1"}
    sampled = made()
    extras = replace(extras_of(sampled.job, sampled.setups, sampled.programs, sampled.files), titles=titles)
    assert [_what(setup, each, extras) for each in (air, cut)] == ["edge-1: in the air", "edge-1"]


def test_sides_of_which_every_board_is_told_the_same_have_one_line() -> None:
    """Edges alike for both boards are joined, ends that differ for one of them are not."""
    boards: dict[str, dict[str, str]] = {
        name: {
            "Flatness of face A, 1 mm asked": "1",
            "Flatness of face B, 1 mm asked": "1",
            "Squareness of end-1, 2 mm asked": "3",
            "Squareness of end-2, 2 mm asked": end,
            "Width, 2 mm asked": "4",
        }
        for name, end in (("one", "3"), ("two", "5"))
    }
    found: dict[str, Any] = _sides_together(boards)
    assert list(found["two"]) == [
        "Flatness of A, B, 1 mm asked",
        "Squareness of end-1, 2 mm asked",
        "Squareness of end-2, 2 mm asked",
        "Width, 2 mm asked",
    ]
    assert found["two"]["Squareness of end-2, 2 mm asked"] == "5"


def test_setups_of_several_boards_are_told_together_where_they_are_held_alike() -> None:
    """Which board lies in a setup its own page says: of many boards the last page names none of them here."""
    packet = made().packet
    [name] = packet.boards
    [(finding, setup)] = [(packet.findings[0], packet.setups[0])]
    held = finding.model_copy(
        update={"rule": BY_HAND, "setup": setup.index, "message": f"{name} is held 4.9 times as hard"}
    )
    both = {"other": packet.boards[name], **packet.boards}
    assert (
        _held(packet.model_copy(update={"findings": [held]}), Writing("mm"))[0]
        .lower()
        .startswith(f"setup 1: {name} is held")
    )
    [said] = _held(packet.model_copy(update={"findings": [held], "boards": both}), Writing("mm"))
    assert said.startswith("Setup 1: The board is held 4.9 times as hard")


def test_clamps_that_differ_in_height_alone_share_a_line() -> None:
    """Four clamps on warped wood: where they stand and how high each arm lies, the rest told once."""
    setup = made().packet.setups[0]
    bodies = [box(f"clamp {n} body", "top-clamp", 100.0 * n) for n in range(1, 5)]
    bodies = [each.model_copy(update={"top": 40.0 + n}) for n, each in enumerate(bodies)]
    arms = [
        body.model_copy(
            update={
                "name": body.name.replace("body", "arm"),
                "bottom": body.top - 16.0,
                "outline": [(x, y + (30.0 if y > -60.0 else 0.0)) for x, y in body.outline],
            }
        )
        for body in bodies
    ]
    setup = with_solids(setup.model_copy(update={"solids": []}), *bodies, *arms)
    tags = numbered(s.name for s in setup.solids)
    lines, rows = where_they_stand(setup, setup.solids, tags, Writing("mm"))
    assert lines == ["Each 40 × 40; its arm 30 longer, over the board."]
    assert rows[:2] == (("no.", "x", "y", "arm from, to"), ("1", "100", "-90", "24 to 40"))
    assert [row[3] for row in rows[2:]] == ["25 to 41", "26 to 42", "27 to 43"]


def test_what_holds_from_below_is_a_step() -> None:
    """Tape is stuck and the pump started, the gauge read, before the board is tried by hand."""
    setup = made().packet.setups[0]
    for kind, begins in (("tape", "Stick the tape"), ("vacuum", "Open and shut the vacuum's areas")):
        below = Beneath.model_validate({"name": kind, "kind": kind, "outline": setup.solids[0].outline})
        steps = told(made().packet, setup.model_copy(update={"beneath": [below]}))
        order = [place(steps, each) for each in ("Draw pencil", begins, "Set the stops", "Try it by hand")]
        assert order == sorted(order)


def test_what_holds_anew_goes_on_before_what_held_comes_off() -> None:
    """Then something holds a board that stays at every moment; where they are in each other's way, a hand."""
    packet = made().packet
    first = packet.setups[0].model_copy(update={"shims": []})
    clamps = [s.name for s in first.solids if s.kind == "side-clamp"]
    bare = first.model_copy(
        update={
            "index": 2,
            "solids": [s for s in first.solids if s.name not in clamps],
            "programs": [
                p.model_copy(update={"standing": [n for n in p.standing if n not in clamps]})
                for p in first.programs
            ],
        }
    )
    told_off = f"{len(clamps)} side-clamps"
    x, y = next(s.outline[0] for s in first.solids if s.name in clamps)
    for toe, how in (
        (box("toe-clamp 1", "top-clamp", -200.0), f"first 1 toe-clamp on, only then {told_off} off"),
        (
            box("toe-clamp 1", "top-clamp", x, y=y),
            f"a hand on it all the while: {told_off} off, 1 toe-clamp on",
        ),
    ):
        now = with_solids(bare, toe)
        two = packet.model_copy(update={"setups": [first, now]})
        steps = told(two, now)
        still = place(steps, "Change only what holds")
        assert how in steps[still][0]
        assert steps[still][0].endswith(
            "; the board does not move. Still face A up, edge-1 towards you, end-1 on your left."
        )
        assert how in next_setup(two, first)
        assert not any("press the corners" in text for text, _ in steps)
        if how.startswith("first"):
            order = [place(steps, each) for each in ("Set the clamp", "Only now take off", "Try it by hand")]
            assert [still, *order] == sorted([still, *order])
        else:
            assert not any(text.startswith("Only now") for text, _ in steps)


def test_a_board_that_made_room_for_another_is_laid_again() -> None:
    """With a setup of another board between the two it has been off the bed, though it lies as before."""
    packet = made().packet
    first = packet.setups[0].model_copy(update={"shims": []})
    for index, comes in (
        (2, "All stays; the board does not move. Still"),
        (3, "Bring the board back, lying"),
    ):
        again = first.model_copy(update={"index": index})
        place(told(packet.model_copy(update={"setups": [first, again]}), again), comes)


def test_risers_under_a_board_that_stays_are_not_set_again() -> None:
    """They stand as they stood; only where the board is laid are they set, as high as one another."""
    packet = made().packet
    first = with_solids(packet.setups[0].model_copy(update={"shims": []}), box("riser 1", "riser", 10.0))
    again = first.model_copy(update={"index": 2})
    two = packet.model_copy(update={"setups": [first, again]})
    place(told(two, first), "Set the risers")
    place(told(two, again), "The risers ")
    assert not any(text.startswith("Set the risers") for text, _ in told(two, again))


def test_a_stop_that_decides_the_length_stands_before_the_boards_come() -> None:
    """Set by measure; then every board is laid against it, and no left end told that it would overrule."""
    packet = made().packet
    ends = next(s for s in packet.setups if {"end-1", "end-2"} <= {c.name for c in s.cuts})
    left = "5 mm along x from the mark to the board's left end, which lies right of it"
    first, then = (
        ends.model_copy(
            update={
                "index": index,
                "cuts": [c for c in ends.cuts if c.name == end],
                "placing": [Placing(text=left, x=5.0, y=5.0)],
            }
        )
        for index, end in ((1, "end-1"), (2, "end-2"))
    )
    stop = box("long-stop at end-1", "stop", -60.0)
    [lie] = then.lies
    moved = [[*row[:3], row[3] + (20.0 if n == 0 else 0.0)] for n, row in enumerate(lie.matrix)]
    then = then.model_copy(update={"lies": [lie.model_copy(update={"matrix": moved})]})
    for setup, decides in ((with_solids(first, stop), False), (with_solids(then, stop), True)):
        two = packet.model_copy(update={"setups": [first, setup] if decides else [setup]})
        steps = told(two, setup, ["Push the trued edge hard against every piece of the fence."])
        set_first = [n for n, (text, _) in enumerate(steps) if "by measure, not to the board" in text]
        laid = next(n for n, (text, _) in enumerate(steps) if f"with face {lie.up} up" in text)
        assert [n < laid for n in set_first] == [True] * decides
        # A stop's own width must not come into the length.
        assert any(d.endswith("meets: x -20.") for n in set_first for d in steps[n][1]) == decides
        number = numbered(s.name for s in setup.solids)[stop.name]
        against = f"end-1 tight against the stop {number}"
        assert steps[laid][1] == (against if decides else "the board's left end 5 mm right of the mark",)
        [pushed] = [text for text, _ in steps if text.startswith("Push the trued edge")]
        assert ("its fresh end against the stop" in pushed) == decides
        assert (
            any(text.startswith("Set the stop") and "tight against" in text for text, _ in steps) != decides
        )
        measured = [details for text, details in steps if text.startswith("Measure the size")]
        assert any("length at both edges" in each for d in measured for each in d) == decides


def test_where_clamps_moved_the_last_places_count() -> None:
    """What comes off and what stays is told as a setup ends; over a board that is turned stays no clamp."""
    packet = made().packet
    bare = packet.setups[0].model_copy(update={"shims": []})
    held = with_solids(bare, box("toe-clamp 1", "top-clamp", -200.0))
    moved = held.model_copy(update={"programs": [*held.programs[:-1], bare.programs[-1]]})
    round_ = [[-each for each in row] if n < 2 else row for n, row in enumerate(held.lies[0].matrix)]
    turned = held.model_copy(update={"lies": [held.lies[0].model_copy(update={"matrix": round_})]})
    for first, then, comes in (
        (held, held, "All stays"),
        (moved, held, "Change only what holds: 1 toe-clamp on"),
        (held, turned, "Turn the board half round"),
    ):
        again = then.model_copy(update={"index": 2})
        two = packet.model_copy(update={"setups": [first, again]})
        place(told(two, again), comes)
        assert ("toe-clamp" in next_setup(two, first)) == (first is moved)
        let_go = any(text.startswith("Hold the board with one hand") for text, _ in told(two, first))
        assert let_go == (then is turned)  # a board that stays is held anew first


def test_thickness_is_measured_where_a_slid_board_is_cut() -> None:
    """Only at its last position are all its corners cut."""
    face = next(s for s in made().packet.setups if any(cut.name == "face B" for cut in s.cuts))
    for number, where in ((1, "where it is cut"), (2, "near the four corners and in the middle")):
        at = Position(number=number, count=2, by=300.0, reach=(0.0, 900.0))
        steps = told(made().packet, face.model_copy(update={"position": at}))
        place(steps, f"Measure the thickness {where}: ")
