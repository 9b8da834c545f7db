"""Command documents: Markdown that says what a command prints, and is run.

In: a document. Out: what its commands really print, and which promises they break. A document is prose in
which some lines act, in their order, in a folder of its own that begins empty:

    copy: examples/stair-tread          the files of a folder of this project, or one file
    edit: job.yaml | 27 mm | -27 mm     the one place where the first text stands gets the second
    `job.yaml`:                         and a fenced block below: the file's content
    fill: big.yaml 50 MB                a file of comment lines
    bytes: odd.yaml 89 50 4e 47         a file of these bytes
    folder: odd.yaml                    an empty folder
    run: as a process                   the commands below run as processes of their own

A fenced block that begins with `$ stockwright ...` is a call. Below it stands what goes to standard output,
after `2> ` what goes to standard error, and `=> CODE`. A line `...` stands for any number of lines.
"""

from __future__ import annotations

import contextlib
import difflib
import io
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from stockwright import entry

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = [
    "DOCUMENTS",
    "ROOT",
    "Call",
    "Outcome",
    "broken_promises",
    "calls_of",
    "difference",
    "rewritten",
    "run",
]

ROOT = Path(__file__).parents[1]
DOCUMENTS = sorted((ROOT / "tests" / "commands").glob("*.md"))
ACTIONS = ("copy", "edit", "fill", "bytes", "folder", "run")
WIDTH = 80
MISTAKE = re.compile(r"(?:\S.*:\d+:\d+|\S.*?): [a-z]+(?:-[a-z]+)*: \S.*")


@dataclass
class Call:
    """One call of a document: its words, the lines expected below it, and where those stand in the file."""

    words: list[str]
    expected: list[str]
    first: int  # index of the line below `$ ...`
    last: int  # index of the line after its last one


@dataclass(frozen=True)
class Act:
    """What a line of a document does before the next call."""

    action: str
    said: str
    content: str = ""


@dataclass
class Outcome:
    """What a call did: exit code, both streams, and the folder's files before and after."""

    code: int
    out: str
    err: str
    before: dict[str, tuple[int, int]] = field(repr=False)
    after: dict[str, tuple[int, int]] = field(repr=False)

    def lines(self) -> list[str]:
        """Return it in the form in which documents say it."""
        err = [f"2> {line}".rstrip() for line in self.err.splitlines()]
        return [*self.out.splitlines(), *err, f"=> {self.code}"]


def parsed(text: str) -> Iterator[Act | Call]:
    """Yield what a document does, in its order. Raises `ValueError` for what is neither prose nor known."""
    lines = text.split("\n")
    at = 0
    while at < len(lines):
        line = lines[at]
        named = re.fullmatch(r"`([^`]+)`:", line)
        act = re.match(r"([a-z]+): (.*)", line)
        if line.startswith("```"):
            end = lines.index("```", at + 1)
            if not lines[at + 1].startswith("$ "):
                raise ValueError(f"line {at + 1}: a block that is neither a call nor a named file")
            yield from _calls(lines, at + 1, end)
            at = end
        elif named:
            end = lines.index("```", at + 2)
            yield Act("file", named[1], "".join(f"{each}\n" for each in lines[at + 2 : end]))
            at = end
        elif act:
            if act[1] not in ACTIONS:
                raise ValueError(f"line {at + 1}: '{act[1]}:' is none of {', '.join(ACTIONS)}")
            yield Act(act[1], act[2])
        at += 1


def _calls(lines: list[str], first: int, end: int) -> Iterator[Call]:
    starts = [i for i in range(first, end) if lines[i].startswith("$ ")]
    for start, stop in zip(starts, [*starts[1:], end], strict=True):
        name, *words = shlex.split(lines[start][2:])
        if name != "stockwright":
            raise ValueError(f"line {start + 1}: only stockwright is called")
        yield Call(words, lines[start + 1 : stop], start + 1, stop)


def calls_of(text: str) -> list[Call]:
    """Return the calls of a document."""
    return [each for each in parsed(text) if isinstance(each, Call)]


def run(text: str, folder: Path) -> Iterator[tuple[Call, Outcome]]:
    """Do what a document says in an empty folder, and yield each call with what came of it."""
    as_process = False
    for each in parsed(text):
        if isinstance(each, Call):
            before = _files(folder)
            code, out, err = (_process if as_process else _inside)(each.words, folder)
            yield each, Outcome(code, out, err, before, _files(folder))
        elif each.action == "run":
            as_process = each.said == "as a process"
        else:
            _do(each, folder)


