"""Every recipe's page has a drawing, made from the recipe's own steps."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING

import pytest

from made_pages import ROOT, recipe_drawings
from sample_setups import FACER
from stockwright.documents.shipped import recipes_folder, shipped_names
from stockwright.job import EdgeStep, FaceStep, FlipStep, TurnStep, Zone
from stockwright.packet.recipe_drawing import draw_recipe

if TYPE_CHECKING:
    from stockwright.job import Side, Step

MOST = 30_000  # bytes of one drawing
SVG = "{http://www.w3.org/2000/svg}"
WIDEST = 0.62  # of a letter by its height, of a plain sans serif
NAMES = shipped_names(recipes_folder())


def words_in(svg: str) -> list[str]:
    """Return what is written in a drawing."""
    return ["".join(text.itertext()) for text in ET.fromstring(svg).iter(f"{SVG}text")]


def named_in(svg: str) -> list[str]:
    """Return what is drawn in it, by name."""
    return re.findall(r'data-name="([^"]*)"', svg)


@pytest.mark.parametrize("name", NAMES)
def test_a_recipe_is_drawn_small_and_within_its_frame(name: str) -> None:
    """The drawing is short, stands alone, and no word of it runs past its frame."""
    svg = recipe_drawings()[name]
    assert len(svg.encode()) < MOST
    root = ET.fromstring(svg)
    _, _, wide, high = (float(value) for value in root.attrib["viewBox"].split())
    for text in root.iter(f"{SVG}text"):
        x, y, long = (
            float(text.attrib["x"]),
            float(text.attrib["y"]),
            len("".join(text.itertext())) * 3.3 * WIDEST,
        )
        left = {"start": x, "middle": x - long / 2, "end": x - long}[text.attrib["text-anchor"]]
        assert left >= 0, text.text
        assert left + long <= wide, text.text
        assert 0 < y < high, text.text
        # Nor into the clamping beside it.
        assert not left < wide / 2 - 1 < left + long or y > high - 14, text.text
    page = (ROOT / "recipes" / "pages" / f"{name}.md").read_text(encoding="utf-8")
    assert f"]({name}.svg)" in page


def test_a_drawing_follows_the_steps() -> None:
    """Turned over, edge-1 lies far; turned to the fence, edge-2 does; cuts and holds are drawn there."""
    low = Zone("low", ("edge-1", "edge-2"), 20.0, ())
    above = Zone("above", "face", None, ("edge-1", "end-1", "end-2"))
    steps = (
        face("A", low),
        FlipStep("edge-over-edge"),
        face("B", low),
        edge("edge-1", above),
        TurnStep("edge-1"),
        edge("edge-2", above),
    )
    svg = draw_recipe("mine", steps, 1)
    said = words_in(svg)
    assert [text for text in said if text[0].isdigit()] == [
        "1. face A",
        "2. face B",
        "3. edge-1",
        "4. edge-2",
    ]
    assert "turned over, edge over edge" in said
    assert "turned half round, to the fence" in said
    assert said.count("held low at edge-1 and edge-2") == 2
    drawn = named_in(svg)
    assert drawn.count("low at edge-1") == 6  # three blocks a side, in two clampings
    assert [name for name in drawn if name.startswith("cut at")] == ["cut at edge-1", "cut at edge-2"]
    assert drawn.count("fence") == 1
    third, fourth = (wall(svg, side) for side in ("edge-1", "edge-2"))
    assert third[1] > middle_of(svg, 2)[1]  # edge-1 looks away from the person once the board is turned over
    assert fourth[1] > middle_of(svg, 3)[1]
    assert draw_recipe("mine", steps, 1) == svg


def test_another_recipe_is_another_drawing() -> None:
    """Without the turn there is no fence, and edge-1 is cut on the near side instead of the far one."""
    above = Zone("above", "face", None, ("edge-1",))
    turned = draw_recipe("mine", (face("A", above), TurnStep("edge-2"), edge("edge-1", above)), 1)
    kept = draw_recipe("mine", (face("A", above), edge("edge-1", above)), 1)
    assert "to the fence" in " ".join(words_in(turned))
    assert "to the fence" not in " ".join(words_in(kept))
    assert wall(turned, "edge-1")[1] > wall(kept, "edge-1")[1]


def face(which: str, hold: Zone) -> Step:
    """Return a face step that holds as `hold` says."""
    return FaceStep(
        face="A" if which == "A" else "B",
        tool=FACER,
        seat="thickest",
        take="least",
        to=None,
        passes="along",
        direction="both-ways",
        perimeter="none",
        stepover=20.0,
        stepdown=1.0,
        light=0.3,
        hold=(hold,),
    )


def edge(side: Side, hold: Zone) -> Step:
    """Return a step along a side that holds as `hold` says."""
    return EdgeStep(
        side=side, tool=FACER, to=None, stepover=5.0, stepdown=5.0, below=0.5, light=0.4, hold=(hold,)
    )


def wall(svg: str, side: str) -> tuple[float, float]:
    """Return where the line of a cut side begins."""
    [points] = re.findall(rf'points="([^"]*)" data-name="{side}"', svg)
    x, y = points.split()[0].split(",")
    return float(x), float(y)


def middle_of(svg: str, number: int) -> tuple[float, float]:
    """Return the middle of the board of a clamping, counted from 0."""
    boards = re.findall(r'points="([^"]*)" data-name="board"', svg)
    corners = [tuple(map(float, pair.split(","))) for pair in boards[number].split()]
    return sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4
