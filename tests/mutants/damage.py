"""Programs damaged the way that life does it, and dressed in ways that mean nothing.

In: a job's texts, a kind and a seed. Out: a `Mutant`. The same seed gives the same mutant on every machine
(`random.Random` seeded by a string, which is defined by its digest).
"""

from __future__ import annotations

import random
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = ["DRESSING", "KINDS", "Mutant", "damage"]

NUMBER = re.compile(r"[+-]?\d+(?:\.\d*)?|[+-]?\.\d+")
WORD = re.compile(r"([A-Z])([+-]?\d+(?:\.\d*)?)")
Lines = list[str]
# The new lines, and the numbers (1 up) of those edited, or that now stand where lines were taken out.
Edit = tuple[Lines, tuple[int, ...]]


@dataclass(frozen=True)
class Mutant:
    """One damaged job: its kind and seed, the texts that changed, and by file the lines that were edited."""

    kind: str
    seed: int
    texts: Mapping[str, str]
    lines: Mapping[str, tuple[int, ...]]


def damage(kind: str, texts: Mapping[str, str], seed: int, again: int = 0) -> Mutant | None:
    """Damage one program, or two; None where the kind finds nothing to bite on. `again` gives another try."""
    r = random.Random(f"{kind} {seed} {again}")
    files = sorted(texts)
    if kind == "programs exchanged":
        one, two = r.sample(files, 2)
        return Mutant(kind, seed, {one: texts[two], two: texts[one]}, {one: (), two: ()})
    file = r.choice(files)
    lines = texts[file].split("\n")[:-1]
    done = KINDS[kind](lines, r) if kind in KINDS else DRESSING[kind](lines, r)
    if done is None:
        return None
    text = "\n".join(done[0]) + "\n"
    if kind == "file truncated" and r.random() < 0.5:
        text = text[:-1]
    if kind == "line ends":
        text = text.replace("\n", "\r\n")
    return None if text == texts[file] else Mutant(kind, seed, {file: text}, {file: done[1]})


def _code(lines: Lines) -> list[int]:
    """Give the lines that say something to the machine."""
    return [k for k, line in enumerate(lines) if line and not line.startswith("(")]


def _on_a_number(
    change: Callable[[str, random.Random], str | None],
) -> Callable[[Lines, random.Random], Edit | None]:
    def edit(lines: Lines, r: random.Random) -> Edit | None:
        code = _code(lines)
        r.shuffle(code)
        for at in code:
            found = list(NUMBER.finditer(lines[at]))
            r.shuffle(found)
            for match in found:
                new = change(match[0], r)
                if new is not None:
                    return _put(lines, at, lines[at][: match.start()] + new + lines[at][match.end() :])
        return None

    return edit


def _put(lines: Lines, at: int, new: str) -> Edit:
    return [*lines[:at], new, *lines[at + 1 :]], (at + 1,)


def _digits(text: str) -> list[int]:
    return [k for k, char in enumerate(text) if char.isdigit()]


def _digit_dropped(text: str, r: random.Random) -> str:
    k = r.choice(_digits(text))
    return text[:k] + text[k + 1 :]


def _digit_doubled(text: str, r: random.Random) -> str:
    k = r.choice(_digits(text))
    return text[: k + 1] + text[k:]


def _digit_changed(text: str, r: random.Random) -> str:
    k = r.choice(_digits(text))
    return text[:k] + r.choice("0123456789".replace(text[k], "")) + text[k + 1 :]


def _sign_lost(text: str, _: random.Random) -> str | None:
    return text[1:] if text.startswith("-") else None


def _sign_gained(text: str, _: random.Random) -> str | None:
    return None if text[0] in "+-" else "-" + text


def _point_lost(text: str, _: random.Random) -> str | None:
    return text.replace(".", "") if "." in text else None


def _line_dropped(lines: Lines, r: random.Random) -> Edit:
    at = r.choice(_code(lines))
    return [*lines[:at], *lines[at + 1 :]], (at + 1,)


def _lines_dropped(lines: Lines, r: random.Random) -> Edit:
    at, count = r.choice(_code(lines)), r.randint(2, 8)
    return [*lines[:at], *lines[at + count :]], (at + 1,)


def _lines_swapped(lines: Lines, r: random.Random) -> Edit:
    code = _code(lines)
    k = r.randrange(len(code) - 1)
    one, two = code[k], code[min(len(code) - 1, k + r.choice([1, 1, 1, 2, 3, 9]))]
    new = [*lines]
    new[one], new[two] = new[two], new[one]
    return new, (one + 1, two + 1)


