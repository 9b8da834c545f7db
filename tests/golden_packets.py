"""Which packets are golden, and what of them is compared: every program, and packet.json."""

from __future__ import annotations

from typing import TYPE_CHECKING

from example_jobs import EXAMPLES
from stockwright.run import Request, make

if TYPE_CHECKING:
    from collections.abc import Mapping

GOLDEN: Mapping[str, Request] = {
    "stair-tread": Request(EXAMPLES / "stair-tread" / "job.yaml"),
    "stair-tread-inch-lean": Request(EXAMPLES / "stair-tread" / "job.yaml", post="lean-serial", units="inch"),
    "bed": Request(EXAMPLES / "stair-tread" / "bed.yaml"),
}


def golden_files(name: str) -> dict[str, bytes]:
    """Return the files that are compared, by path within the packet, sorted."""
    files = make(GOLDEN[name]).files
    return {path: files[path] for path in sorted(files) if not path.endswith((".html", ".pdf"))}
