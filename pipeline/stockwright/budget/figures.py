"""The figures that a budget is made of.

In: a bound shop. Out: each figure: its size, and whether it is stated, measured or guessed. Promise: one
table names every figure, the guess for it, and the test cut that would measure it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from stockwright.frozen import frozen
from stockwright.hold_downs import Riser

if TYPE_CHECKING:
    from stockwright.budget.combining import Kind
    from stockwright.machine import Shop

__all__ = ["FIGURES", "Known", "Source", "Told", "figure"]

Source = Literal["stated", "measured", "guess"]


@frozen
class Told:
    """What people are told of a figure: `key` in the shop's document below `machine: errors`, what it is.

    `guess` is taken where nobody says; `unit` is "deg", "mm", or "mm/m" where it is over each metre. `cut`
    says how to find out, `enter` under which key of the document of readings that goes (empty: straight into
    the shop's document).
    """

    key: str
    words: str
    unit: Literal["deg", "mm", "mm/m"]
    guess: float | None
    cut: str
    enter: str = ""


# Guesses: common practice, no source; for a machine that was put up with care and never measured.
FIGURES = {
    told.key: told
    for told in (
        Told(
            "tilt-x",
            "the spindle leaning to the left or right",
            "deg",
            0.05,
            "face a scrap in passes across the board, and lay a straightedge over the passes: the step from "
            "one to the next tells it. Or cut one end of two pieces, put the cut ends together, one piece "
            "turned over, and read the gap: it shows the lean twice",
            "steps or edges-together",
        ),
        Told(
            "tilt-y",
            "the spindle leaning away from you or towards you",
            "deg",
            0.05,
            "face a scrap in passes along the board, and lay a straightedge across it: the step from one "
            "pass to the next tells it. Or cut one edge of two pieces, put the cut edges together, one "
            "piece turned over, and read the gap: it shows the lean twice",
            "steps or edges-together",
        ),
        Told(
            "squareness",
            "the two axes out of square",
            "deg",
            0.03,
            "cut all four sides of a large thin panel in one clamping and measure both diagonals: a true "
            "rectangle has them alike",
            "diagonals",
        ),
        Told(
            "fence-angle",
            "the fence out of line with the x axis",
            "deg",
            None,
            "lay a straight edge against the fence, cut the opposite edge, measure the width at both ends",
            "widths",
        ),
        Told(
            "straightness-x",
            "the x axis running crooked",
            "mm",
            0.1,
            "cut one long edge in one pass and hold a straightedge against it; then the same on a face",
            "straightness",
        ),
        Told(
            "straightness-y",
            "the y axis running crooked",
            "mm",
            0.1,
            "cut one edge across the machine in one pass and hold a straightedge against it",
            "straightness",
        ),
        Told(
            "bed",
            "the bed not parallel to the machine's own motion",
            "mm",
            0.1,
            "face both faces of a board, turning it over once, and measure the thickness near its corners",
            "thickness",
        ),
        Told(
            "seating",
            "a chip or a shim under the board, or against the fence",
            "mm",
            0.05,
            "lay one flat board down ten times, cleaning the bed each time, and read its height at one place "
            "with a dial: half of the spread is the figure",
        ),
        Told(
            "risers",
            "the risers not all of one height",
            "mm",
            0.05,
            "stand all risers side by side on the bed and read both ends of each with a dial: half of the "
            "spread is the figure",
        ),
        Told(
            "touch",
            "the touch of z",
            "mm",
            0.05,
            "take z ten times on one spot and write down what the machine shows: half of the spread is the "
            "figure",
        ),
        Told(
            "mark",
            "sighting the mark for x and y",
            "mm",
            0.2,
            "take x and y at the mark ten times and write down what the machine shows: half of the spread is "
            "the figure",
        ),
        Told(
            "diameter",
            "the cutter not quite as wide as marked",
            "mm",
            0.05,
            "cut one groove in scrap in a single pass and measure its width with callipers: the difference "
            "is the figure",
        ),
        Told(
            "scale",
            "the axes' scale",
            "mm/m",
            0.2,
            "let the machine prick two points a metre apart and measure with a good rule: the difference is "
            "the figure",
        ),
        Told(
            "thermal",
            "the machine growing with the shop's warmth",
            "mm/m",
            None,
            "prick two points a metre apart on the coldest and on the warmest day and compare: half of the "
            "difference is the figure",
        ),
    )
}  # fmt: skip
BED_NEVER_SKIMMED = 0.3  # mm over the bed's area, where no skim is known of; common practice, no source


@frozen
class Known:
    """A figure as the budget takes it: a half-width or a k = 2 value, in the figure's own unit."""

    told: Told
    size: float
    kind: Kind
    source: Source


def figure(shop: Shop, key: str) -> Known | None:
    """Return one figure of a shop; None where nobody says it and none is guessed."""
    told = FIGURES[key]
    said = getattr(shop.errors, key.replace("-", "_"))
    if said is not None:
        if said.measured:
            # A measured error stands in every board, and may be larger by what it is unsure.
            return Known(told, said.value + said.within, "normal", "measured")
        return Known(told, said.value + said.within, "rectangular", "stated")
    if key == "fence-angle":
        return None if shop.fence is None else Known(told, shop.fence.angle, "rectangular", "stated")
    if key == "risers" and not any(isinstance(each, Riser) for each in shop.hold_downs):
        return None
    if key == "touch" and shop.z_touch is not None and shop.z_touch.within is not None:
        return Known(told, shop.z_touch.within, "rectangular", "stated")
    guess = told.guess
    if key == "bed" and shop.bed.skimmed is None:
        guess = BED_NEVER_SKIMMED
    return None if guess is None else Known(told, guess, "rectangular", "guess")
