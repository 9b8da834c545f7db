"""The package in examples/post-package: a stranger's post, found, tried and used as the shipped ones are."""

from __future__ import annotations

import subprocess
import sys
import tomllib
import venv
from pathlib import Path

import pytest

import stockwright_posts
from stockwright.posting import BrokenPost, load_post, survey

ROOT = Path(stockwright_posts.__file__).parents[2]
PACKAGE = ROOT / "examples" / "post-package"


def put_on_path(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    """Put the package's module on the path with the entry points that its pyproject.toml names."""
    project = tomllib.loads((PACKAGE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    info = folder / f"{project['name']}-{project['version']}.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(
        f"Metadata-Version: 2.1\nName: {project['name']}\nVersion: {project['version']}\n"
    )
    points = project["entry-points"]["stockwright.posts"]
    listed = "".join(f"{name} = {target}\n" for name, target in points.items())
    (info / "entry_points.txt").write_text(f"[stockwright.posts]\n{listed}")
    monkeypatch.syspath_prepend(str(PACKAGE))
    monkeypatch.syspath_prepend(str(folder))
    sys.modules.pop("harbour_posts", None)


def test_its_entry_point_is_found(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """What its pyproject.toml registers loads under that name, whole."""
    put_on_path(monkeypatch, tmp_path)
    post = load_post("harbour-bench")
    assert post.file_name("02-face-a") == "02-face-a.hbr"
    assert not [each for each in survey() if isinstance(each, BrokenPost)]


def test_its_own_tests_pass() -> None:
    """The kit, run the way its author runs it."""
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-c", "/dev/null"]
    run = subprocess.run(
        [*command, "--rootdir", str(PACKAGE), str(PACKAGE / "tests")],
        capture_output=True,
        text=True,
        cwd=PACKAGE,
        env={"PYTHONPATH": str(PACKAGE), "PYTHONDONTWRITEBYTECODE": "1"},
    )
    assert run.returncode == 0, run.stdout[-2000:] + run.stderr[-2000:]
    assert " passed" in run.stdout


def fresh(folder: Path) -> Path:
    """Make a fresh environment that sees this one's libraries, and give its folder of commands."""
    venv.create(folder, with_pip=True)
    [site] = folder.glob("lib/python*/site-packages")
    others = [path for path in sys.path if path.endswith("site-packages")]
    sources = [str(ROOT / "pipeline"), str(ROOT / "posts")]
    (site / "others.pth").write_text("\n".join([*others, *sources]) + "\n")
    return folder / "bin"


@pytest.mark.wide
def test_built_and_installed_it_makes_a_packet(tmp_path: Path) -> None:
    """Built by its own backend into a fresh environment; a broken package beside it stops nobody."""
    commands = fresh(tmp_path / "venv")
    pip = [
        str(commands / "python"),
        "-m",
        "pip",
        "install",
        "--quiet",
        "--disable-pip-version-check",
        "--no-deps",
    ]
    subprocess.run([*pip, str(PACKAGE)], check=True, capture_output=True, text=True)
    broken = tmp_path / "broken"
    broken.mkdir()
    text = (PACKAGE / "pyproject.toml").read_text(encoding="utf-8")
    (broken / "pyproject.toml").write_text(
        text.replace("harbour-posts", "sunk-posts")
        .replace("harbour_posts", "sunk_posts")
        .replace("harbour-bench", "sunk")
    )
    (broken / "sunk_posts.py").write_text("import nowhere_at_all\n")
    subprocess.run([*pip, str(broken)], check=True, capture_output=True, text=True)

    def run(*words: str) -> subprocess.CompletedProcess[str]:
        code = "from stockwright.entry import main; raise SystemExit(main())"
        return subprocess.run([str(commands / "python"), "-c", code, *words], capture_output=True, text=True)

    listed = run("posts", "list").stdout
    assert "harbour-bench" in listed
    assert "broken: sunk-posts 0.1.0: ModuleNotFoundError" in " ".join(listed.split())
    assert "sunk-posts 0.1.0" in run("posts", "show", "sunk").stderr
    assert run("posts", "show", "harbour-bench").returncode == 0
    made = run(
        *("make", str(ROOT / "examples" / "stair-tread" / "job.yaml"), "--post", "harbour-bench"),
        *("--out", str(tmp_path / "packet")),
    )
    assert made.returncode == 0, made.stderr
    assert list((tmp_path / "packet").rglob("*.hbr"))
    assert run("prove", str(tmp_path / "packet")).returncode == 0
