"""What must be true of every post, whatever its words are. In: a `Player`. Out: names and functions.

Promise: one function for each fact; it raises `Fault` with what was found and what was expected.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from itertools import islice
from typing import TYPE_CHECKING, get_args

from stockwright.conformance import samples
from stockwright.conformance.fault import Fault, demand
from stockwright.findings import Refused
from stockwright.motion.nodes import (
    NODES,
    Arc,
    Dust,
    Dwell,
    Node,
    Pause,
    Probe,
    Rapid,
    Remark,
    SpindleOff,
    SpindleOn,
    UseTool,
)
from stockwright.posting.traits import Units
from stockwright.units import INCH

if TYPE_CHECKING:
    from stockwright.conformance.playing import Player
    from stockwright.motion.nodes import Program

__all__ = ["Named", "all_of", "refused"]

Named = tuple[str, Callable[[], None]]
SEEDS = range(12)  # of random motions, for each unit: some 200 moves of every kind
MANY = 3000  # moves of the program that shows how size follows them
LONGEST_MOVE = 120  # characters that one straight move may take

NODE: dict[type, tuple[Node, ...]] = {
    Remark: (Remark("look here"),),
    UseTool: (),
    SpindleOn: (SpindleOn(9000.0), samples.feed([(1.0, 2.0, 3.0)])),
    SpindleOff: (SpindleOn(9000.0), SpindleOff()),
    Rapid: (Rapid(z=40.0), Rapid(x=1.0), Rapid(y=2.5)),
    Arc: (Rapid(z=1.0), Arc((-10.0, 0.0), (10.0, 0.0, 1.0), True, 600.0)),
    Probe: (Rapid(z=20.0), Probe(5.0, 100.0)),
    Dwell: (Dwell(2.5),),
    Pause: (Pause("look"),),
    Dust: (Dust(on=True), Dust(on=False)),
}


def all_of(player: Player) -> Iterator[Named]:
    """Give every check of a post."""
    post, kinds = player.post, player.post.written()
    yield "words", partial(words, player)
    yield "names", partial(names, player)
    for units in post.traits.units:
        for node in NODES:
            yield f"node {node.__name__}, {units}", partial(one_node, player, node, units)
        for seed in SEEDS:
            yield f"motion {seed}, {units}", partial(player.same_motion, samples.motion(seed, kinds), units)
        for index, text in enumerate(samples.HARM):
            yield f"harmless {index}, {units}", partial(harmless, player, text, units)
        for name, fact in _FACTS:
            yield f"{name} {units}", partial(fact, player, units)
    for units in (each for each in get_args(Units) if each not in post.traits.units):
        yield (
            f"units {units}",
            partial(refused, player, samples.usual(kinds), units, "a program in other units"),
        )
    yield "orders", partial(orders, player)


def words(player: Player) -> None:
    """Demand that it says of itself what it is: name, sentence, reader, file ending, what it refuses."""
    post, said = player.post, player.post.describe()
    demand(said.endswith("\n"), "describe() does not end its last line")
    demand(said.startswith(f"{post.name}: {post.about}\n"), "describe() does not begin with 'name: about'")
    demand(post.about.strip() and "\n" not in post.about, "about is no sentence on one line")
    demand(
        re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", post.name), f"the name {post.name!r} is not small and plain"
    )
    demand(f".{post.extension}" in said, "describe() does not name the file ending")
    demand(post.reader is None or post.reader in said, "describe() does not name the reader")
    for kind in post.refused():
        demand(f"refuses {kind.__name__}" in said, f"describe() does not say that {kind.__name__} is refused")


def names(player: Player) -> None:
    """Demand file names that are plain, short, and differ where stems differ."""
    post = player.post
    stems = ["a", "02-face-a", "x" * 200, "x" * 199 + "y", "-".join(["long"] * 40)]
    given = [post.file_name(stem) for stem in stems]
    for name in given:
        demand(re.fullmatch(r"[A-Za-z0-9-]+\.[A-Za-z0-9]+", name), f"the file name {name!r} is not plain")
        ending = name.rpartition(".")[2]
        demand(ending.lower() == post.extension.lower(), f"{name!r} does not end in .{post.extension}")
        demand(len(name) <= 80, f"{name!r} is {len(name)} characters long")
    demand(len({name.lower() for name in given}) == len(given), "two programs would have one file name")
    for stem in ("", "../up", "a b", "A", "a/b", "a\x00"):
        try:
            post.file_name(stem)
        except ValueError:
            continue
        raise Fault(f"{stem!r} is taken for the stem of a file name")


def refused(player: Player, program: Program, units: Units, what: str) -> None:
    """Demand that a program is refused, with a remedy, before its first line is written."""
    found = player.post.refusals(program, units)
    try:
        first = next(iter(player.post.lines(program, units)), "")
    except Refused as error:
        found = found or error.findings
    else:
        raise Fault(f"{what} should be refused, and {first.strip()!r} is written")
    demand(found, f"{what} is refused without a finding")
    for finding in found:
        demand(finding.level == "refuse", f"{what}: the finding only says {finding.level}")
        demand(
            finding.message.strip() and finding.remedy.strip(), f"{what}: refused without reason or remedy"
        )


def one_node(player: Player, kind: type, units: Units) -> None:
    """Demand that a kind of node does what it says, or is refused."""
    nodes = NODE.get(kind, (samples.feed([(1.0, 2.0, 3.0), (4.0, 5.5, 3.0)]),))
    program = samples.program([*samples.START, *nodes, Rapid(z=samples.TOP)])
    if kind in player.post.refused():
        refused(player, program, units, kind.__name__)
        return
    player.same_motion(program, units)
    reading = player.reading(program, units)
    kinds = [event.kind for event in reading.events]
    if kind is Dwell:
        waited = [event.value for event in reading.events if event.kind == "dwell"]
        demand(waited and abs(max(waited) - 2.5) < 0.01, f"2.5 s are asked for, and the text waits {waited}")
    elif kind is Pause:
        demand("stop" in kinds, "a stop is asked for, and the text has none")
    elif kind is SpindleOn:
        demand(reading.moves.rpm[-2] > 0, "the spindle is asked to turn, and in the text it does not")
    elif kind is SpindleOff:
        demand(reading.moves.rpm[-1] == 0, "the spindle is asked to stop, and in the text it does not")
    elif kind is Dust:
        values = [event.value for event in reading.events if event.kind == "dust"]
        demand(values in ([], [1.0, 0.0]), f"dust on and off are asked for, and the text says {values}")
    if kind is not Pause:
        demand("stop" not in kinds, "the text stops, unasked")
    if kind not in {SpindleOn, SpindleOff}:
        turned = [event for event in reading.events if event.kind == "spindle" and event.note != "off"]
        demand(not turned, "the text starts the spindle, unasked")


def grid(player: Player, units: Units) -> None:
    """Demand that snap() gives what is on the grid, near, on the side asked for, and in the text."""
    post, step = player.post, player.post.resolution(units)
    demand(0 < step < 0.1, f"a resolution of {step} mm makes no flat board")
    for mm in (0.0, -0.0004, 0.5, 1 / 3, -1234.5678, 987.65432, 25.4, 1e-9):
        near, down, up = (post.snap(mm, units, way) for way in ("nearest", "down", "up"))
        demand(abs(near - mm) <= step * 0.5001, f"{mm} mm snaps to {near}, more than half of {step} off")
        demand(mm - step * 1.001 < down <= mm + 1e-6 * step, f"{mm} mm snaps down to {down}")
        demand(mm + step * 1.001 > up >= mm - 1e-6 * step, f"{mm} mm snaps up to {up}")
        demand(post.snap(near, units) == near, f"{near} mm is on the grid, and snaps to another place")
        if abs(near) < 500:
            nodes = (*samples.START, Rapid(z=near + 100), Rapid(z=near))
            at = float(player.reading(samples.program(nodes), units).moves.end[-1][2])
            machine = getattr(post.traits, "retract", "work") == "machine"
            demand(machine or abs(at - near) < 1e-6, f"{near} mm is on the grid, and the text says {at}")


def numbers(player: Player, units: Units) -> None:
    """Demand the feeds and speeds that were asked for, to half of their last decimal."""
    traits = player.post.traits
    step = 10.0 ** -traits.feed_decimals(units) * (INCH if units == "inch" else 1.0)
    for feed in (100.0, 333.3, 1234.56, 6000.0):
        for rpm in (8000.0, 12345.0, 24000.0):
            nodes = (
                *samples.START,
                SpindleOn(rpm),
                samples.feed([(1.0, 2.0, 3.0)], feed),
                Rapid(z=samples.TOP),
            )
            moves = player.reading(samples.program(nodes), units).moves
            at = max(k for k in range(len(moves)) if abs(moves.end[k][2] - 3.0) < 0.1)
            got, turning = float(moves.feed[at]), float(moves.rpm[at])
            demand(abs(got - feed) <= step * 0.5001, f"a feed of {feed} mm/min is {got} in the text")
            demand(
                abs(turning - rpm) <= 0.51 * 10.0**-traits.speed_decimals,
                f"{rpm} rpm is {turning} in the text",
            )


def end(player: Player, units: Units) -> None:
    """Demand that a program ends with the spindle said to be off, even where it never turned."""
    for nodes in (samples.START, (*samples.START, SpindleOn(9000.0), Rapid(z=samples.TOP - 1))):
        events = player.reading(samples.program(nodes), units).events
        demand(events and events[-1].kind == "end", "the program does not end")
        said = [event for event in events if event.kind == "spindle"]
        demand(said and said[-1].note == "off", "the program does not say that the spindle is off")
    stated = player.reading(samples.usual(player.post.written()), units).stated
    lacking = sorted({"units", "distance", "feed mode"} - set(stated))
    word_free = "units" in lacking and len(player.post.traits.units) == 1
    demand(
        not lacking or (word_free and len(lacking) == 1),
        f"it relies on what was left of {', '.join(lacking)}",
    )


def lines(player: Player, units: Units) -> None:
    """Demand lines one by one, printable, none too long, each with the same end, the last one too."""
    post = player.post
    program = samples.program(
        [
            *samples.START,
            *(Remark(text) for text in samples.HARM),
            samples.long_feed(50),
            Rapid(z=samples.TOP),
        ],
        title="t" * 500,
        touch_off="z " * 300,
    )
    made = post.lines(program, units)
    demand(iter(made) is made, "lines() gives no iterator, so a long program would stand in memory")
    found = list(made)
    demand("".join(found) == post.write(program, units), "write() is not what lines() gives")
    newline = "\r\n" if post.traits.line_ending == "cr-lf" else "\n"
    for number, line in enumerate(found, 1):
        demand(line.endswith(newline), f"line {number} does not end as its traits say")
        text = line[: -len(newline)]
        bad = re.search(r"[^\x20-\x7e]", text)
        demand(
            bad is None,
            f"line {number} holds U+{ord(bad[0]) if bad else 0:04X}, which is not printable ASCII",
        )
        demand(len(text) <= post.traits.line_length, f"line {number} has {len(text)} characters")


def size(player: Player, units: Units) -> None:
    """Demand that size follows the moves, and that the first lines do not wait for the last ones."""
    post = player.post
    nodes = [*samples.START, samples.long_feed(MANY), Rapid(z=samples.TOP)]
    program = samples.program(nodes)
    first = list(islice(post.lines(program, units), 3))
    demand(len(first) == 3, "the first three lines cannot be had by themselves")
    try:
        text = post.write(program, units)
    except Refused as error:
        limited = getattr(post.traits, "file_bytes", 0) or getattr(post.traits, "file_lines", 0)
        demand(limited, f"{MANY} moves are refused: {error}")
        return
    demand(len(text) <= MANY * LONGEST_MOVE, f"{MANY} moves make {len(text)} characters")
    demand(text.count("\n") >= MANY, f"{MANY} moves make {text.count(chr(10))} lines")


def twice(player: Player, units: Units) -> None:
    """Demand the same text for the same program, whatever was written in between."""
    post = player.post
    for seed in (1, 2, 3):
        first = post.write(samples.motion(seed, post.written()), units)
        post.write(samples.usual(post.written()), units)
        demand(
            post.write(samples.motion(seed, post.written()), units) == first,
            "the same program gives two texts",
        )


def harmless(player: Player, text: str, units: Units) -> None:
    """Demand that what people write changes nothing that acts, wherever it stands."""
    kinds = player.post.written()

    def acts(said: str) -> object:
        tool = replace(samples.CUTTER, name=said)
        nodes: list[Node] = [UseTool(tool.number, said), *samples.START[1:]]
        nodes += [Remark(said)] if Remark in kinds else []
        nodes += [Pause(said)] if Pause in kinds else []
        nodes += [samples.feed([(1.0, 2.0, 3.0)]), Rapid(z=samples.TOP)]
        reading = player.reading(samples.program(nodes, title=said, touch_off=said, tool=tool), units)
        moves = reading.moves
        return (
            [(event.kind, event.value, event.after, event.note) for event in reading.events],
            repr((moves.end.tolist(), moves.feed.tolist(), moves.rpm.tolist())),
        )

    demand(acts(text) == acts("plain"), f"the text {text!r} changes what the program does")


def orders(player: Player) -> None:
    """Demand that what no post may write is refused: slants, hands beside a turning spindle, feeds of 0."""
    units, kinds = player.post.traits.units[0], player.post.written()
    start = samples.START
    bad: list[tuple[str, tuple[Node, ...]]] = [
        ("a feed of nothing", (samples.feed([(1.0, 2.0, 3.0)], 1e-9),))
    ]
    bad.append(("a speed of nothing", (SpindleOn(1e-9),)))
    if Pause in kinds:
        bad.append(("a pause beside a turning spindle", (SpindleOn(9000.0), Pause("look"))))
    if Probe in kinds:
        bad.append(("a touch with the spindle turning", (SpindleOn(9000.0), Probe(5.0, 100.0))))
    if getattr(player.post.traits, "tool_change", "none") == "none":
        bad.append(("a second tool", (UseTool(99, "other"),)))
    for what, nodes in bad:
        refused(player, samples.program([*start, *nodes]), units, what)
    try:
        player.text(samples.program([*start, Rapid(x=1.0, y=2.0, z=3.0)]), units)
    except Refused:
        return
    raise Fault("a rapid that goes up and along at once is written")


_FACTS: tuple[tuple[str, Callable[[Player, Units], None]], ...] = (
    ("grid", grid),
    ("numbers", numbers),
    ("end", end),
    ("lines", lines),
    ("size", size),
    ("twice", twice),
)
