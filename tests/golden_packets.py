"""Which packets are golden, and what of them is compared: every program, and packet.json."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from made_packets import made_of

if TYPE_CHECKING:
    from collections.abc import Mapping

PAGES = tuple(f'"{name}": '.encode() for name in ("playback.html", "sheet.html", "sheet.pdf"))
GOLDEN: Mapping[str, tuple[str, str | None, Literal["mm", "inch"] | None]] = {
    "stair-tread": ("stair-tread/job", None, None),
    "stair-tread-inch-lean": ("stair-tread/job", "lean-serial", "inch"),
    "bed": ("stair-tread/bed", None, None),
}


def golden_files(name: str) -> dict[str, bytes]:
    """Return the files that are compared, by path within the packet, sorted.

    The pages are not, and so neither are their digests: they change with the library that sets them.
    """
    files = dict(made_of(*GOLDEN[name]).files)
    facts = files["packet.json"].splitlines(keepends=True)
    files["packet.json"] = b"".join(line for line in facts if not line.lstrip().startswith(PAGES))
    return {path: files[path] for path in sorted(files) if not path.endswith((".html", ".pdf"))}
