"""What an expert of controls would try on a program: refused with the line named, or rightly proven.

The program is face A of the small packet, 32 lines; each case changes a line or two. Words are NISTIR 6556's
(RS274/NGC) unless they are named as another dialect's, and then from memory.
"""

from __future__ import annotations

import pytest

from proving.awkward_lines import LINES
from proving.outcomes import GONE, A, B, Changes, outcome_of
from small_packet import small_lines, small_packet, small_texts
from stockwright.proving import prove
from stockwright.proving.readers import READERS

PASS = "G1 Y53.000 F3000"  # line 26, between two passes, beside the board
IN_WOOD = "G1 X100.000 F3000\n{}\nG1 X338.000 F3000"  # line 16, the word behind 100 mm of a cut: line 17
UP = "G0 Z60.000"


def at(line: int, text: str) -> Changes:
    """Put a text in place of a line."""
    return {f"A {line}": text}


def beside(*words: str) -> Changes:
    """Put lines before line 26, where the cutter is low beside the board."""
    return at(26, "\n".join([*words, PASS]))


def high(*words: str) -> Changes:
    """Put lines behind the first move, which is straight up."""
    return at(12, "\n".join([UP, *words]))


def in_wood(*words: str) -> Changes:
    """Put lines into the middle of a cut."""
    return at(16, IN_WOOD.format("\n".join(words)))


