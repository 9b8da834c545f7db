"""The sheet of every shipped job as a browser lays it out: wide, on a telephone, on paper; and its PDF.

Asked for by name only (`make sheet`): it needs Debian's chromium and poppler-utils, and fails without them.
"""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from functools import cache
from typing import TYPE_CHECKING, Any

import pytest
import yaml

from example_jobs import EXAMPLES
from stockwright.run import Request, make

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

SHIPPED = sorted(
    job
    for job, comes_to in yaml.safe_load((EXAMPLES / "expected.yaml").read_text()).items()
    if comes_to == "proven"
)
POLICY = '<meta http-equiv="Content-Security-Policy"'
# Four boards in a row on shims, and a board slid along, need more words than one leaf holds at 9 points.
LONGER = {("garden-gate/job.yaml", "setup-1"), ("hall-bench/job.yaml", "setup-2")}
LEAST = 9.0  # points
READABLE = 4.5  # contrast: WCAG 2.2, success criterion 1.4.3, level AA
LOOK = """<script>addEventListener('load', () => {
  const bad = [], light = c => { const v = c.map(x => x / 255)
    .map(x => x <= 0.04045 ? x / 12.92 : ((x + 0.055) / 1.055) ** 2.4);
    return 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2]; };
  const colour = text => text.match(/[\\d.]+/g).slice(0, 3).map(Number);
  const sizes = [], contrasts = [];
  for (const e of document.querySelectorAll('body *')) {
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim());
    if (!own || e.closest('title, style, defs')) continue;
    const style = getComputedStyle(e), svg = e.closest('svg.drawing');
    let size = parseFloat(style.fontSize) * 0.75;
    if (svg) size = 3.3 * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width * 0.75;
    sizes.push([size, e.textContent.slice(0, 40)]);
    const ink = colour(svg ? style.fill : style.color);
    contrasts.push([1.05 / (light(ink) + 0.05), e.textContent.slice(0, 40)]);
  }
  const root = document.documentElement;
  for (const e of document.querySelectorAll('.wide, table, pre'))
    if (e.scrollWidth > e.clientWidth + 1 && !e.closest('[tabindex]')) bad.push(e.className);
  for (const e of document.querySelectorAll('input')) if (e.tabIndex < 0) bad.push('input');
  const past = [...document.querySelectorAll('p, li, td, th, h1, h2')].filter(e => !e.closest('.wide') &&
    e.getBoundingClientRect().right > innerWidth + 1).map(e => e.textContent.slice(0, 40));
  const seen = {wide: root.scrollWidth, window: innerWidth, unreached: bad, past,
    smallest: sizes.sort((a, b) => a[0] - b[0])[0], faintest: contrasts.sort((a, b) => a[0] - b[0])[0]};
  const said = parent.document.createElement('pre');
  said.id = 'measured';
  said.textContent = JSON.stringify(seen);
  parent.document.body.append(said);
});</script></head>"""
PAPER_WIDE = {"a4": 188.0, "letter": 193.9}  # mm inside the margins of the sheet's own style


def browser() -> str:
    """Return the browser's path; a missing one is a failure, not an excuse."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    assert found is not None, "chromium is not on the path"
    return found


@cache
def files_of(job: str) -> Mapping[str, bytes]:
    """Make a shipped job once."""
    return make(Request(EXAMPLES / job)).files


def seen(folder: Path, page: str, width: int) -> dict[str, Any]:
    """Return what the script finds on the page, in a frame of the width asked for."""
    open_page = page.replace(POLICY, '<meta name="policy"').replace("</head>", LOOK, 1)
    frame = f'<iframe width="{width}" height="2000" srcdoc="{html.escape(open_page)}"></iframe>'
    (folder / "page.html").write_text(f"<!DOCTYPE html><html><body>{frame}</body></html>")
    done = subprocess.run(
        [
            *(browser(), "--headless", "--no-sandbox", "--disable-gpu", "--enable-logging=stderr"),
            *(f"--user-data-dir={folder / 'profile'}", "--dump-dom", (folder / "page.html").as_uri()),
        ],
        capture_output=True,
        text=True,
        timeout=180,
        check=True,
    )
    assert "CONSOLE" not in done.stderr, done.stderr
    [said] = re.findall(r'<pre id="measured">(.*?)</pre>', done.stdout)
    found: dict[str, Any] = json.loads(html.unescape(said))
    return found


def words_of(pdf: bytes, folder: Path) -> list[str]:
    """Return the words of every page, white space made plain."""
    tool = shutil.which("pdftotext")
    assert tool is not None, "pdftotext (poppler-utils) is not on the path"
    (folder / "sheet.pdf").write_bytes(pdf)
    text = subprocess.run(
        [tool, folder / "sheet.pdf", "-"], capture_output=True, text=True, check=True
    ).stdout
    return [" ".join(page.split()) for page in text.split("\f")[:-1]]


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("job", SHIPPED)
def test_a_sheet_on_a_screen(tmp_path: Path, job: str, width: int) -> None:
    """Nothing scrolls the page sideways or runs past it, all is reached by keys, and dark enough to read."""
    found = seen(tmp_path, files_of(job)["sheet.html"].decode(), width)
    assert found["window"] == width
    assert found["wide"] <= width
    assert found["past"] == []
    assert found["unreached"] == []
    assert found["faintest"][0] >= READABLE, found["faintest"]


@pytest.mark.parametrize("job", SHIPPED)
def test_a_sheet_as_it_is_printed(tmp_path: Path, job: str) -> None:
    """At the width of its paper no text is under nine points, in drawings neither."""
    page = files_of(job)["sheet.html"].decode()
    paper = "letter" if "size: letter" in page else "a4"
    printed = page.replace("@media print {", "@media all {")
    assert printed != page
    found = seen(tmp_path, printed, round(PAPER_WIDE[paper] / 25.4 * 96))
    assert found["past"] == []
    assert found["smallest"][0] >= LEAST - 0.05, found["smallest"]


def by_page(leaves: list[str]) -> list[list[str]]:
    """Return the leaves put together by the page of contents that they belong to."""
    found: list[list[str]] = []
    for leaf in leaves:
        if re.search(r"Sheet for the machine|Setup \d+ of \d+|From the proof|Last page", leaf):
            found.append([])
        found[-1].append(leaf)
    return found


@pytest.mark.parametrize("job", SHIPPED)
def test_a_pdf_has_a_leaf_a_setup_and_its_steps(tmp_path: Path, job: str) -> None:
    """Every setup, or part of one, has one leaf; first and last page too, of a board; every step is there."""
    files = files_of(job)
    page = files["sheet.html"].decode()
    parts = re.findall(r'<section class="page[^"]*" id="([^"]*)">(.*?)</section>', page, flags=re.DOTALL)
    pages = by_page(words_of(files["sheet.pdf"], tmp_path))
    assert len(pages) == len(parts)
    boards = page.count('class="name-cell"')
    for (name, part), leaves in zip(parts, pages, strict=True):
        if not name.startswith("setup"):
            assert len(leaves) <= 1 + boards + page.count('class="page setup"') // 4, name
            continue
        assert (len(leaves) > 1) == ((job, name) in LONGER), name
        told = re.findall(r'<p class="act">(.*?)</p>', part, flags=re.DOTALL)
        assert told
        for each in told:
            # Where a line ends there is a space; a hyphen there is taken for one of the setting.
            words = html.unescape(each).replace("-", "")
            assert "".join(words.split()) in "".join(leaves).replace(" ", "").replace("-", ""), each
