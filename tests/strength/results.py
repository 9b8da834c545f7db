"""What came of the changes, and the table of it.

In: how the tests of each change ended. Out: `Result`s, kept one a line, and a table. Promise: a change counts
as having no effect only where a person wrote down why.
"""

from __future__ import annotations

import json
import math
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Literal

import yaml

from strength.changes import altered

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from strength.changes import Change
    from strength.trying import Ended

__all__ = ["Result", "add_result", "equivalents", "read_results", "result_of", "stale", "table"]

COLUMNS = (
    "room",
    "changes",
    "tried",
    "noticed",
    "hung",
    "missed",
    "unreached",
    "no effect",
    "noticed of all",
    "95 %",
    "of those with an effect",
)
NOTICED = frozenset((1, 2))  # pytest: a test failed; a file of tests could not be loaded


@dataclass(frozen=True)
class Result:
    """How a change ended: noticed, missed, hung (which is noticed too), or unreached by any test.

    `was` and `becomes` are the line before and after, without the space around it.
    """

    key: str
    path: str
    line: int
    operator: str
    was: str
    becomes: str
    end: Literal["noticed", "missed", "hung", "unreached"]
    seconds: float
    tests: tuple[str, ...]

    @property
    def quiet(self) -> bool:
        """Whether no test noticed the change."""
        return self.end in {"missed", "unreached"}

    def among(self, same: frozenset[tuple[str, str, str]]) -> bool:
        """Tell whether the change is one of those that do nothing."""
        return (self.path, self.was, self.becomes) in same

    def told(self) -> str:
        """Give the result as one line."""
        return f"{self.end:9} {self.seconds:5.1f} s  {self.path}:{self.line}  {self.was}  ->  {self.becomes}"


def result_of(root: Path, change: Change, tests: tuple[str, ...], end: Ended | None) -> Result:
    """Give the result of a change; `end` None where no test runs its lines.

    Raises RuntimeError where pytest itself could not be run.
    """
    told: Literal["noticed", "missed", "hung", "unreached"]
    if end is None:
        told = "unreached"
    elif not end.in_time:
        told = "hung"
    elif end.code is None or end.code in NOTICED:
        told = "noticed"
    elif end.code == 0:
        told = "missed"
    else:
        raise RuntimeError(f"{change.key}: pytest ended with {end.code}; see build/strength/told/")
    old = (root / change.path).read_text(encoding="utf-8").splitlines()
    new = altered(root, change).splitlines()
    at = next((k for k, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), change.line - 1)
    was, becomes = (" ".join(lines[at].split()) for lines in (old, new))
    seconds = 0.0 if end is None else end.seconds
    return Result(change.key, change.path, at + 1, change.operator, was, becomes, told, seconds, tests)


def add_result(folder: Path, result: Result) -> None:
    """Keep a result."""
    with (folder / "results.jsonl").open("a", encoding="utf-8") as file:
        file.write(json.dumps(asdict(result)) + "\n")


def read_results(folder: Path) -> dict[str, Result]:
    """Read the results so far, by the changes' keys; of a change tried twice the later."""
    path = folder / "results.jsonl"
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    results = [Result(**{**told, "tests": tuple(told["tests"])}) for told in map(json.loads, lines)]
    return {result.key: result for result in results}


def equivalents(path: Path) -> frozenset[tuple[str, str, str]]:
    """Read which changes do nothing: (file, line, what it becomes); each has a `why` for readers."""
    told = yaml.safe_load(path.read_text(encoding="utf-8")) or []
    return frozenset((each["file"], each["line"], each["becomes"]) for each in told if each["why"])


def stale(root: Path, path: Path) -> tuple[str, ...]:
    """Give the entries of changes that do nothing whose line is no more in its file."""
    gone = []
    for each in yaml.safe_load(path.read_text(encoding="utf-8")) or []:
        file = root / each["file"]
        lines = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
        if each["line"] not in {" ".join(line.split()) for line in lines}:
            gone.append(f"{each['file']}  {each['line']}")
    return tuple(gone)


def wilson(part: int, whole: int) -> tuple[float, float]:
    """Give the 95 % interval of a share.

    Source: E. B. Wilson, "Probable inference, the law of succession, and statistical inference", JASA 22
    (1927), 209-212; z = 1.96.
    """
    if not whole:
        return 0.0, 1.0
    z, share = 1.96, part / whole
    middle = share + z * z / (2 * whole)
    half = z * math.sqrt(share * (1 - share) / whole + z * z / (4 * whole * whole))
    return (middle - half) / (1 + z * z / whole), (middle + half) / (1 + z * z / whole)


def table(
    told: Mapping[str, Sequence[Result]], every: Mapping[str, int], same: frozenset[tuple[str, str, str]]
) -> str:
    """Give the results by room, `every` the changes there are, and below it all that nothing noticed."""
    lines = [
        f"| {' | '.join(COLUMNS)} |",
        "| --- |" + " ---: |" * (len(COLUMNS) - 1),
    ]
    missed = []
    for room, results in told.items():
        ends = [result.end for result in results]
        count = {end: ends.count(end) for end in ("noticed", "hung", "missed", "unreached")}
        found = count["noticed"] + count["hung"]
        quiet = [r for r in results if r.quiet]
        still = [r for r in quiet if not r.among(same)]
        idle = len(quiet) - len(still)
        low, high = wilson(found, len(results))
        lines.append(
            f"| {room} | {every[room]} | {len(results)} | {count['noticed']} | {count['hung']} | "
            f"{count['missed']} | {count['unreached']} | {idle} | {_percent(found, len(results))} | "
            f"{100 * low:.0f} to {100 * high:.0f} % | {_percent(found, len(results) - idle)} |"
        )
        missed += [result.told() for result in still]
    return "\n".join([*lines, "", *missed])


def _percent(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f} %" if whole else "-"