# what is done -> what is changed, and the first reason with its line, or "proven"
TRIED: dict[str, tuple[Changes, str]] = {
    # what an earlier program left
    "units not said": (at(2, "(none)"), "relies-on-what-was-left@12"),
    "units said after the first move": (at(2, "(none)") | high("G21"), "relies-on-what-was-left@12"),
    "G90 not said": (at(7, "(none)"), "relies-on-what-was-left@12"),
    "G94 not said": (at(8, "(none)"), "relies-on-what-was-left@12"),
    "feed before the units": (at(2, "F3000\nG21") | at(15, "G1 Z30."), "text-not-understood@16"),
    "feed on the units' line": (at(2, "G21 F500"), "text-not-understood@2"),
    "feed before its mode": (at(8, "F3000\nG94") | at(15, "G1 Z30."), "text-not-understood@16"),
    "feed on its mode's line": (at(8, "G94 F500") | at(15, "G1 Z30."), "proven"),
    "steps from nowhere": (at(7, "G91"), "text-not-understood@12"),
    "a step between two passes": (at(26, "G91\nG1 Y35 F3000\nG90"), "proven"),
    "inverse time": (at(8, "G93"), "feed-out-of-range@16"),
    "another plane, and no arc": (at(1, "G18"), "proven"),
    # zeros, offsets, turned and scaled axes, subprograms
    "tool length": (at(4, "G43 H1"), "text-not-understood@4"),
    "cutter radius": (at(3, "G41 D1"), "text-not-understood@3"),
    "cutter radius taken back late": (at(3, "(none)") | high("G40"), "text-not-understood@13"),
    "tool length taken back late": (at(4, "(none)") | beside("G49"), "text-not-understood@26"),
    "the frame said late": (at(5, "(none)") | high("G54"), "text-not-understood@13"),
    "none of them said": (at(3, "(none)") | at(4, "(none)") | at(5, "(none)"), "proven"),
    "cutter radius without its number": (at(3, "G42"), "text-not-understood@3"),
    "arcs told by places": (at(7, "G90\nG90.1"), "text-not-understood@8"),
    "a local zero": (high("G52 X1"), "text-not-understood@13"),
    "another zero": (high("G92 Z0", UP), "text-not-understood@13"),
    "another frame": (at(5, "G54.1 P1"), "text-not-understood@5"),
    "a zero written": (high("G10 L2 P1 Z9"), "text-not-understood@13"),
    "turned": (high("G68 R30"), "text-not-understood@13"),
    "scaled": (high("G51 X2"), "text-not-understood@13"),
    "a subprogram": (high("M98 P100"), "text-not-understood@13"),
    "a subprogram by its O": (high("O100 CALL"), "text-not-understood@13"),
    "a parameter": (high("#1=5"), "text-not-understood@13"),
    "home": (at(30, "G28 Z60\nG0 Z60."), "text-not-understood@30"),
    "second home": (in_wood("G30 Z60"), "text-not-understood@17"),
    "machine frame, its zero unknown": (at(30, "G53 G0 Z0"), "text-not-understood@30"),
    # how the path is kept
    "corners rounded": (at(6, "G80\nG64"), "leaves-the-path@7"),
    "corners rounded half way": (beside("G64"), "leaves-the-path@26"),
    "corners rounded by at most so much": (at(6, "G64 P0.1"), "text-not-understood@6"),
    "corners rounded, taken back in time": (at(6, "G64\nG61"), "proven"),
    "corners rounded, taken back too late": (
        beside("G64") | at(28, "G61.1\nG1 Y88. F3000"),
        "leaves-the-path@26",
    ),
    "corners rounded after the last move": (at(31, "M5\nG64"), "proven"),
    "the path kept": (at(6, "G61"), "proven"),
    "a stop at each corner": (at(6, "G61.1"), "proven"),
    # spindle, stops, tools, relays
    "the other way": (at(11, "M4"), "spindle-turns-wrong-way@11"),
    "speed after the start": (at(10, "M3") | at(11, "S14000"), "spindle-out-of-range@10"),
    "speed taken away": (beside("S0"), "spindle-out-of-range@26"),
    "stop in a cut": (in_wood("M0"), "stops-with-spindle-on@17"),
    "stop in a cut, spindle off": (in_wood("M5", "M0", "M3"), "rests-in-wood@17"),
    "optional stop in the air": (at(22, "M1\nG0 X-32.000 Y18.000"), "stops-with-spindle-on@22"),
    "pallets": (beside("M60"), "text-not-understood@26"),
    "wait in a cut": (in_wood("G4 P0.5"), "rests-in-wood@17"),
    "wait told in X": (high("G4 X5"), "text-not-understood@13"),
    "spindle off before the retract": (in_wood("M5", UP, "M3"), "rests-in-wood@17"),
    "spindle off on a line that cuts": (in_wood("G1 X200 F3000 M5"), "rests-in-wood@17"),
    "another tool half way": (at(22, f"M5\nT2 M6\n{UP}\nM3\nG0 X-32. Y18."), "changes-tool-midway@23"),
    "the same tool half way": (at(22, f"M5\nT1 M6\n{UP}\nM3\nG0 X-32. Y18."), "changes-tool-midway@23"),
    "the tool when the last one has gone up": (high("M5", "T1 M6", UP, "M3"), "proven"),
    "the tool before the first move": (at(10, "T1 M6\nS14000"), "proven"),
    "another tool called for, not changed": (high("T2"), "wrong-tool@13"),
    "relays": (high("M7", "M8") | at(31, "M9\nM5"), "proven"),  # no proof can know what hangs on them
    "overrides off": (high("M49"), "text-not-understood@13"),
    # arcs
    "half a circle by its radius": (at(26, "G3 Y53 R17.5 F3000"), "text-not-understood@26"),
    "nearly half a circle by its radius": (at(26, "G3 Y53 R17.6 F3000"), "text-not-understood@26"),
    "an arc by its radius": (at(26, "G3 Y53 R18 F3000"), "proven"),
    "too short a radius": (at(26, "G3 Y53 R17.499 F3000"), "text-not-understood@26"),
    "a whole circle": (at(26, f"G3 X338 I0 J17.5 F3000\n{PASS}"), "proven"),
    "a whole circle through the stop": (at(26, f"G3 X338 I-17.5 J17.5 F3000\n{PASS}"), "proven"),
    "a helix, a millimetre too deep": (at(26, "G3 Y53 Z27 I0 J17.5 F3000"), "cut-too-deep@27"),
    "a helix of two turns": (at(26, f"G3 X338 Z29 I0 J17.5 P2 F3000\n{PASS}"), "text-not-understood@26"),
    "radii that differ": (at(26, "G3 Y53.01 I0 J17.5 F3000"), "text-not-understood@26"),
    # signs
    "a line that a switch skips": (at(26, f"/{PASS}"), "text-not-understood@26"),
    "a sum behind the line": (at(26, f"N3 {PASS}*71"), "text-not-understood@26"),
    "numbers of lines alike": (at(25, "N1 G1 X338.000 F3000") | at(26, f"N1 {PASS}"), "proven"),
    "a message": (beside("(MSG, look here)"), "proven"),
    "a sign that stops a serial control": (beside("(wait!)"), "text-not-understood@26"),
    "a sign that lets it go on": (beside("(about ~5)"), "text-not-understood@26"),
    "a remark behind a semicolon": (at(26, f"{PASS} ; on"), "text-not-understood@26"),
    "small letters": (at(26, PASS.lower()), "proven"),
    "a blank in a number": (at(26, "G1 Y5 3.000 F3000"), "proven"),  # 3.3: blanks mean nothing
    "an exponent": (at(26, "G1 Y5.3E1 F3000"), "text-not-understood@26"),
    "a comma": (at(26, "G1 Y53,000 F3000"), "text-not-understood@26"),
    "a word twice": (at(26, "G1 Y53 Y53 F3000"), "text-not-understood@26"),
    "two motions": (at(26, "G0 G1 Y53 F3000"), "text-not-understood@26"),
    "a number beyond all machines": (at(26, f"G1 Y{'9' * 200} F3000"), "text-not-understood@26"),
    "a feed beyond all machines": (at(26, f"G1 Y53 F{'9' * 240}"), "text-not-understood@26"),
    "a byte-order mark": (at(1, "\ufeffG17"), "text-not-understood@1"),
    "a zero byte": (at(26, f"{PASS}\x00M5"), "text-not-understood@26"),
    "a carriage return alone": (at(26, f"{PASS}\rM5"), "text-not-understood@26"),
    "a blank that is none": (at(26, "G1\u00a0Y53 F3000"), "text-not-understood@26"),
    "a tape's end": (at(32, "M30\n\x1a"), "text-not-understood@33"),
    "percent half way": (at(1, "%\nG17") | beside("%"), "no-end@34"),
    "an end half way": (beside("M30"), "text-not-understood@27"),
}


