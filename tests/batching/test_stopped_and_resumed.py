"""A run that is stopped and taken up again, and what it leaves meanwhile."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, bound
from many_boards import boards_job
from stockwright import batching, cli, run
from stockwright.batching.doing import Work
from stockwright.batching.keeping import ROUNDS, Kept, keys
from stockwright.batching.part import Lost, Part, as_text, from_text
from stockwright.batching.shares import clampings, shares
from stockwright.findings import Finding, Refused

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

WHY = Finding("board-too-thin", "refuse", "é: too thin", "take another", 1.5, 2.0, 3, None, (1.0, 2.0, 3.0))


def _stopping_after(boards: int) -> Callable[[int, int, str, str], None]:
    def tell(done: int, _of: int, _name: str, _how: str) -> None:
        if done == boards:
            raise KeyboardInterrupt

    return tell


def _heard(words: list[str]) -> Callable[[int, int, str, str], None]:
    return lambda _done, _of, name, how: words.append(f"{name} {how}")


def _stopped(job: Path, out: Path, after: int) -> Path:
    """Stop a run after some boards; return the folder in which they are kept."""
    with pytest.raises(KeyboardInterrupt):
        batching.make(run.Request(job), batching.How(kept=out, tell=_stopping_after(after)))
    return out.with_name(f".{out.name}.kept")


def test_finished_boards_are_taken_up(tmp_path: Path) -> None:
    """Stopped after two of three boards, the next run does the third only, and its packet is the same."""
    job, out = boards_job(tmp_path, 3), tmp_path / "out"
    plain = batching.make(run.Request(job))
    kept = _stopped(job, out, 2)
    assert len(list(kept.iterdir())) == 2
    words: list[str] = []
    made = batching.make(run.Request(job), batching.How(kept=out, tell=_heard(words)))
    assert words == ["plank 1 taken up", "plank 2 taken up", "plank 3 done"]
    assert made.files == plain.files
    assert made.findings == plain.findings
    assert list(made.lines(out)) == list(plain.lines(out))
    made.stands()
    assert not kept.exists()


@pytest.mark.usefixtures("no_paper")
def test_what_has_changed_is_done_anew(tmp_path: Path) -> None:
    """A board whose document has changed since is not taken up, and the others are."""
    job, out = boards_job(tmp_path, 3), tmp_path / "out"
    _stopped(job, out, 2)
    document = tmp_path / "plank-1.yaml"
    document.write_text(document.read_text().replace("32.1 mm", "33.1 mm"))
    words: list[str] = []
    batching.make(run.Request(job), batching.How(kept=out, tell=_heard(words)))
    assert words == ["plank 2 taken up", "plank 1 done", "plank 3 done"]


@pytest.mark.parametrize("harm", ["cut short", "a letter", "another's", "nothing", "not text", "a link"])
def test_a_damaged_part_is_done_anew(harm: str, tmp_path: Path) -> None:
    """A kept part that is not what was written, to the last letter, is passed over."""
    kept, key = Kept(tmp_path / "out", 2), "a" * 64
    kept.keep(key, Lost((WHY,)))
    path = kept.folder / f"{key}.part"
    whole = path.read_bytes()
    found = kept.find(key)
    assert isinstance(found, Lost)
    assert found.findings == (WHY,)
    if harm == "a link":
        path.rename(tmp_path / "elsewhere")
        path.symlink_to(tmp_path / "elsewhere")
    else:
        path.write_bytes(
            {
                "cut short": whole[:-20],
                "a letter": whole.replace(b"too thin", b"too thim"),
                "another's": as_text(Lost((WHY,)), "b" * 64).encode(),
                "nothing": b"",
                "not text": b"\xff\xfe" + whole,
            }[harm]
        )
    assert kept.find(key) is None


def test_a_part_of_another_format_is_none() -> None:
    """Text with a right digest but of a form that this version does not know is no part."""
    text = as_text(Lost((WHY,)), "k")
    assert from_text(text, "k") is not None
    assert from_text(text, "other") is None
    assert from_text("no digest\nat all\n", "k") is None


def test_parts_kept_are_bounded(tmp_path: Path) -> None:
    """However often the job changes, no more parts lie there than a few rounds of its boards."""
    kept = Kept(tmp_path / "out", 2)
    for number in range(ROUNDS * 2 + 5):
        kept.keep(f"{number:064x}", Lost((WHY,)))
    assert len(list(kept.folder.iterdir())) == ROUNDS * 2
    assert kept.find(f"{ROUNDS * 2 + 4:064x}") is not None


def test_nothing_else_is_touched(tmp_path: Path) -> None:
    """What is not ours in that folder stays, and a folder that is a link is not followed."""
    kept = Kept(tmp_path / "out", 2)
    kept.keep("a" * 64, Lost((WHY,)))
    (kept.folder / "letter.txt").write_text("dear")
    kept.clear()
    assert [path.name for path in kept.folder.iterdir()] == ["letter.txt"]
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    linked = Kept(tmp_path / "linked", 2)
    linked.folder.symlink_to(elsewhere)
    linked.keep("a" * 64, Lost((WHY,)))
    assert list(elsewhere.iterdir()) == []


def test_a_refusal_is_kept_too(tmp_path: Path) -> None:
    """A refused job run again is refused with the same words, its boards taken up."""
    job, out = boards_job(tmp_path, 2, {2: 12.0}), tmp_path / "out"
    with pytest.raises(Refused) as first:
        batching.make(run.Request(job), batching.How(kept=out))
    words: list[str] = []
    with pytest.raises(Refused) as second:
        batching.make(run.Request(job), batching.How(kept=out, tell=_heard(words)))
    assert words == ["plank 1 taken up", "plank 2 refused"]
    assert first.value.findings == second.value.findings


def test_a_call_leaves_no_litter(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Delivered, a packet stands alone beside the job's documents, whether or not parts were kept."""
    job = boards_job(tmp_path, 2)
    before = {path.name for path in tmp_path.iterdir()}
    assert cli.main(["make", str(job), "--out", str(tmp_path / "one"), "--resume"]) == 0
    assert cli.main(["make", str(job), "--out", str(tmp_path / "two")]) == 0
    capsys.readouterr()
    assert {path.name for path in tmp_path.iterdir()} == before | {"one", "two"}


