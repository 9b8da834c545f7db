"""What a table may say, and what it may not."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from stockwright.posting import TraitError, Traits


@pytest.mark.parametrize(
    "word", ["G53", "G28", "G92", "G10", "G91", "G0", "G43", "M3", "M03", "M6", "M8", "G90 M3", "x"]
)
@pytest.mark.parametrize("trait", ["start_words", "end_words"])
def test_no_table_can_move_offset_or_switch(trait: str, word: str) -> None:
    """A word that acts cannot stand among the start or end words, however it is spelt."""
    before = getattr(Traits(), trait)
    with pytest.raises(TraitError) as raised:
        replace(Traits(), **{trait: (word, *before)})  # type: ignore[arg-type]
    assert [name for name, _ in raised.value.wrong] == [trait]


@pytest.mark.parametrize(
    ("trait", "value"),
    [
        ("decimals_mm", 1),
        ("decimals_inch", 2),
        ("line_length", 254),
        ("line_length", 59),
        ("line_number_limit", 100000),
        ("spin_up", 61),
        ("spin_up", float("nan")),
        ("units", ()),
        ("units", ("mm", "mm")),
        ("mm_word", "G22"),
        ("mm_word", None),
        ("inch_word", "G21"),
        ("work_frame", "G53"),
        ("pause_word", "M1"),
        ("end_words", ()),
        ("end_words", ("M2", "G90")),
        ("end_words", ("M2", "M30")),
        ("start_words", ("G17",)),
        ("comments", "semicolon"),
        ("dust_on", "M24"),
        ("extension", "../x"),
        ("tool_change", "arm"),
    ],
)
def test_a_trait_out_of_bounds_is_named(trait: str, value: object) -> None:
    """One finding about that trait, with what was expected."""
    with pytest.raises(TraitError) as raised:
        replace(Traits(), **{trait: value})  # type: ignore[arg-type]
    assert [name for name, _ in raised.value.wrong] == [trait]


def test_all_that_is_wrong_comes_at_once() -> None:
    """Three slips, three lines."""
    with pytest.raises(TraitError) as raised:
        Traits(decimals_mm=9, end_words=("M3",), extension="")
    assert len(raised.value.wrong) == 3


def test_traits_that_need_each_other_say_so() -> None:
    """A spin-up without a dwell, and a tool change that stops without a word that stops."""
    with pytest.raises(TraitError, match="dwell_unit"):
        Traits(spin_up=2.0, dwell_unit="none")
    with pytest.raises(TraitError, match="pause_word"):
        Traits(tool_change="pause", pause_word=None)


def test_every_trait_can_be_stated_in_a_profile() -> None:
    """The document's keys are the traits, no more and no fewer."""
    from stockwright.documents.post import PostDocument

    keys = set(PostDocument.model_fields) - {"stockwright", "name", "about", "extends"}
    assert keys == {field.name for field in fields(Traits)}
