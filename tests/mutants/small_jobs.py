"""Small jobs for the bench of mutants: boards of at most 300 x 100 mm through all the stages but packing.

In: a number. Out: the packet and its programs' texts, proven as they stand. Every shipped post and recipe,
both units; shops are the examples', and what is changed for so small a board is said here.
"""

from __future__ import annotations

import re
import tempfile
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import yaml

from example_jobs import EXAMPLES, ROOT
from mutants.small_boards import glued, rough_board, slab, surfaced
from mutants.with_arcs import WIDER, with_arcs
from stockwright.run import Request, check, write_and_prove

if TYPE_CHECKING:
    from stockwright.packet.model import Packet

__all__ = ["JOBS", "Job", "Small", "small"]

Edits = list[tuple[str, str]]

# Two clamps hold so small a board only where they press hard, and only short pieces of a fence can stay
# behind it. Every pattern must be there.
SHORT = ", ".join(f"{at} mm to {at + 30} mm" for at in range(200, 760, 35))
TREAD: Edits = [(r"press: 900 N", "press: 4000 N"), (r"pieces: \[.*?\]", f"pieces: [{SHORT}]")]
CUPBOARD: Edits = [(r"push: 500 N", "push: 1500 N"), (r"press: 1500 N", "press: 4000 N")]
SHOPS: dict[str, tuple[str, Edits]] = {
    "example": ("stair-tread/shop.yaml", TREAD),
    "straight": (
        "stair-tread/shop.yaml",
        [
            *TREAD,
            (r"rapids: independent", "rapids: straight"),
            (r"margin: 3 mm", "margin: 2 mm"),
            (r"centre-cutting: no\n", "centre-cutting: no\n    ramp: 2 deg\n"),
            (r"diameter: 50 mm", "diameter: 32 mm"),
        ],
    ),
    "shoe": (
        "stair-tread/shop.yaml",
        [
            *TREAD,
            (
                r"  park:",
                (
                    "  attached:\n    dust-shoe: {x: -45 mm to 45 mm, y: -45 mm to 45 mm, from: -24 mm,"
                    " to: 10 mm, moves-with: z, soft: yes}\n  park:"
                ),
            ),
            (r"centre-cutting: yes", "centre-cutting: no"),
        ],
    ),
    "cupboard": ("shops/small-inch.yaml", CUPBOARD),
    "short-fence": (
        "shops/small-inch.yaml",
        [*CUPBOARD, (r"pieces: \[.*?\]", f"pieces: [{SHORT}]")],
    ),
    "short-reach": (
        "shops/small-inch.yaml",
        [
            *CUPBOARD,
            (r"x: 0 in to 32 in", "x: 0 in to 9 in"),
            (r"x: 1 in to 31 in", "x: -1 in to 10 in"),
            (r"pieces: \[.*?\]", "pieces: [0 in to 2-1/2 in, 3-1/2 in to 5-1/2 in, 6-1/2 in to 9 in]"),
        ],
    ),
    "little-bed": (
        "shops/small-inch.yaml",
        [
            (r"x: 1 in to 31 in, y: 1 in to 23 in", "x: 2 in to 13 in, y: 3-1/2 in to 7-1/2 in"),
            (r"pieces: \[.*?\]", "pieces: [2-1/4 in to 6 in, 8 in to 12 in]"),
        ],
    ),
    "clamps": ("lectern-top/shop.yaml", [(r"press: 400 N", "press: 4000 N")]),
}
RECIPES: dict[str, Edits] = {
    "end-over-end": [
        (r"edge-over-edge", "end-over-end"),
        (r"half-of-surplus  ", "least  "),
        (r"\{face: B, ", "{face: B, passes: across, direction: conventional, "),
    ],
    "looped": [
        (r"seat: thickest  ", "seat: no-rocking  "),
        (r"\{face: B, ", "{face: B, direction: climb, perimeter: last, "),
        (r"\{end: end-1, ", "{end: end-1, light: 0.5 mm, "),
    ],
}


@dataclass(frozen=True)
class Job:
    """One small job. `recipe` is a shipped one, or a variant here of `four-sides-square`.

    `boards` are documents, or the seed of one rough board, whose sizes are then asked as `ask` lists them;
    `arced`: some turns between passes are made arcs by hand.
    """

    shop: str
    recipe: str
    post: str
    units: Literal["mm", "inch"]
    boards: int | tuple[str, ...]
    values: dict[str, str] = field(default_factory=dict)
    ask: tuple[str, ...] = ("length", "width", "thickness")
    thick: tuple[float, float] = (22, 38)
    arced: bool = False

    @property
    def reader(self) -> str:
        """The name of what reads its programs back."""
        return "rs274-ngc" if self.post == "lean-serial" else self.post

    @property
    def name(self) -> str:
        """Say what it is."""
        return f"{self.recipe}, {self.shop}, {self.post}, {self.units}{', arcs' * self.arced}"


