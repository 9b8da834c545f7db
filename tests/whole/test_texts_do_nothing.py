"""Text of a document stays text wherever it comes: page, drawing, PDF, player, JSON, program, file's name.

A table of hostile texts goes through the whole job in every place that takes text, and once more through a
packet.json written by a stranger; every file that comes out is read by a reader of its kind.
"""

from __future__ import annotations

import json
import re
import shutil
import zlib
from html.parser import HTMLParser
from itertools import cycle
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

import pytest

from small_jobs import written
from stockwright.cli import main

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

HOSTILE = [
    "</script><script>alert(1)</script>",
    "\"><img src=x onerror='alert(1)'><svg onload=alert(1)>",
    "]]><!-- --><style>*{display:none}</style><iframe src=//x>",
    "{{ 7 * 7 }}{% include '/etc/passwd' %}${7*7}",
    '#read("/etc/passwd") #import "x.typ" $x$ *b* _i_ <label> @ref \\u{41} `raw`',
    "javascript:alert(1) &lt;b&gt; &#60;script&#62; %3Cscript%3E",
    "'; rm -rf / ; $(id) `id` | sh && echo %PATH% !! \\\\",
    "=cmd|' /C calc'!A0",
    "(MSG, x) ) M3 S9000 ; G1 X0 % N10 /M3 #1=2 [1] $H ! ~",
    "../../etc/passwd C:\\x\\y ..\\..\\x CON nul.",
    "%s %n %x {0} {name!r} \\d+(a+)+$ [[:alpha:]]",
    "Ünï çödé 漢字 עברית 🪓 e\u0301 ﬁ ① Ⅷ",
    "a" * 1900,
    "<" * 600 + "&" * 600 + '"' * 300,
]
NAMES = ["Ünï çödé 漢字 (+) , .a", "con.", "1" * 80]
EVENT = re.compile(r"on[a-z]+")


class Page(HTMLParser):
    """Counts what a browser would make of a page."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.scripts = self.styles = 0
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note it."""
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}
        self.scripts += tag == "script"
        self.styles += tag == "style"
        for name, value in attrs:
            assert not EVENT.fullmatch(name)
            assert name not in {"href", "src", "action", "formaction"} or (value or "").startswith("#")

    handle_startendtag = handle_starttag

    def handle_data(self, data: str) -> None:
        """Keep what is shown."""
        self.text += data


def page(text: str) -> Page:
    """Read a page."""
    made = Page()
    made.feed(text)
    made.close()
    return made


def inside(pdf: bytes) -> bytes:
    """Return a PDF with every packed stream of it unpacked after it."""
    whole = pdf
    for found in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            whole += zlib.decompress(found[1])
        except zlib.error:
            continue
    return whole


def shape(folder: Path) -> dict[str, Any]:
    """Read every file of a packet by a reader of its kind; return what must not hang on any text."""
    found: dict[str, Any] = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        assert re.fullmatch(r"[a-z0-9-]+(/[a-z0-9-]+)?(\.[a-z]+)?", name)
        if path.is_dir():
            continue
        if path.suffix == ".html":
            made = page(path.read_text(encoding="utf-8"))
            found[name] = (made.tags, made.attributes, made.scripts, made.styles)
        elif path.suffix == ".svg":
            tree = ET.fromstring(path.read_bytes())
            found[name] = {each.tag for each in tree.iter()}
        elif path.suffix == ".json":
            found[name] = sorted(json.loads(path.read_bytes()))
        elif path.suffix == ".pdf":
            whole = inside(path.read_bytes())
            assert whole.startswith(b"%PDF-")
            acts = (b"/JavaScript", b"/JS ", b"/Launch", b"/URI", b"/EmbeddedFile", b"/AA ", b"root:")
            assert [each for each in acts if each in whole] == []
            found[name] = "pdf"
        else:
            assert path.suffix == ".ngc"
            text = path.read_bytes()
            assert text.isascii()
            code = re.sub(rb"\([^()\n]*\)", b"", text)  # without its comments
            found[name] = re.sub(rb"[ \t]+", b" ", code)
    return found


def spoken(folder: Path, texts: Sequence[str], name: str) -> Path:
    """Write the small job with `texts` by turns in every place for text, `name` in every place for names."""
    turns = cycle([json.dumps(text, ensure_ascii=False) for text in texts])
    named = json.dumps(name, ensure_ascii=False)
    job = written(folder)
    for document in ("shop", "small", "board", "job"):
        path = folder / f"{document}.yaml"
        said = path.read_text(encoding="utf-8")
        said = re.sub(r"(?m)^about: .*\n", "", said)
        said = re.sub(r"(?m)^name: .*$", lambda _: f"name: {named}\nabout: {next(turns)}", said)
        said = re.sub(r"ask: [a-z ]+", lambda _: f"ask: {next(turns)}", said)
        pauses = "".join(f"  - pause: {json.dumps(text, ensure_ascii=False)}\n" for text in texts)
        said = said.replace("  - flip: edge-over-edge\n", f"{pauses}  - flip: edge-over-edge\n")
        path.write_text(said, encoding="utf-8")
    return job


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, Any], Path]:
    """Make the packet that says nothing out of the way; give its shape and folder."""
    folder = tmp_path_factory.mktemp("plain")
    words = ["plain words"] * len(HOSTILE)
    assert main(["make", str(spoken(folder, words, "plain")), "--out", str(folder / "out")]) == 0
    return shape(folder / "out"), folder / "out"


