"""Programs damaged the way that life does it. In: a job's texts, a kind and a seed. Out: a `Mutant`.

The same seed gives the same mutant on every machine (`random.Random` seeded by a string, which is defined by
its digest). What a line looks like in a dialect is its `Tongue`'s; what means nothing stands in `dressing`.
"""

from __future__ import annotations

import random
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mutants.dressing import DRESSING
from mutants.tongues import NUMBER, TONGUES, Tongue

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = ["EVERY_KIND", "KINDS", "Mutant", "damage"]

Lines = list[str]
# The new lines, and the numbers (1 up) of those edited, or that now stand where lines were taken out.
Edit = tuple[Lines, tuple[int, ...]]
AWAY = [0.001, 0.01, 0.05, 0.1, 0.3, 0.5, 1, 2, 5, 10, 18, 25.4, 30]  # mm that a zero is shifted by


@dataclass(frozen=True)
class Mutant:
    """One damaged job: its kind and seed, the texts that changed, and by file the lines that were edited."""

    kind: str
    seed: int
    texts: Mapping[str, str]
    lines: Mapping[str, tuple[int, ...]]


def damage(kind: str, texts: Mapping[str, str], reader: str, seed: int, again: int = 0) -> Mutant | None:
    """Damage one program, or two; None where the kind finds nothing to bite on. `again` gives another try."""
    r = random.Random(f"{kind} {seed} {again}")
    files = sorted(texts)
    if kind == "programs exchanged":
        one, two = r.sample(files, 2)
        return Mutant(kind, seed, {one: texts[two], two: texts[one]}, {one: (), two: ()})
    file = r.choice(files)
    end = "\r\n" if "\r\n" in texts[file] else "\n"
    lines = texts[file].split(end)[:-1]
    done = KINDS[kind](lines, r, TONGUES[reader]) if kind in KINDS else DRESSING[reader][kind](lines, r)
    if done is None:
        return None
    if kind == "line ends":
        end = "\n" if end == "\r\n" else "\r\n"
    text = end.join(done[0]) + end
    if kind == "file truncated" and r.random() < 0.5:
        text = text.removesuffix(end)
    return None if text == texts[file] else Mutant(kind, seed, {file: text}, {file: done[1]})


def _code(lines: Lines, t: Tongue) -> list[int]:
    """Give the lines that say something to the machine."""
    return [k for k, line in enumerate(lines) if line and not re.fullmatch(t.for_people, line)]


def _matching(lines: Lines, pattern: str) -> list[int]:
    return [k for k, line in enumerate(lines) if re.fullmatch(pattern, line)]


def _on_a_number(
    change: Callable[[str, random.Random], str | None],
) -> Callable[[Lines, random.Random, Tongue], Edit | None]:
    def edit(lines: Lines, r: random.Random, t: Tongue) -> Edit | None:
        code = _code(lines, t)
        r.shuffle(code)
        for at in code:
            found = list(re.finditer(NUMBER, lines[at]))
            r.shuffle(found)
            for match in found:
                new = change(match[0], r)
                if new is not None:
                    return _put(lines, at, lines[at][: match.start()] + new + lines[at][match.end() :])
        return None

    return edit


def _put(lines: Lines, at: int, new: str) -> Edit:
    return [*lines[:at], new, *lines[at + 1 :]], (at + 1,)


def _taken_out(lines: Lines, gone: list[int]) -> Edit:
    """Take lines out; each is told by the number of what now stands there."""
    stay = [line for k, line in enumerate(lines) if k not in gone]
    return stay, tuple(at - n + 1 for n, at in enumerate(sorted(gone)))


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


def _line_dropped(lines: Lines, r: random.Random, t: Tongue) -> Edit:
    return _taken_out(lines, [r.choice(_code(lines, t))])


def _lines_dropped(lines: Lines, r: random.Random, t: Tongue) -> Edit:
    at, count = r.choice(_code(lines, t)), r.randint(2, 8)
    return [*lines[:at], *lines[at + count :]], (at + 1,)


def _lines_swapped(lines: Lines, r: random.Random, t: Tongue) -> Edit:
    code = _code(lines, t)
    k = r.randrange(len(code) - 1)
    one, two = code[k], code[min(len(code) - 1, k + r.choice([1, 1, 1, 2, 3, 9]))]
    new = [*lines]
    new[one], new[two] = new[two], new[one]
    return new, (one + 1, two + 1)


def _line_duplicated(lines: Lines, r: random.Random, t: Tongue) -> Edit:
    code = _code(lines, t)
    at = r.choice(code)
    to = at + 1 if r.random() < 0.5 else r.choice(code)
    return [*lines[:to], lines[at], *lines[to:]], (to + 1,)


def _line_cut_short(lines: Lines, r: random.Random, t: Tongue) -> Edit:
    at = r.choice(_code(lines, t))
    return _put(lines, at, lines[at][: r.randrange(len(lines[at]))])


def _letter_changed(lines: Lines, r: random.Random, t: Tongue) -> Edit:
    code = [k for k in _code(lines, t) if any(map(str.isalpha, lines[k]))]
    at = r.choice(code)
    k = r.choice([k for k, char in enumerate(lines[at]) if char.isalpha()])
    # An axis for an axis as often as any letter: the slip that a reader cannot see.
    if r.random() < 0.5:
        exchanged = _axes_exchanged(lines[at], r, t)
        if exchanged is not None:
            return _put(lines, at, exchanged)
        letter = r.choice("XYZ")
    else:
        letter = r.choice("ABCDEFGHIJKLMNOPQRSTUVW")
    letter = letter if lines[at][k].isupper() else letter.lower()
    return _put(lines, at, lines[at][:k] + letter + lines[at][k + 1 :])


