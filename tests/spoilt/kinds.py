"""Every kind of document, whole, with the calls that read it.

In: an empty folder. Out: the folder with a small job in it, and for each kind the file that is spoilt, the
ways to spoil it, and the calls that read it: most only read, some do the whole job.
"""

from __future__ import annotations

import contextlib
import io
import re
import shutil
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from barn_retrofit import PROFILE
from example_jobs import EXAMPLES, ROOT
from spoilt.spoiling import spoilt_bytes, spoilt_json, spoilt_table, spoilt_yaml, spoilt_zip
from stockwright.cli import main

if TYPE_CHECKING:
    import random
    from collections.abc import Callable
    from pathlib import Path

    Spoil = Callable[[bytes, random.Random], bytes]

__all__ = ["KINDS", "Kind", "prepare", "used"]

MAKE = ("--out", "made")
FIRST = ROOT / "tests" / "documents" / "first_format"


@dataclass(frozen=True)
class Kind:
    """One kind: its whole files, its ways to be spoilt, what reads it, and what does the whole job."""

    name: str
    files: tuple[str, ...]
    ways: tuple[Spoil, ...]
    reads: tuple[tuple[str, ...], ...]
    does: tuple[tuple[str, ...], ...] = ()
    aim: str | None = None  # where a spoilt file is put, when it is not in its own place


BYTES_OR_YAML = (spoilt_bytes, spoilt_yaml, spoilt_yaml)
_INSIDE = {"json": spoilt_json, "yaml": spoilt_yaml, "md": spoilt_bytes, "csv": spoilt_table}
KINDS = (
    Kind(
        "recipe",
        tuple(f"recipes/{each}.yaml" for each in ("four-sides-square", "two-visits", "faces-held-below")),
        BYTES_OR_YAML,
        (
            ("recipes", "show", "spoilt.yaml", "--resolved"),
            ("recipes", "compare", "four-sides-square", "spoilt.yaml"),
            ("check", "spoilt-recipe.yaml"),
        ),
        (("make", "spoilt-recipe.yaml", *MAKE),),
        "spoilt.yaml",
    ),
    Kind(
        "recipe that extends",
        ("child.yaml",),
        BYTES_OR_YAML,
        (("recipes", "show", "spoilt.yaml", "--resolved"), ("check", "spoilt-recipe.yaml")),
        (("make", "spoilt-recipe.yaml", *MAKE),),
        "spoilt.yaml",
    ),
    Kind(
        "shop",
        ("shop.yaml",),
        BYTES_OR_YAML,
        (("shop", "check", "shop.yaml"), ("check", "bed.yaml"), ("check", "too-thin.yaml")),
        (("make", "bed.yaml", *MAKE), ("probe", "job.yaml", *MAKE)),
    ),
    Kind(
        "board",
        ("board.yaml", "thin-board.yaml", "elm-sighted.yaml", "fir-nominal.yaml"),
        BYTES_OR_YAML,
        (("board", "spoilt-board.yaml"), ("check", "spoilt-board-job.yaml")),
        (("make", "spoilt-board-job.yaml", *MAKE),),
        "spoilt-board.yaml",
    ),
    Kind(
        "points",
        ("points.csv",),
        (spoilt_bytes, spoilt_table, spoilt_table),
        (("board", "points.csv"),),
        (("make", "job.yaml", "--board", "points.csv", *MAKE),),
    ),
    Kind(
        "probing log",
        ("beech-upper.csv", "beech-lower.csv"),
        (spoilt_bytes, spoilt_table, spoilt_table),
        (("board", "beech-probed.yaml"),),
        (("make", "job.yaml", "--board", "beech-probed.yaml", *MAKE),),
    ),
    Kind(
        "job",
        ("job.yaml", "bed.yaml", "too-thin.yaml", "parts.yaml"),
        BYTES_OR_YAML,
        (("check", "spoilt.yaml"),),
        (("make", "spoilt.yaml", *MAKE), ("probe", "spoilt.yaml", *MAKE)),
        "spoilt.yaml",
    ),
    Kind(
        "post",
        ("profile.yaml",),
        BYTES_OR_YAML,
        (("check", "profiled.yaml", "--shop", "profiled-shop.yaml"),),
        (("make", "profiled.yaml", "--shop", "profiled-shop.yaml", "--units", "inch", *MAKE),),
    ),
    Kind(
        "measured",
        ("measured.yaml",),
        BYTES_OR_YAML,
        (("shop", "check", "shop.yaml", "--measured", "measured.yaml"),),
        (("shop", "check", "shop.yaml", "--measured", "measured.yaml", "--out", "figures.yaml"),),
    ),
    Kind("answers", ("answers.yaml",), BYTES_OR_YAML, (("posts", "trial", "--answers", "answers.yaml"),)),
    Kind(
        "parcel",
        ("parcel.zip",),
        (spoilt_bytes, partial(spoilt_zip, within=_INSIDE)),
        (),
        (("recipes", "unpack", "parcel.zip", "--into", "made"),),
    ),
    Kind(
        "packet",
        ("packet/packet.json",),
        (spoilt_bytes, spoilt_json, spoilt_json, spoilt_json),
        (("prove", "packet"), ("again", "packet", "--stopped", "programs/1b-bed.ngc:43", *MAKE)),
        (("prove", "packet", "--pictures", "made"),),
    ),
    Kind(
        "packet of a board",
        ("tread/packet.json",),
        (spoilt_bytes, spoilt_json, spoilt_json, spoilt_json),
        (("prove", "tread"),),
        (
            ("again", "tread", "--setup", "2", "--deeper", "0.2mm", *MAKE),
            ("again", "tread", "--setup", "2", "--spot", "300mm,80mm", "--height", "0.4mm", "--proud", *MAKE),
            ("prove", "tread", "--pictures", "made"),
        ),
    ),
)
CHILD = """\
stockwright: recipe/1
name: child
version: 1.0.0
extends: four-sides-square
about: A lighter second face, two rounds of pauses.
inputs: {length: {to: 5000 mm}}
tolerance: {flatness: 0.2 mm, width: 0.3 mm}
leave-out: [steps.end-1, steps.end-2, finished.length, steps.face A.seat]
steps:
  change: {face B: {light: 0.2 mm}, edge-1: {spring: yes}}
  before: {edge-1: {pause: sweep}}
  after: {edge-2: [{pause: one}, {pause: two}]}
"""
PARTS = """\
stockwright: job/1
name: parts
recipe: both-faces
shop: shop.yaml
boards:
  - {board: fir-nominal.yaml, part: rail, set: {thickness: 38 mm}}
  - {board: [elm-sighted.yaml], part: shelf, set: {thickness: "32 mm"}}
set: {thickness: 40 mm}
"""


