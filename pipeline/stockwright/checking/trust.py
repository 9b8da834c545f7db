"""What the faces rely on: the bed, and the readings. In: a situation, not changed. Out: findings."""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.findings import Finding
from stockwright.job import BedStep, FaceStep
from stockwright.planning.setup import FaceCut

if TYPE_CHECKING:
    from stockwright.checking.situation import Situation

__all__ = ["bed_not_skimmed", "bed_skimmed", "known_too_little"]


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
            message="the second face is cut parallel to the bed, and the shop's document does not say that "
            "the bed was ever skimmed",
            remedy="skim the bed with a recipe for it, such as skim-the-bed, and write the date into the "
            "shop's document as `skimmed`",
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


def known_too_little(situation: Situation) -> tuple[Finding, ...]:
    """A board of which so little was measured that thickness and time are given away to doubt.

    The first level of a face begins where wood may stand at the highest, and a face is sure to come clean
    only once it has lost as much as its heights may be wrong. Cure: read heights on a grid of 5 x 3 places
    and the thickness round the rim, or probe it.
    """
    from stockwright.board.nominal import measured_within, saving

    found = []
    for board in situation.job.boards:
        low, high = board.outline.min(axis=0), board.outline.max(axis=0)
        measured = measured_within(float(high[0] - low[0]), float(high[1] - low[1]))
        if board.uncertainty <= 2.0 * measured:
            continue
        first: dict[str, tuple[float, float]] = {}
        for setup in situation.setups:
            for cut in setup.cuts:
                if isinstance(cut, FaceCut) and cut.of(board.name):
                    first.setdefault(cut.name, (cut.ceiling - cut.z, cut.stepdown))
        saved = saving(board.uncertainty, measured, first.values())
        found.append(
            Finding(
                rule="known-too-little",
                level="note",
                message=f"{board.name}: heights are known within {board.uncertainty:.1f} mm only",
                remedy=f"measured within {measured:.2f} mm, as 5 x 3 heights and callipers are, it saves "
                f"{saved}",
                measured=round(board.uncertainty, 2),
                limit=round(2.0 * measured, 2),
            )
        )
    return tuple(found)


def _trusts(situation: Situation) -> bool:
    """Say whether a face is cut to a thickness from the bed, and the job does not skim the bed itself."""
    steps = situation.job.steps
    return any(isinstance(s, FaceStep) and s.to is not None for s in steps) and not any(
        isinstance(s, BedStep) and s.what == "surface" for s in steps
    )
