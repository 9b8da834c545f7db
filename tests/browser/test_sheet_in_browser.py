"""The sheet as a browser lays it out, on a wide screen, on a telephone and on paper.

Asked for by name only (`make sheet`): it needs a Chromium on the path, and fails without one.
"""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from typing import TYPE_CHECKING, Any

import pytest

from sample_packet import sample
from sheet_reading import sheet_of

if TYPE_CHECKING:
    from pathlib import Path

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
POLICY = '<meta http-equiv="Content-Security-Policy"'
MEASURE = """<script>addEventListener('load', () => {
  const over = [];
  for (const svg of document.querySelectorAll('svg.drawing')) {
    const words = [...svg.querySelectorAll('text')].map(t => [t.textContent, t.getBoundingClientRect()]);
    const slack = 0.2 * words[0][1].height;
    words.forEach(([a, p], i) => words.slice(i + 1).forEach(([b, q]) => {
      if (Math.min(p.right, q.right) - Math.max(p.left, q.left) > slack &&
          Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > slack) over.push([a, b]);
    }));
    const frame = svg.getBoundingClientRect();
    for (const [a, p] of words)
      if (p.left < frame.left - 2 || p.right > frame.right + 2) over.push([a, 'edge of the drawing']);
  }
  const root = document.documentElement;
  const seen = {over, wide: root.scrollWidth, window: innerWidth, hit: window.hit || false};
  const said = parent.document.createElement('pre');
  said.id = 'measured';
  said.textContent = JSON.stringify(seen);
  parent.document.body.append(said);
});</script></head>"""


def browser() -> str:
    """Return the browser's path; a missing one is a failure, not an excuse."""
    found = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    assert found is not None, f"none of {', '.join(BROWSERS)} is on the path"
    return found


def run(folder: Path, page: str, *options: str) -> str:
    """Load a page in the browser without a window and return what it prints."""
    (folder / "page.html").write_text(page)
    command = [
        browser(),
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        f"--user-data-dir={folder / 'profile'}",
    ]
    done = subprocess.run(
        [*command, *options, (folder / "page.html").as_uri()],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    return done.stdout


def measured(folder: Path, page: str, width: int) -> dict[str, Any]:
    """Return what a script finds on the page; the sheet's policy against scripts is lifted for it.

    The page stands in a frame of the width asked for, as a window has a least width of its own.
    """
    open_page = page.replace(POLICY, '<meta name="policy"').replace("</head>", MEASURE)
    assert open_page.count("<script>") - page.count("<script>") == 1
    frame = f'<iframe width="{width}" height="2000" srcdoc="{html.escape(open_page)}"></iframe>'
    printed = run(folder, f"<!DOCTYPE html><html><body>{frame}</body></html>", "--dump-dom")
    [said] = re.findall(r'<pre id="measured">(.*?)</pre>', printed)
    found: dict[str, Any] = json.loads(html.unescape(said))
    assert found["window"] == width
    return found


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_words_in_the_drawings_stand_clear_of_one_another(tmp_path: Path, width: int, units: str) -> None:
    """No word lies on another or sticks out of its drawing, and the page never scrolls sideways."""
    seen = measured(tmp_path, sheet_of(sample(), units), width)
    assert seen["over"] == []
    assert seen["wide"] <= seen["window"]


def test_a_hostile_name_runs_nothing_even_without_the_policy(tmp_path: Path) -> None:
    """With the policy lifted, a board named as an element that would run code is still only a name."""
    page = sheet_of(sample('"><img src=x onerror="window.hit=true"><svg onload="window.hit=true">'))
    assert measured(tmp_path, page, 1280)["hit"] is False
