"""What posts/README.md shows works as it stands there."""

from __future__ import annotations

import re
from dataclasses import fields
from pathlib import Path

import stockwright_posts
from programs import program
from stockwright.motion import Dwell, Pause
from stockwright.posting import Traits, WordAddress, faults, found, load_profile
from word_address_reader import read

README = (Path(stockwright_posts.__file__).parents[1] / "README.md").read_text(encoding="utf-8")


def block(language: str) -> str:
    """Give the one code block of a language."""
    [code] = re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)
    return str(code)


def test_the_profile_loads_and_writes(tmp_path: Path) -> None:
    """Ten lines are a dialect."""
    text = block("yaml")
    assert text.count("\n") == 10
    path = tmp_path / "attic-router.yaml"
    path.write_text(text, encoding="utf-8")
    post = load_profile(path)
    assert read(post.write(program(), "mm")).events[-1] == ("M30",)
    assert post.file_name("01-face-a") == "01-face-a.tap"


def test_the_subclass_is_a_whole_post() -> None:
    """It refuses what it says it refuses, and stops twice."""
    space: dict[str, object] = {}
    exec(block("python"), space)
    patient = space["Patient"]
    assert isinstance(patient, type)
    post = patient()
    assert isinstance(post, WordAddress)
    assert faults(post) == ()
    assert post.refusals(program(Dwell(1.0)), "mm")[0].remedy == "leave the dwell out"
    assert post.write(program(Pause("look")), "mm").splitlines()[-4:] == ["M0", "M0", "M5", "M2"]


def test_every_trait_and_every_post_stands_in_it() -> None:
    """The table of traits has all of them, the table of posts all that are shipped."""
    named = set(re.findall(r"`([a-z0-9-]+)`", README))
    assert {field.name.replace("_", "-") for field in fields(Traits)} <= named
    assert set(found()) <= named
