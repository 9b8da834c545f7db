"""Every command document says what its commands print, and how they leave the folder."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from command_documents import DOCUMENTS, broken_promises, calls_of, difference, run

if TYPE_CHECKING:
    from pathlib import Path

LONG = {"again", "again-refused", "recipes-fit"}  # documents that make many packets


@pytest.mark.parametrize(
    "document",
    [pytest.param(each, marks=pytest.mark.wide if each.stem in LONG else ()) for each in DOCUMENTS],
    ids=lambda each: each.stem,
)
def test_a_command_prints_what_its_document_says(document: Path, tmp_path: Path) -> None:
    """What a call prints is what stands below it, and it keeps the promises that every call makes."""
    done = 0
    for call, outcome in run(document.read_text(encoding="utf-8"), tmp_path):
        shown = "stockwright " + " ".join(call.words)
        assert not difference(call, outcome), f"{shown}\n{difference(call, outcome)}"
        assert not [f"{shown}: {each}" for each in broken_promises(call, outcome, tmp_path)]
        done += 1
    assert done > 0


def test_every_document_begins_with_a_sentence() -> None:
    """A document's first line is prose, a sentence that says what it shows."""
    firsts = [document.read_text(encoding="utf-8").split("\n", 1)[0] for document in DOCUMENTS]
    assert firsts
    assert [each for each in firsts if not (re.match(r"[A-Z`]", each) and each.endswith("."))] == []


def test_every_call_says_its_exit_code() -> None:
    """No call is left without the exit code that ends what is expected of it."""
    calls = [call for document in DOCUMENTS for call in calls_of(document.read_text(encoding="utf-8"))]
    assert [call.words for call in calls if not (call.expected and call.expected[-1].startswith("=> "))] == []
