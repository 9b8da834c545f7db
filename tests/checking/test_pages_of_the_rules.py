"""Every rule is its own page, has one name, and `check` shows all of them worst first."""

from __future__ import annotations

import inspect
import re
from dataclasses import replace
from pathlib import Path

from cutters import end_mill
from setups import edge_setup, face_setup, shop
from situations import job, numbers, situation
from stockwright.checking import RULES, Situation, check, rules_page
from stockwright.checking.holding import holding_not_proven
from stockwright.cutting import cut
from stockwright.findings import LEVELS, severity


def test_every_rule_says_what_it_is_why_it_hurts_and_the_cure() -> None:
    """A rule's docstring has at least three sentences and names a cure."""
    for rule in RULES:
        assert len(re.findall(r"[.:?](?:\s|$)", rule.page)) >= 3, rule.name
        assert "Cure" in rule.page, rule.name


def test_every_rule_has_a_name_of_its_own() -> None:
    """Ids are the functions' names in words joined by hyphens, and no two are alike."""
    names = [rule.name for rule in RULES]
    assert len(set(names)) == len(names)
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)+", name) for name in names)
    assert all(rule.level in LEVELS for rule in RULES)


def test_every_rule_function_of_the_folder_is_listed() -> None:
    """A public function that takes a situation and is in a rule file's `__all__` is a rule in the list."""
    import stockwright.checking
    from stockwright.checking import chips

    listed = {rule.find.__name__ for rule in RULES}
    rooms = {inspect.getmodule(rule.find) for rule in RULES}
    public = {
        name
        for room in rooms
        for name in getattr(room, "__all__", ())
        if inspect.isfunction(getattr(room, name))
    }
    of_feeds = (chips.bounds_of, chips.feed_ranges, chips.least_feed, chips.no_feed)
    helpers = {"sections", *(each.__name__ for each in of_feeds)}
    assert public - helpers == listed
    assert all(room.__name__.startswith(stockwright.checking.__name__) for room in rooms if room)


def test_the_page_of_rules_holds_each_of_them() -> None:
    """The page has a heading, a level and the text for every rule, in their order."""
    page = rules_page()
    headings = re.findall(r"^## (.+)$", page, re.MULTILINE)
    assert headings == [rule.name for rule in RULES]
    assert all(rule.page in page for rule in RULES)


def test_all_findings_come_worst_first() -> None:
    """A job with many faults shows all of them in one go, refusals before warnings before notes."""
    tool = replace(end_mill(cutting_length=10.0, marked_max_rpm=12000.0), gripped=20.0)
    setup = edge_setup(tool=end_mill())
    setup = replace(setup, cuts=tuple(replace(cut, tool=tool) for cut in setup.cuts))
    findings = check(situation(setup, shop()))
    assert {"cutter-too-short", "speed-above-mark", "shank-gripped-too-little", "held-by-nothing"} <= {
        finding.rule for finding in findings
    }
    assert [severity(f) for f in findings] == sorted(severity(f) for f in findings)


def test_a_finding_has_a_rule_of_the_list_and_no_worse_a_level() -> None:
    """What `check` gives carries the id of a rule and a level no worse than that rule's."""
    level = {rule.name: rule.level for rule in RULES}
    for finding in check(situation(edge_setup(waste=40.0, stepover=7.0), shop())):
        assert LEVELS.index(finding.level) >= LEVELS.index(level[finding.rule])


def test_holding_is_said_to_be_unproven_once() -> None:
    """However many setups of whose grips nothing is known, one note says so, with the teeth's force."""
    setups = (face_setup(index=1), edge_setup(index=2))
    own = Situation(job(shop()), setups, tuple(cut(setup, shop(), 0.01) for setup in setups))
    [note] = holding_not_proven(own)
    assert note.level == "note"
    assert note.measured is not None
    assert numbers(note.remedy)[0] >= note.measured


def test_checking_twice_gives_the_same() -> None:
    """The same situation gives the same findings, and rules leave it as it was."""
    own = situation(edge_setup(waste=40.0, stepover=7.0), shop())
    assert check(own) == check(own)
    assert check(own) == check(situation(edge_setup(waste=40.0, stepover=7.0), shop()))


def test_the_page_beside_the_rules_is_the_generated_one() -> None:
    """The README in the rules' folder is what `rules_page` gives, so that it cannot fall behind."""
    import stockwright.checking

    page = Path(stockwright.checking.__file__).with_name("README.md")
    assert page.read_text(encoding="utf-8") == rules_page()
