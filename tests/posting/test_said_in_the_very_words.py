"""What is said of a post, a profile or a program that will not do: the very words and numbers."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from programs import program
from stockwright.mistakes import InputError
from stockwright.motion import NODES, Dust, Dwell, Feed, Pause, Probe, Rapid, SpindleOff, SpindleOn, UseTool
from stockwright.posting import (
    Basics,
    BrokenPost,
    Refusal,
    Traits,
    WordAddress,
    faults,
    load_post,
    load_profile,
    survey,
)
from stockwright.posting import load as loading
from stockwright.posting.file_name import file_name, one_file_for_two
from stockwright.posting.files import written

if TYPE_CHECKING:
    from pathlib import Path


class Sound:
    """A post of a stranger's that has all it takes."""

    name, reader, about, extension = "sound", None, "all of it", "txt"
    traits = Basics()

    def __getattr__(self, part: str) -> object:
        """Have the methods that are asked for and not called."""
        if part in {"resolution", "snap", "refusals", "lines", "write", "file_name", "describe"}:
            return print
        raise AttributeError(part)

    def written(self) -> frozenset[type]:
        """Write everything but a touch."""
        return frozenset(NODES) - {Probe}

    def refused(self) -> dict[type, Refusal]:
        """Refuse a touch."""
        return {Probe: Refusal("no word", "by hand")}


def test_a_faulty_post_is_told_each_fault() -> None:
    """What it lacks; else what of its table is twice, nowhere, no node, or without reason or remedy."""
    sound: Any = Sound()
    assert faults(sound) == ()
    parts: tuple[str, ...] = ("name", "reader", "about", "traits", "extension", "resolution", "snap")
    parts = (*parts, "written", "refused", "refusals", "lines", "write", "file_name", "describe")
    nothing: Any = SimpleNamespace()
    assert faults(nothing) == tuple(f"it has no {part}" for part in parts)
    sound.traits = 3
    assert faults(sound) == ("its traits are no stockwright.posting.Traits, nor Basics",)
    sound = Sound()
    sound.written = lambda: (frozenset(NODES) - {Dust}) | {int, "word"}
    sound.refused = lambda: {
        Probe: Refusal("no word", " "),
        Pause: Refusal(" ", "x"),
        Dwell: Refusal("a", "b"),
        str: Refusal("a", "b"),
    }
    assert faults(sound) == (
        "it both writes and refuses Probe",
        "it both writes and refuses Dwell",
        "it both writes and refuses Pause",
        "it neither writes nor refuses Dust",
        "it speaks of 'word', which is no motion node",
        "it speaks of int, which is no motion node",
        "it speaks of str, which is no motion node",
        "it refuses Probe without a reason or a remedy",
        "it refuses Pause without a reason or a remedy",
    )


NAMES = "cldata, iso-6983, lean-serial, motion-table, rs274-ngc, spelled-out"


def point(name: str, made: object, dist: object = SimpleNamespace(name="own-posts", version="0.3")) -> Any:
    """Give an entry point that loads what it is given; an error is raised."""

    def load() -> object:
        if isinstance(made, BaseException):
            raise made
        return made

    return SimpleNamespace(name=name, dist=dist, load=load)


