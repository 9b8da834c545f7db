"""The values of a recipe's inputs: from the call, the job, the recipe's defaults or the person asked.

In: the trees of a job and of its recipe, and what the call gives in their place. Out: a quantity for each
input, and every mistake. Promise: a default or a limit may be a sum of other inputs; no question is asked
where nobody can answer.
"""

from __future__ import annotations

import re
from dataclasses import field
from typing import TYPE_CHECKING

from pydantic_core import PydanticCustomError

from stockwright.documents.expressions import Expression, ExpressionError, Quantity
from stockwright.documents.fields import fault, nearest, read_input, shown
from stockwright.documents.recipe import Input
from stockwright.documents.source import Table, Tree
from stockwright.frozen import frozen
from stockwright.mistakes import Mistake
from stockwright.units import format_length

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from stockwright.documents.source import Steps

__all__ = ["Others", "values_of"]

_INCHES = re.compile(r"(?:in|inch|ft|foot|[\"'])\s*$")  # how a length in inches or feet ends


@frozen
class Others:
    """What the job's entries share: inputs to which any of them gives a value, and answers typed so far."""

    said: frozenset[str] = frozenset()
    answers: dict[str, Quantity] = field(default_factory=dict)


def values_of(
    job: Tree,
    recipe: Tree,
    sets: Mapping[str, str],
    ask: Callable[[str], str | None] | None = None,
    entry: Steps | None = None,
    others: Others | None = None,
) -> tuple[dict[str, Quantity] | None, list[Mistake]]:
    """Return each input's value, and the mistakes; None where one is missing or wrong, or the inputs are.

    `sets` goes before the job's own values; `ask` is called with a question where an input
    is given nowhere, and gives what was typed, or None where nothing more comes. `entry` is the path of an
    entry for some boards, whose values go before the job's; `others` says what other entries have, and keeps
    what is typed now.
    """
    inputs = recipe.root.get("inputs", Table((1, 1)))
    if not (job.complete and recipe.root and recipe.complete and isinstance(inputs, Table)):
        return None, []
    valuing = _Valuing(job, recipe, inputs, sets, ask, entry, others or Others())
    valuing.strangers()
    return valuing.all(), valuing.mistakes


