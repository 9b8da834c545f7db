"""Two programs never have one file, on this system or on one where large letters are small ones."""

from __future__ import annotations

import pytest

from stockwright.posting.file_name import one_file_for_two


@pytest.mark.parametrize("names", [["1a-face.ngc", "1a-face.ngc"], ["1A-FACE.NGC", "1b.ngc", "1a-face.ngc"]])
def test_two_that_are_one_are_refused_with_a_cure(names: list[str]) -> None:
    """The same name, and one that differs in the size of its letters only."""
    [finding] = one_file_for_two(names)
    assert (finding.rule, finding.level) == ("one-file-for-two", "refuse")
    assert "1a-face.ngc" in finding.message
    assert "name-length" in finding.remedy


def test_names_that_differ_are_none_of_its_matter() -> None:
    """As they do in every packet."""
    assert one_file_for_two(["1a-face.ngc", "1b-face.ngc", "1a-face-a.ngc"]) == ()
