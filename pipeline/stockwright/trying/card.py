"""The card of a trial. In: a trial. Out: a page for the person at the machine, and an empty sheet of answers.

Promise: plain words; cautions come first, and before them the machine's manual; every text is escaped.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from stockwright.trying.questions import QUESTIONS
from stockwright.units import INCH

if TYPE_CHECKING:
    from stockwright.trying.making import Trial
    from stockwright.trying.questions import Question

__all__ = ["answer_sheet", "card"]

_STYLE = (
    "body{font:11pt/1.4 sans-serif;max-width:44em;margin:1em auto;padding:0 1em}"
    "section{break-inside:avoid;border-top:1px solid #888;margin-top:1em}"
    "table{border-collapse:collapse;width:100%}"
    "td,th{text-align:left;padding:.2em .6em .2em 0;vertical-align:top}"
    "code{font-family:monospace}h2{margin-bottom:.2em}"
)


def card(trial: Trial) -> str:
    """Give the page, HTML, whole in itself."""
    parts = [
        "<!doctype html>",
        '<html lang="en"><head><meta charset="utf-8"><title>Trial of a controller</title>',
        f"<style>{_STYLE}</style></head><body>",
        "<h1>What does the controller speak?</h1>",
        "<ol>",
        *(f"<li>{escape(text)}</li>" for text in _before(trial)),
        "</ol>",
    ]
    for number, question in enumerate(QUESTIONS, 1):
        parts += _section(trial, number, question)
    parts.append("</body></html>")
    return "\n".join(parts) + "\n"


def answer_sheet(trial: Trial) -> str:
    """Give the sheet to fill in, YAML: every question with its answers beside it, none given."""
    lines = [
        "# Take the # from the line of each answer that you can give. What the manual says comes first.",
        "stockwright: trial/1",
        "name: my-router",
        f"extends: {trial.post.name}",
        f"units: {trial.units}",
        "answers:",
    ]
    for number, question in enumerate(QUESTIONS, 1):
        words = " | ".join(answer.word for answer in question.answers)
        lines.append(f"  # {question.name}: {question.answers[0].word}   # t{number:02d}: {words}")
    return "\n".join(lines) + "\n"


def _before(trial: Trial) -> list[str]:
    room = trial.room
    where = "well above everything on the bed, in the middle of the travel"
    if room.place is not None:
        x, y, z = room.place
        where = f"to X {x:g}, Y {y:g}, Z {z:g} of the bed frame (mm): high above everything on the bed"
    far = _length(trial, 2.5)
    return [
        "The machine's manual comes first, and local rules. Where it answers a question, take its answer.",
        "Switch the spindle off at its own switch, and take the cutter out. No program here starts it.",
        f"Clear the bed. Bring the spindle nose {where}.",
        "Set the work zero there, in the air: X, Y and Z all read 0. Look at it again before each program.",
        f"Keep a hand on the stop. Nothing goes up or down, nor farther than {far}: stop what does.",
        "Run the programs in their order. A program that is refused by the control is an answer too.",
        "If the first question's answer is 'second', make a profile of it and write the others anew with it.",
    ]


def _section(trial: Trial, number: int, question: Question) -> list[str]:
    ask = question.ask.format(size=_length(trial, 1), double=_length(trial, 2))
    made = {m.letter: m for m in trial.programs if m.question == question.name}
    lines = [f"<section><h2>{number}. {escape(question.name)}</h2>", f"<p>{escape(ask)}</p>", "<table>"]
    for each in question.tries:
        program = made[each.letter]
        note = "" if program.read else "; its words are outside what can be read back here"
        lines.append(
            f"<tr><th>{each.letter}</th><td><code>{escape(program.file)}</code></td>"
            f"<td>{escape(each.about + note)}</td></tr>"
        )
    lines += ["</table><table><tr><th>what you saw</th><th>answer</th><th>what it sets</th></tr>"]
    for answer in question.answers:
        sets = ", ".join(f"{key}: {_yaml(value)}" for key, value in answer.sets.items()) or "nothing"
        lines.append(
            f"<tr><td>{escape(answer.seen)}</td><td><code>{escape(answer.word)}</code></td>"
            f"<td>{escape(sets)}</td></tr>"
        )
    return [*lines, "</table></section>"]


def _length(trial: Trial, times: float) -> str:
    if trial.units == "mm":
        return f"{trial.size * times:g} mm"
    return f"{trial.size * times / INCH:.2f} inch"


def _yaml(value: object) -> str:
    return f"[{', '.join(map(str, value))}]" if isinstance(value, list) else str(value)
