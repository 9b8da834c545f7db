"""What `stockwright make` does.

In: a request, the target folder, `How`. Out: the packet in that folder, and what is reported.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from stockwright.batching.many import How, make
from stockwright.batching.progress import boards_done
from stockwright.calls import terminal
from stockwright.packet.deliver import deliver as deliver_files

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.batching.many import Delivery
    from stockwright.run import Request

__all__ = ["How", "deliver", "told"]


def deliver(request: Request, out: Path, how: How, *, force: bool) -> Delivery:
    """Make a packet and put it at `out`; `progress` is told how far it is.

    Raises what `make` and `packet.deliver` raise; nothing has then changed except the parts kept for
    resuming.
    """
    made = make(request, replace(how, tell=boards_done))
    deliver_files(out, made.files, replace=force)
    made.stands()
    return made


def told(made: Delivery, out: Path) -> dict[str, Any]:
    """Return what `--json` reports of a delivered packet."""
    more: dict[str, Any] = {"packet": str(out), "files": sorted(made.files)}
    if made.left_out:
        more["left_out"] = {
            name: terminal.findings_json(why)["findings"] for name, why in made.left_out.items()
        }
    return terminal.findings_json(made.findings, verdict=made.packet.proof.verdict, **more)