def prepare(folder: Path) -> None:
    """Put every kind of document, whole, into `folder`."""
    tread = EXAMPLES / "stair-tread"
    for each in (*tread.glob("*.yaml"), *tread.glob("*.csv"), *(tread / "boards").iterdir()):
        shutil.copy(each, folder / each.name)
    shutil.copytree(ROOT / "recipes", folder / "recipes")
    for name in ("measured.yaml", "parcel.zip"):
        shutil.copy(FIRST / name, folder / name)
    (folder / "child.yaml").write_text(CHILD, encoding="utf-8")
    (folder / "parts.yaml").write_text(PARTS, encoding="utf-8")
    (folder / "profile.yaml").write_text(PROFILE, encoding="utf-8")
    job = (folder / "job.yaml").read_text(encoding="utf-8")
    _write(folder, "spoilt-recipe.yaml", job, "recipe: four-sides-square", "recipe: spoilt.yaml")
    thin = (folder / "too-thin.yaml").read_text(encoding="utf-8")
    _write(folder, "spoilt-board-job.yaml", thin, "thin-board.yaml", "spoilt-board.yaml")
    bed = (folder / "bed.yaml").read_text(encoding="utf-8")
    (folder / "profiled.yaml").write_text(bed, encoding="utf-8")
    shop = (folder / "shop.yaml").read_text(encoding="utf-8")
    _write(folder, "profiled-shop.yaml", shop, "post: rs274-ngc", "post: profile.yaml")
    _said(folder, "make", str(folder / "bed.yaml"), "--out", str(folder / "packet"))
    _said(folder, "make", str(folder / "job.yaml"), "--out", str(folder / "tread"))
    _said(folder, "posts", "trial", "--out", str(folder / "trial"))
    sheet = (folder / "trial" / "answers.yaml").read_text(encoding="utf-8")
    answered = re.sub(r"(?m)^  # (\S+: \S+).*$", r"  \1", sheet)
    (folder / "answers.yaml").write_text(answered, encoding="utf-8")


def used(folder: Path) -> None:
    """Let every call of every kind run once, spoilt by nothing, so that what it needs is loaded."""
    for kind in KINDS:
        if kind.aim is not None:
            shutil.copy(folder / kind.files[0], folder / kind.aim)
        for call in (*kind.reads, *kind.does):
            with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
                main(call)
            shutil.rmtree("made", ignore_errors=True)
            (folder / "figures.yaml").unlink(missing_ok=True)
        if kind.aim is not None:
            (folder / kind.aim).unlink()


def _write(folder: Path, name: str, text: str, old: str, new: str) -> None:
    assert old in text
    (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")


def _said(folder: Path, *call: str) -> None:
    heard = io.StringIO()
    with contextlib.redirect_stdout(heard), contextlib.redirect_stderr(heard), contextlib.chdir(folder):
        assert main(call) == 0, heard.getvalue()
