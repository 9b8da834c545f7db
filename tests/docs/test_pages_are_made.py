"""No page that could be made is kept by hand, and every link of every page leads somewhere."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from made_pages import ROOT, between, made, no_more

if TYPE_CHECKING:
    from pathlib import Path

SKIPPED = {".venv", ".git", "build", "golden", "commands", "node_modules"}
PAGES = sorted(
    file
    for file in ROOT.rglob("*.md")
    if not {part for part in file.relative_to(ROOT).parts if part in SKIPPED or part.startswith(".")}
)
LINK = re.compile(r"\]\(([^)\s]+)\)")


def test_made_pages_are_as_they_are_made() -> None:
    """Each made page is what its schema, rule, post, recipe or call gives now; none is left over."""
    stale = [
        path
        for path, content in made().items()
        if not (ROOT / path).is_file() or (ROOT / path).read_bytes() != content
    ]
    assert (stale, no_more()) == ([], []), "run tests/docs/accept.py, and read the difference"


def _anchors(text: str) -> set[str]:
    """Return the anchors that headings of a page have, as readers of markdown make them."""
    heads = re.findall(r"^#+ (.+)$", re.sub(r"```.*?```", "", text, flags=re.DOTALL), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_every_link_leads_somewhere(page: Path) -> None:
    """Each relative link of a page names a file or a folder that is there, and a heading that it has."""
    text = re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
    dead = []
    for link in LINK.findall(text):
        path, _, anchor = link.partition("#")
        if "://" in link:
            continue
        target = page.parent / path if path else page
        if not target.exists() or (anchor and anchor not in _anchors(target.read_text(encoding="utf-8"))):
            dead.append(link)
    assert dead == []


def test_links_are_seen(tmp_path: Path) -> None:
    """A heading's anchor is made as readers make it, and a page without its markers is told."""
    assert _anchors("# A board's fence\n```\n# no\n```\n## edge-1\n") == {"a-boards-fence", "edge-1"}
    page = tmp_path / "README.md"
    page.write_text("<!-- made: x -->\nold\n<!-- made: end -->\nkept\n", encoding="utf-8")
    assert between(page, "x", "new\n") == "<!-- made: x -->\nnew\n<!-- made: end -->\nkept\n"
    with pytest.raises(ValueError, match="no place for what is made of y"):
        between(page, "y", "")
