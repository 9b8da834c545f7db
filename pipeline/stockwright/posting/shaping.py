"""Motion reshaped for a dialect, before it is checked and written. In: a `Program`, a post. Out: `Shaped`.

Promise: what a dialect cannot say is removed, said in another way or split over files here, where checks and
proof still see it, and never while writing; every such change is reported in a sentence. Every part of a
split program is complete: it has its own start, spindle, retract and end.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stockwright.frozen import frozen
from stockwright.motion.nodes import Arc, Dust, Feed, Pause, Rapid, Remark, SpindleOff, SpindleOn
from stockwright.posting.parts import parts
from stockwright.posting.traits import Traits

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockwright.motion.nodes import Node, Program
    from stockwright.posting.post import Post
    from stockwright.posting.traits import Units

__all__ = ["Shaped", "air_speed", "said_otherwise", "shaped"]


@frozen(eq=False)
class Shaped:
    """The programs to be written in place of one, in order, and what was said otherwise, for people."""

    programs: tuple[Program, ...]
    said: tuple[str, ...]


def shaped(post: Post, program: Program, units: Units) -> Shaped:
    """Give what the post can say of a program. Raises `Refused` where no split makes files short enough."""
    told: list[str] = []
    nodes = program.nodes
    if Pause in post.refused() and program.purpose != "probe" and any(isinstance(n, Pause) for n in nodes):
        nodes = without_pauses(nodes)
        told.append(
            "The control has no stop that can be trusted: nothing waits for you, and nothing comes down for "
            "the block. Check zero with the block by hand before the first program."
        )
    traits = post.traits
    if isinstance(traits, Traits):
        if traits.dust_on is not None:
            nodes = with_dust(nodes)
        told += _told_of(traits, nodes)
    made = replace(program, nodes=nodes) if nodes is not program.nodes else program
    programs = parts(post, made, units)
    if len(programs) > 1:
        told.append(
            "A program is longer than the control takes as one file and is split; each part begins and ends "
            "by itself, raised and with the spindle off. Run them in their order, nothing moved in between."
        )
    return Shaped(programs, tuple(told))


def air_speed(post: Post, rapid: float) -> float:
    """Give how fast the machine moves in the air, mm/min, where its rapid moves go at `rapid`."""
    traits = post.traits
    slower = traits.rapid_feed if isinstance(traits, Traits) else 0.0
    return min(rapid, slower) if slower else rapid


def said_otherwise(post: Post, programs: Iterable[Program], units: Units) -> tuple[str, ...]:
    """Give what the post writes in these programs in another way than was meant: sentences, each once."""
    return tuple(dict.fromkeys(text for program in programs for text in shaped(post, program, units).said))


def without_pauses(nodes: tuple[Node, ...]) -> tuple[Node, ...]:
    """Take pauses out, and with each the move down that was made for it."""
    top = _top(nodes)
    kept: list[Node] = []
    down: int | None = None  # where, in `kept`, the way down from the top began
    dropping = False
    for node in nodes:
        if isinstance(node, Rapid) and node.z is not None and node.z >= top:
            down, dropping = None, False
        elif isinstance(node, Rapid | Feed | Arc) and not (isinstance(node, Rapid) and node.z is None):
            down = len(kept) if down is None else down
        if isinstance(node, Pause):
            if down is not None and all(_straight_down(n) for n in kept[down:]):
                del kept[down:]
                dropping = True
            continue
        # Until it is up again nothing is left to do there.
        if not (dropping and isinstance(node, Rapid | Feed | Arc)):
            kept.append(node)
    return tuple(kept)


def with_dust(nodes: tuple[Node, ...]) -> tuple[Node, ...]:
    """Switch the dust collector on before the spindle and off after it, where nothing does so yet."""
    if any(isinstance(node, Dust) for node in nodes):
        return nodes
    made: list[Node] = []
    for node in nodes:
        if isinstance(node, SpindleOn) and not any(isinstance(n, SpindleOn) for n in made):
            made.append(Dust(on=True))
        made.append(node)
    if any(isinstance(node, SpindleOn) for node in nodes):
        last = max((k for k, n in enumerate(made) if isinstance(n, SpindleOff)), default=len(made) - 1)
        made.insert(last + 1, Dust(on=False))
    return tuple(made)


def _told_of(traits: Traits, nodes: tuple[Node, ...]) -> list[str]:
    told: list[str] = []
    if traits.comments == "none" and any(isinstance(node, Remark) for node in nodes):
        told.append(
            "The control takes no comments: its screen does not name the file's setup, tool and zero."
        )
    if traits.arcs == "none" and any(isinstance(node, Arc) for node in nodes):
        told.append(f"Arcs are cut as chords that stand {traits.sagitta:g} mm off them at most.")
    if traits.rapid_feed and any(isinstance(node, Rapid) for node in nodes):
        told.append(
            f"Moves in the air are cutting moves at {traits.rapid_feed:g} mm/min: an override of the feed "
            "slows or hurries them too."
        )
    return told


def _top(nodes: tuple[Node, ...]) -> float:
    return max((n.z for n in nodes if isinstance(n, Rapid) and n.z is not None), default=0.0)


def _straight_down(node: Node) -> bool:
    """Say whether a node only lowers, or does not move at all."""
    if isinstance(node, Rapid):
        return node.x is None and node.y is None
    return not isinstance(node, Arc) and not (isinstance(node, Feed) and len(node.points) > 1)