def test_posts_that_cannot_be_loaded_are_told_of(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody's name, two packages' name, a package without a name, an error without words or with many."""
    sound: Any = Sound()
    points: list[Any] = []
    monkeypatch.setattr(loading, "_points", lambda: tuple(points))

    def told(name: str) -> tuple[str, str, str]:
        with pytest.raises(InputError) as raised:
            load_post(name)
        [mistake] = raised.value.mistakes
        assert (mistake.file, mistake.line, mistake.column) == ("", 0, 0)
        return mistake.code, mistake.message, mistake.hint

    none = "no post is called 'x', expected one of none: none is installed"
    assert told("x") == ("unknown-post", none, "posts list shows them")
    points += [point("sound", sound), point("bad", ValueError("one\ntwo")), point("mute", KeyError(), None)]
    points += [point("twin", sound), point("twin", sound, None), point("other", sound), point("class", Sound)]
    assert load_post("sound") is sound
    message = "no post is called 'soun', expected one of bad, class, mute, other, sound, twin"
    assert told("soun") == ("unknown-post", message, "did you mean 'sound'?")
    cure = "repair or remove that package, or take another post"
    twice = "the name 'twin' is claimed by an unnamed package of no version and own-posts 0.3"
    for name, said in (
        ("bad", "broken: own-posts 0.3: ValueError: one"),
        ("mute", "broken: an unnamed package of no version: KeyError"),
        ("twin", f"broken: own-posts 0.3: {twice}"),
        ("other", "broken: own-posts 0.3: it calls itself 'sound' and is registered as 'other'"),
        ("class", "broken: own-posts 0.3: it calls itself 'sound' and is registered as 'class'"),
    ):
        assert told(name) == ("broken-post", f"post '{name}': {said}", cure)
    kinds = [(post.name, isinstance(post, BrokenPost)) for post in survey()]
    assert kinds == [(n, n != "sound") for n in ("bad", "class", "mute", "other", "sound", "twin")]


PROFILE = "stockwright: post/1\nname: {name}\nextends: {extends}\n{more}"


@pytest.mark.parametrize(
    ("name", "extends", "more", "mistakes"),
    [
        (
            "rs274-ngc",
            "rs274-ncg",
            "",
            [
                (2, "repeated", "the post 'rs274-ngc' is installed already, expected a name of its own", ""),
                (
                    3,
                    "unknown-name",
                    f"no post is called 'rs274-ncg', expected one of {NAMES}",
                    "did you mean 'rs274-ngc'?",
                ),
            ],
        ),
        ("own", "zzz", "", [(3, "unknown-name", f"no post is called 'zzz', expected one of {NAMES}", "")]),
        (
            "own",
            "cldata",
            "",
            [(3, "wrong-kind", "'cldata' is no word-address post, expected one that traits can change", "")],
        ),
        (
            "own",
            "rs274-ngc",
            "spin-up: 61 s\ndust-on: M7\n",
            [
                (4, "out-of-range", "spin-up: got 61, expected 0 to 60", ""),
                (5, "out-of-range", "dust-on: goes together with dust-off: state both or neither", ""),
            ],
        ),
    ],
)
def test_a_profile_that_will_not_do_is_told_so(
    tmp_path: Path, name: str, extends: str, more: str, mistakes: list[tuple[int, str, str, str]]
) -> None:
    """Every mistake in the order of the lines, in a trait's own spelling, with the nearest name there is."""
    path = tmp_path / "own.yaml"
    path.write_text(PROFILE.format(name=name, extends=extends, more=more), encoding="utf-8")
    with pytest.raises(InputError) as raised:
        load_profile(path)
    assert [(m.line, m.code, m.message, m.hint) for m in raised.value.mistakes] == mistakes


def test_a_profile_is_its_parent_with_other_traits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """About, where it says nothing of itself; a parent that is broken is told of at its line."""
    path = tmp_path / "own.yaml"
    path.write_text(PROFILE.format(name="own", extends="rs274-ngc", more="percent: yes\n"), encoding="utf-8")
    made = load_profile(path)
    assert (made.name, made.about) == ("own", "rs274-ngc with traits of this shop's own")
    parent = load_post("rs274-ngc").traits
    assert isinstance(parent, Traits)
    assert made.traits == replace(parent, percent=True)
    monkeypatch.setattr(loading, "_points", lambda: (point("rs274-ngc", ValueError("sunk")),))
    with pytest.raises(InputError) as raised:
        load_profile(path)
    [mistake] = raised.value.mistakes
    assert (mistake.line, mistake.code) == (3, "broken-post")
    assert mistake.message == "post 'rs274-ngc': broken: own-posts 0.3: ValueError: sunk"
    assert mistake.hint == "repair or remove that package, or take another post"


def cut(feed: float) -> Feed:
    """Give a short move at a feed."""
    return Feed(np.array([[1.0, 2.0, 3.0]]), feed)


@pytest.mark.parametrize(
    ("node", "units", "traits", "message", "remedy", "measured", "limit"),
    [
        (
            UseTool(9, "x"),
            "mm",
            {},
            "own changes no tool, and one file asks for two",
            "make it two programs, one a tool",
            9,
            program().tool.number,
        ),
        (
            SpindleOn(0.25),
            "mm",
            {"speed_decimals": 0},
            "own cannot say 0.25 rpm",
            "ask for a speed the spindle has",
            0.25,
            1.0,
        ),
        (
            SpindleOn(0.025),
            "mm",
            {"speed_decimals": 1},
            "own cannot say 0.025 rpm",
            "ask for a speed the spindle has",
            0.025,
            0.1,
        ),
        (
            SpindleOn(-9000.0),
            "mm",
            {},
            "own cannot say -9000 rpm",
            "ask for a speed the spindle has",
            -9000.0,
            1.0,
        ),
        (cut(-90.0), "mm", {}, "own cannot say a feed of -90 mm/min", "ask for a higher feed", -90.0, 0.1),
        (cut(0.04), "mm", {}, "own cannot say a feed of 0.04 mm/min", "ask for a higher feed", 0.04, 0.1),
        (cut(0.1), "inch", {}, "own cannot say a feed of 0.1 mm/min", "ask for a higher feed", 0.1, 0.254),
        (
            Dwell(1.0),
            "mm",
            {"dwell_unit": "none"},
            "own: it has no dwell word whose unit is sure",
            "approach from higher up, or state dwell-unit in a profile",
            None,
            None,
        ),
        (
            Rapid(z=1.0),
            "inch",
            {"units": ("mm",)},
            "own is not written in inch",
            "write it in mm",
            None,
            None,
        ),
    ],
)
def test_what_a_program_asks_in_vain_is_told(
    node: Any, units: Any, traits: dict[str, Any], message: str, remedy: str, measured: float, limit: float
) -> None:
    """Once, though it stands there twice, with both numbers where there are numbers."""
    dialect = WordAddress(name="own", traits=replace(Traits(), **traits))
    [finding] = dialect.refusals(program(node, node), units)
    assert (finding.message, finding.remedy, finding.measured) == (message, remedy, measured)
    assert finding.limit == (pytest.approx(limit) if limit else limit)
    assert (finding.rule, finding.level, finding.setup) == ("post-cannot-say", "refuse", program().setup)


def test_who_waits_beside_a_running_spindle_is_told() -> None:
    """A pause and a touch, each with its own cure; after a stop or a change of tool neither."""
    dialect = WordAddress(name="own", traits=replace(Traits(), probe_word="G38.2", tool_change="word"))
    told = dialect.refusals(program(SpindleOn(9.0), Rapid(z=5.0), Pause("a"), Probe(0.0, 9.0)), "mm")
    assert [(f.message, f.remedy) for f in told] == [
        (
            "the person is waited for with the spindle running",
            "stop the spindle before the pause, or end the program there",
        ),
        ("something is touched with the spindle running", "stop the spindle before the probing move"),
    ]
    for stop in (SpindleOff(), UseTool(9, "x")):
        assert dialect.refusals(program(SpindleOn(9.0), stop, Rapid(z=5.0), Pause("a")), "mm") == ()


@pytest.mark.parametrize(
    ("stem", "naming", "name"),
    [
        ("a-b-c-d-e", {"name_length": 9}, "a-b-c-d-e.nc"),
        ("a-b-c-d-e-f", {"name_length": 9}, "a-b-c73a8.nc"),
        ("a-b-c-d-e-f", {"name_length": 10}, "a-b-c73a8.nc"),
        ("a-b-c-d-e-f", {"name_length": 6, "name_hyphens": False}, "abcdef.nc"),
        ("a-b-c-d-e-f", {"name_length": 5, "name_hyphens": False, "extension": "Tap"}, "a73a8.tap"),
        ("a-b-c-d-e-f", {"name_length": 4, "name_case": "upper"}, "A73A.NC"),
    ],
)
def test_a_name_is_as_long_as_it_may_be(stem: str, naming: dict[str, Any], name: str) -> None:
    """Whole where it fits; else its start, no hyphen at the joint, and what there is room for of a digest."""
    assert file_name(stem, replace(Traits(), **naming)) == name


def test_one_file_for_two_says_which() -> None:
    """The second of the two, in small letters, with both numbers and the cure."""
    [finding] = one_file_for_two(["b.nc", "A.nc", "c.nc", "a.NC", "B.nc"])
    assert finding.message == "two programs would both be a.nc, as this dialect shortens names of files"
    assert (finding.measured, finding.limit) == (2, 1)
    assert finding.remedy == (
        "choose a dialect with longer names, or give name-length a greater value in the profile"
    )


def test_files_are_told_with_their_time_and_lines() -> None:
    """Names, texts, lines, seconds of a machine; a wait and slower moves in the air take longer."""
    one, two = (replace(program(), stem=stem) for stem in ("01-a", "01-a-b"))
    fast = WordAddress(name="own", traits=replace(Traits(), name_length=4))
    files, findings = written(fast, [one, two], "mm", 6000.0, 500.0)
    assert (list(files), findings) == (["01-a", "01-a-b"], ())
    assert [each.name for each in files.values()] == ["01-a.nc", fast.file_name("01-a-b")]
    assert [each.text for each in files.values()] == [fast.write(one, "mm"), fast.write(two, "mm")]
    assert files["01-a"].lines == len(files["01-a"].text.splitlines())
    slow = WordAddress(name="own", traits=replace(Traits(), rapid_feed=600.0, spin_up=5.0))
    slower = WordAddress(name="own", traits=replace(Traits(), rapid_feed=60000.0))
    seconds = {
        post: written(post, [one], "mm", 6000.0, 500.0)[0]["01-a"].seconds for post in (fast, slow, slower)
    }
    assert seconds[slower] == pytest.approx(seconds[fast])
    assert seconds[slow] > seconds[fast] + 5.0
    twins = WordAddress(name="own", traits=replace(Traits(), name_hyphens=False))
    _, [finding] = written(twins, [replace(one, stem="1-a"), replace(one, stem="1a")], "mm", 6000.0, 500.0)
    assert finding.rule == "one-file-for-two"
