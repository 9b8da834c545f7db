"""The shipped examples, each made once for all tests that begin with one: proven, made, or on the disk.

In: an example's name. Out: what the stages return. Tests that look at no page take `proven`: to set the sheet
as a PDF is half of what a job costs. The workers of one run share through a folder that pytest gives them
(`conftest.py`); nothing is kept from one run to the next.
"""

from __future__ import annotations

import os
import pickle
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from drawn import WIDE
from example_jobs import EXAMPLES
from stockwright.packet.deliver import deliver
from stockwright.packet.files import with_facts
from stockwright.run import Made, Proven, Request, check, make, write_and_prove

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from typing import Literal

    Units = Literal["mm", "inch"] | None

__all__ = ["bare_packet_of", "made_of", "packet_of", "page_of", "proven", "proven_job", "share"]

_HELD: list[TemporaryDirectory[str]] = []
_SHARED: list[Path] = []


def share(folder: Path) -> None:
    """Say where the workers of this run put what they make."""
    _SHARED[:] = [folder]


@cache
def proven(job: str, post: str | None = None, units: Units = None) -> Proven:
    """Return an example written and proven, not packed; it is only looked at. Raises as the stages do."""
    request = Request(EXAMPLES / f"{job}.yaml", post=post, units=units)
    found = _once(f"proven {job} {post} {units}", lambda: write_and_prove(check(request), request))
    assert isinstance(found, Proven)
    return found


@cache
def made_of(job: str, post: str | None = None, units: Units = None) -> Made:
    """Return an example's packet and all its files; it is only looked at. Raises as the stages do."""
    request = Request(EXAMPLES / f"{job}.yaml", post=post, units=units)
    found = _once(f"made {job} {post} {units}", lambda: make(request))
    assert isinstance(found, Made)
    assert found.files["sheet.pdf"]  # the first to ask must not have been a test with `no_paper`
    return found


@cache
def page_of(job: str) -> str:
    """Return an example's sheet as HTML, as it stands in its packet."""
    from stockwright.packet.sheet import sheet

    made = proven(job)
    return sheet(made.packet, made.moves, made.packet.units, made.extras, made.pictures)


def proven_job(request: Request) -> Proven | Made:
    """Return a job of a test's own written and proven; where there is time, packed too."""
    return make(request) if WIDE else write_and_prove(check(request), request)


@cache
def packet_of(job: str = "job", post: str | None = None, units: Units = None) -> Path:
    """Return the folder of a packet of `examples/stair-tread`; it is only read, and goes with the process."""
    return _held(made_of(f"stair-tread/{job}", post, units).files)


@cache
def bare_packet_of(job: str = "job", post: str | None = None, units: Units = None) -> Path:
    """Return the same with the facts and the programs alone, of which the next packet is made."""
    found = proven(f"stair-tread/{job}", post, units)
    return _held(with_facts(found.packet, {name: text.encode() for name, text in found.texts.items()}, {}))


def _held(files: Mapping[str, bytes]) -> Path:
    held = TemporaryDirectory()
    _HELD.append(held)
    folder = Path(held.name) / "packet"
    deliver(folder, files)
    return folder


def _once(name: str, made_by: Callable[[], Any]) -> Any:
    """Return what another worker of this run has put down under a name, or make it and put it down."""
    if not _SHARED:
        return made_by()
    place = _SHARED[0] / (name.replace("/", " ") + ".pickle")
    if place.is_file():
        return pickle.loads(place.read_bytes())
    made = made_by()
    own = place.with_suffix(f".{os.getpid()}")
    own.write_bytes(pickle.dumps(made))
    own.replace(place)  # whole, or not there: two workers may make the same at the same time
    return made
