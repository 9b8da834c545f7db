"""Measure how strong the tests are: change the program in one place at a time, and see if a test notices.

In: rooms, how many changes of each, a seed. Out: a table; every result in `build/strength/`, so that a run
that was stopped goes on where it was. See README.md beside this file.
"""

from __future__ import annotations

import argparse
import re
import sys
from functools import cache, partial
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from strength import reaching
from strength.changes import changes_of
from strength.reaching import lines_that_show
from strength.results import add_result, equivalents, read_results, result_of, stale, table
from strength.trying import side_by_side, try_change

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from strength.changes import Change
    from strength.reaching import Reached
    from strength.results import Result

ROOT = Path(__file__).parents[2]
OUT = ROOT / "build" / "strength"
# Where tests stand that may notice, by room. A file that starts processes of its own would not see a change.
FOLDERS = {
    "checking": ("checking", "outside", "golden"),
    "posting": ("posting", "posts", "motion", "golden"),
    "proving": ("proving", "outside", "mutants", "probing", "recutting"),
    "bind": ("bind", "documents", "golden"),
    "planning": ("planning", "outside", "golden"),
    "cutting": ("cutting", "outside", "motion", "golden"),
}
ROOMS = tuple(FOLDERS)
STARTS_PROCESSES = ("subprocess", "sys.executable", "multiprocessing")
WATCHED = 240.0  # s for one file of tests under coverage; a file that takes longer is not used
SLACK = 4.0  # times the seconds a file took under coverage, before a run counts as hanging
START = 20.0  # s allowed on top, for a busy machine


def main() -> None:
    """Run what the command line asks for."""
    asked = _asked()
    for name in (
        "numpy",
        "shapely",
        "highspy",
        "pydantic",
        "yaml",
        "jinja2",
        "hypothesis",
        "cosmic_ray.plugins",
    ):
        import_module(name)  # once, before the processes part; never the program itself
    reached = _reach(asked.rooms, asked.processes)
    samples = {room: _sample(room, asked.sample, asked.seed) for room in asked.rooms}
    results, same = read_results(OUT), equivalents(Path(__file__).parent / "equivalent.yaml")
    again = {
        key for key, result in results.items() if asked.again and result.quiet and not result.among(same)
    }
    left = [
        change
        for sample in samples.values()
        for change in sample
        if change.key not in results or change.key in again
    ]
    for result in _tried(left, reached, asked.seconds, asked.processes):
        results[result.key] = result
        add_result(OUT, result)
        _say(result.told())
    told = {room: [results[change.key] for change in sample] for room, sample in samples.items()}
    every = {room: len(_changes(room)) for room in asked.rooms}
    _say(table(told, every, same))
    for line in stale(ROOT, Path(__file__).parent / "equivalent.yaml"):
        _say(f"stale: {line}")


def _tried(
    changes: Iterable[Change], reached: list[Reached], seconds: float, processes: int
) -> Iterator[Result]:
    """Try changes, and yield how each ended."""
    jobs = []
    for change in changes:
        tests = _chosen(change, reached, seconds)
        if not tests:
            yield result_of(ROOT, change, (), None)
            continue
        allowed = START + SLACK * sum(tests.values())
        jobs.append(((change, tuple(tests)), partial(try_change, ROOT, change, tuple(tests)), allowed))
    for (change, names), end in side_by_side(jobs, processes, OUT / "told"):
        yield result_of(ROOT, change, names, end)


def _chosen(change: Change, reached: list[Reached], seconds: float) -> dict[str, float]:
    """Give the tests that may notice a change, in order, and what each takes.

    The room's own files come first, then the quick ones, as many as fit into `seconds`, but at least one. In
    a file, the tests that run the changed lines come first; where tests share what was made once, the others
    follow.
    """
    wanted = lines_that_show(ROOT, change)
    room = change.path.split("/")[2]
    found = []
    for r in reached:
        hit = r.tests(change.path, wanted)
        if hit:
            more = r.seconds.keys() - hit - set(r.failed) if _shares(r.file) else frozenset()
            order = [*sorted(hit, key=r.seconds.__getitem__), *sorted(more, key=r.seconds.__getitem__)]
            found.append({test: r.seconds[test] for test in order})
    found.sort(key=lambda tests: (not next(iter(tests)).startswith(f"tests/{room}/"), sum(tests.values())))
    chosen: dict[str, float] = {}
    for tests in found:
        for test, takes in tests.items():
            if not chosen or sum(chosen.values()) + takes <= seconds:
                chosen[test] = takes
    return chosen


@cache
def _shares(file: str) -> bool:
    """Tell whether tests of a file may stand on something that an earlier one of them made."""
    text = (ROOT / file).read_text(encoding="utf-8")
    named = set(re.findall(r"^from ([\w.]+) import", text, re.MULTILINE))
    own = [ROOT / "tests" / f"{name.replace('.', '/')}.py" for name in sorted(named)]
    texts = [text, *(path.read_text(encoding="utf-8") for path in own if path.exists())]
    return any(word in each for each in texts for word in ("scope=", "cache"))


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m strength", description="How strong are the tests?")
    parser.add_argument("rooms", nargs="*", default=list(ROOMS), metavar="room", help=", ".join(ROOMS))
    parser.add_argument("--sample", type=int, default=150, help="changes tried in each room")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=20.0, help="of tests against one change")
    parser.add_argument("--again", action="store_true", help="try once more what no test noticed")
    parser.add_argument("--processes", type=int, default=1)
    asked = parser.parse_args()
    if strange := set(asked.rooms) - set(ROOMS):
        parser.error(f"no such room: {', '.join(sorted(strange))}")
    return asked


@cache
def _changes(room: str) -> tuple[Change, ...]:
    files = sorted((ROOT / "pipeline" / "stockwright" / room).glob("*.py"))
    return tuple(c for f in files for c in changes_of(ROOT, str(f.relative_to(ROOT))))


def _sample(room: str, count: int, seed: int) -> list[Change]:
    """Give a simple random sample of a room's changes: those of the least digests.

    So a larger sample holds the smaller, and an edited module leaves the sample of the others as it is.
    """

    def drawn(change: Change) -> bytes:
        return sha256(f"{seed} {change.path} {change.operator} {change.occurrence}".encode()).digest()

    return sorted(_changes(room), key=drawn)[:count]


def _reach(rooms: Sequence[str], processes: int) -> list[Reached]:
    """Read what each file of tests reaches; watch those that nobody has watched yet."""
    files = sorted(
        str(f.relative_to(ROOT))
        for folder in dict.fromkeys(folder for room in rooms for folder in FOLDERS[room])
        for f in (ROOT / "tests" / folder).glob("test_*.py")
        if not any(word in f.read_text(encoding="utf-8") for word in STARTS_PROCESSES)
    )
    kept = {f: reaching.kept(ROOT, f, OUT / "reach") for f in files}
    new = [f for f in files if not reaching.holds(ROOT, kept[f])]
    jobs = ((f, partial(reaching.watch, ROOT, f, ROOMS, kept[f]), WATCHED) for f in new)
    for file, end in side_by_side(jobs, processes, OUT / "told"):
        if not end.in_time:
            reaching.unused(ROOT, file, kept[file])
        elif not reaching.holds(ROOT, kept[file]):
            raise RuntimeError(f"{file} could not be run; see {OUT}/told/")
        _say(f"watched {end.seconds:5.1f} s  {file}{'' if end.in_time else ': too long, not used'}")
    return [reaching.read(f, kept[f]) for f in files]


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
