"""Words in the sheet's drawings lie on no other word and on no mark, in any shipped example."""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import yaml
from shapely import Point, Polygon

from example_jobs import EXAMPLES
from sample_packet import sample
from sheet_reading import SVG, drawings, sheet_of, to_scale
from stockwright.packet.wood import wood_in
from stockwright.packet.zero_spot import ZeroSpot, zero_spot
from stockwright.run import Request, make

if TYPE_CHECKING:
    import xml.etree.ElementTree as ET
    from collections.abc import Iterator

Box = tuple[float, float, float, float]
SHIPPED = sorted(
    job
    for job, comes_to in yaml.safe_load((EXAMPLES / "expected.yaml").read_text()).items()
    if comes_to == "proven"
)
# How wide a plain sans serif sets letters, by their height, in the middle of common faces; bold ones wider.
# Not the reckoning of the drawings themselves; from memory, and tried against a browser by `make sheet`.
THIN, SLIM, BROAD, REST, BOLD = 0.28, 0.36, 0.85, 0.556, 1.06
HIGH = 0.78  # of what is seen of a word, by the height of its letters
MARK = 2.0  # paper mm across every mark: shims, the ring of x and y, the triangle of z
LEAST = 10.0  # points
# A shim, with its thickness or without, and a place that is read; not the mark's arrows, nor z zero.
NAMED = re.compile(r"(?!x$|y$|z 0$)[a-z]{1,2}( [\d.]+)?|H\d+")
STANDING = {f"solid {kind}" for kind in ("fence", "side-clamp", "stop", "backing")}


def box_of(text: ET.Element, size: float) -> Box:
    """Return the box of a word as it is seen, paper mm."""
    said = text.text or ""
    wide = size * sum(
        THIN if c in " .,:;'ilj|" else SLIM if c in "frt-()/" else BROAD if c in "mwMW" else REST
        for c in said
    )
    wide *= BOLD if text.get("font-weight") == "bold" else 1.0
    x, y = float(text.attrib["x"]), float(text.attrib["y"])
    left = {"start": x, "middle": x - wide / 2, "end": x - wide}[text.attrib["text-anchor"]]
    middle = y - 0.36 * size
    return (left, middle - HIGH * size / 2, left + wide, middle + HIGH * size / 2)


def marks(drawing: ET.Element) -> Iterator[tuple[str, Box]]:
    """Yield where marks stand, paper mm: what words must not lie on."""
    [group] = [g for g in drawing.iter(f"{SVG}g") if g.get("data-frame") == "work"]
    found = re.fullmatch(r"matrix\((.*)\)", group.attrib["transform"])
    assert found is not None
    a, _, _, d, e, f = map(float, found[1].split())
    for name, points in to_scale(drawing).items():
        if name.startswith("shim ") or name in {"zero mark", "z zero", "start"}:
            x, y = points.mean(axis=0)
            yield (
                name,
                (a * x + e - MARK / 2, d * y + f - MARK / 2, a * x + e + MARK / 2, d * y + f + MARK / 2),
            )


def standing(drawing: ET.Element) -> Iterator[tuple[str, Box]]:
    """Yield what stands on the bed, paper mm: each bears its own number, and no other thing's name."""
    [group] = [g for g in drawing.iter(f"{SVG}g") if g.get("data-frame") == "work"]
    a, _, _, d, e, f = map(float, group.attrib["transform"].removeprefix("matrix(")[:-1].split())
    for each in group:
        if each.get("class") in STANDING and each.get("data-name"):
            points = np.array([pair.split(",") for pair in each.attrib["points"].split()], dtype=float)
            (x0, y1), (x1, y0) = points.min(axis=0) * (a, d) + (e, f), points.max(axis=0) * (a, d) + (e, f)
            yield each.attrib["data-name"], (x0, y0, x1, y1)


def faults(drawing: ET.Element) -> Iterator[str]:
    """Yield what lies on what in a drawing, and what sticks out of it."""
    _, _, wide, high = map(float, drawing.attrib["viewBox"].split())
    [words] = [g for g in drawing.iter(f"{SVG}g") if g.get("class") == "words"]
    size = float(words.attrib["font-size"])
    boxes = [(each.text or "", box_of(each, size)) for each in words]
    for (first, p), (second, q) in itertools.chain(
        itertools.combinations(boxes, 2), itertools.product(boxes, marks(drawing))
    ):
        if min(p[2], q[2]) - max(p[0], q[0]) > 0.05 and min(p[3], q[3]) - max(p[1], q[1]) > 0.05:
            yield f"“{first}” on “{second}”"
    for (said, p), (number, q) in itertools.product(boxes, standing(drawing)):
        across, down = min(p[2], q[2]) - max(p[0], q[0]), min(p[3], q[3]) - max(p[1], q[1])
        if NAMED.fullmatch(said) and min(across, down) > 0.3:
            yield f"“{said}” beside the number of {number}"
    for said, box in boxes:
        if box[0] < -0.05 or box[1] < -0.05 or box[2] > wide + 0.05 or box[3] > high + 0.05:
            yield f"“{said}” sticks out"


