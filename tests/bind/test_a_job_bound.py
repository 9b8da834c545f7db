"""bind: names, roles and limits become numbers and real things, or mistakes and refusals."""

from __future__ import annotations

import shutil
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from example_jobs import EXAMPLES, bound
from stockwright.calls.terminal import refused_lines
from stockwright.calls.told_job import writing_of_shop
from stockwright.findings import Refused
from stockwright.job import EdgeStep, FaceStep
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from pathlib import Path

RECIPE = """\
stockwright: recipe/1
name: own
version: 1.0.0
inputs:
  thickness: {{is: length, ask: finished thickness}}
tools:
  facer: {{does: face, diameter: 20 mm to 80 mm}}
  edge-cutter: {{does: edge}}
finished: {{{finished}}}
steps:
{steps}
"""


def _job(folder: Path, steps: str, finished: str | None = None, shop: str | None = None) -> Path:
    """Lay out a job with a recipe of its own beside the example's shop and board."""
    if finished is None:
        finished = 'thickness: "=thickness"' if "face: B" in steps else ""
    for name in ("shop.yaml", "board.yaml"):
        shutil.copy(EXAMPLES / "stair-tread" / name, folder / name)
    if shop is not None:
        (folder / "shop.yaml").write_text(shop)
    (folder / "own.yaml").write_text(RECIPE.format(steps=steps, finished=finished))
    job = folder / "job.yaml"
    job.write_text(
        "stockwright: job/1\nname: own\nrecipe: own.yaml\nshop: shop.yaml\nboards: [board.yaml]\n"
        "set: {thickness: 27 mm}\n"
    )
    return job


def _mistakes(job: Path) -> list[Mistake]:
    with pytest.raises(InputError) as error:
        bound(job)
    return list(error.value.mistakes)


def _shop() -> str:
    return (EXAMPLES / "stair-tread" / "shop.yaml").read_text()


def test_roles_become_the_shops_own_cutters() -> None:
    """The facer is the wide facing cutter, the edge cutter the long end mill."""
    job, _ = bound()
    faces = [s.tool.name for s in job.steps if isinstance(s, FaceStep)]
    edges = [s.tool.name for s in job.steps if isinstance(s, EdgeStep)]
    assert set(faces) == {"wide-facer"}
    assert set(edges) == {"long-end-mill"}


def test_the_shank_is_gripped_as_deep_as_its_collet_asks() -> None:
    """Where the stick-out is left open it is the longest that keeps the collet's grip."""
    job, _ = bound()
    tool = next(t for t in job.shop.tools if t.name == "long-end-mill")
    assert (tool.gripped, tool.stickout) == (26.0, 64.0)
    assert [c.bottom for c in tool.assembly] == [0.0, 42.0, 64.0, 86.0]


def test_a_share_of_the_diameter_becomes_millimetres() -> None:
    """A stepover of 70 percent of a 50 mm cutter is 35 mm."""
    job, _ = bound()
    assert next(s for s in job.steps if isinstance(s, FaceStep)).stepover == pytest.approx(35.0)


def test_a_face_that_lies_underneath_is_out_of_order(tmp_path: Path) -> None:
    """Cutting face B without turning the board over is a mistake at the face's place."""
    steps = "  - {face: A, tool: facer}\n  - {face: B, tool: facer, to: '=thickness'}"
    [mistake] = _mistakes(_job(tmp_path, steps))
    assert (mistake.code, mistake.line) == ("out-of-order", 12)
    assert "flip" in mistake.hint


def test_every_mistake_of_the_order_is_told_at_once(tmp_path: Path) -> None:
    """A crooked edge at the fence, an edge cut twice, and a size not said come together."""
    steps = (
        "  - {face: A, tool: facer}\n"
        "  - turn: {to-fence: edge-1}\n"
        "  - {edge: edge-1, tool: edge-cutter}\n"
        "  - {edge: edge-1, tool: edge-cutter}"
    )
    codes = [m.code for m in _mistakes(_job(tmp_path, steps))]
    assert sorted(codes) == ["missing-key", "out-of-order", "out-of-order"]


