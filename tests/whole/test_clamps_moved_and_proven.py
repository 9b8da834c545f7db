"""Faces cut under clamps that move, from the documents to the proof; and every way of leaving a part out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import pytest
import shapely

from example_jobs import EXAMPLES, ROOT
from stockwright.checking import Situation
from stockwright.checking import check as check_all
from stockwright.mistakes import InputError
from stockwright.motion.moves import moves
from stockwright.packet.deliver import deliver
from stockwright.packet.files import with_facts
from stockwright.planning.setup import FaceCut
from stockwright.proving import prove
from stockwright.recutting import again
from stockwright.recutting.asking import Words, asked
from stockwright.run import Request, check, write_and_prove

if TYPE_CHECKING:
    from pathlib import Path

    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Packet
    from stockwright.run import Checked, Proven

LECTERN = EXAMPLES / "lectern-top"


@dataclass(frozen=True, eq=False)
class Made:
    """The job planned and cut, and its programs written and proven."""

    checked: Checked
    proven: Proven

    @property
    def packet(self) -> Packet:
        """Its facts."""
        return self.proven.packet


@pytest.fixture(scope="module", params=["across", pytest.param("along", marks=pytest.mark.wide)])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Make the example with its passes across, as it is shipped, and with its passes along."""
    folder: Path = tmp_path_factory.mktemp("lectern")
    for name in ("board.yaml", "shop.yaml"):
        (folder / name).write_text((LECTERN / name).read_text(encoding="utf-8"), encoding="utf-8")
    recipe = (ROOT / "recipes" / "both-faces-under-clamps.yaml").read_text(encoding="utf-8")
    turned = recipe.replace("passes: across", f"passes: {request.param}")
    (folder / "recipe.yaml").write_text(turned, encoding="utf-8")
    job = (LECTERN / "job.yaml").read_text(encoding="utf-8")
    (folder / "job.yaml").write_text(
        job.replace("recipe: both-faces-under-clamps", "recipe: recipe.yaml"), encoding="utf-8"
    )
    whole = Request(folder / "job.yaml")
    checked = check(whole)
    return Made(checked, write_and_prove(checked, whole))


def texts_of(made: Made) -> dict[str, str]:
    """Return the programs' texts by file."""
    return dict(made.proven.texts)


def rules_of(packet: Packet, texts: dict[str, str]) -> set[str]:
    """Prove a packet and return the rules of its reasons."""
    outcome = prove(packet, texts)
    assert outcome.proof.verdict == "refused"
    return {reason.rule for reason in outcome.proof.reasons}


@pytest.mark.wide
def test_both_faces_are_proven_with_one_move_on_each(made: Made) -> None:
    """Two states a face, each with its own outline and cut; the board ends 24 mm thick, within 0.1."""
    assert made.packet.proof is not None
    assert made.packet.proof.verdict == "proven"
    for setup in made.packet.setups:
        assert [p.purpose for p in setup.programs] == ["outline", "cut", "outline", "cut"]
        first, _, second, _ = (frozenset(p.standing) for p in setup.programs)
        assert not first & second
        assert len(first) == len(second) >= 6
    thick = made.packet.finished["cherry board"].thickness
    assert thick is not None
    assert 23.9 <= thick[0] <= thick[1] <= 24.1


def test_at_least_two_clamps_hold_while_one_moves(made: Made) -> None:
    """Each clamp has an arm and a body in either place, and there are at least three of them."""
    for setup in made.packet.setups:
        for program in setup.programs:
            arms = [name for name in program.standing if name.endswith(" arm")]
            assert len(arms) >= 3
            assert {f"{name.removesuffix(' arm')} body" for name in arms} < set(program.standing)


def test_a_region_without_its_goal_is_refused(made: Made) -> None:
    """Where one region's goal is left out the proof refuses: that part of the face is nobody's."""
    for index in range(len(made.packet.setups[0].goals)):
        setup = made.packet.setups[0]
        goals = [g for number, g in enumerate(setup.goals) if number != index]
        setups = [setup.model_copy(update={"goals": goals}), *made.packet.setups[1:]]
        rules = rules_of(made.packet.model_copy(update={"setups": setups}), texts_of(made))
        assert {"goals-do-not-cover", "cut-too-deep"} <= rules


