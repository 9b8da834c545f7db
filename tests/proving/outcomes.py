"""The small packet with a few changes, proven, and the whole outcome as text to be read.

In: changes, as `odd_cases` writes them. Out: `outcome_of` proves them; `outcome_as` tells all of an outcome:
every reason with its numbers, every size of the finished board, every verdict.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from as_read import reason_as_read
from small_packet import WIDTH, small_document, small_lines, small_texts
from stockwright.packet.model import Packet
from stockwright.proving import prove

if TYPE_CHECKING:
    from stockwright.proving import Outcome

__all__ = ["EDGE", "GONE", "A", "B", "Changes", "box", "outcome_as", "outcome_of"]

SHORT = 154.0  # mm: half the length of the small board is as telling, and proven in half the time
A, B, EDGE = "1-face-a.nc", "2-face-b.nc", "3-edge-1.nc"
GONE = "-"  # a line taken out
Changes = dict[str, object]  # "setups.0.title" -> what stands there; "A 12" -> what line 12 of A becomes


def box(x0: float, y0: float, x1: float, y1: float) -> list[list[float]]:
    """Give a rectangle's corners."""
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


def outcome_of(case: Changes) -> Outcome:
    """Prove the small packet with the changes of a case."""
    document, lines = small_document(), small_lines()
    changes: Changes = {
        "boards.plank.outline": box(0, 0, SHORT, WIDTH),
        "boards.plank.x": [0.0, 50.0, 100.0, SHORT],
    }
    changes |= case
    if case and all(path.startswith(("A ", "setups.0.", "tools.facer")) for path in case):
        changes["setups"] = 1  # what comes after says no more of it
    elif case and all(path.startswith(("E ", "setups.2.", "tools.mill", EDGE)) for path in case):
        del document["setups"][1], lines[B]  # that face B stays rough says no more of it, either
        document["wanted"] = {}
        changes = {path.replace("setups.2.", "setups.1."): value for path, value in changes.items()}
    for path, value in changes.items():
        file = {"A": A, "B": B, "E": EDGE}.get(path.partition(" ")[0])
        if path.endswith(".nc"):
            assert isinstance(value, list)
            lines[path] = list(value)
        elif file is not None:
            lines[file][int(path.partition(" ")[2]) - 1] = str(value)
        elif path == "setups":
            assert isinstance(value, int)
            document["setups"] = document["setups"][:value]
            lines = {
                program["file"]: lines[program["file"]]
                for s in document["setups"]
                for program in s["programs"]
            }
        else:
            _put(document, path.split("."), value)
    for file, text in lines.items():
        lines[file] = [part for line in text if line != GONE for part in line.split("\n")]
    return prove(Packet.model_validate(document), small_texts(lines))


def _put(where: Any, path: list[str], value: object) -> None:
    for step in path[:-1]:
        where = where[int(step) if isinstance(where, list) else step]
    if not isinstance(where, list):
        where[path[-1]] = value
    elif int(path[-1]) == len(where):
        where.append(value)
    else:
        where[int(path[-1])] = value


def outcome_as(outcome: Outcome) -> list[str]:
    """Tell an outcome in full."""
    said = [line for reason in outcome.proof.reasons for line in reason_as_read(reason)]
    for name, done in sorted(outcome.finished.items()):
        sizes = ", ".join(f"{what} {_told(value)}" for what, value in done.model_dump().items() if value)
        said.append(f"{name}: {sizes}")
    verdicts = ", ".join(f"{file} {verdict}" for file, verdict in outcome.program_verdicts.items())
    return [*said, f"{outcome.proof.verdict}, cells of {outcome.proof.cell:g}; {verdicts}"]


def _told(value: object) -> str:
    """Tell a size, the two bounds of one, or the sizes of several sides."""
    if isinstance(value, dict):
        return " ".join(f"{side} {_told(size)}" for side, size in value.items() if size is not None)
    return " to ".join(map(str, value)) if isinstance(value, tuple) else str(value)
