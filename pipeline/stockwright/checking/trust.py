"""What the second face trusts. In: a situation, left as it is. Out: findings."""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.findings import Finding
from stockwright.job import BedStep, FaceStep

if TYPE_CHECKING:
    from stockwright.checking.situation import Situation

__all__ = ["bed_not_skimmed", "bed_skimmed"]


def bed_not_skimmed(situation: Situation) -> tuple[Finding, ...]:
    """The second face is cut parallel to a bed of which nobody has said that it was ever skimmed.

    The first face lies on the bed while the second one is cut: a bed that is not parallel to the machine's
    own motion makes every board a wedge, by as much as it is out over the board's length. Cure: skim the bed
    with this machine and write the date into the shop's document as `skimmed`.
    """
    if situation.job.shop.bed.skimmed is not None or not _trusts(situation):
        return ()
    return (
        Finding(
            rule="bed-not-skimmed",
            level="warn",
            message="the second face is cut parallel to the bed, which has been skimmed 0 times that the "
            "shop's "
            "document knows of",
            remedy="skim the bed at least 1 time, with the recipe for it, and write the date into the "
            "shop's document "
            "as `skimmed`",
            measured=0.0,
            limit=1.0,
        ),
    )


def bed_skimmed(situation: Situation) -> tuple[Finding, ...]:
    """The date of the last skim of the bed, for whoever stands at the machine to judge.

    A spoilboard swells with the weather and is cut into by every edge; only a person can say whether it is
    still flat. The second face is as parallel as this bed is. Cure, where the date is old or the bed was
    taken off since: skim it again and write the new date down.
    """
    skimmed = situation.job.shop.bed.skimmed
    if skimmed is None or not _trusts(situation):
        return ()
    return (
        Finding(
            rule="bed-skimmed",
            level="note",
            message=f"the second face is cut parallel to the bed, last skimmed {skimmed}",
            remedy="if that is long ago, or the bed has been moved or cut since, skim it and write the "
            "new date down",
        ),
    )


def _trusts(situation: Situation) -> bool:
    """Say whether a face is cut to a thickness from the bed, and the job does not skim the bed itself."""
    steps = situation.job.steps
    return any(isinstance(s, FaceStep) and s.to is not None for s in steps) and not any(
        isinstance(s, BedStep) and s.what == "surface" for s in steps
    )