def test_hostile_texts_are_only_texts(plain: tuple[dict[str, Any], Path], tmp_path: Path) -> None:
    """In every place for text: the same files, tags, scripts and moves as with plain words, and all shown."""
    assert main(["make", str(spoken(tmp_path, HOSTILE, "plain")), "--out", str(tmp_path / "out")]) == 0
    assert shape(tmp_path / "out") == plain[0]
    shown = page((tmp_path / "out" / "sheet.html").read_text(encoding="utf-8")).text
    said = "".join(shown.casefold().split())  # a step begins with a capital, and its lines break anywhere
    assert [text for text in HOSTILE if "".join(text.casefold().split())[:200] not in said] == []


@pytest.mark.parametrize("name", [NAMES[0], *(pytest.param(n, marks=pytest.mark.wide) for n in NAMES[1:])])
def test_a_strange_name_is_only_a_name(name: str, plain: tuple[dict[str, Any], Path], tmp_path: Path) -> None:
    """Of board, shop, recipe and job at once, as strange as names may be."""
    words = ["plain words"] * len(HOSTILE)
    assert main(["make", str(spoken(tmp_path, words, name)), "--out", str(tmp_path / "out")]) == 0
    assert shape(tmp_path / "out") == plain[0]


@pytest.mark.parametrize("name", [*HOSTILE[:11], "\u202eevil", "a\tb", "a\x7fb", "x" * 81, "-", "", " "])
def test_a_hostile_name_is_a_mistake(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Names are letters, digits, spaces and a few signs: all else is refused, and shown without acting."""
    assert main(["make", str(spoken(tmp_path, ["plain words"], name)), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert all(each.isprintable() for each in said.replace("\n", ""))
    assert not (tmp_path / "out").exists()


def told(value: Any, turns: Iterator[str]) -> Any:
    """Return a packet with texts by turns in every place for people."""
    if isinstance(value, dict):
        people = {"title", "how", "text", "message", "remedy", "job", "below", "above", "words"}
        lists = {"notes", "guesses", "again", "cannot_know", "said_otherwise"}
        changed = {key: told(part, turns) for key, part in value.items()}
        changed |= {key: next(turns) for key in sorted(people & set(value)) if isinstance(value[key], str)}
        return changed | {key: [next(turns), next(turns)] for key in sorted(lists & set(value))}
    return [told(part, turns) for part in value] if isinstance(value, list) else value


@pytest.mark.parametrize("texts", [HOSTILE[:11], ["a\nM3 S9000\nb", "\u202e\x00\x1b[2J\r\n", "\x85\u2028"]])
def test_a_strangers_packet_says_nothing_that_acts(
    texts: list[str], plain: tuple[dict[str, Any], Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`prove` and `again` take all of it as text, control characters too, on screen and in files."""
    packet = tmp_path / "packet"
    shutil.copytree(plain[1], packet)
    content = told(json.loads((packet / "packet.json").read_bytes()), cycle(texts))
    (packet / "packet.json").write_text(json.dumps(content), encoding="utf-8")
    pictures, out = tmp_path / "pictures", tmp_path / "out"
    assert main(["prove", str(packet), "--pictures", str(pictures)]) == 0
    assert main(["again", str(packet), "--setup", "1", "--deeper", "0.2mm", "--out", str(out)]) == 0
    said = capsys.readouterr()
    assert all(each.isprintable() for each in (said.out + said.err).replace("\n", ""))
    made = shape(out)
    assert made["sheet.html"][2:] == plain[0]["sheet.html"][2:]
    assert made["sheet.html"][0] <= plain[0]["sheet.html"][0] | {"b", "strong"}
    assert shape(pictures)


def test_half_a_letter_makes_it_no_packet(plain: tuple[dict[str, Any], Path], tmp_path: Path) -> None:
    """A text that no file in UTF-8 can hold is refused where it comes in."""
    content = told(json.loads((plain[1] / "packet.json").read_bytes()), cycle(["\ud800 alone"]))
    (tmp_path / "packet.json").write_text(json.dumps(content), encoding="utf-8")
    assert main(["prove", str(tmp_path)]) == 2


@pytest.mark.parametrize(
    "file", ["../x.ngc", "/etc/x", "programs/../x.ngc", "C:/x", "programs\\x.ngc", "a\0b", ""]
)
def test_a_strangers_packet_names_no_file_outside(
    file: str, plain: tuple[dict[str, Any], Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A program's name that leads out of the packet's folder makes it no packet; so do two that are one."""
    content = json.loads((plain[1] / "packet.json").read_bytes())
    content["setups"][0]["programs"][0]["file"] = file
    (tmp_path / "packet.json").write_text(json.dumps(content), encoding="utf-8")
    assert main(["prove", str(tmp_path)]) == 2
    assert "inside its folder" in capsys.readouterr().err
