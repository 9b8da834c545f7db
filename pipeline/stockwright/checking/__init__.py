"""check: a situation -> findings. In: a job, its setups and programs, none of them changed. Out: findings.

Promise: all findings, worst first; checking never stops at the first one; a rule never repairs anything.
"""

from __future__ import annotations

import inspect
from typing import TYPE_CHECKING

from stockwright.checking import (
    accuracy,
    bowing,
    burning,
    chips,
    coverage,
    entry,
    feeds,
    holding,
    reach,
    running,
    standing,
    steps,
    travel,
    trust,
)
from stockwright.checking.situation import Limits, Situation
from stockwright.findings import Finding, Level, severity
from stockwright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["RULES", "Limits", "Rule", "Situation", "check", "rules_page"]


@frozen
class Rule:
    """One rule: the worst level it can have, and its function, whose docstring is its page."""

    level: Level
    find: Callable[[Situation], tuple[Finding, ...]]

    @property
    def name(self) -> str:
        """The rule's id: the function's name in words joined by hyphens."""
        return self.find.__name__.replace("_", "-")

    @property
    def page(self) -> str:
        """What the rule is, why it hurts, and the cure."""
        return inspect.getdoc(self.find) or ""


RULES: tuple[Rule, ...] = (  # the order on the sheet, within a level
    Rule("refuse", reach.cutter_too_short),
    Rule("refuse", reach.nut_meets_wood),
    Rule("refuse", reach.nose_meets_wood),
    Rule("refuse", reach.attached_meets_wood),
    Rule("refuse", reach.shank_gripped_too_little),
    Rule("refuse", reach.flutes_in_the_collet),
    Rule("refuse", steps.depth_beyond_cutter),
    Rule("refuse", steps.trim_too_wide),
    Rule("refuse", steps.corner_left_round),
    Rule("refuse", running.speed_not_marked),
    Rule("refuse", running.speed_above_mark),
    Rule("refuse", running.spindle_cannot_turn_so),
    Rule("refuse", running.feed_above_machine),
    Rule("refuse", running.power_exceeded),
    Rule("refuse", chips.torque_exceeded),
    Rule("refuse", running.chip_too_thin),
    Rule("warn", running.chip_too_thick),
    Rule("refuse", chips.no_feed_will_do),
    Rule("refuse", feeds.feed_outside_its_range),
    Rule("refuse", burning.climbs_too_heavily),
    Rule("refuse", burning.dwells_in_the_wood),
    Rule("warn", burning.last_pass_rubs),
    Rule("warn", burning.breakout_unbacked),
    Rule("refuse", standing.hold_down_in_the_way),
    Rule("refuse", standing.solids_overlap),
    Rule("refuse", standing.held_by_nothing),
    Rule("refuse", holding.holding_too_weak),
    Rule("refuse", holding.lifts_off),
    Rule("refuse", holding.tips_over),
    Rule("refuse", bowing.board_bows_under_clamps),
    Rule("note", holding.holding_margin),
    Rule("note", holding.holding_not_proven),
    Rule("refuse", travel.leaves_the_travel),
    Rule("refuse", travel.cut_below_bed),
    Rule("refuse", entry.plunge_without_centre_edges),
    Rule("refuse", entry.rapid_into_wood),
    Rule("refuse", coverage.face_not_covered),
    Rule("refuse", coverage.edge_not_cleared),
    Rule("refuse", coverage.wall_cut_into),
    Rule("refuse", coverage.loose_piece),
    Rule("note", coverage.wide_waste),
    Rule("refuse", accuracy.tolerance_not_reachable),
    Rule("warn", trust.bed_not_skimmed),
    Rule("note", trust.bed_skimmed),
    Rule("note", trust.known_too_little),
)


def check(situation: Situation) -> tuple[Finding, ...]:
    """Return what every rule finds, worst first; ties keep the order of `RULES`, then of the work."""
    found = [finding for rule in RULES for finding in rule.find(situation)]
    return tuple(sorted(found, key=severity))


def rules_page() -> str:
    """Return the page of all rules in markdown: what each is, why it hurts, the cure."""
    lines = [
        "# Rules",
        "",
        "What `check` looks for before a word is written. A rule that refuses stops the job; a warning and a",
        "note go on the sheet. Every finding gives the numbers compared, the place, and what cures it.",
        "",
    ]
    for rule in RULES:
        lines += [f"## {rule.name}", "", f"Level: {rule.level}.", "", rule.page, ""]
    return "\n".join(lines)