def _do(act: Act, folder: Path) -> None:
    name, *rest = act.said.split(" ")
    target = folder / name
    match act.action:
        case "copy":
            source = ROOT / act.said
            for each in [source] if source.is_file() else sorted(source.iterdir()):
                if each.is_dir():
                    shutil.copytree(each, folder / each.name)
                else:
                    shutil.copy(each, folder)
        case "edit":
            file, *parts = (part.strip() for part in act.said.split(" | "))
            old, new = (part.replace("\\n", "\n").replace("\\t", "\t") for part in parts)
            edited = folder / file
            text = edited.read_text(encoding="utf-8")
            if text.count(old) != 1:
                raise ValueError(f"{old!r} stands {text.count(old)} times in {file}, expected once")
            edited.write_text(text.replace(old, new), encoding="utf-8")
        case "fill":
            line = b"# nothing but comments, line after line of them\n"
            target.write_bytes(line * (int(rest[0]) * 1_000_000 // len(line) + 1))
        case "bytes":
            target.write_bytes(bytes.fromhex("".join(rest)))
        case "folder":
            target.mkdir()
        case "file":
            (folder / act.said).write_text(act.content, encoding="utf-8")


def _inside(words: list[str], folder: Path) -> tuple[int, str, str]:
    """Call the command's own front door in this process, with all it may look at as in a new one."""
    out, err = io.StringIO(), io.StringIO()
    words_before, folder_before, width_before = sys.argv, Path.cwd(), os.environ.get("COLUMNS")
    sys.argv = ["stockwright", *words]
    os.environ["COLUMNS"] = str(WIDTH)
    os.chdir(folder)
    code = 0
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            entry.main()
    except SystemExit as leaving:
        code = leaving.code if isinstance(leaving.code, int) else 0
    finally:
        sys.argv = words_before
        os.chdir(folder_before)
        if width_before is None:
            del os.environ["COLUMNS"]
        else:
            os.environ["COLUMNS"] = width_before
    return code, out.getvalue(), err.getvalue()


def _process(words: list[str], folder: Path) -> tuple[int, str, str]:
    call = [sys.executable, "-m", "stockwright", *words]
    environment = {**os.environ, "COLUMNS": str(WIDTH), "PYTHONUTF8": "1"}
    done = subprocess.run(
        call,
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )
    return done.returncode, done.stdout, done.stderr


def _files(folder: Path) -> dict[str, tuple[int, int]]:
    """Return every file and folder with its size and the time of its last change."""
    found = {}
    for each in sorted(folder.rglob("*")):
        status = each.stat()
        found[each.relative_to(folder).as_posix()] = (
            0 if each.is_dir() else status.st_size,
            status.st_mtime_ns,
        )
    return found


def difference(call: Call, outcome: Outcome) -> str:
    """Return how what was printed differs from what the document says; nothing where it does not."""
    pattern = "".join(
        {"...": r"(?:.*\n)*?", "2> ...": r"(?:2>.*\n)*?"}.get(line, re.escape(line) + r"\n")
        for line in call.expected
    )
    found = outcome.lines()
    if re.fullmatch(pattern, "".join(f"{line}\n" for line in found)):
        return ""
    return "\n".join(difflib.unified_diff(call.expected, found, "expected", "printed", lineterm="", n=30))


def broken_promises(call: Call, outcome: Outcome, folder: Path) -> Iterator[str]:
    """Yield what holds for every call, whatever it prints, and does not hold here."""
    code, out, err = outcome.code, outcome.out, outcome.err
    command = call.words[0] if call.words else ""
    if code not in {0, 1, 2}:
        yield f"exit code {code}, expected 0, 1 or 2"
    if "Traceback" in out + err:
        yield "a traceback"
    if str(folder) in out + err:
        yield "a path of this machine"
    writes = command in {"again", "make", "probe"} or (command == "board" and "--picture" in call.words)
    writes = writes or call.words[:3] == ["posts", "trial", "--out"]
    draws = command == "prove" and "--pictures" in call.words and code < 2  # of what is refused too
    if (code or not writes) and not draws and outcome.before != outcome.after:
        yield "something was written, though nothing may be"
    if "--json" in call.words or command == "schema":
        yield from _of_json(code, out, err)
        return
    if any(line != line.rstrip() for line in (out + err).splitlines()):
        yield "spaces at the end of a line"
    if code == 2:
        yield from _of_mistakes(out, err)
    elif call.words[:2] != ["recipes", "show"] and any(
        len(line) > WIDTH for line in (out + err).splitlines()
    ):
        yield f"a line longer than {WIDTH} columns"
    if code == 1 and command != "prove" and (out or not err):
        yield "a refusal belongs on standard error, alone"
    if code == 0 and err:
        yield "standard error is not empty"


def _of_json(code: int, out: str, err: str) -> Iterator[str]:
    if code == 2 and not out and err:  # `schema` has no other form than JSON, and says its mistakes as text
        yield from _of_mistakes(out, err)
        return
    if err:
        yield "standard error is not empty"
    try:
        said = json.loads(out)
    except ValueError as error:
        yield f"not one JSON document: {error}"
        return
    if code == 2:
        keys = {"file", "line", "column", "code", "message", "hint"}
        if set(said) != {"errors"} or not said["errors"] or any(set(each) != keys for each in said["errors"]):
            yield "not the form of mistakes"
    if code == 1 and not (said.get("findings") and all(each["remedy"] for each in said["findings"])):
        yield "a refusal without findings"


def _of_mistakes(out: str, err: str) -> Iterator[str]:
    *mistakes, last = err.splitlines() or [""]
    if out:
        yield "standard output is not empty"
    if err.startswith("Usage: "):
        return
    if last != f"{len(mistakes)} mistake{'s' * (len(mistakes) != 1)}; nothing was written":
        yield "the last line does not count the lines before it"
    for line in mistakes:
        if not MISTAKE.fullmatch(line):
            yield f"not a place, a code and a message: {line}"


def rewritten(text: str, folder: Path) -> str:
    """Return the document with what its calls print now; what still holds stays as it is."""
    lines = text.split("\n")
    for call, outcome in reversed(list(run(text, folder))):
        if difference(call, outcome):
            lines[call.first : call.last] = outcome.lines()
    return "\n".join(lines)
