"""Programs as files. In: a post and programs. Out: for each its file name, text, seconds and lines."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from stockwright.motion.timing import seconds
from stockwright.posting.file_name import one_file_for_two
from stockwright.posting.shaping import air_speed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockwright.findings import Finding
    from stockwright.motion.nodes import Program
    from stockwright.posting.post import Post
    from stockwright.posting.traits import Units

__all__ = ["Written", "written"]


class Written(NamedTuple):
    """One program's file: its `name` without a folder, its `text`, how long it runs (s), its lines."""

    name: str
    text: str
    seconds: float
    lines: int


def written(
    post: Post, programs: Iterable[Program], units: Units, rapid: float, acceleration: float
) -> tuple[dict[str, Written], tuple[Finding, ...]]:
    """Return the files by the programs' stems, and a finding where two programs would be one file.

    `rapid` in mm/min and `acceleration` in mm/s2 are the machine's. Raises `Refused` for a program that the
    post cannot say.
    """
    files = {}
    speed = air_speed(post, rapid)
    for program in programs:
        text = post.write(program, units)
        time = seconds(program, speed, acceleration, spin_up=post.traits.spin_up)
        files[program.stem] = Written(post.file_name(program.stem), text, time, text.count("\n"))
    return files, one_file_for_two([each.name for each in files.values()])
