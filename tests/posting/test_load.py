"""Posts are found by entry point alone, and a broken one stops nobody else's."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import stockwright
from source_trees import tree_of
from stockwright.mistakes import InputError
from stockwright.posting import BrokenPost, WordAddress, found, load_post, survey

if TYPE_CHECKING:
    from collections.abc import Callable

Install = "Callable[[str, str, dict[str, str], str], None]"


@pytest.fixture
def install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Give a function that puts a package with posts on the path, as an installer would."""
    monkeypatch.syspath_prepend(str(tmp_path))

    def put(package: str, version: str, points: dict[str, str], code: str = "") -> None:
        info = tmp_path / f"{package}-{version}.dist-info"
        info.mkdir()
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {package}\nVersion: {version}\n")
        listed = "".join(f"{name} = {target}\n" for name, target in points.items())
        (info / "entry_points.txt").write_text(f"[stockwright.posts]\n{listed}")
        (tmp_path / f"{package}.py").write_text(code)
        sys.modules.pop(package, None)

    return put


GOOD = """
from stockwright.posting import Traits, WordAddress

class Own(WordAddress):
    name, reader, about = "own-shop", None, "a stranger's"
    traits = Traits(comments="none")
"""


def test_the_shipped_posts_are_found_by_name() -> None:
    """All six are there, in order, and load."""
    shipped = ["cldata", "iso-6983", "lean-serial", "motion-table", "rs274-ngc", "spelled-out"]
    assert list(found()) == shipped
    assert [post.name for post in survey()] == shipped


def test_a_strangers_post_is_found_as_ours_are(install: Callable[..., None]) -> None:
    """A package with an entry point is all it takes; a class will do for an instance."""
    install("own_posts", "0.3", {"own-shop": "own_posts:Own"}, GOOD)
    assert "own-shop" in found()
    post = load_post("own-shop")
    assert isinstance(post, WordAddress)
    assert post.traits.comments == "none"


@pytest.mark.parametrize(
    ("target", "code", "reason"),
    [
        ("bad_posts:POST", "import nowhere_at_all", "ModuleNotFoundError: No module named 'nowhere_at_all'"),
        ("bad_posts:POST", "raise SystemExit('no')", "SystemExit: no"),
        ("bad_posts:POST", "1 +", "SyntaxError: invalid syntax"),
        ("bad_posts:GONE", "", "AttributeError: module 'bad_posts' has no attribute 'GONE'"),
        ("bad_posts:POST", "POST = 3", "it has no name; it has no reader"),
        ("bad_posts:Own", GOOD.replace("own-shop", "else"), "it calls itself 'else'"),
        ("bad_posts:Own", GOOD + "    def written(self): return frozenset()\n", "neither writes nor refuses"),
    ],
)
def test_a_broken_post_says_why_and_stops_no_other(
    install: Callable[..., None], target: str, code: str, reason: str
) -> None:
    """It stands in the list with package, version and reason; the shipped ones still load."""
    install("bad_posts", "1.4", {"bad": target}, code)
    broken = next(post for post in survey() if isinstance(post, BrokenPost))
    assert (broken.name, broken.package, broken.version) == ("bad", "bad_posts", "1.4")
    assert reason in broken.reason
    assert load_post("rs274-ngc").name == "rs274-ngc"
    with pytest.raises(InputError, match=r"broken: bad_posts 1\.4") as raised:
        load_post("bad")
    assert raised.value.mistakes[0].code == "broken-post"


def test_a_name_claimed_twice_names_both_packages(install: Callable[..., None]) -> None:
    """Neither is taken; the others are still there."""
    install("first_posts", "1.0", {"twin": "first_posts:Own"}, GOOD)
    install("second_posts", "2.0", {"twin": "second_posts:Own"}, GOOD)
    with pytest.raises(InputError, match=r"claimed by first_posts 1\.0 and second_posts 2\.0"):
        load_post("twin")
    assert found().count("twin") == 1


def test_an_unknown_name_gets_the_nearest() -> None:
    """rs274 for rs274-ngc."""
    with pytest.raises(InputError, match="did you mean 'rs274-ngc'"):
        load_post("rs274-ncg")


def test_listing_names_loads_neither_posts_nor_numpy() -> None:
    """Names come from metadata; a fresh process has loaded no plug-in and nothing heavy after it."""
    code = (
        "import sys; from stockwright.posting import found; assert found(); "
        "print(sorted({'numpy', 'yaml', 'pydantic', 'stockwright_posts.rs274_ngc'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_the_pipeline_never_imports_the_shipped_posts() -> None:
    """Every import in every file of the package is read."""
    root = Path(stockwright.__file__).parent
    files = sorted(root.rglob("*.py"))
    assert len(files) > 10
    for file in files:
        for node in ast.walk(tree_of(file)):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            assert not any(name.split(".")[0] == "stockwright_posts" for name in names), file.name
