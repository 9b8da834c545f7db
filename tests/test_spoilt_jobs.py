"""A job whose documents were spoilt anywhere is done, refused or told as mistakes: never a traceback."""

from __future__ import annotations

import random
import shutil
from pathlib import Path

import pytest

from stockwright import run
from stockwright.findings import Refused
from stockwright.mistakes import InputError
from stockwright.run import Request

ROOT = Path(__file__).parents[1]
EXAMPLE = ROOT / "examples" / "stair-tread"
# The document that is spoilt, and the job that reads it: small ones where they will do.
SPOILT = [
    ("too-thin.yaml", "too-thin.yaml"),
    ("bed.yaml", "bed.yaml"),
    ("four-sides-square.yaml", "job.yaml"),
    ("shop.yaml", "bed.yaml"),
    ("thin-board.yaml", "too-thin.yaml"),
]
SCRAPS = [b"", b" ", b"\n", b"\t", b": ", b"- ", b"-", b"0", b"9", b"1e9", b"[", b"}", b",", b'"', b"=", b"#",
          b"&a ", b"*a", b"!t ", b"mm", b"in", b"no", b"\0", b"\xff", b"\xc3\xa9", b"."]  # fmt: skip


def _spoilt(text: bytes, chance: random.Random) -> bytes:
    """Return a document with one to three bytes, scraps, numbers or lines of it changed."""
    for _ in range(chance.randint(1, 3)):
        lines = text.split(b"\n")
        at, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        match chance.randrange(6):
            case 0:
                place = chance.randrange(len(text) + 1)
                text = text[:place] + bytes([chance.randrange(256)]) + text[place + 1 :]
            case 1:
                place = chance.randrange(len(text) + 1)
                text = text[:place] + chance.choice(SCRAPS) + text[place + chance.randint(0, 4) :]
            case 2:
                del lines[at]
                text = b"\n".join(lines)
            case 3:
                lines[at], lines[other] = lines[other], lines[at]
                text = b"\n".join(lines)
            case 4:
                lines.insert(other, lines[at])
                text = b"\n".join(lines)
            case _:  # a number, changed: most of these stay documents
                digits = [i for i, each in enumerate(text) if 48 <= each <= 57]
                if digits:
                    place = chance.choice(digits)
                    text = text[:place] + bytes([chance.randrange(48, 58)]) + text[place + 1 :]
    return text


def _outcome(folder: Path, job: str) -> str:
    try:
        run.check(Request(folder / job))
    except InputError as error:
        fine = bool(error.mistakes) and all(each.message and each.code for each in error.mistakes)
        return "mistakes" if fine else "an error without a mistake"
    except Refused as refused:
        fine = any(each.level == "refuse" for each in refused.findings)
        fine &= all(each.message and each.remedy for each in refused.findings)
        return "refused" if fine else "a refusal without a reason or a remedy"
    return "done"


def _outcomes(folder: Path, document: str, job: str, seeds: range) -> set[str]:
    shutil.copytree(EXAMPLE, folder, dirs_exist_ok=True)
    shutil.copy(ROOT / "recipes" / "four-sides-square.yaml", folder)
    if document == "four-sides-square.yaml":
        own = (folder / "job.yaml").read_text(encoding="utf-8").replace("four-sides-square", document, 1)
        (folder / "job.yaml").write_text(own, encoding="utf-8")
    whole = (folder / document).read_bytes()
    found = set()
    for seed in seeds:
        chance = random.Random(f"{document} {seed}")
        (folder / document).write_bytes(_spoilt(whole, chance))
        found.add(_outcome(folder, job))
    return found


@pytest.mark.parametrize(("document", "job"), SPOILT)
def test_a_spoilt_document_is_never_a_traceback(document: str, job: str, tmp_path: Path) -> None:
    """Copies with a few bytes or lines changed come to mistakes, to findings or to a job done."""
    found = _outcomes(tmp_path, document, job, range(150))
    assert "mistakes" in found
    assert found <= {"mistakes", "refused", "done"}


@pytest.mark.sweep
@pytest.mark.parametrize("document", ["job.yaml", "four-sides-square.yaml", "shop.yaml", "board.yaml"])
def test_a_spoilt_document_of_the_main_job_is_never_a_traceback(document: str, tmp_path: Path) -> None:
    """The same through the whole of the main job, with ten times as many copies."""
    assert _outcomes(tmp_path, document, "job.yaml", range(1000, 2500)) == {"mistakes", "refused", "done"}
