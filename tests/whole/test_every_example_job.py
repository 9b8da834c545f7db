"""Every example job through the whole pipeline, against what examples/expected.yaml says of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
import yaml

from clear_of_everything import distances
from example_jobs import EXAMPLES
from made_packets import made_of, proven
from stockwright.findings import Refused

if TYPE_CHECKING:
    from collections.abc import Iterator

SUITE = ("rs274-ngc", "mm")
REST = (("rs274-ngc", "inch"), ("lean-serial", "mm"), ("lean-serial", "inch"))
# Long jobs that other tests of every run prove: a board in positions, a row of slats and its faults; and
# those whose recipes are proven in every run in another shop (`test_every_recipe_in_every_shop.py`).
ELSEWHERE = {"hall-bench/job.yaml", "garden-gate/job.yaml"}
ELSEWHERE |= {"glue-room/stool-legs.yaml", "glue-room/anvil-block.yaml"}
# Of their recipes these come first: other tests of every run begin with them, and each is proven once.
FIRST = ("stair-tread/job.yaml", "alcove-shelf/job.yaml", "lectern-top/job.yaml", "stool-rails/job.yaml")
# Packed too in every run: a setup in several states, a row of boards. `make matrix` packs all.
PACKED = {"lectern-top/job.yaml", "stool-rails/job.yaml"}
EXPECTED: dict[str, str] = yaml.safe_load((EXAMPLES / "expected.yaml").read_text())


def test_every_job_is_expected_and_every_expected_job_is_there() -> None:
    """examples/expected.yaml names each job document, and only those."""
    jobs = {
        str(p.relative_to(EXAMPLES))
        for p in EXAMPLES.rglob("*.yaml")
        if p.read_text().startswith("stockwright: job/1")
    }
    assert jobs == set(EXPECTED)


def runs() -> Iterator[Any]:
    """Give every job through every post: of each recipe one job in every run of the suite."""
    seen: set[tuple[str, str]] = set()
    for name in sorted(EXPECTED, key=lambda name: (name not in FIRST, name)):
        sort = (yaml.safe_load((EXAMPLES / name).read_text())["recipe"], EXPECTED[name])
        wide = sort in seen or name in ELSEWHERE
        yield pytest.param(name, *SUITE, marks=pytest.mark.wide if wide else ())
        seen.add(sort)
        for post, units in REST:
            yield pytest.param(name, post, units, marks=pytest.mark.sweep)


@pytest.mark.parametrize(("name", "post", "units"), list(runs()))
def test_a_job_comes_to_what_is_expected(name: str, post: str, units: str) -> None:
    """A job is proven, or refused by the rule that is expected, through both posts and in both units.

    Once more by shapely alone, nothing that moves ever comes nearer to anything that stands than the margin.
    """
    own = (post, units) == SUITE  # every shop of the examples has this post and these units
    asked = (name.removesuffix(".yaml"), *((None, None) if own else (post, units)))
    if EXPECTED[name] == "proven":
        if name in PACKED or not own:
            assert made_of(*asked).files["sheet.pdf"].startswith(b"%PDF-")
        made = proven(*asked)
        packet = made.packet
        assert packet.proof is not None
        assert packet.proof.verdict == "proven"
        assert all(p.verdict == "proven" for s in packet.setups for p in s.programs)
        if (post, units) == ("rs274-ngc", "mm"):
            near = [d for d in distances(packet, made.texts) if d.least < packet.machine.margin - 1e-6]
            assert near == []
    else:
        with pytest.raises(Refused) as refused:
            proven(*asked)
        assert EXPECTED[name] in {f.rule for f in refused.value.findings if f.level == "refuse"}


def test_a_clamp_raised_into_the_way_is_seen_by_the_second_look() -> None:
    """The tread's clamps, 40 mm higher than they are, stand where the facing cutter passes."""
    made = proven("stair-tread/job")
    setups = [
        s.model_copy(update={"solids": [o.model_copy(update={"top": o.top + 40}) for o in s.solids]})
        for s in made.packet.setups
    ]
    raised = made.packet.model_copy(update={"setups": setups})
    near = {d.program for d in distances(raised, made.texts) if d.least < made.packet.machine.margin}
    assert {"programs/1b-face-a.ngc", "programs/2b-face-b.ngc"} <= near