def of_sheet(page: str) -> list[str]:
    """Return the faults of all drawings of a sheet that lie before the last pages' pictures."""
    return [
        f"{name}: {fault}"
        for name, drawing in drawings(page).items()
        if name.startswith(("plan-", "section-", "board-"))
        for fault in faults(drawing)
    ]


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_words_stand_clear_in_the_sample(units: str) -> None:
    """In the sample's plans and sections no word lies on another or on a mark, in either unit."""
    assert of_sheet(sheet_of(sample(), units)) == []


def test_a_word_laid_on_another_is_found() -> None:
    """The check itself finds a word that is moved onto another, and one that is moved off the paper."""
    page = sheet_of(sample())
    drawing = drawings(page)["plan-1"]
    [words] = [g for g in drawing.iter(f"{SVG}g") if g.get("class") == "words"]
    first, second = list(words)[:2]
    for key in ("x", "y", "text-anchor"):
        second.set(key, first.attrib[key])
    third = list(words)[2]
    third.set("x", "-9")
    found = list(faults(drawing))
    assert f"“{first.text}” on “{second.text}”" in found
    assert f"“{third.text}” sticks out" in found


@pytest.mark.wide
@pytest.mark.parametrize("job", SHIPPED)
def test_words_stand_clear_in_every_example(job: str) -> None:
    """In every drawing of every shipped job no word lies on another, on a mark, or over the paper's edge."""
    page = make(Request(EXAMPLES / job)).files["sheet.html"].decode()
    assert of_sheet(page) == []


@dataclass(frozen=True)
class Path:
    """A path as a reader gives it."""

    start: np.ndarray
    end: np.ndarray
    rapid: np.ndarray


def path(*points: tuple[float, float, float]) -> Path:
    """Return the path through points, all of it at a feed."""
    through = np.array(points)
    return Path(through[:-1], through[1:], np.zeros(len(points) - 1, dtype=bool))


def test_z_zero_is_marked_on_bare_bed() -> None:
    """Where no file comes down z zero is marked clear of all that stands, in the section at z 0."""
    made = sample()
    seen = drawings(sheet_of(made))
    for setup in made.packet.setups:
        x, y = to_scale(seen[f"plan-{setup.index}"])["z zero"][0]
        half = made.packet.tools[setup.programs[0].tool or ""].diameter / 2
        wood = wood_in(made.packet, setup, setup.lies[0].board)
        for outline in [*(s.outline for s in setup.solids), wood.before]:
            assert Polygon(outline).distance(Point(x, y)) >= half
        assert to_scale(seen[f"section-{setup.index}"])["z zero"][0][1] == pytest.approx(0.0)


def test_the_step_names_the_triangle_where_one_is_drawn() -> None:
    """Each step of z zero names the triangle and where it is; one taken on wood has no triangle to name."""
    made = sample()
    named = "; at the triangle in the drawing, x "
    steps = re.findall(rf"{named}(\S+, y \S+)\.<", sheet_of(made))
    assert steps == re.findall(r"triangle: z 0 at x ([^<]+)<", sheet_of(made))
    assert len(steps) == len(made.packet.setups)
    assert sheet_of(made).count("over the bed mark, the ring in the drawing") == len(made.packet.setups)
    first = made.packet.setups[0]
    wood = first.model_copy(update={"zero": first.zero.model_copy(update={"z": "stock-top"})})
    packet = made.packet.model_copy(update={"setups": [wood, *made.packet.setups[1:]]})
    assert sheet_of(replace(made, packet=packet)).count(named) == len(made.packet.setups) - 1


def test_z_zero_is_taken_where_it_is_checked() -> None:
    """The outline's one descent is the place; an outline that stays at one height has none."""
    made = sample()
    setup = made.packet.setups[0]
    woods = {lie.board: wood_in(made.packet, setup, lie.board) for lie in setup.lies}
    around = [(-100.0, 0.0, 56.0), (900.0, 0.0, 56.0), (900.0, 300.0, 56.0), (-100.0, 0.0, 56.0)]
    file = setup.programs[0].file
    spot = zero_spot(
        made.packet, setup, woods, {file: path(*around, (-140.0, 160.0, 56.0), (-140.0, 160.0, 10.0))}
    )
    assert spot == ZeroSpot(-140.0, 160.0, checked=True)
    level = zero_spot(made.packet, setup, woods, {file: path(*around)})
    assert level is not None
    assert not level.checked
    on_wood = setup.model_copy(update={"zero": setup.zero.model_copy(update={"z": "stock-top"})})
    assert zero_spot(made.packet, on_wood, woods, {}) is None


def test_letters_are_of_ten_points_or_more() -> None:
    """Printed on its paper, no letter of a drawing is under 10 points."""
    for name, drawing in drawings(sheet_of(sample())).items():
        [words] = [g for g in drawing.iter(f"{SVG}g") if g.get("class") == "words"]
        assert float(words.attrib["font-size"]) / 25.4 * 72 >= LEAST, name