class _Valuing:
    def __init__(
        self,
        job: Tree,
        recipe: Tree,
        inputs: Table,
        sets: Mapping[str, str],
        ask: Callable[[str], str | None] | None,
        entry: Steps | None,
        others: Others,
    ) -> None:
        self.job, self.recipe, self.inputs, self.sets, self.ask = job, recipe, inputs, sets, ask
        self.entry, self.others = entry, others
        # What is said of some boards alone goes before what the job says of all.
        holders = [job.root] if entry is None else [job.at(entry), job.root]
        tables = [each.get("set") for each in holders if isinstance(each, Table)]
        self.layers = [each for each in tables if isinstance(each, Table)]
        self.given = {name: layer for layer in reversed(self.layers) for name in layer}
        self.mistakes: list[Mistake] = []
        self.found: dict[str, Quantity] = {}

    def strangers(self) -> None:
        """Note the values of inputs that the recipe does not have."""
        names = list(self.inputs)
        for place, name in [(each.keys_at[name], name) for each in self.layers for name in each]:
            if name not in self.inputs:
                message, hint = _no_input(name, names), nearest(name, names)
                self.mistakes.append(Mistake(self.job.path, *place, "unknown-name", message, hint))
        for name, text in self.sets.items():
            if name not in self.inputs:
                message, hint = _no_input(name, names), nearest(name, names)
                self.mistakes.append(Mistake(f"--set {name}={text}", 0, 0, "unknown-name", message, hint))

    def all(self) -> dict[str, Quantity] | None:
        """Return every input's value: those given first, then defaults in the order in which they depend."""
        wanted = {name: read for name, raw in self.inputs.items() if (read := _input(raw)) is not None}
        for name, each in wanted.items():
            if name in self.sets or name in self.given:
                self._take(name, each)
        waiting = {n: w for n, w in wanted.items() if n not in self.sets and n not in self.given}
        for name, each in list(waiting.items()):
            if each.default is None:
                del waiting[name]
                self._missing(name, each)
        for _ in range(len(waiting)):
            ready = [n for n, w in waiting.items() if all(x in self.found for x in _names(w.default))]
            for name in ready:
                default = waiting.pop(name).default
                value = self._worked_out(name, "default", default)
                if value is not None:
                    self.found[name] = value
        for name, value in self.found.items():
            self._within(name, wanted[name], value)
        return self.found if len(self.found) == len(self.inputs) and not self.mistakes else None

    def _take(self, name: str, wanted: Input) -> None:
        said: list[tuple[str, tuple[int, int], object]] = []
        if name in self.sets:
            said.append((f"--set {name}={self.sets[name]}", (0, 0), self.sets[name]))
        # What is said first holds; what it stands before is read too, so that no mistake waits behind it.
        said += [
            (self.job.path, layer.values_at[name], layer[name]) for layer in self.layers if name in layer
        ]
        for number, (file, place, raw) in enumerate(said if len(self.layers) > 1 else said[:1]):
            try:
                value = read_input(raw, wanted.kind)
            except PydanticCustomError as error:
                self.mistakes.append(_mistake(file, place, error))
                continue
            if number == 0:
                self.found[name] = value

    def _missing(self, name: str, wanted: Input) -> None:
        """Ask the person for a value, or note that it is missing; one misspelt is said once, as that."""
        strange = [each for each in (*self.given, *self.sets) if each not in self.inputs]
        if not self.job.root or nearest(name, strange):
            return
        if name in self.others.answers:
            self.found[name] = self.others.answers[name]
            return
        question = f"{wanted.ask} ({name}{_limits(wanted)}): "
        while self.ask is not None and (answer := self.ask(question)) is not None:
            try:
                value = read_input(answer, wanted.kind)
                self._check(wanted, value)
            except PydanticCustomError as error:
                context = error.context or {}
                question = f"{context['message']}. {wanted.ask}: "
                continue
            self.found[name] = self.others.answers[name] = value
            return
        place = self.job.where(("set",))
        hint = f"add '{name}: ...' below 'set', or say it with --set {name}=..."
        message = f"'{name}' is missing: {wanted.ask}"
        if self.entry is None and name in self.others.said:
            message = f"'{name}' is missing for boards that are named alone: {wanted.ask}"
        elif self.entry is not None and name in self.others.said:
            place = self.job.where((*self.entry, "set"))
            message = f"'{name}' is missing for the boards of this entry: {wanted.ask}"
        self.mistakes.append(Mistake(self.job.path, *place, "missing-key", message, hint))

    def _within(self, name: str, wanted: Input, value: Quantity) -> None:
        try:
            written = self.given[name][name] if name in self.given else None
            self._check(wanted, value, self.sets.get(name, written))
        except PydanticCustomError as error:
            if name in self.sets:
                self.mistakes.append(_mistake(f"--set {name}={self.sets[name]}", (0, 0), error))
            elif name in self.given:
                self.mistakes.append(_mistake(self.job.path, self.given[name].values_at[name], error))
            else:
                place = self.recipe.where(("inputs", name, "default"))
                self.mistakes.append(_mistake(self.recipe.path, place, error))

    def _check(self, wanted: Input, value: Quantity, written: object = None) -> None:
        """Raise a fault where a value lies outside those limits that can be worked out already.

        `written` is how it was written: with another unit than millimetres it is told too, and in inches the
        limit beside it.
        """
        same = written is None or "".join(str(written).split()) == "".join(str(value).split())
        as_written = "" if same else shown(written)
        inches = value.power == 1 and not same and _INCHES.search(str(written)) is not None
        for limit, below, words in ((wanted.low, True, "at least"), (wanted.high, False, "at most")):
            if limit is None or any(name not in self.found for name in _names(limit)):
                continue
            bound = limit
            if isinstance(limit, Expression):
                try:
                    bound = limit.evaluate(self.found)
                except ExpressionError as error:
                    raise fault(error.code, error.message, error.hint) from None
            assert isinstance(bound, Quantity)
            if value.value < bound.value if below else value.value > bound.value:
                told = f", which is {limit.text}" if isinstance(limit, Expression) else ""
                got = f"got {value}{f', written {as_written}' if as_written else ''}"
                least = f"{bound} ({format_length(bound.value, 'inch')})" if inches else str(bound)
                raise fault("out-of-range", f"{got}, expected {words} {least}{told}: {wanted.ask}")

    def _worked_out(self, name: str, key: str, value: Quantity | Expression | None) -> Quantity | None:
        if not isinstance(value, Expression):
            return value
        try:
            worked = value.evaluate(self.found)
        except ExpressionError as error:
            place = self.recipe.where(("inputs", name, key))
            self.mistakes.append(Mistake(self.recipe.path, *place, error.code, error.message, error.hint))
            return None
        whole = _input(self.inputs[name])
        if whole is not None and whole.kind == "count" and worked.value != int(worked.value):
            place = self.recipe.where(("inputs", name, key))
            message = f"'{value.text}' comes to {worked}, expected a whole number"
            hint = "round it, as in round(length / 300 mm)"
            self.mistakes.append(Mistake(self.recipe.path, *place, "out-of-range", message, hint))
            return None
        return worked


def _names(value: Quantity | Expression | None) -> tuple[str, ...]:
    return value.names if isinstance(value, Expression) else ()


def _limits(wanted: Input) -> str:
    """Say the limits of an input in a question, as written."""
    said = [
        f"{word} {limit.text if isinstance(limit, Expression) else limit}"
        for word, limit in (("from", wanted.low), ("to", wanted.high))
        if limit is not None
    ]
    return ", " + " ".join(said) if said else ""


def _mistake(file: str, place: tuple[int, int], error: PydanticCustomError) -> Mistake:
    context = error.context or {}
    return Mistake(file, *place, error.type, str(context["message"]), str(context["hint"]))


def _input(raw: object) -> Input | None:
    """Return an input of a recipe's tree, whatever the rest of it; None where it is itself wrong."""
    try:
        return Input.model_validate(raw)
    except ValueError:
        return None


def _no_input(name: str, inputs: Sequence[str]) -> str:
    if not inputs:
        return f"got {shown(name)}, but the recipe asks for no value"
    return f"the recipe has no input {shown(name)}, expected one of {', '.join(inputs)}"
