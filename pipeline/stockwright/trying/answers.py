"""Answers turned into a profile. In: a sheet of answers. Out: the text of a `post/1` document that loads.

Promise: every mistake at once, with its line; what no answer settles stays as it is in the dialect that is
extended; a profile that would not load is not written.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from stockwright.mistakes import InputError, Mistake
from stockwright.trying.questions import QUESTIONS

if TYPE_CHECKING:
    import os

    from stockwright.documents.source import Tree

__all__ = ["profile_of"]

_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*", re.ASCII)
_KEYS = ("stockwright", "name", "extends", "units", "answers")


def profile_of(path: str | os.PathLike[str]) -> str:
    """Give the profile that a sheet of answers makes. Raises InputError with every mistake found."""
    import os

    from stockwright.documents.source import Table, parse_yaml, read_text

    shown = os.fspath(path)
    text, mistakes = read_text(shown)
    if mistakes:
        raise InputError(mistakes)
    tree = parse_yaml(shown, text)
    if tree.mistakes or not tree.complete:
        raise InputError(tree.mistakes)
    head = _head(tree)
    answers = tree.root.get("answers")
    sets: dict[str, Any] = {}
    if isinstance(answers, Table):
        for name in answers:
            sets.update(_answered(tree, name, answers[name]))
    elif "answers" in tree.root:
        tree.mistake(tree.where(("answers",)), "wrong-type", "expected a question and an answer on each line")
    if tree.mistakes:
        raise InputError(tree.mistakes)
    made = _profile(head, sets)
    _must_load(made, shown)
    return made


def _head(tree: Tree) -> dict[str, str]:
    root, head = tree.root, {}
    for key in root:
        if key not in _KEYS:
            close = get_close_matches(key, _KEYS, n=1)
            hint = f"did you mean '{close[0]}'?" if close else ""
            place = tree.where((key,), key=True)
            tree.mistake(
                place, "unknown-key", f"'{key}' is no key here, expected one of {', '.join(_KEYS)}", hint
            )
    for key in _KEYS:
        if key not in root:
            tree.mistake(root.place, "missing-key", f"'{key}' is missing")
        elif key != "answers":
            if not isinstance(root[key], str):
                tree.mistake(tree.where((key,)), "wrong-type", f"'{key}' is one word")
            else:
                head[key] = str(root[key])
    for key, pattern, wanted in (
        ("stockwright", re.compile(r"trial/1"), "trial/1"),
        ("name", _NAME, "a name such as attic-router: small letters, digits, hyphens"),
        ("extends", _NAME, "the name of a dialect"),
        ("units", re.compile(r"mm|inch"), "mm or inch"),
    ):
        if key in head and not pattern.fullmatch(head[key]):
            tree.mistake(tree.where((key,)), "unknown-word", f"got '{head[key][:40]}', expected {wanted}")
    return head


def _answered(tree: Tree, name: str, given: object) -> dict[str, Any]:
    questions = {question.name: question for question in QUESTIONS}
    if name not in questions:
        close = get_close_matches(name, questions, n=1)
        hint = f"did you mean '{close[0]}'?" if close else "the card has their names"
        place = tree.where(("answers", name), key=True)
        tree.mistake(place, "unknown-name", f"no question is called '{name[:40]}'", hint)
        return {}
    answers = {answer.word: answer for answer in questions[name].answers}
    word = given if isinstance(given, str) else ""
    if word not in answers:
        close = get_close_matches(word, answers, n=1)
        hint = f"did you mean '{close[0]}'?" if close else ""
        message = f"got '{word[:40]}', expected one of {', '.join(answers)}"
        tree.mistake(tree.where(("answers", name)), "unknown-word", message, hint)
        return {}
    return answers[word].sets


def _profile(head: dict[str, str], sets: dict[str, Any]) -> str:
    units = head["units"]
    skip = {"inch-word" if units == "mm" else "mm-word"}
    lines = [
        "stockwright: post/1",
        f"name: {head['name']}",
        "about: Found out by a trial at the machine; the machine's manual comes first.",
        f"extends: {head['extends']}",
        f"units: {units}",
    ]
    for key, value in sets.items():
        if key not in skip:
            shown = f"[{', '.join(map(str, value))}]" if isinstance(value, list) else str(value)
            lines.append(f"{key}: {shown}")
    return "\n".join(lines) + "\n"


def _must_load(text: str, shown: str) -> None:
    """Load the profile as a shop's would be. Raises InputError, told of the sheet of answers."""
    import tempfile
    from pathlib import Path

    from stockwright.posting.profile import load_profile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "profile.yaml"
        path.write_text(text, encoding="utf-8")
        try:
            load_profile(path)
        except InputError as error:
            found = [
                Mistake(shown, 0, 0, m.code, f"the profile: {m.message}", m.hint) for m in error.mistakes
            ]
            raise InputError(found) from None
