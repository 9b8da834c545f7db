"""Documents of the first format are read for ever, and mean what they meant."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from stockwright.bind import bind
from stockwright.documents import read_document, read_job
from stockwright.documents.expressions import Expression
from stockwright.hold_downs import Backing, SideClamp, Stop, TopClamp
from stockwright.job import BedStep, EdgeStep, FaceStep, FlipStep, TurnStep
from stockwright.packet.model import load_packet
from stockwright.posting.profile import load_profile
from stockwright.sharing.unpacking import unpack

FIRST = Path(__file__).with_name("first_format")


def test_a_first_job_is_the_same_work() -> None:
    """The tread is cut to the same sizes, by the same cutters, in the same order, held at the same places."""
    documents = read_job(FIRST / "job.yaml", shipped_recipes=FIRST / "recipes")
    job, post = bind(documents)
    assert (job.wanted.length, job.wanted.width, job.wanted.thickness) == (1150, 200, 27)
    assert (job.wanted.tolerance.length, job.wanted.tolerance.flatness) == (0.8, 0.3)
    assert post.name == "rs274-ngc"
    kinds = [FaceStep, FlipStep, FaceStep, EdgeStep, TurnStep, EdgeStep, EdgeStep, EdgeStep]
    assert [type(step) for step in job.steps] == kinds
    first, _, second, edge, *_ = job.steps
    assert isinstance(first, FaceStep)
    assert isinstance(second, FaceStep)
    assert isinstance(edge, EdgeStep)
    assert (first.face, first.seat, first.take, first.to) == ("A", "thickest", "half-of-surplus", None)
    assert (second.face, second.to, second.tool.name) == ("B", 27, "wide-facer")
    assert (edge.side, edge.tool.name, edge.below, edge.light) == ("edge-1", "long-end-mill", 0.5, 0.4)
    assert [(zone.where, zone.below) for zone in first.hold] == [
        (("edge-1", "edge-2"), 24),
        (("end-1", "end-2"), 24),
    ]
    assert edge.hold[0].where == "face"
    assert edge.hold[0].clear_of == ("edge-1", "end-1", "end-2")


def test_a_first_job_of_the_bed_is_the_same_work() -> None:
    """The bed is skimmed by 0.5 mm, then the fence by 0.3 mm."""
    job, _ = bind(read_job(FIRST / "bed.yaml", shipped_recipes=FIRST / "recipes"))
    assert [(s.what, s.take) for s in job.steps if isinstance(s, BedStep)] == [
        ("surface", 0.5),
        ("fence", 0.3),
    ]


def test_a_first_shop_is_the_same_shop() -> None:
    """Travel, spindle, mark, fence, hold-downs and cutters have the sizes they had; no force is made up."""
    shop = bind(read_job(FIRST / "job.yaml", shipped_recipes=FIRST / "recipes"))[0].shop
    assert (shop.machine.x, shop.machine.y, shop.machine.z) == ((0, 1400), (0, 900), (40, 160))
    assert (shop.machine.rapid, shop.machine.margin, shop.machine.spoilboard) == (6000, 3, 6)
    assert (shop.machine.min_rpm, shop.machine.max_rpm, shop.machine.power) == (8000, 24000, 1500)
    assert (shop.bed.mark, shop.bed.skimmed) == ((200, 140), "2026-05-30")
    assert shop.fence is not None
    assert (shop.fence.face, shop.fence.height, len(shop.fence.pieces)) == (140, 20, 4)
    clamp, stop, toe, block = shop.hold_downs
    assert isinstance(clamp, SideClamp)
    assert isinstance(stop, Stop)
    assert isinstance(toe, TopClamp)
    assert isinstance(block, Backing)
    assert (clamp.count, clamp.height, clamp.push, stop.carries, toe.press) == (6, 14, None, None, None)
    facer, mill = shop.tools
    assert (facer.diameter, facer.cutting_length, facer.marked_max_rpm, facer.stepover) == (50, 12, 18000, 35)
    assert (mill.diameter, mill.stickout, mill.feed, mill.stepdown, mill.ramp) == (12, 64, 2800, 7, 3)


def test_a_first_board_is_the_same_board() -> None:
    """Outline and heights of the first board are where they were read."""
    board = bind(read_job(FIRST / "job.yaml", shipped_recipes=FIRST / "recipes"))[0].boards[0]
    assert board.name == "ash plank 3"
    assert board.outline.min(axis=0) == pytest.approx([0, 1.5], abs=0.01)
    assert board.outline.max(axis=0) == pytest.approx([1182, 230], abs=0.01)
    assert board.uncertainty == pytest.approx(0.48, abs=0.01)  # the readings' 0.2 mm, and what lies between
    assert read_document(FIRST / "thin-board.yaml", "board").model.name == "ash plank 5"


def test_a_first_recipe_asks_the_same() -> None:
    """Inputs, limits, roles and sums are what they were."""
    model = read_document(FIRST / "recipes" / "four-sides-square.yaml", "recipe").model
    length = model.inputs["length"]
    assert (length.kind, length.low.value, length.high.value, length.default) == ("length", 150, 3000, None)
    assert model.tools["facer"].diameter == (20, 80)
    reach = model.tools["edge-cutter"].reach
    assert isinstance(reach, Expression)
    assert reach.text == "=thickness + 2 mm"


def test_a_first_post_speaks_the_same() -> None:
    """A profile of the first format changes the traits that it names and no others."""
    traits = load_profile(FIRST / "post.yaml").traits
    assert (traits.units, traits.line_number_step, traits.percent) == (("mm",), 10, True)
    assert (traits.end_words, traits.spin_up, traits.extension) == (("M30",), 6, "tap")
    assert (traits.decimals_mm, traits.work_frame) == (3, "G54")


def test_first_readings_are_the_same_readings() -> None:
    """Readings keep their kinds, their numbers and how closely they were read."""
    model = read_document(FIRST / "measured.yaml", "measured").model
    assert model.steps[0].readings == (0.02, 0.03, 0.02, 0.03)
    assert (model.steps[0].passes, model.steps[0].stepover, model.steps[0].reads) == ("along", 35, 0.01)
    assert model.thickness[0].corners[2] == (27.05, 27.0, 27.15, 27.1)


def test_a_first_packet_can_still_be_loaded() -> None:
    """The facts of a packet of the first format are there: its setups, programs and numbers."""
    packet = load_packet((FIRST / "packet.json").read_text(encoding="utf-8"))
    assert packet.packet_format == 1
    assert [len(setup.programs) for setup in packet.setups] == [2, 2]
    assert packet.recipe.name == "skim-the-bed"
    assert packet.machine.travel.x == (0, 1400)


def test_a_first_parcel_can_still_be_opened() -> None:
    """A parcel of the first format opens, its digests right, and holds the recipe it was made of."""
    opened = unpack(FIRST / "parcel.zip")
    assert (opened.parcel.parcel_format, opened.parcel.author) == (1, "A. Joiner")
    sent = (FIRST / "recipes" / "skim-the-bed.yaml").read_bytes()
    assert opened.files[opened.parcel.recipe] == sent
    assert zipfile.ZipFile(FIRST / "parcel.zip").testzip() is None