def test_a_first_face_cannot_be_cut_to_a_thickness(tmp_path: Path) -> None:
    """The first face is referenced to nothing, so `to` is a mistake there."""
    [mistake] = _mistakes(_job(tmp_path, "  - {face: A, tool: facer, to: 27 mm}"))
    assert "referenced to nothing" in mistake.message


def test_two_sizes_that_disagree_are_a_mistake(tmp_path: Path) -> None:
    """An end cut to another length than the finished one is told with both numbers."""
    steps = "  - {end: end-1, tool: edge-cutter}\n  - {end: end-2, tool: edge-cutter, to: 900 mm}"
    [mistake] = _mistakes(_job(tmp_path, steps, "length: 1000 mm"))
    assert "900" in mistake.message
    assert "1000" in mistake.message


def test_an_unknown_post_is_told_where_it_is_named(tmp_path: Path) -> None:
    """A misspelt dialect in the shop's document gets its place and the nearest right spelling."""
    job = _job(
        tmp_path, "  - {face: A, tool: facer}", shop=_shop().replace("post: rs274-ngc", "post: rs274-nc")
    )
    [mistake] = _mistakes(job)
    assert mistake.file.endswith("shop.yaml")
    assert mistake.line > 0
    assert "rs274-ngc" in mistake.hint


def test_a_profile_that_is_missing_is_told_where_it_is_named(tmp_path: Path) -> None:
    """A profile that does not lie beside the shop's document is a mistake at the line that names it."""
    shop = _shop().replace("post: rs274-ngc", "post: old.yaml")
    [mistake] = _mistakes(_job(tmp_path, "  - {face: A, tool: facer}", shop=shop))
    assert (mistake.file[-9:], mistake.line, mistake.column, mistake.code) == (
        "shop.yaml",
        4,
        7,
        "missing-file",
    )
    assert "old.yaml: no such file" in mistake.message


def test_what_the_shop_lacks_is_told_as_a_whole(tmp_path: Path) -> None:
    """Without a facing cutter wide enough the role, each cutter and its reason are named."""
    shop = _shop().replace("diameter: 50 mm", "diameter: 15 mm")
    with pytest.raises(Refused) as refused:
        bound(_job(tmp_path, "  - {face: A, tool: facer}", shop=shop))
    [finding] = refused.value.findings
    assert finding.rule == "no-tool-for-role"
    assert "wide-facer: is 15 mm wide, not 20 to 80 mm" in finding.message
    assert "long-end-mill: is not for faces" in finding.message
    # How the shop reads lengths is known, though there is no job yet: in inches the terminal says them so.
    assert refused.value.shop is not None
    writing = writing_of_shop(replace(refused.value.shop, units="inch"))
    assert "is 0.591 in wide" in " ".join(" ".join(refused_lines(refused.value.findings, writing)).split())


def test_a_shank_that_no_collet_holds_is_the_reason(tmp_path: Path) -> None:
    """A cutter whose shank fits no collet cannot be chosen, and that is said."""
    shop = _shop().replace(
        "    shank: 12 mm\n    overall-length: 70 mm", "    shank: 10 mm\n    overall-length: 70 mm"
    )
    with pytest.raises(Refused) as refused:
        bound(_job(tmp_path, "  - {face: A, tool: facer}", shop=shop))
    assert "no collet holds its 10 mm shank" in refused.value.findings[0].message
    assert refused.value.findings[0].remedy.endswith("; or add a 10 mm collet, for wide-facer")


def test_a_turn_without_a_fence_is_refused(tmp_path: Path) -> None:
    """A recipe that turns to the fence needs a shop that has one."""
    shop = _shop()
    before, rest = shop.split("fence:", 1)
    shop = before + "hold-downs:" + rest.split("hold-downs:", 1)[1]
    steps = (
        "  - {edge: edge-1, tool: edge-cutter}\n"
        "  - turn: {to-fence: edge-1}\n"
        "  - {end: end-1, tool: edge-cutter}\n"
        "  - {end: end-2, tool: edge-cutter}\n"
        "  - {edge: edge-2, tool: edge-cutter}"
    )
    finished = "length: 1000 mm, width: 200 mm"
    with pytest.raises(Refused) as refused:
        bound(_job(tmp_path, steps, finished, shop))
    assert [f.rule for f in refused.value.findings] == ["no-fence"]
    assert refused.value.job is not None
