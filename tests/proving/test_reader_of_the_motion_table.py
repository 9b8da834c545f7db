"""The reader of motion tables refuses what it does not fully know."""

from __future__ import annotations

import pytest

from stockwright.proving.motion_table import read

HEAD = "action,x mm,y mm,z mm,feed mm/min,speed rpm,wait s,tool,text\r\n"
UP = "rapid,,,50.0,,,,,\r\nrapid,1.0,2.0,50.0,,,,,\r\n"
END = "end,,,,,,,,\r\n"


def test_a_table_by_hand_is_read_as_it_is_meant() -> None:
    """Moves, speeds, waits and stops, in both kinds of line ends, quoted or not."""
    rows = HEAD + 'tool,,,,,,,3,"a ""b"", c"\n' + "spindle on,,,,,9000,,,\r\n" + UP
    rows += "wait,,,,,,2.5,,\r\ncut,9.0,2.0,50.0,1200.0,,,,\r\nspindle off,,,,,,,,\r\nstop,,,,,,,,\r\n" + END
    reading = read(rows)
    assert reading.unread == ()
    assert reading.moves.rapid.tolist() == [True, True, False]
    assert reading.moves.feed[2] == 1200.0
    assert [(e.kind, e.value) for e in reading.events] == [
        *(("tool", 3.0), ("spindle", 9000.0), ("dwell", 2.5)),
        *(("spindle", 0.0), ("stop", 0.0), ("end", 2.0)),
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no end"),
        ("action,x,y\r\n", "names the columns"),
        (HEAD.replace("y mm", "y inch") + END, "names the columns"),
        (HEAD + UP, "no end"),
        (HEAD + END + UP, "stands after it"),
        (HEAD + "fly,1.0,2.0,3.0,,,,,\r\n" + END, "cannot read 'fly'"),
        (HEAD + "rapid,1.0,2.0,3.0\r\n" + END, "4 cells"),
        (HEAD + UP + "rapid,1.0,,60.0,,,,,\r\n" + END, "y is known and its cell is empty"),
        (HEAD + UP + "cut,1.0,2.0,3.0,,,,,\r\n" + END, "needs its cell 5"),
        (HEAD + UP + "cut,1.0,2.0,3.0,0.0,,,,\r\n" + END, "not above zero"),
        (HEAD + "cut,1.0,,3.0,9.0,,,,\r\n" + END, "place that is not known"),
        (HEAD + UP + "rapid,1.0,2.0,3.0,900.0,,,,\r\n" + END, "does not use its cell 5"),
        (HEAD + UP + 'rapid,"1,0",2.0,3.0,,,,,\r\n' + END, "plain number"),
        (HEAD + UP + "rapid,1e3,2.0,3.0,,,,,\r\n" + END, "plain number"),
        (HEAD + UP + "touch,9.0,2.0,3.0,90.0,,,,\r\n" + END, "straight down"),
        (HEAD + UP + "touch,1.0,2.0,60.0,90.0,,,,\r\n" + END, "straight down"),
        (HEAD + "note,,,,,,,,=1+1\r\n" + END, "calculate"),
        (HEAD + 'note,,,,,,,,"@x"\r\n' + END, "calculate"),
        (HEAD + 'note,,,,,,,,"open\r\n' + END, "a quote is not closed"),
        (HEAD + 'note,,,,,,,,a"b\r\n' + END, "a quote is not closed"),
        (HEAD + "spindle on,,,,,0,,,\r\n" + END, "not above zero"),
        (HEAD + UP + "tool,,,,,,,2,x\r\n" + END, "one tool"),
        (HEAD + "note,,,,,,,,caf\u00e9\r\n" + END, "U+00E9"),
        (HEAD + "wait,,,,,,-1,,\r\n" + END, "not below zero"),
        (HEAD + "end,,,,,,,,", "has no end"),
    ],
)
def test_what_is_not_fully_known_is_refused(text: str, said: str) -> None:
    """The row is named, with what was expected."""
    unread = read(text).unread
    assert unread
    assert said in unread[0].message


@pytest.mark.parametrize("seconds", ["0", "0.25", "60.0"])
def test_a_wait_is_any_time_that_is_not_below_zero(seconds: str) -> None:
    """None at all, a quarter of a second or a minute."""
    reading = read(f"{HEAD}wait,,,,,,{seconds},,\r\n{END}")
    assert reading.unread == ()
    assert [e.value for e in reading.events if e.kind == "dwell"] == [float(seconds)]