JOBS: tuple[Job, ...] = (
    Job("example", "four-sides-square", "rs274-ngc", "mm", 1),
    Job("shoe", "looped", "lean-serial", "inch", 3, arced=True),
    Job("straight", "end-over-end", "iso-6983", "mm", 4),
    Job("example", "looped", "rs274-ngc", "inch", 5, arced=True),
    Job("straight", "four-sides-square", "spelled-out", "inch", 0),
    Job("shoe", "end-over-end", "rs274-ngc", "mm", 7, arced=True),
    Job("straight", "looped", "cldata", "inch", 8),
    Job("example", "end-over-end", "motion-table", "mm", 10),
    Job("cupboard", "both-faces", "motion-table", "inch", 11, ask=("thickness",)),
    Job("clamps", "both-faces-under-clamps", "cldata", "mm", 23, ask=("thickness",)),
    Job(
        "cupboard",
        "edges-for-gluing",
        "iso-6983",
        "inch",
        (surfaced("strip 1", 290, 62, 22), surfaced("strip 2", 286, 64, 22)),
        {"width": "55 mm", "thick": "22 mm", "hollow": "0.2 mm"},
    ),
    Job(
        "short-fence",
        "end-grain-block",
        "spelled-out",
        "mm",
        (glued("block", 220, 98, 34),),
        {"length": "196 mm", "width": "80 mm", "thickness": "31 mm"},
    ),
    Job(
        "cupboard",
        "ends-of-many",
        "lean-serial",
        "mm",
        tuple(surfaced(f"part {k}", 200 + k, 45, 22, 1 + k / 2) for k in range(3)),
        {"length": "192 mm", "reach": "23 mm"},
    ),
    Job("cupboard", "faces-held-below", "iso-6983", "mm", 14, ask=("thickness",)),
    Job(
        "cupboard",
        "glued-panel-level",
        "cldata",
        "inch",
        (glued("panel", 280, 99, 27),),
        {"thickness": "24 mm"},
    ),
    Job("cupboard", "leg-blanks", "motion-table", "mm", 15, ask=("length", "width", "thickness")),
    Job("short-reach", "longer-than-the-machine", "spelled-out", "inch", 20),
    Job(
        "cupboard",
        "mating-edges",
        "cldata",
        "mm",
        (surfaced("half 1", 290, 70, 20), surfaced("half 2", 288, 60, 20)),
        {"reach": "21 mm"},
    ),
    Job("cupboard", "natural-edge-slab", "lean-serial", "inch", (slab("slab"),), {"thickness": "32 mm"}),
    Job("cupboard", "one-face-flat", "spelled-out", "mm", 18, {"below": "14 mm"}, ask=()),
    Job("little-bed", "skim-the-bed", "iso-6983", "inch", (), {"take": "0.5 mm", "fence-take": "0.3 mm"}),
    Job(
        "cupboard",
        "slats-side-by-side",
        "rs274-ngc",
        "inch",
        tuple(surfaced(f"slat {k}", 230 + k, 40, 19, 0.5) for k in range(2)),
        {"length": "220 mm", "thickness": "15 mm"},
    ),
    Job("cupboard", "two-visits", "motion-table", "mm", 20, {"allowance": "1 mm"}),
    Job("cupboard", "one-edge-straight", "lean-serial", "mm", 23, ask=("length", "thickness")),
)


@dataclass(frozen=True, eq=False)
class Small:
    """One small job: what it is, its packet, and its programs' text by file."""

    name: str
    packet: Packet
    texts: dict[str, str]


def _changed(text: str, edits: Edits) -> str:
    for pattern, new in edits:
        text, count = re.subn(pattern, new.replace("\\", r"\\"), text)
        assert count, pattern
    return text


def _write(job: Job, folder: Path) -> Path:
    """Write the documents of a job; give the job's own."""
    values = dict(job.values)
    if isinstance(job.boards, int):
        board = rough_board(job.boards, job.thick)
        texts: tuple[str, ...] = (board.text,)
        values |= {key: f"{getattr(board, key):g} mm" for key in job.ask}
    else:
        texts = job.boards
    names = [f"board-{k}.yaml" for k in range(1, len(texts) + 1)]
    for name, text in zip(names, texts, strict=True):
        (folder / name).write_text(text)
    source, edits = SHOPS[job.shop]
    (folder / "shop.yaml").write_text(_changed((EXAMPLES / source).read_text(), edits))
    recipe = job.recipe
    if recipe in RECIPES:
        plain = (ROOT / "recipes" / "four-sides-square.yaml").read_text()
        (folder / "recipe.yaml").write_text(_changed(plain, RECIPES[recipe]))
        recipe = "recipe.yaml"
    document = {"stockwright": "job/1", "name": "small", "recipe": recipe, "shop": "shop.yaml", "set": values}
    if names:
        document["boards"] = names
    path = folder / "job.yaml"
    path.write_text(yaml.safe_dump(document, sort_keys=False))
    return path


@cache
def small(number: int) -> Small:
    """Make the job of a number, 0 up to `len(JOBS)`."""
    job = JOBS[number]
    with tempfile.TemporaryDirectory() as place:
        request = Request(_write(job, Path(place)), post=job.post, units=job.units)
        made = write_and_prove(check(request), request)
    texts, packet = dict(made.texts), made.packet
    if job.arced:
        # The bulges leave more to the last pass than the planner does, and whoever made them allows it.
        tools = {key: tool.model_copy(update={"trim": WIDER}) for key, tool in packet.tools.items()}
        packet = packet.model_copy(update={"tools": tools})
        texts = {
            program.file: with_arcs(texts[program.file], setup, made.packet.tools[program.tool or ""])
            for setup in made.packet.setups
            for program in setup.programs
        }
    return Small(job.name, packet, texts)