def _line_duplicated(lines: Lines, r: random.Random) -> Edit:
    code = _code(lines)
    at = r.choice(code)
    to = at + 1 if r.random() < 0.5 else r.choice(code)
    return [*lines[:to], lines[at], *lines[to:]], (to + 1,)


def _line_cut_short(lines: Lines, r: random.Random) -> Edit:
    at = r.choice(_code(lines))
    return _put(lines, at, lines[at][: r.randrange(len(lines[at]))])


def _letter_changed(lines: Lines, r: random.Random) -> Edit:
    at = r.choice(_code(lines))
    k = r.choice([k for k, char in enumerate(lines[at]) if char.isalpha()])
    # An axis for an axis as often as any letter: the slip that a reader cannot see.
    letter = r.choice("XYZ" if r.random() < 0.5 else "ABCDEFGHIJKLMNOPQRSTUVW")
    return _put(lines, at, lines[at][:k] + letter + lines[at][k + 1 :])


def _units_switched(lines: Lines, r: random.Random) -> Edit | None:
    at = next((k for k, line in enumerate(lines) if line in {"G20", "G21"}), None)
    if at is None:
        return None
    other = {"G20": "G21", "G21": "G20"}[lines[at]]
    if r.random() < 0.5:
        return _put(lines, at, other)
    later = r.choice([k for k in _code(lines) if k > at])
    return [*lines[:later], other, *lines[later:]], (later + 1,)


def _feed_removed(lines: Lines, r: random.Random) -> Edit | None:
    fed = [k for k, line in enumerate(lines) if re.search(r" F[\d.]+", line) and not line.startswith("(")]
    if not fed:
        return None
    if r.random() < 0.3:
        return [re.sub(r" F[\d.]+", "", line) for line in lines], tuple(k + 1 for k in fed)
    at = r.choice(fed)
    return _put(lines, at, re.sub(r" F[\d.]+", "", lines[at]))


def _spindle_removed(lines: Lines, r: random.Random) -> Edit | None:
    said = [k for k, line in enumerate(lines) if re.fullmatch(r"S[\d.]+|M0?[345]", line)]
    if not said:
        return None
    if r.random() < 0.3:
        word = re.sub(r"[\d.]", "", lines[r.choice(said)])
        gone = [k for k in said if lines[k].startswith(word)]
        return [line for k, line in enumerate(lines) if k not in gone], tuple(k + 1 for k in gone)
    at = r.choice(said)
    return [*lines[:at], *lines[at + 1 :]], (at + 1,)


def _tool_named(lines: Lines, r: random.Random) -> Edit:
    word = f"T{r.choice([0, 1, 2, 3, 11, 12])}" + r.choice(["", "", " M6", "\nM6"])
    start = next(k for k, line in enumerate(lines) if line.startswith("G0 "))
    at = start if r.random() < 0.7 else r.choice(_code(lines))
    new = word.split("\n")
    return [*lines[:at], *new, *lines[at:]], tuple(range(at + 1, at + 1 + len(new)))


def _zero_shifted(lines: Lines, r: random.Random) -> Edit | None:
    """Shift one axis from a line on, as a zero taken wrongly, or moved half-way, does."""
    axis = r.choice("XYZZ")
    by = r.choice([0.001, 0.01, 0.05, 0.1, 0.3, 0.5, 1, 2, 5, 10, 18, 25.4, 30]) * r.choice([-1, 1])
    inch = "G20" in lines
    code = _code(lines)
    start = code[0] if r.random() < 0.6 else r.choice(code)
    changed: list[int] = []
    new = [*lines]
    for k in code:
        if k < start:
            continue

        def shifted(match: re.Match[str]) -> str:
            if match[1] != axis:
                return match[0]
            value = float(match[2]) + (by / 25.4 if inch else by)
            return f"{axis}{round(value, 4 if inch else 3) + 0.0}"

        new[k] = WORD.sub(shifted, lines[k])
        if new[k] != lines[k]:
            changed.append(k + 1)
    return (new, tuple(changed)) if changed else None


def _arc_turned(lines: Lines, r: random.Random) -> Edit | None:
    arcs = [k for k, line in enumerate(lines) if re.match(r"G[23] ", line)]
    if not arcs:
        return None
    at = r.choice(arcs)
    return _put(lines, at, {"2": "G3", "3": "G2"}[lines[at][1]] + lines[at][2:])


def _file_truncated(lines: Lines, r: random.Random) -> Edit:
    at = r.randrange(len(lines))
    kept = lines[:at] + ([lines[at][: r.randrange(1, len(lines[at]))]] if lines[at][1:] else [])
    return kept or [""], (max(1, len(kept)),)


