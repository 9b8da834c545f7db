"""Line numbers, lines, comments and files, as long as they may be and one more."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from programs import program
from stockwright.findings import Refused
from stockwright.motion import Dwell, Feed, Rapid, SpindleOn
from stockwright.posting import Traits, WordAddress

START = (Rapid(z=5.0), Rapid(x=1.0, y=2.0))


def post(**traits: object) -> WordAddress:
    """Give a dialect with these traits, without comments unless they are asked for."""
    return WordAddress(name="trial", traits=replace(Traits(comments="none"), **traits))  # type: ignore[arg-type]


def cut(*points: tuple[float, float, float], feed: float = 600.0) -> Feed:
    """Give a cutting move through points."""
    return Feed(np.array(points), feed)


def test_numbers_wrap_at_the_last_that_the_step_reaches() -> None:
    """Step 400 up to 1200 is 400, 800, 1200, 400; a step that is the limit is one number."""
    for step, limit, numbers in ((400, 1200, [400, 800, 1200, 400]), (400, 1199, [400, 800, 400, 800])):
        text = post(line_number_step=step, line_number_limit=limit).write(program(*START), "mm")
        assert [int(line.split()[0][1:]) for line in text.splitlines()[:4]] == numbers
    text = post(line_number_step=999, line_number_limit=999, spaced=False).write(program(*START), "mm")
    assert {line[:5] for line in text.splitlines()} == {"N999G", "N999M"}


def test_a_line_may_be_as_long_as_the_dialect_takes() -> None:
    """Sixty characters are written, sixty-one are refused with both numbers, the line end not counted."""
    long = cut((-99999.99999, -99999.99999, -99999.99999), feed=100000.1)
    longer = cut((-100000.99999, -99999.99999, -99999.99999), feed=100000.1)
    nodes = (SpindleOn(9.0), *(Dwell(1.0),) * 989, long)
    traits = {"decimals_mm": 5, "line_number_step": 1, "line_ending": "cr-lf"}
    text = post(line_length=60, **traits).write(program(*nodes), "mm")
    assert "N1000 G1 X-99999.99999 Y-99999.99999 Z-99999.99999 F100000.1" in text.split("\r\n")
    with pytest.raises(Refused) as raised:
        post(line_length=60, **traits).write(program(*nodes[:-1], longer), "mm")
    [finding] = raised.value.findings
    assert (finding.measured, finding.limit) == (61, 60)


def test_comments_fill_their_width_and_no_more() -> None:
    """Brackets counted, a line number's room left; a word longer than the line is broken."""
    text = post(comments="parentheses", comment_length=10).write(program(title="abcd efgh ijklmnopq"), "mm")
    assert text.splitlines()[:4] == ["(abcd)", "(efgh)", "(ijklmnop)", "(q)"]
    numbered = post(
        comments="parentheses", comment_length=250, line_length=60, line_number_step=1, line_number_limit=999
    )
    first = numbered.write(program(title="x" * 60), "mm").splitlines()[:2]
    assert first == [f"N1 ({'x' * 53})", "N2 (xxxxxxx)"]


def test_a_file_may_be_as_long_as_its_limit() -> None:
    """Lines and bytes, % and line ends too: as many as allowed are written, one more is refused."""
    written = program(*START, *(Dwell(float(k)) for k in range(1, 400)))
    for percent in (True, False):
        ends = {"percent": percent, "line_ending": "cr-lf"}
        text = post(**ends).write(written, "mm")
        for trait, size, word in (
            ("file_bytes", len(text), "bytes"),
            ("file_lines", text.count("\n"), "lines"),
        ):
            assert post(**ends, **{trait: size}).write(written, "mm") == text
            with pytest.raises(Refused) as raised:
                post(**ends, **{trait: size - 1}).write(written, "mm")
            [finding] = raised.value.findings
            assert (finding.measured, finding.limit) == (size, size - 1)
            assert finding.message == f"a file has more {word} than trial takes, and cannot be split further"
            assert f"file-{word}" in finding.remedy
