"""No command ever reaches for a network, and nothing that it makes tells a reader of it to."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, ROOT

if TYPE_CHECKING:
    from pathlib import Path

# Names of what is meant, which nobody fetches: the namespace of drawings, and the JSON Schema that is used.
NAMES = {
    "http://www.w3.org/2000/svg",
    "http://www.w3.org/1999/xlink",
    "https://json-schema.org/draft/2020-12/schema",
}
ADDRESS = re.compile(r"(?:https?|wss?|ftp)://[^\s\"'<>)]*|url\(\s*['\"]?(?!#|data:)[^)]*\)|@import\b")
SCRIPT = """
import socket, sys
class Refused:
    def __init__(self, *a, **k): raise AssertionError('a socket was asked for')
socket.socket = Refused
def hook(event, args):
    if event.startswith('socket.') and event != 'socket.gethostname':
        raise AssertionError(event)
    if event in {'subprocess.Popen', 'os.system', 'os.exec', 'os.posix_spawn'}:
        raise AssertionError(event + repr(args)[:200])
sys.addaudithook(hook)
from stockwright.cli import main
for line in sys.stdin:
    call = line.split()
    code = main(call)
    if code:
        sys.exit(f'{call}: exit code {code}')
"""
CALLS = """\
--version
--help
recipes list
recipes show leg-blanks --resolved
recipes compare four-sides-square two-visits
recipes fit four-sides-square --shop shop.yaml
recipes pack leg-blanks --out parcel
recipes unpack parcel --into unpacked
shop check shop.yaml
posts list
posts show rs274-ngc
posts trial --out trial
schema recipe
schema packet
board board.yaml --picture board.html
board points.csv --picture board.svg
check job.yaml
probe job.yaml --by hand --out measuring
make job.yaml --out packet
prove packet --pictures pictures
again packet --setup 2 --deeper 0.2mm --out again
"""


def addresses(text: str) -> list[str]:
    """Return what in a text a reader would fetch."""
    return [found for found in ADDRESS.findall(text) if found not in NAMES]


@pytest.mark.wide
def test_commands_need_no_socket_and_no_other_program(tmp_path: Path) -> None:
    """Every command, sockets and other programs refused; and no file that comes out names an address."""
    job = tmp_path / "job"
    shutil.copytree(EXAMPLES / "stair-tread", job)
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT], cwd=job, input=CALLS, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr + done.stdout[-2000:]
    made = [path for path in job.rglob("*") if path.suffix in {".html", ".svg", ".css", ".js", ".json"}]
    assert {path.suffix for path in made} >= {".html", ".svg", ".json"}
    assert {path.name: addresses(path.read_text(encoding="utf-8")) for path in made if path.is_file()} == {
        path.name: [] for path in made
    }


def test_no_shipped_page_script_or_style_names_an_address() -> None:
    """Templates, scripts and styles, before anything is put into them."""
    folders = (ROOT / "pipeline", ROOT / "posts")
    kinds = {".html", ".css", ".js", ".svg", ".typ"}
    files = [path for folder in folders for path in folder.rglob("*") if path.suffix in kinds]
    assert len(files) > 5
    assert {str(path): addresses(path.read_text(encoding="utf-8")) for path in files} == {
        str(path): [] for path in files
    }


def test_an_address_would_be_found() -> None:
    """The search finds what it is for."""
    for text in ("<img src='http://x.example/y'>", "background: url(//x)", "@import 'x.css'", "wss://x"):
        assert addresses(text)
    assert addresses('xmlns="http://www.w3.org/2000/svg" fill="url(#hatch)"') == []
