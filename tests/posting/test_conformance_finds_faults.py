"""Posts that are wrong in one way each, and the kit says which: that check fails, and no other."""

# ruff: noqa: D102 - what is wrong with a post stands in its class's sentence

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from stockwright.conformance import Fault, cases, check
from stockwright.motion import Dwell, Feed, Pause, Program, Rapid, Remark, SpindleOn
from stockwright.posting import Refusal, Said, Traits, WordAddress, load_post

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from stockwright.posting import Units
    from stockwright.posting.digits import Way


class Sound(WordAddress):
    """Nothing is wrong with this one."""

    name, about = "sound", "as it should be"
    reader: str | None = "rs274-ngc"
    traits = Traits()


class Wordless(Sound):
    """Its words do not say its reader."""

    def describe(self) -> str:
        return super().describe().replace("rs274-ngc", "something")


class OneName(Sound):
    """It cuts names off, so that two programs have one."""

    def file_name(self, stem: str) -> str:
        return super().file_name(stem[:60].rstrip("-"))


class NoWait(Sound):
    """A dwell is written as nothing."""

    def dwell(self, node: Dwell, said: Said) -> Iterator[str]:
        yield from super().dwell(replace(node, seconds=min(node.seconds, 1.5)), said)


class Forgetful(Sound):
    """Of many points one is left out."""

    def cut(self, node: Feed, said: Said) -> Iterator[str]:
        import numpy as np

        points = node.points
        if 5 < len(points) < 9:
            points = np.delete(points, 3, axis=0)
        yield from super().cut(Feed(points, node.feed), said)


class Coarse(Sound):
    """What it says of its grid is not what it writes."""

    def snap(self, mm: float, units: Units, way: Way = "nearest") -> float:
        # Down and up are swapped; the nearest is right.
        return super().snap(mm, units, {"down": "up", "up": "down", "nearest": "nearest"}[way])  # type: ignore[arg-type]


class Fast(Sound):
    """Feeds are five in a hundred too high."""

    def cut(self, node: Feed, said: Said) -> Iterator[str]:
        yield from super().cut(Feed(node.points, node.feed * (1.05 if node.feed > 2000 else 1)), said)


class Turning(Sound):
    """The end does not stop the spindle."""

    def end(self, said: Said) -> Iterator[str]:
        yield from (
            w for w in super().end(said) if w != "M5" or said.before is None or said.program.title != "sample"
        )


class Whole(Sound):
    """It makes the whole text before it gives the first line."""

    def lines(self, program: Program, units: Units) -> Any:
        return list(super().lines(program, units))


class Wide(Sound):
    """Moves take four times the room they need, within the line."""

    def lines(self, program: Program, units: Units) -> Iterator[str]:
        many = (
            len(program.nodes) == 5
            and isinstance(program.nodes[3], Feed)
            and len(program.nodes[3].points) == 3000
        )
        for line in super().lines(program, units):
            yield line[:-1] + " " * (150 if many else 0) + "\n"

    def write(self, program: Program, units: Units) -> str:
        return "".join(self.lines(program, units))


class Counting(Sound):
    """It numbers what it has written, so that no two texts are alike."""

    count = 0

    def header(self, said: Said) -> Iterator[str]:
        self.count += 1
        if said.program.title.startswith("random"):
            yield f"(text {self.count})"
        yield from super().header(said)


class Trusting(Sound):
    """It takes people's text for comments as it is."""

    def remark(self, node: Remark, said: Said) -> Iterable[str]:
        text = re.sub(r"[^ -~]", " ", node.text)[:60]
        return [line for line in (f"({text})",) if text.startswith(")")] or super().remark(node, said)


class Careless(Sound):
    """It lets the person be waited for beside a turning spindle."""

    def refusals(self, program: Program, units: Units) -> Any:
        found = super().refusals(program, units)
        return tuple(f for f in found if "waited for" not in f.message)


class Shouting(Sound):
    """Its words are spaced, though its traits say that they are not."""

    traits = Traits(spaced=False)

    def _move(self, word: str, to: list[int | None] | list[int], said: Said, f_word: str) -> str:
        return re.sub(r"(?<=[0-9])(?=[A-Z])", " ", super()._move(word, to, said, f_word))


class Switching(Sound):
    """It switches a relay for the dust that its table does not name."""

    def dust(self, node: Any, said: Said) -> Iterator[str]:
        yield "M8" if node.on else "M9"


class Both(Sound):
    """It refuses what it writes."""

    refuses = {Pause: Refusal("why", "remedy")}  # noqa: RUF012

    def written(self) -> frozenset[type]:
        return super().written() | {Pause}


class Unread(Sound):
    """Nothing reads it."""

    reader: str | None = None


class Starting(Sound):
    """A wait starts the spindle on its way."""

    def rapid(self, node: Rapid, said: Said) -> Iterator[str]:
        yield from super().rapid(node, said)
        if node.y == 2.5:  # the sample of a rapid
            yield from self.spindle_on(SpindleOn(5000.0), said)


BROKEN: list[tuple[type[WordAddress], str]] = [
    (Both, "whole"),
    (Unread, "reader"),
    (Wordless, "words"),
    (OneName, "names"),
    (NoWait, "node"),
    (Starting, "node"),
    (Forgetful, "motion"),
    (Coarse, "grid"),
    (Fast, "numbers"),
    (Turning, "end"),
    (Whole, "lines"),
    (Wide, "size"),
    (Counting, "twice"),
    (Trusting, "harmless"),
    (Careless, "orders"),
    (Shouting, "trait"),
    (Switching, "trait"),
]


def failing(post: WordAddress) -> dict[str, str]:
    """Give the cases that fail, and what they say."""
    said = {}
    for case in cases(post):
        try:
            check(case)
        except Fault as fault:
            said[case.name] = str(fault)
    return said


@pytest.mark.parametrize(("post", "group"), BROKEN, ids=lambda each: getattr(each, "__name__", each))
def test_each_fault_fails_its_own_check(post: type[WordAddress], group: str) -> None:
    """The group that is meant fails, says something, and no other group does."""
    said = failing(post())
    assert {name.split(" ")[0].rstrip(",") for name in said} == {group}, said
    assert all(len(text) > 10 for text in said.values())


def test_a_sound_post_passes() -> None:
    """The post that the others are made from has no fault."""
    assert failing(Sound()) == {}


def test_every_group_has_a_broken_post() -> None:
    """A group that no broken post fails would be a check that cannot fail."""
    groups = {case.group.rstrip(",") for case in cases(load_post("rs274-ngc"))}
    assert groups | {"reader"} == {group for _, group in BROKEN}


def test_a_reader_of_ones_own_will_do() -> None:
    """A post that no shipped reader reads is tried with its author's."""
    from stockwright.proving.readers import READERS

    for case in cases(Unread(), READERS["rs274-ngc"]):
        if case.group == "motion":
            check(case)
