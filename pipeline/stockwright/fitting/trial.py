"""One try: a recipe, a shop, values, a board -> what refuses it, how long it runs, how accurate it comes out.

In: documents that are read. Out: `Tried`. Promise: exactly the stages of a job, up to the programs' text; a
refused try names its findings, and a sum that cannot be worked out is one of them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from stockwright import run
from stockwright.budget.sums import budget
from stockwright.budget.work import work_of
from stockwright.documents import Documents
from stockwright.documents.expressions import ExpressionError, length_of
from stockwright.documents.loaded import Loaded, validate
from stockwright.documents.recipe import BedStep, EdgeStep, EndStep, FaceStep, MateStep, RecipeDocument
from stockwright.documents.source import Tree, parse_yaml
from stockwright.findings import Finding, Refused
from stockwright.frozen import frozen
from stockwright.mistakes import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.documents.expressions import Quantity
    from stockwright.documents.shop import ShopDocument

__all__ = ["BOARD_SIZES", "Bench", "Tried", "job_tree", "sizes_of"]

# A rough board as people buy it for a piece: common practice, no source.
OVER = {"length": 30.0, "width": 10.0, "thickness": 6.0}  # mm more than the finished piece
WITHIN = 0.2  # mm of a height, as callipers and a careful hand read it; common practice, no source
BOARD_SIZES = {"length": 1000.0, "width": 200.0, "thickness": 25.0}  # mm, as the budget's reference board


@frozen(eq=False)
class Tried:
    """What came of a try: the findings that refuse, all findings, and what could be worked out of it.

    `seconds` is what the programs run, None where they were refused before; `expected` are (measure, mm to be
    expected, mm that the recipe lets it be out by or None).
    """

    refused: tuple[Finding, ...]
    findings: tuple[Finding, ...] = ()
    seconds: float | None = None
    setups: int = 0
    expected: tuple[tuple[str, float, float | None], ...] = ()
    notes: tuple[str, ...] = ()
    said_otherwise: tuple[str, ...] = ()

    @property
    def passes(self) -> bool:
        """Whether nothing refuses it."""
        return not self.refused


@frozen(eq=False)
class Bench:
    """What every try of one call shares. `boards` are the user's own, none where one is made up."""

    recipe: Loaded[RecipeDocument]
    shop: Loaded[ShopDocument]
    post: str | None
    boards: tuple[Loaded[Any], ...] = ()

    def tried(self, values: Mapping[str, Quantity], board: Mapping[str, float]) -> Tried:
        """Try it; `board` are the sizes in mm of what the recipe leaves as it is."""
        try:
            for _, each in self.recipe.model.expressions():
                each.evaluate(values)
            checked = run.check_documents(self.documents(values, board), self.post)
            seconds = run.machine_seconds(checked)
        except ExpressionError as error:
            return Tried((_finding("sum-out-of-range", error.message, error.hint),))
        except Refused as refused:
            wrong = tuple(f for f in refused.findings if f.level == "refuse")
            return Tried(wrong, refused.findings)
        except InputError as error:
            return Tried(tuple(_finding(m.code, m.message, m.hint) for m in error.mistakes))
        asked = checked.job.wanted.tolerance
        expected = [
            (each.title, each.expected, getattr(asked, each.name))
            for board_ in checked.job.boards
            for each in budget(checked.job.shop, work_of(checked.job, checked.plan.setups, board_))
        ]
        return Tried(
            (),
            checked.findings,
            seconds,
            len(checked.plan.setups),
            tuple(dict.fromkeys(expected)),  # of several boards alike, once
            tuple(note for setup in checked.plan.setups for note in setup.notes),
            checked.said_otherwise,
        )

    def documents(self, values: Mapping[str, Quantity], board: Mapping[str, float]) -> Documents:
        """Return what a job would read; the board is the user's, or a flat one."""
        boards = self.boards or self._made_up(values, board)
        return Documents(_job(), self.recipe, self.shop, boards, dict(values))

    def with_recipe(self, model: RecipeDocument) -> Bench:
        """Return the same bench for a recipe that asks for less."""
        return replace(self, recipe=replace(self.recipe, model=model))

    def _made_up(self, values: Mapping[str, Quantity], board: Mapping[str, float]) -> tuple[Loaded[Any], ...]:
        steps = self.recipe.model.steps
        if all(isinstance(step, BedStep) for step in steps):
            return ()
        sizes = sizes_of(self.recipe.model, values)
        trimmed = any(isinstance(step, EdgeStep | EndStep) for step in self.recipe.model.steps)
        faced = any(isinstance(step, FaceStep) for step in self.recipe.model.steps)
        has = {}
        for measure, over in OVER.items():
            size = sizes[measure]
            more = over if (faced if measure == "thickness" else trimmed) else 0.0
            has[measure] = board[measure] if size is None else size + more
        # Where neighbours' edges mate, or boards lie side by side in one clamping, it takes two.
        two = any(isinstance(step, MateStep) or getattr(step, "together", 1) > 1 for step in steps)
        return tuple(_board(name, **has) for name in ("flat board", "flat board 2")[: 1 + two])


def sizes_of(recipe: RecipeDocument, values: Mapping[str, Quantity]) -> dict[str, float | None]:
    """Return the sizes that a board must have at least, mm; None where the recipe leaves it as it is.

    A face that is cut to more than the finished thickness, for a second visit, counts.
    """
    found = {m: length_of(getattr(recipe.finished, m), values) for m in ("length", "width", "thickness")}
    cut = [length_of(step.to, values) for step in recipe.steps if isinstance(step, FaceStep)]
    thick = [each for each in (found["thickness"], *cut) if each is not None]
    return {**found, "thickness": max(thick) if thick else None}


def job_tree() -> Tree:
    """Return a job that names nothing, for a recipe's inputs to be worked out against."""
    return parse_yaml("(fit)", "stockwright: job/1\nname: fit\nrecipe: fit\n")


def _job() -> Loaded[Any]:
    loaded = validate(job_tree(), "job")
    assert loaded is not None
    return loaded


def _board(name: str, length: float, width: float, thickness: float) -> Loaded[Any]:
    """Return a flat board's document."""
    x, y = max(length / 100, 1.0), max(width / 20, 0.5)
    along, across = ((x, length / 2, length - x), (y, width / 2, width - y))
    rows = [[f"{thickness:.3f} mm"] * 3] * 3
    text = "\n".join(
        [
            "stockwright: board/1",
            f"name: {name}",
            f"size: {{length: {length:.3f} mm, width: {width:.3f} mm}}",
            f"heights: {{along: {_lengths(along)}, across: {_lengths(across)}, rows: {_rows(rows)}}}",
            f"thickness: {{rows: {_rows(rows)}}}",
            f"uncertainty: {WITHIN} mm",
        ]
    )
    tree = parse_yaml("(flat board)", text + "\n")
    loaded = validate(tree, "board")
    if loaded is None:
        raise InputError(tree.mistakes)
    return loaded


def _lengths(values: tuple[float, ...]) -> str:
    return "[" + ", ".join(f"{each:.3f} mm" for each in values) + "]"


def _rows(rows: list[list[str]]) -> str:
    return "[" + ", ".join("[" + ", ".join(row) + "]" for row in rows) + "]"


def _finding(rule: str, message: str, hint: str) -> Finding:
    return Finding(rule=rule, level="refuse", message=message, remedy=hint or "mend the recipe")
