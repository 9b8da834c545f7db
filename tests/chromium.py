"""Debian's Chromium without a window, for the tests that look at a page as a browser shows it."""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
POLICY = '<meta http-equiv="Content-Security-Policy"'
# Before anything of the page's own runs: what goes wrong is kept.
WATCH = """<script>
window.wrong = [];
addEventListener('error', (event) => window.wrong.push(String(event.message)));
const loud = console.error;
console.error = (...said) => { window.wrong.push(said.join(' ')); loud(...said); };
</script></head>"""


def browser() -> str:
    """Return the browser's path; a missing one is a failure, not an excuse."""
    found = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    assert found is not None, f"none of {', '.join(BROWSERS)} is on the path"
    return found


def load(folder: Path, page: str, *options: str, fragment: str = "") -> tuple[str, str]:
    """Load a page in the browser and return what it prints, and what it logs."""
    (folder / "page.html").write_text(page, encoding="utf-8")
    command = [
        *(browser(), "--headless", "--no-sandbox", "--disable-gpu", "--enable-logging=stderr"),
        f"--user-data-dir={folder / 'profile'}",
        *options,
        (folder / "page.html").as_uri() + fragment,
    ]
    done = subprocess.run(command, capture_output=True, text=True, timeout=180, check=True)
    return done.stdout, done.stderr


def asked(folder: Path, page: str, script: str, width: int = 1280, fragment: str = "") -> dict[str, Any]:
    """Return what `script`, the body of a function, returns on the page; its policy is lifted for it.

    `width` below the least of a window: the page then stands in a frame, where no fragment can be given.
    """
    last = (
        f"<script>(() => {{ const found = (() => {{ {script} }})();"
        "const said = parent.document.createElement('pre'); said.id = 'measured';"
        "said.textContent = JSON.stringify({found, wrong: window.wrong});"
        "parent.document.body.append(said); })();</script></body>"
    )
    assert page.count("</head>") == page.count("</body>") == 1
    opened = page.replace(POLICY, '<meta name="policy"').replace("</head>", WATCH).replace("</body>", last)
    if width < 500:
        assert not fragment
        frame = f'<iframe width="{width}" height="844" srcdoc="{html.escape(opened)}"></iframe>'
        opened = f"<!DOCTYPE html><html><body>{frame}</body></html>"
    printed, _ = load(folder, opened, "--dump-dom", f"--window-size={width},1000", fragment=fragment)
    said = re.search(r'<pre id="measured">(.*?)</pre>', printed, re.DOTALL)
    assert said is not None, printed[-2000:]
    answer: dict[str, Any] = json.loads(html.unescape(said[1]))
    assert answer["wrong"] == []
    found: dict[str, Any] = answer["found"]
    return found
