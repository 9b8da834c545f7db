"""A dialect as ten lines of YAML in a shop's own folder."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from programs import program
from stockwright.mistakes import InputError
from stockwright.posting import load_profile

if TYPE_CHECKING:
    from pathlib import Path

PROFILE = """\
stockwright: post/1
name: attic-router
about: The old one upstairs.
extends: rs274-ngc
units: inch
line-number-step: 10
comments: none
line-ending: cr-lf
percent: yes
work-frame: none
end-words: [M30]
dust-on: M24
dust-off: M25
spin-up: 5 s
name-length: 8
"""


def written(folder: Path, text: str) -> Path:
    """Put a profile into a folder."""
    path = folder / "attic.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_profile_changes_what_it_states_and_inherits_the_rest(tmp_path: Path) -> None:
    """Name, traits, words on paper; the reader is its parent's."""
    post = load_profile(written(tmp_path, PROFILE))
    assert (post.name, post.reader, post.about) == ("attic-router", "rs274-ngc", "The old one upstairs.")
    assert (post.traits.units, post.traits.work_frame, post.traits.decimals_inch) == (("inch",), None, 4)
    lines = post.write(program(), "inch").split("\r\n")
    assert lines[:3] == ["%", "N10 G20", "N20 G17"]
    assert lines[-4:] == ["N230 M5", "N240 M30", "%", ""]
    assert "N120 S12000" in lines
    assert "N140 G4 P5.0" in lines


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("end-words: [M30]", "end-words: [G28, M30]", "11:1"),
        ("extends: rs274-ngc", "extends: rs274-ncg", "4:10: unknown-name: no post is called 'rs274-ncg'"),
        ("name: attic-router", "name: lean-serial", "2:7: repeated: the post 'lean-serial'"),
        ("percent: yes", "percnt: yes", "9:1: unknown-key"),
        ("comments: none", "comments: semicolon", "7:11: unknown-word"),
        ("dust-off: M25\n", "", "12:10: out-of-range: dust-on"),
        ("spin-up: 5 s", "spin-up: 5", "14:10: unit-missing"),
    ],
)
def test_what_is_wrong_has_its_place(tmp_path: Path, old: str, new: str, expected: str) -> None:
    """File, line, column, and what was expected."""
    with pytest.raises(InputError) as raised:
        load_profile(written(tmp_path, PROFILE.replace(old, new)))
    assert f"attic.yaml:{expected}" in str(raised.value)


def test_mistakes_of_a_profile_come_together(tmp_path: Path) -> None:
    """A taken name, and two traits out of bounds: three mistakes in file order."""
    text = PROFILE.replace("attic-router", "lean-serial").replace("[M30]", "[M3]").replace("5 s", "90 s")
    with pytest.raises(InputError) as raised:
        load_profile(written(tmp_path, text))
    assert [mistake.line for mistake in raised.value.mistakes] == [2, 11, 14]
