"""Which packets are golden, and what of them is compared: every program, and packet.json."""

from __future__ import annotations

from typing import TYPE_CHECKING

from example_jobs import EXAMPLES
from stockwright.run import Request, make

if TYPE_CHECKING:
    from collections.abc import Mapping

PAGES = tuple(f'"{name}": '.encode() for name in ("playback.html", "sheet.html", "sheet.pdf"))
GOLDEN: Mapping[str, Request] = {
    "stair-tread": Request(EXAMPLES / "stair-tread" / "job.yaml"),
    "stair-tread-inch-lean": Request(EXAMPLES / "stair-tread" / "job.yaml", post="lean-serial", units="inch"),
    "bed": Request(EXAMPLES / "stair-tread" / "bed.yaml"),
}


def golden_files(name: str) -> dict[str, bytes]:
    """Return the files that are compared, by path within the packet, sorted.

    The pages are not, and so neither are their digests: they change with the library that sets them.
    """
    files = dict(make(GOLDEN[name]).files)
    facts = files["packet.json"].splitlines(keepends=True)
    files["packet.json"] = b"".join(line for line in facts if not line.lstrip().startswith(PAGES))
    return {path: files[path] for path in sorted(files) if not path.endswith((".html", ".pdf"))}
