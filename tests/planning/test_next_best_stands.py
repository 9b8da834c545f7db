"""What stands where the strongest hold-down has no room, and what is told where the shop has none at all."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from example_jobs import EXAMPLES, bound
from held_jobs import refusals
from stockwright.hold_downs import SideClamp, Stop
from stockwright.planning import plan

if TYPE_CHECKING:
    from stockwright.hold_downs import HoldDown
    from stockwright.job import Job

LONG = Stop("long-stop", 2, 400.0, 40.0, 12.0, 5000.0)


def shelf(*hold_downs: HoldDown) -> Job:
    """Return a shelf's job in a shop with these hold-downs before its own, its own stops left out."""
    job, _ = bound(EXAMPLES / "spice-rack" / "job.yaml")
    others = tuple(h for h in job.shop.hold_downs if not isinstance(h, Stop))
    return replace(job, boards=job.boards[:1], shop=replace(job.shop, hold_downs=(*hold_downs, *others)))


def test_where_the_strongest_has_no_room_the_next_stands_and_the_sheet_says_so() -> None:
    """A stop so long that it would meet the fence gives way to a shorter, weaker one; alone it is refused."""
    setup = plan(shelf(LONG, Stop("end-stop", 4, 30.0, 30.0, 14.0, 1500.0))).setups[0]
    stops = [s.name for s in setup.solids if s.kind == "stop"]
    assert len(stops) >= 2
    assert all(name.startswith("end-stop ") for name in stops)
    assert "end-1: end-stop, for long-stop has no room there." in setup.notes
    assert "no-room-for-clamps" in {found.rule for found in refusals(shelf(LONG))}


def test_the_cure_for_a_thing_that_is_not_there_is_to_list_one() -> None:
    """No thicker board helps where the shop has nothing for an end: it is told how high one may be."""
    job = shelf()
    few = tuple(replace(h, count=2) if isinstance(h, SideClamp) else h for h in job.shop.hold_downs)
    found = refusals(replace(job, shop=replace(job.shop, hold_downs=few)))
    remedies = {f.remedy for f in found if "asks for a stop, and the shop lists none" in f.message}
    assert len(remedies) == 1
    for remedy in remedies:
        assert remedy.startswith("add one to the shop's hold-downs, at most ")
        assert "thicker" not in remedy
