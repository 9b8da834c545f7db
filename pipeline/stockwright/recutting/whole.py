"""From a packet to the next one. In: a packet's folder, what is asked. Out: `Recut`, the new packet's files.

    read -> find -> cut once more -> write -> prove -> pack

Promise: the earlier packet is only read; what has been run goes to `done/`, what is still to be run to
`programs/`; nothing that the proof refuses is delivered.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.findings import Refused, unrefused
from stockwright.frozen import frozen
from stockwright.packet.assemble import digest, with_proof
from stockwright.packet.disk import read_packet
from stockwright.packet.files import files_of
from stockwright.packet.refused import as_findings
from stockwright.playback import playback
from stockwright.recutting.finding import Found, find, read_sources
from stockwright.recutting.plans import Planned, plan
from stockwright.recutting.telling import pages

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from stockwright.motion.nodes import Program
    from stockwright.packet.model import Packet, Setup
    from stockwright.packet.model import Program as Listed
    from stockwright.recutting.asking import Asked
    from stockwright.recutting.laying import Source

__all__ = ["Recut", "recut"]

DONE, TO_RUN = "done", "programs"
STANDS = (
    "nothing was written; the earlier packet is as it was: `stockwright prove` judges it, and "
    "`stockwright make` plans the rest anew from the board as it now measures"
)


@frozen(eq=False)
class Recut:
    """The new packet: its facts, its files as bytes, what it is about, the file to run now, and notes."""

    packet: Packet
    files: Mapping[str, bytes]
    planned: Planned
    now: tuple[str, ...]
    notes: tuple[str, ...]


def recut(folder: Path, asked: Asked) -> Recut:
    """Do the whole of it, up to the files' bytes. Raises `InputError` and `Refused`."""
    packet, texts, notes = read_packet(folder)
    found = find(packet, asked)
    sources = read_sources(packet, found.setup, texts, found.needed, folder)
    planned = plan(packet, found, sources, asked, texts)
    packet, texts = _with_new(packet, found, planned, sources, texts)
    from stockwright.proving import prove

    outcome = prove(packet, texts)
    packet = with_proof(packet, outcome)
    if outcome.proof.verdict != "proven":
        raise Refused(as_findings(packet, STANDS))
    files = files_of(packet, texts, pages(packet, texts, planned), lambda: playback(packet, texts))
    now = tuple(
        p.file for s in packet.setups if s.index == found.setup.index for p in s.programs if not p.done
    )
    return Recut(packet, files, planned, now, tuple(notes))


def _with_new(
    packet: Packet, found: Found, planned: Planned, sources: Mapping[str, Source], texts: Mapping[str, str]
) -> tuple[Packet, dict[str, str]]:
    """Put the new programs in their place, every file where it now belongs; return packet and texts."""
    new_texts: dict[str, str] = {}
    setups: list[Setup] = []
    for setup in planned.setups:
        listed: list[Listed] = []
        for program in setup.programs:
            made = planned.instead.get(program.file) if setup.index == found.setup.index else None
            if made is not None:
                source = sources[program.file]
                for new, done in made:
                    entry, text = _written(source, new, done)
                    listed.append(entry)
                    new_texts[entry.file] = text
                continue
            done = program.done or _has_run(found, setup, program, planned)
            file = f"{DONE if done else TO_RUN}/{program.file.rpartition('/')[2]}"
            listed.append(program.model_copy(update={"file": file, "done": done}))
            if program.file in texts:
                new_texts[file] = texts[program.file]
        if setup.index == found.setup.index and planned.added is not None:
            new, source = planned.added
            entry, text = _written(source, new, False)
            listed.append(entry)
            new_texts[entry.file] = text
        setups.append(setup.model_copy(update={"programs": listed}))
    findings = [f for f in packet.findings if f.setup is None or f.setup >= found.setup.index]
    update = {
        "setups": setups,
        "wanted": planned.wanted,
        "findings": [f.model_copy(update={"program": None}) for f in findings],
        "again": [*packet.again, planned.said],
    }
    return packet.model_copy(update=update), new_texts


def _has_run(found: Found, setup: Setup, program: Listed, planned: Planned) -> bool:
    """Say whether a program was run before this: an outline of the present setup may be run again."""
    if setup.index != found.setup.index:
        return setup.index < found.setup.index
    if program.purpose == "outline":
        return False
    files = [each.file for each in setup.programs]
    last = next(iter(planned.instead), None)
    return last is None or files.index(program.file) < files.index(last)


def _written(source: Source, program: Program, done: bool) -> tuple[Listed, str]:
    """Write a program by the post of the one it comes from. Raises `Refused` where the post cannot say it."""
    from stockwright.posting.files import written

    post, units, machine = source.post, source.packet.units, source.packet.machine
    unrefused(post.refusals(program, units))
    files, _ = written(post, (program,), units, machine.rapid, machine.acceleration)
    [made] = files.values()
    entry = source.program.model_copy(
        update={
            "file": f"{DONE if done else TO_RUN}/{made.name}",
            "title": program.title,
            "done": done,
            "digest": digest(made.text),
            "seconds": round(float(made.seconds), 1),
            "blocks": made.lines,
            "verdict": "unproven",
        }
    )
    return entry, made.text
