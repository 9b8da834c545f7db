"""No path in a document leaves its folder, whatever a link of the file system says."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, ROOT
from stockwright import run
from stockwright.mistakes import InputError
from stockwright.run import Request

if TYPE_CHECKING:
    from pathlib import Path

TREAD = EXAMPLES / "stair-tread"
CHILD = "stockwright: recipe/1\nname: child\nversion: 1.0.0\nextends: parent.yaml\n"
PROFILE = "stockwright: post/1\nname: barn\nextends: rs274-ngc\n"
# The file that is a link, what it leads to outside, and the change in a document by which it is named.
LINKS = [
    ("recipe.yaml", "recipe", "job.yaml", "recipe: four-sides-square", "recipe: recipe.yaml"),
    ("parent.yaml", "recipe", "job.yaml", "recipe: four-sides-square", "recipe: child.yaml"),
    ("shop.yaml", "shop", "job.yaml", "", ""),
    ("board.yaml", "board", "job.yaml", "", ""),
    ("beech-upper.csv", "log", "job.yaml", "boards: [board.yaml]", "boards: [beech-probed.yaml]"),
    ("profile.yaml", "profile", "shop.yaml", "post: rs274-ngc", "post: profile.yaml"),
]


@pytest.mark.parametrize("relative", [True, False])
@pytest.mark.parametrize(("link", "to", "document", "old", "new"), LINKS)
def test_a_link_out_of_the_folder_is_refused(
    link: str, to: str, document: str, old: str, new: str, relative: bool, tmp_path: Path
) -> None:
    """Recipe, parent, shop, board, probing log and profile: named in a document, lying elsewhere."""
    here, outside = tmp_path / "job", tmp_path / "outside"
    shutil.copytree(TREAD, here)
    for path in (TREAD / "boards").iterdir():
        shutil.copy(path, here / path.name)
    (here / "child.yaml").write_text(CHILD, encoding="utf-8")
    outside.mkdir()
    shutil.copy(ROOT / "recipes" / "four-sides-square.yaml", outside / "recipe")
    for name, source in (("shop", "shop.yaml"), ("board", "board.yaml"), ("log", "boards/beech-upper.csv")):
        shutil.copy(TREAD / source, outside / name)
    (outside / "profile").write_text(PROFILE, encoding="utf-8")
    text = (here / document).read_text(encoding="utf-8")
    assert old in text
    (here / document).write_text(text.replace(old, new, 1), encoding="utf-8")
    (here / link).unlink(missing_ok=True)
    (here / link).symlink_to(f"../outside/{to}" if relative else outside / to)
    with pytest.raises(InputError) as caught:
        run.check(Request(here / "job.yaml"))
    assert {each.code for each in caught.value.mistakes} == {"outside-folder"}


def test_a_link_within_the_folder_is_followed(tmp_path: Path) -> None:
    """One that stays below is as good as the file."""
    here = tmp_path / "job"
    shutil.copytree(TREAD, here)
    (here / "shop.yaml").rename(here / "boards" / "the-shop.yaml")
    (here / "shop.yaml").symlink_to("boards/the-shop.yaml")
    assert run.check(Request(here / "bed.yaml")).job.name == "bed"
