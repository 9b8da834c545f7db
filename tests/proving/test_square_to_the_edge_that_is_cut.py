"""Where edge-2 alone is cut and edge-1 stays as it grew, ends are square to edge-2."""

from __future__ import annotations

from typing import TYPE_CHECKING

from example_jobs import EXAMPLES, ROOT
from made_packets import proven_job
from stockwright.run import Request

if TYPE_CHECKING:
    from pathlib import Path

TREAD = EXAMPLES / "stair-tread"


def test_a_natural_edge_1_is_no_reference(tmp_path: Path) -> None:
    """The ends are measured against the edge that was cut: with edge-1 askew by 4 mm they are square."""
    recipe = (ROOT / "recipes" / "one-edge-straight.yaml").read_text(encoding="utf-8")
    steps = recipe.index("holding:")
    swapped = (
        recipe[steps:].replace("edge-1", "edge-0").replace("edge-2", "edge-1").replace("edge-0", "edge-2")
    )
    (tmp_path / "own.yaml").write_text(recipe[:steps] + swapped, encoding="utf-8")
    shop = (TREAD / "shop.yaml").read_text(encoding="utf-8")
    (tmp_path / "shop.yaml").write_text(shop, encoding="utf-8")
    board = (TREAD / "boards" / "butternut-waney.yaml").read_text(encoding="utf-8")
    # The edge that stays runs 4 mm out over the length, the one that is cut bulges.
    board = board.replace("[2 mm, 0.5 mm, 0 mm, 1.5 mm, 3 mm]", "[0 mm, 1 mm, 2 mm, 3 mm, 4 mm]")
    board = board.replace("171 mm, 176 mm, 186 mm, 189 mm, 182 mm, 178 mm, 180 mm", ", ".join(["180 mm"] * 7))
    (tmp_path / "board.yaml").write_text(board, encoding="utf-8")
    job = (TREAD / "mantel-shelf.yaml").read_text(encoding="utf-8")
    job = job.replace("one-edge-straight", "own.yaml").replace("boards/butternut-waney.yaml", "board.yaml")
    (tmp_path / "job.yaml").write_text(job, encoding="utf-8")
    packet = proven_job(Request(tmp_path / "job.yaml")).packet
    finished = packet.finished["butternut-waney"]
    assert packet.proof.verdict == "proven"
    assert finished.squareness["end-1"] is not None
    assert finished.squareness["end-1"] < 0.02
    assert finished.straightness["edge-2"] is not None
    assert finished.straightness["edge-2"] < 0.02