KINDS: dict[str, Callable[[Lines, random.Random], Edit | None]] = {
    "digit dropped": _on_a_number(_digit_dropped),
    "digit doubled": _on_a_number(_digit_doubled),
    "digit changed": _on_a_number(_digit_changed),
    "sign lost": _on_a_number(_sign_lost),
    "sign gained": _on_a_number(_sign_gained),
    "point lost": _on_a_number(_point_lost),
    "line dropped": _line_dropped,
    "lines dropped": _lines_dropped,
    "lines swapped": _lines_swapped,
    "line duplicated": _line_duplicated,
    "line cut short": _line_cut_short,
    "letter changed": _letter_changed,
    "units switched": _units_switched,
    "feed removed": _feed_removed,
    "spindle word removed": _spindle_removed,
    "tool named": _tool_named,
    "zero shifted": _zero_shifted,
    "arc turned": _arc_turned,
    "file truncated": _file_truncated,
    "programs exchanged": lambda _lines, _r: None,  # done on two files, above
}


# What means nothing


def _spaces(lines: Lines, r: random.Random) -> Edit:
    """Blanks and tabs anywhere outside comments: section 3.3 takes them out before it reads."""

    def spread(line: str) -> str:
        if line.startswith("(") or r.random() < 0.5:
            return line
        if r.random() < 0.3:
            return line.replace(" ", "")
        return "".join(char + r.choice(["", "", "", " ", "  ", "\t"]) for char in line)

    return [spread(line) for line in lines], ()


def _comment(lines: Lines, r: random.Random) -> Edit:
    text = r.choice(["(look)", "(MSG, slow here)", "( G0 Z-50 )", "()", "(S24000 M3 F9 %)"])
    at = r.randrange(len(lines) + 1)
    if at < len(lines) and r.random() < 0.6 and not lines[at].startswith("("):
        first, _, rest = lines[at].partition(" ")
        return [*lines[:at], f"{first} {text} {rest}".rstrip(), *lines[at + 1 :]], (at + 1,)
    return [*lines[:at], text, *lines[at:]], (at + 1,)


def _blank_lines(lines: Lines, r: random.Random) -> Edit:
    at = r.randrange(len(lines) + 1)
    return [*lines[:at], *[r.choice(["", "  ", "\t"])] * r.randint(1, 3), *lines[at:]], ()


def _words(change: Callable[[str, str], str]) -> Callable[[Lines, random.Random], Edit]:
    def edit(lines: Lines, r: random.Random) -> Edit:
        def dress(match: re.Match[str]) -> str:
            return change(match[1], match[2]) if r.random() < 0.5 else match[0]

        return [line if line.startswith("(") else WORD.sub(dress, line) for line in lines], ()

    return edit


def _leading_zero(letter: str, number: str) -> str:
    sign = number[0] if number[0] in "+-" else ""
    return f"{letter}{sign}0{number[len(sign) :]}"


def _plus(letter: str, number: str) -> str:
    return f"{letter}{number}" if number.startswith("-") else f"{letter}+{number}"


def _trailing_zero(letter: str, number: str) -> str:
    return f"{letter}{number}0" if "." in number else f"{letter}{number}."


def _line_numbers(lines: Lines, r: random.Random) -> Edit:
    step, number = r.choice([1, 5, 10]), 0
    new = []
    for line in lines:
        number += step
        new.append(line if line.startswith("(") or r.random() < 0.2 else f"N{number} {line}")
    return new, ()


def _lower_case(lines: Lines, r: random.Random) -> Edit:
    return [line.lower() if r.random() < 0.7 else line for line in lines], ()


def _word_order(lines: Lines, r: random.Random) -> Edit:
    """Shuffle the words of a line: their order says nothing (section 3.3.6)."""
    new = []
    for line in lines:
        words = line.split(" ")
        if not line.startswith("("):
            r.shuffle(words)
        new.append(" ".join(words))
    return new, ()


def _as_they_are(lines: Lines, _: random.Random) -> Edit:
    return [*lines], ()


DRESSING: dict[str, Callable[[Lines, random.Random], Edit | None]] = {
    "spaces": _spaces,
    "comment": _comment,
    "blank lines": _blank_lines,
    "leading zeros": _words(_leading_zero),
    "plus signs": _words(_plus),
    "trailing zeros": _words(_trailing_zero),
    "line numbers": _line_numbers,
    "lower case": _lower_case,
    "word order": _word_order,
    "line ends": _as_they_are,
}
