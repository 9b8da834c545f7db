"""Every example job through the whole pipeline, against what examples/expected.yaml says of it."""

from __future__ import annotations

import pytest
import yaml

from example_jobs import EXAMPLES
from stockwright.findings import Refused
from stockwright.run import Request, make

EXPECTED: dict[str, str] = yaml.safe_load((EXAMPLES / "expected.yaml").read_text())


def test_every_job_is_expected_and_every_expected_job_is_there() -> None:
    """examples/expected.yaml names each job document, and only those."""
    jobs = {
        str(p.relative_to(EXAMPLES))
        for p in EXAMPLES.rglob("*.yaml")
        if p.read_text().startswith("stockwright: job/1")
    }
    assert jobs == set(EXPECTED)


@pytest.mark.parametrize("name", sorted(EXPECTED))
@pytest.mark.parametrize("post", ["rs274-ngc", "lean-serial"])
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_a_job_comes_to_what_is_expected(name: str, post: str, units: str) -> None:
    """A job is proven, or refused by the rule that is expected, through both posts and in both units."""
    request = Request(EXAMPLES / name, post=post, units=units)  # type: ignore[arg-type]
    if EXPECTED[name] == "proven":
        packet = make(request).packet
        assert packet.proof is not None
        assert packet.proof.verdict == "proven"
        assert all(p.verdict == "proven" for s in packet.setups for p in s.programs)
    else:
        with pytest.raises(Refused) as refused:
            make(request)
        assert EXPECTED[name] in {f.rule for f in refused.value.findings if f.level == "refuse"}