def test_what_was_tried_is_refused_where_it_stands_or_rightly_proven() -> None:
    """Every case of the table gives its first reason, with the line it stands in, or none."""
    said = {}
    for name, (changes, _) in TRIED.items():
        outcome = outcome_of({"setups": 1, "wanted": {}} | changes)
        first = next(iter(outcome.proof.reasons), None)
        said[name] = outcome.proof.verdict if first is None else f"{first.rule}@{first.line}"
    assert said == {name: expected for name, (_, expected) in TRIED.items()}


def test_what_is_silent_stands_among_what_no_proof_can_know() -> None:
    """Corners where nothing is said of them, shifts left on, what hangs on a relay: told with each proof."""
    told = " ".join(prove(small_packet(), small_texts()).proof.cannot_know)
    assert all(
        words in told for words in ("no corner rounded", "no axis shifted", "no relay that is switched")
    )


# name of a beginning in `awkward_lines` -> lines of that dialect that must not be taken for anything
FOREIGN = {
    "ISO: blocks": (
        "G64 G61 G60 G09X1.0 G52X1.0 G68 G51X1.0 G92X0.0 G43 G41 G18 G19 G91 G95 G93 G53 G54 G10 G28X0.0 "
        "G30X0.0 M98 M97 M99 L1 H1 D1 /G00X1.0 G00X1.0*71 G00X1.0;A (MSG,A) G00X1.0(!) g00x1.0 G00X1.0E1 "
        "G00X1,0 M19 M48 A1.0 M03M05 O100 #1=5 :10 G90G91 N1N2 X1.0X2.0 M06 G00Z5.0M05 G02X1.0Y1.0R5.0 "
        "G04P1.0 % G81X1.0Y1.0Z1.0"
    ),
    "ISO: with units": "G93F5.0 G95F5.0",
    "cards": (
        "MCHTOL/0.1 OUTTOL/.1 MODE/INCR MULTAX/ON TRANS/1,2,3 GODLTA/1,2,3 CUTCOM/LEFT SPINDL/ON "
        "SPINDL/9000,SFM,CLW FEDRAT/9,PERREV FEDRAT/9 COOLNT/ON PREFUN/5 INSERTM5 OPSKIP/ON GOHOME RETRCT "
        "CYCLE/DRILL,1 CIRCLE/1,2,3 ORIGIN/1,2,3 CLAMP/ON goto/1,2,3 GOTO/1,2 GOTO/1,2,3,0,0,1 GOTO/1E2,2,3 "
        "UNITS/INCHES LOAD/TOOL,2 CALL/A AUXFUN/5 DELAY/3,REV FROM/1,2,3"
    ),
    "rows": (
        "fly,,,,,,,, cut,1,2,3,,,,, cut,1,2,,100,,,, cut,1,2,3,100,9000,,, cut,1e1,2,3,100,,,, "
        "Cut,1,2,3,100,,,, tool,,,,,,,2,x note,,,,,,,,=1 cut,1;2;3;100 wait,,,,,,-1,, cut,99999999,2,3,1,,,, "
        "units,inch,,,,,,,"
    ),
    "spelled out": "G0_X1 X1_Y2_Z5 G1_X1_Y2_Z5 M3 M98 G92_X0 G53_G0_Z0 G91",
}


