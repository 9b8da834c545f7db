"""The sheet of every shipped job as a browser lays it out: wide, on a telephone, on paper; and its PDF.

Asked for by name only (`make sheet`): it needs Debian's chromium and poppler-utils, and fails without them.
"""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
import tempfile
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import yaml

from example_jobs import EXAMPLES
from stockwright.run import Request, make

if TYPE_CHECKING:
    from collections.abc import Mapping

SHIPPED = sorted(
    job
    for job, comes_to in yaml.safe_load((EXAMPLES / "expected.yaml").read_text()).items()
    if comes_to == "proven"
)
POLICY = '<meta http-equiv="Content-Security-Policy"'
HEAD = re.compile(r"Sheet for the machine|Setup \d+ of \d+(, part \d+ of \d+)?|From the proof|Last page")
LEAST = 9.0  # points, of anything
DRAWN = 10.0  # points, of words in drawings
STEPS = 11.0  # points, of what is done at the machine
MOST_LEAVES = 3  # of a setup, or a part of one: drawings, set up, run
FEWEST_WORDS = 40  # on a leaf of a setup: fewer were a few lines that went over
READABLE = 4.5  # contrast: WCAG 2.2, success criterion 1.4.3, level AA
LOOK = """<script>addEventListener('load', () => {
  const bad = [], light = c => { const v = c.map(x => x / 255)
    .map(x => x <= 0.04045 ? x / 12.92 : ((x + 0.055) / 1.055) ** 2.4);
    return 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2]; };
  const colour = text => text.match(/[\\d.]+/g).slice(0, 3).map(Number);
  const sizes = [], drawn = [[99, '']], steps = [[99, '']], contrasts = [];
  for (const e of document.querySelectorAll('body *')) {
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim());
    if (!own || e.closest('title, style, defs')) continue;
    const style = getComputedStyle(e), svg = e.closest('svg.drawing');
    let size = parseFloat(style.fontSize) * 0.75;
    if (svg) size = svg.querySelector('.words').getAttribute('font-size')
      * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width * 0.75;
    sizes.push([size, e.textContent.slice(0, 40)]);
    if (svg) drawn.push([size, e.textContent.slice(0, 40)]);
    if (e.closest('.act, .detail') && e.tagName !== 'CODE') steps.push([size, e.textContent.slice(0, 40)]);
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
    leaves: [...document.querySelectorAll('.leaf')].map(e => e.getBoundingClientRect().height * 25.4 / 96),
    step: steps.sort((a, b) => a[0] - b[0])[0],
    drawn: drawn.sort((a, b) => a[0] - b[0])[0],
    smallest: sizes.sort((a, b) => a[0] - b[0])[0], faintest: contrasts.sort((a, b) => a[0] - b[0])[0]};
  const said = parent.document.createElement('pre');
  said.className = 'measured';
  said.title = frameElement.title;
  said.textContent = JSON.stringify(seen);
  parent.document.body.append(said);
});</script></head>"""
PAPER = {"a4": (188.0, 281.0), "letter": (193.9, 263.4)}  # mm inside the margins of the sheet's own style


def browser() -> str:
    """Return the browser's path; a missing one is a failure, not an excuse."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    assert found is not None, "chromium is not on the path"
    return found


@cache
def files_of(job: str) -> Mapping[str, bytes]:
    """Make a shipped job once."""
    return make(Request(EXAMPLES / job)).files


@cache
def looked_at(job: str) -> Mapping[str, Any]:
    """Open a sheet once, in three frames: as a telephone, a wide screen and paper show it; what each says."""
    page = files_of(job)["sheet.html"].decode()
    printed = page.replace("@media print {", "@media all {")
    assert printed != page
    wide, _ = PAPER[paper_of(page)]
    frames = {"390": (page, 390), "1280": (page, 1280), "paper": (printed, round(wide / 25.4 * 96))}
    body = ""
    for title, (text, width) in frames.items():
        open_page = text.replace(POLICY, '<meta name="policy"').replace("</head>", LOOK, 1)
        inside = html.escape(open_page)
        body += f'<iframe title="{title}" width="{width}" height="2000" srcdoc="{inside}"></iframe>'
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "page.html").write_text(f"<!DOCTYPE html><html><body>{body}</body></html>")
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
    said = re.findall(r'<pre class="measured" title="(.*?)">(.*?)</pre>', done.stdout)
    found = {title: json.loads(html.unescape(text)) for title, text in said}
    assert found.keys() == frames.keys()
    return found


def paper_of(page: str) -> str:
    """Return which paper a sheet asks for."""
    return "letter" if "size: letter" in page else "a4"


def words_of(pdf: bytes, folder: Path) -> list[str]:
    """Return the words of every page, white space made plain."""
    tool = shutil.which("pdftotext")
    assert tool is not None, "pdftotext (poppler-utils) is not on the path"
    (folder / "sheet.pdf").write_bytes(pdf)
    text = subprocess.run(
        [tool, "-raw", folder / "sheet.pdf", "-"], capture_output=True, text=True, check=True
    ).stdout
    return [" ".join(page.split()) for page in text.split("\f")[:-1]]


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("job", SHIPPED)
def test_a_sheet_on_a_screen(job: str, width: int) -> None:
    """Nothing scrolls the page sideways or runs past it, all is reached by keys, and dark enough to read."""
    found = looked_at(job)[str(width)]
    assert found["window"] == width
    assert found["wide"] <= width
    assert found["past"] == []
    assert found["unreached"] == []
    assert found["faintest"][0] >= READABLE, found["faintest"]


@pytest.mark.parametrize("job", SHIPPED)
def test_a_sheet_as_it_is_printed(job: str) -> None:
    """On its paper no step is under 11 points, no word drawn under 10, nothing under 9; leaves hold."""
    found = looked_at(job)["paper"]
    _, high = PAPER[paper_of(files_of(job)["sheet.html"].decode())]
    assert found["past"] == []
    assert found["smallest"][0] >= LEAST - 0.05, found["smallest"]
    assert found["drawn"][0] >= DRAWN - 0.05, found["drawn"]
    assert found["step"][0] >= STEPS - 0.05, found["step"]
    over = [number for number, each in enumerate(found["leaves"]) if each > high]
    assert len(over) <= len(found["leaves"]) // 4, found["leaves"]


def by_page(leaves: list[str]) -> list[list[str]]:
    """Return the leaves put together by the page of contents that they belong to."""
    found: list[list[str]] = []
    page = ""
    for leaf in leaves:
        head = HEAD.search(leaf[:200])
        if head and head[0] != page:
            found.append([])
            page = head[0]
        found[-1].append(leaf)
    return found


@pytest.mark.parametrize("job", SHIPPED)
def test_a_pdf_has_its_leaves_and_its_steps(tmp_path: Path, job: str) -> None:
    """Every setup, or part of one, has one leaf, two or three by design, headed, none of a few lines."""
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
        assert len(leaves) <= MOST_LEAVES, name
        for number, leaf in enumerate(leaves, 1):
            assert len(leaves) == 1 or f"{number} of {len(leaves)}: " in leaf, leaf[:200]
            assert len(leaf.split()) >= FEWEST_WORDS, leaf
        told = re.findall(r'<p class="act">(.*?)</p>', part, flags=re.DOTALL)
        assert told
        for each in told:
            # Where a line ends there is a space; a hyphen there is taken for one of the setting.
            words = html.unescape(re.sub("<[^>]*>", "", each)).replace("-", "")
            assert "".join(words.split()) in "".join(leaves).replace(" ", "").replace("-", ""), each