def test_a_region_that_is_not_cut_is_refused(made: Made) -> None:
    """Where the programs of one state are left out of packet and folder the proof finds the wood left."""
    for kept in (slice(0, 2), slice(2, 4)):
        setup = made.packet.setups[1]
        left = setup.model_copy(update={"programs": setup.programs[kept]})
        packet = made.packet.model_copy(update={"setups": [made.packet.setups[0], left]})
        gone = {p.file for p in setup.programs} - {p.file for p in left.programs}
        texts = {name: text for name, text in texts_of(made).items() if name not in gone}
        assert "spots-left" in rules_of(packet, texts)


def test_clamps_that_were_not_moved_are_hit(made: Made) -> None:
    """Where the first places still stand in the second state, the proof sees the cutter hit them."""
    setup = made.packet.setups[0]
    stood = setup.programs[0].standing
    programs = [p.model_copy(update={"standing": stood}) for p in setup.programs]
    setups = [setup.model_copy(update={"programs": programs}), *made.packet.setups[1:]]
    rules = rules_of(made.packet.model_copy(update={"setups": setups}), texts_of(made))
    assert "cutter-touches-solid" in rules


def test_clamps_that_are_not_moved_are_in_the_way(made: Made) -> None:
    """The check stage, told that the first places stand all the while, refuses with hold-down-in-the-way."""
    checked = made.checked
    stood = tuple(made.packet.setups[0].programs[0].standing)
    first = checked.plan.setups[0]
    cuts = tuple(replace(c, standing=stood) if isinstance(c, FaceCut) else c for c in first.cuts)
    programs = (tuple(replace(p, standing=stood) for p in checked.programs[0]), *checked.programs[1:])
    setups = (replace(first, cuts=cuts), *checked.plan.setups[1:])
    found = check_all(Situation(checked.job, setups, programs))
    assert "hold-down-in-the-way" in {f.rule for f in found if f.level == "refuse"}


def test_a_face_cut_in_parts_is_not_cut_deeper_as_a_whole(made: Made, tmp_path: Path) -> None:
    """`again` goes over no face whose clamps have moved; a stopped program is taken up, and proven."""
    files = {name: text.encode() for name, text in texts_of(made).items()}
    deliver(tmp_path / "packet", with_facts(made.packet, files, {}))
    with pytest.raises(InputError) as wrong:
        again(tmp_path / "packet", asked(Words(setup=1, deeper="0.2 mm")))
    assert [m.code for m in wrong.value.mistakes] == ["clamps-moved"]
    taken_up = again(tmp_path / "packet", asked(Words(stopped="1d-face-a.ngc:40")))
    assert taken_up.packet.proof.verdict == "proven"


def test_no_pass_is_a_slot(made: Made) -> None:
    """At the last level the cutter never clears a new strip wider than the stepover, over the whole board."""
    checked = made.checked
    for setup, programs in zip(checked.plan.setups, checked.programs, strict=True):
        cut = next(c for c in setup.cuts if isinstance(c, FaceCut))
        axis = 0 if cut.passes == "across" else 1
        board = shapely.Polygon(setup.wood_outline).buffer(-2.0)
        left: BaseGeometry = board
        for program in (p for p in programs if p.purpose == "cut"):
            columns = moves(program)
            flat = (
                ~columns.rapid
                & (abs(columns.start[:, 2] - columns.end[:, 2]) < 1e-9)
                & (abs(columns.end[:, 2] - cut.z) < 0.013)
            )
            for a, b in zip(columns.start[flat], columns.end[flat], strict=True):
                swept = shapely.LineString([a[:2], b[:2]]).buffer(cut.tool.radius)
                for part in shapely.get_parts(left.intersection(swept)):
                    x0, y0, x1, y1 = part.bounds
                    # The board's own sides are crooked by 2 mm and more: a bite there is no wider for it.
                    wide = (x1 - x0) if axis == 0 else (y1 - y0)
                    assert part.area < 1.0 or wide <= cut.stepover + 4.0
                left = left.difference(swept)
        assert left.area == pytest.approx(0.0, abs=1e-6)