@pytest.mark.parametrize("name", FOREIGN)
def test_words_of_other_controls_are_refused_on_their_line(name: str) -> None:
    """Each of them, behind a known beginning, is not understood, and its own line is named."""
    reader, before, behind = LINES[name]
    line = before.count("\n") + 1
    for words in FOREIGN[name].split():
        text = f"{before}{words.replace('_', ' ') if name == 'spelled out' else words}\n{behind}"
        assert [u.line for u in READERS[reader](text).unread][:1] == [line], words


def test_a_feed_of_the_older_family_says_its_mode_first() -> None:
    """Before G94 a feed may be one a turn: refused; behind it, on the same block too, it is read."""
    begin = "%\nG71\nG90\n"
    assert [u.line for u in READERS["iso-6983"](f"{begin}F500.0\nG94\nG00Z5.0\nM30\n").unread] == [4]
    assert READERS["iso-6983"](f"{begin}G94F500.0\nG00Z5.0\nM30\n").unread == ()


def test_a_radius_taken_back_after_a_move_is_refused_in_the_older_family() -> None:
    """G40 behind a move: that move may have been made beside its path. Said before it, it may be again."""
    begin = "%\nG71\nG90\nG94\n{}G00Z5.0\nG40\nM30\n"
    assert [u.line for u in READERS["iso-6983"](begin.format("")).unread] == [6]
    assert READERS["iso-6983"](begin.format("G40\n")).unread == ()


def test_programs_exchanged_or_used_twice_are_refused_by_file() -> None:
    """Two files under each other's names, or one under both: what is cut is wrong, and a file is named."""
    texts = small_texts()
    for first, second in ((B, A), (A, A), (B, B)):
        reasons = prove(small_packet(), texts | {A: texts[first], B: texts[second]}).proof.reasons
        wrong = {A: first, B: second}
        assert {r.program for r in reasons if r.program in wrong and wrong[r.program] != r.program}


TONGUES = {
    "rs274-ngc": "G21\nG90\nG94\nG0 Z5\nG0 X1 Y2\nX2\nM5\nM2\n",
    "spelled-out": "G21\nG90\nG94\nG0 Z5\nG0 X1 Y2 Z5\nM5\nM2\n",
    "iso-6983": "%\nN1G71\nN2G90\nN3G94\nN4G00Z5.0\nN5X1.0Y2.0\nN6M05\nN7M30\n",
    "cldata": "PARTNO A\nUNITS/MM\nSPINDL/OFF\nFROM/1,2,5\nFINI\n",
    "motion-table": (
        "action,x mm,y mm,z mm,feed mm/min,speed rpm,wait s,tool,text\nspindle off,,,,,,,,\n"
        "rapid,,,5,,,,,\nrapid,1,2,5,,,,,\nend,,,,,,,,\n"
    ),
}


def test_a_file_of_another_post_is_no_program() -> None:
    """Each reader takes its own text, and no other; what is spelled out is RS274/NGC too."""
    taken = {
        (reader, of) for reader in TONGUES for of in TONGUES if READERS[reader](TONGUES[of]).unread == ()
    }
    assert taken == {(name, name) for name in TONGUES} | {("rs274-ngc", "spelled-out")}


def test_a_line_left_out_moves_the_lines_that_are_named() -> None:
    """Lines count as the file has them: one taken out before a fault moves its number by one."""
    kept, gone = (
        outcome_of({"setups": 1, "wanted": {}, "A 9": text} | beside("M60")) for text in ("(x)", GONE)
    )
    assert [outcome.proof.reasons[0].line for outcome in (kept, gone)] == [26, 25]
    assert small_lines()[A][25] == PASS