def test_a_key_tells_what_a_part_hangs_on() -> None:
    """Another board, another share, another wish or another shop is another key; the same is the same."""
    from dataclasses import replace

    job, post = bound(EXAMPLES / "spice-rack" / "job.yaml")
    given = shares(job, [clampings(job, board, planned=False) for board in range(6)])
    plain = Work(job, post, run.Request(EXAMPLES))
    found = keys(plain, given)
    assert len(set(found)) == len(given)
    assert keys(replace(plain, request=run.Request(EXAMPLES / "other")), given) == found
    thicker = replace(job.boards[1], top=job.boards[1].top + 0.1)
    boards = (job.boards[0], thicker, *job.boards[2:])
    changed = keys(replace(plain, job=replace(job, boards=boards)), given)
    assert [a == b for a, b in zip(found, changed, strict=True)] == [True, False, True, True, True, True]
    for other in (
        replace(plain, job=replace(job, shop=replace(job.shop, friction=0.31))),
        replace(plain, job=replace(job, wanted=replace(job.wanted, thickness=19.0))),
        replace(plain, request=run.Request(EXAMPLES, accept_unproven=True)),
    ):
        assert not set(keys(other, given)) & set(found)


@pytest.mark.wide
def test_a_key_is_the_same_in_every_process() -> None:
    """Keys hang on no hash seed: a run on another day finds what this one kept."""
    script = (
        "import sys; sys.path.insert(0, sys.argv[1])\n"
        "from example_jobs import EXAMPLES, bound\n"
        "from stockwright import run\n"
        "from stockwright.batching.doing import Work\n"
        "from stockwright.batching.keeping import keys\n"
        "from stockwright.batching.shares import clampings, shares\n"
        "job, post = bound(EXAMPLES / 'spice-rack' / 'job.yaml')\n"
        "given = shares(job, [clampings(job, board, planned=False) for board in range(6)])\n"
        "print(keys(Work(job, post, run.Request(EXAMPLES)), given))\n"
    )
    said = {
        subprocess.run(
            [sys.executable, "-c", script, str(EXAMPLES.parent / "tests")],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
            timeout=120,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(said) == 1


def test_a_part_read_back_is_the_part(tmp_path: Path) -> None:
    """Everything of a part survives its text: what is drawn stays drawn, what is written stays words."""
    from stockwright.batching.doing import done

    job, post = bound(boards_job(tmp_path, 2))
    given = shares(job, [clampings(job, board, planned=False) for board in range(2)])
    part = done(Work(job, post, run.Request(tmp_path)), given[0])
    assert isinstance(part, Part)
    again = from_text(as_text(part, "k"), "k")
    assert isinstance(again, Part)
    assert as_text(again, "k") == as_text(part, "k")
    for page, same in zip(part.pages, again.pages, strict=True):
        assert {name: type(value) for name, value in page.items()} == {
            name: type(value) for name, value in same.items()
        }
