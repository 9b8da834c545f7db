"""The drawings on the sheet carry the packet's own numbers, to scale."""

from __future__ import annotations

import re

import numpy as np
import pytest

from sample_packet import sample
from sheet_reading import SVG, drawings, sheet_of, to_scale
from stockwright.packet.wood import clip, side_names, wood_in


def test_every_solid_is_drawn_where_the_packet_says() -> None:
    """Each hold-down, fence piece and backing has its outline in the plan, in work-frame millimetres."""
    made = sample()
    seen = drawings(sheet_of(made))
    for setup in made.packet.setups:
        shapes = to_scale(seen[f"plan-{setup.index}"])
        for solid in setup.solids:
            assert np.allclose(shapes[solid.name], solid.outline, atol=6e-4), solid.name


def test_shims_walls_and_mark_are_drawn_where_the_packet_says() -> None:
    """Shims, walls to cut and the zero mark stand at their own coordinates."""
    made = sample()
    seen = drawings(sheet_of(made))
    first, third = made.packet.setups[0], made.packet.setups[2]
    shapes = to_scale(seen["plan-1"])
    for letter, shim in zip("abcdef", first.shims, strict=True):
        assert shapes[f"shim {letter}"][0] == pytest.approx((shim.x, shim.y), abs=6e-4)
    assert shapes["zero mark"][0] == pytest.approx((0, 0))
    [wall] = [goal for goal in third.goals if goal.kind == "wall"]
    assert np.allclose(to_scale(seen["plan-3"])["edge-1"], wall.path, atol=6e-4)


def test_the_drawing_is_to_one_scale_both_ways() -> None:
    """The to-scale group is scaled alike along and across, y upwards, and turned no further."""
    for drawing in drawings(sheet_of(sample())).values():
        [group] = [g for g in drawing.iter(f"{SVG}g") if g.get("data-frame") == "work"]
        a, b, c, d, *_ = (
            float(v)
            for v in re.fullmatch(r"matrix\((.*)\)", group.attrib["transform"])[1].split()  # type: ignore[index]
        )
        assert (b, c) == (0, 0)
        assert a == pytest.approx(-d)
        assert a > 0


def test_everything_drawn_lies_on_the_paper() -> None:
    """No outline of what stands and no word's place lies outside its drawing."""
    for drawing in drawings(sheet_of(sample())).values():
        _, _, wide, high = (float(v) for v in drawing.attrib["viewBox"].split())
        for text in drawing.iter(f"{SVG}text"):
            assert 0 <= float(text.attrib["x"]) <= wide
            assert 0 <= float(text.attrib["y"]) <= high


def test_the_piece_is_what_the_walls_leave() -> None:
    """In every setup the finished outline has the wanted length and width."""
    made = sample()
    for setup in made.packet.setups:
        piece = np.array(wood_in(made.packet, setup, "ash plank 3").piece)
        assert np.ptp(piece, axis=0) == pytest.approx((1150, 200), abs=0.01)


def test_the_wood_follows_the_setups() -> None:
    """Rough before the first face, flat below after the flip, as thick as wanted after the second face."""
    made = sample()
    woods = [wood_in(made.packet, setup, "ash plank 3") for setup in made.packet.setups]
    assert [w.lower_is_flat for w in woods] == [False, True, True, True]
    assert [w.upper_is_flat for w in woods] == [False, False, True, True]
    assert woods[1].top == pytest.approx(36.0 - 2.66 + 1.6, abs=0.2)
    assert [w.top for w in woods[2:]] == pytest.approx([27, 27])
    assert woods[3].bottom == pytest.approx(0)


def test_a_flip_swaps_the_edges_and_a_half_turn_the_ends() -> None:
    """Face B up and not turned: edge-1 lies far; turned half round: edge-1 near and end-1 on the right."""
    made = sample()
    [first], [second], _, [fourth] = (setup.lies for setup in made.packet.setups)
    assert side_names(first) == {"edge-1": "near", "edge-2": "far", "end-1": "left", "end-2": "right"}
    assert side_names(second) == {"edge-1": "far", "edge-2": "near", "end-1": "left", "end-2": "right"}
    assert side_names(fourth) == {"edge-1": "near", "edge-2": "far", "end-1": "right", "end-2": "left"}


def test_clipping_keeps_the_left_side() -> None:
    """A square cut by a line through its middle keeps the half to the left of the line's direction."""
    square = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]
    assert sorted(clip(square, ((1.0, 0.0), (1.0, 2.0)))) == [(0.0, 0.0), (0.0, 2.0), (1.0, 0.0), (1.0, 2.0)]


def test_the_section_shows_the_whole_tool_at_the_wall() -> None:
    """The cutter's side stands on the wall and its tip at the wall's lower end."""
    made = sample()
    shapes = to_scale(drawings(sheet_of(made))["section-3"])
    [wall] = [goal for goal in made.packet.setups[2].goals if goal.kind == "wall"]
    cutter = shapes["cutting-part"]
    assert cutter[:, 0].min() == pytest.approx(wall.path[0][1], abs=1e-3)
    assert cutter[:, 1].min() == pytest.approx(wall.z[0], abs=1e-3)
    assert {"shank", "nut", "nose", "bed", "wood after"} <= set(shapes)
    assert shapes["wood after"][:, 0].max() == pytest.approx(wall.path[0][1], abs=1e-3)