def _axes_exchanged(line: str, r: random.Random, t: Tongue) -> str | None:
    """Exchange two axes' numbers where a number's place in the line says whose it is; else None."""
    if t.renamed is None:  # words say it by their letter
        return None
    found: dict[str, str] = {}
    for axis in "XYZ":
        t.placed(line, axis, lambda value, axis=axis: found.setdefault(axis, f"{value}"))  # type: ignore[misc]
    if len(found) < 2:
        return None
    one, two = r.sample(sorted(found), 2)
    return t.placed(t.placed(line, one, lambda _: found[two]), two, lambda _: found[one])


def _units_switched(lines: Lines, r: random.Random, t: Tongue) -> Edit | None:
    at = next(iter(_matching(lines, t.unit_line)), None)
    if at is None:
        return None
    old, new = next((a, b) for a, b in t.units if a in lines[at])
    other = lines[at].replace(old, new)
    if r.random() < 0.5 or t is TONGUES["motion-table"]:
        # In a table a heading may be changed without its neighbours.
        return _put(lines, at, lines[at].replace(old, new, r.choice([-1, -1, 1])))
    later = r.choice([k for k in _code(lines, t) if k > at])
    return [*lines[:later], other, *lines[later:]], (later + 1,)


def _feed_removed(lines: Lines, r: random.Random, t: Tongue) -> Edit | None:
    fed = [k for k in _code(lines, t) if re.search(t.feed, lines[k])]
    if not fed:
        return None
    gone = fed if r.random() < 0.3 else [r.choice(fed)]
    if t.feed_is_a_line:
        return _taken_out(lines, gone)
    new = [re.sub(t.feed, "", line) if k in gone else line for k, line in enumerate(lines)]
    return new, tuple(k + 1 for k in gone)


def _spindle_removed(lines: Lines, r: random.Random, t: Tongue) -> Edit | None:
    said = _matching(lines, t.spindle)
    if not said:
        return None
    at = r.choice(said)
    words = lines[at].split(" ")
    if len(words) > 1 and words[-2].startswith("S") and r.random() < 0.5:  # speed and start on one line
        del words[r.choice([-1, -2])]
        return _put(lines, at, " ".join(words))
    alike = re.sub(r"^N\d+ |[\d.]", "", lines[at])
    like_it = [k for k in said if re.sub(r"^N\d+ |[\d.]", "", lines[k]) == alike]
    return _taken_out(lines, like_it if r.random() < 0.3 else [at])


def _tool_named(lines: Lines, r: random.Random, t: Tongue) -> Edit:
    number = r.choice([0, 1, 2, 3, 11, 12])
    if t.renamed is not None and r.random() < 0.5:
        at = next(iter(_matching(lines, t.renamed[0] + ".*")))
        return _put(lines, at, re.sub(t.renamed[0], t.renamed[1].format(number), lines[at]))
    new = t.tool(number, r.randrange(4))
    at = _matching(lines, t.first_move)[0] if r.random() < 0.7 else r.choice(_code(lines, t))
    return [*lines[:at], *new, *lines[at:]], tuple(range(at + 1, at + 1 + len(new)))


def _zero_shifted(lines: Lines, r: random.Random, t: Tongue) -> Edit | None:
    """Shift one axis from a line on, as a zero taken wrongly, or moved half-way, does."""
    axis, by = r.choice("XYZZ"), r.choice(AWAY) * r.choice([-1, 1])
    inch = bool(_matching(lines, t.inch))
    code = _code(lines, t)
    start = code[0] if r.random() < 0.6 else r.choice(code)

    def shifted(value: float) -> str:
        return f"{round(value + (by / 25.4 if inch else by), 4 if inch else 3) + 0.0}"

    new = [
        t.placed(line, axis, shifted) if k in code and k >= start else line for k, line in enumerate(lines)
    ]
    changed = tuple(k + 1 for k, line in enumerate(new) if line != lines[k])
    return (new, changed) if changed else None


def _arc_turned(lines: Lines, r: random.Random, _: Tongue) -> Edit | None:
    arcs = [k for k, line in enumerate(lines) if re.match(r"G[23] ", line)]
    if not arcs:
        return None
    at = r.choice(arcs)
    return _put(lines, at, {"2": "G3", "3": "G2"}[lines[at][1]] + lines[at][2:])


def _file_truncated(lines: Lines, r: random.Random, _: Tongue) -> Edit:
    at = r.randrange(len(lines))
    kept = lines[:at] + ([lines[at][: r.randrange(1, len(lines[at]))]] if lines[at][1:] else [])
    return kept or [""], (max(1, len(kept)),)


KINDS: dict[str, Callable[[Lines, random.Random, Tongue], Edit | None]] = {
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
    "programs exchanged": lambda _lines, _r, _t: None,  # done on two files, above
}
EVERY_KIND = (*KINDS, *dict.fromkeys(kind for known in DRESSING.values() for kind in known))
