"""What the person at the machine does in one setup, step by step, in plain words.

In: the packet, one setup, and what the sheet knows beside it. Out: groups of steps. Promise: every number is
the packet's; hands go near the cutter only in steps that begin with a stopped spindle; no step is left out
because it is usually remembered.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stockwright.packet.extras import Extras
    from stockwright.packet.model import Packet, Program, Setup
    from stockwright.packet.plan_drawing import Tagged
    from stockwright.packet.wood import Wood
    from stockwright.packet.writing import Writing

__all__ = ["Group", "Step", "file_name", "how_it_lies", "steps_for"]

WHERE = {"near": "towards you", "far": "away from you", "left": "on your left", "right": "on your right"}
GAUGE = 10.0  # mm, where no program comes down by itself: a block thick enough to handle; common practice
STICKOUT_WITHIN = 1.0  # mm: what a rule reads at a collet; common practice, no source


@dataclass(frozen=True)
class Step:
    """One thing to do, with what belongs to it; `halt` marks one that must not be passed over."""

    text: str
    details: tuple[str, ...] = ()
    halt: bool = False


@dataclass
class Group:
    """Steps under one heading."""

    heading: str
    steps: list[Step] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def add(self, text: str, *details: str, halt: bool = False) -> None:
        """Append a step."""
        self.steps.append(Step(text, details, halt))


def file_name(file: str) -> str:
    """Return a file's name without the folder it stands in."""
    return file.rpartition("/")[2]


def how_it_lies(up: str, sides: Mapping[str, str]) -> str:
    """Say which way a board lies, seen by the person standing at the near side."""
    return f"face {up} up, edge-1 {WHERE[sides['edge-1']]}, end-1 {WHERE[sides['end-1']]}"


def steps_for(
    packet: Packet, setup: Setup, woods: Mapping[str, Wood], tags: Tagged, extras: Extras, writing: Writing
) -> list[Group]:
    """Return the steps of `setup` in the order they are done."""
    return [
        _lay(packet, setup, woods, extras, writing),
        _hold(setup, woods, tags, extras, writing),
        _cutter_and_zero(packet, setup, extras, writing),
        _run(packet, setup, extras, writing),
        _afterwards(packet, setup, woods, writing),
    ]


def _lay(packet: Packet, setup: Setup, woods: Mapping[str, Wood], extras: Extras, writing: Writing) -> Group:
    group = Group("Lay the board")
    group.add(
        "Spindle stopped and locked out. Brush and vacuum the bed, the fence and everything the board "
        "will touch.",
        "One chip under the board is a hollow in it.",
    )
    if not woods:
        group.add("Take everything off the bed but what the drawing shows.")
    for lie in setup.lies:
        wood = woods[lie.board]
        called = f"“{lie.board}”" if len(packet.boards) > 1 else "the board"
        turned = _turned(packet, setup, lie.board, wood)
        places = [p.text for p in setup.placing] if len(setup.lies) == 1 else []
        group.add(f"{turned} Lay {called} with {how_it_lies(lie.up, wood.sides)}.", *places)
        shims = [s for s in setup.shims if s.board == lie.board and s.thickness > 0]
        if shims:
            group.add(
                f"Put {_count(len(shims), 'shim')} under it where the drawing and the table show, "
                "and slide in paper where daylight is left.",
                "The shims carry the board; the clamps must not press it down between them.",
            )
        elif wood.lower_is_flat and lie.moved > 0:
            group.add(
                "Before any clamp: press the corners one after another. Does it rock?",
                f"It has rested, and may have moved by up to {writing.length(lie.moved)}. Slide shims under "
                "until it lies still; if they come to more than that, stop, and plan it anew from readings.",
                halt=True,
            )
        elif wood.lower_is_flat:
            group.add(
                "Before any clamp: press the corners one after another. Does it rock?",
                "If it does, look for chips; if it still rocks, the wood has moved: let it rest and "
                "flatten the lower face again.",
                halt=True,
            )
    if setup.placing and len(setup.lies) > 1:
        group.add("Set the distances:", *(p.text for p in setup.placing))
    group.notes.extend(extras.notes.get(setup.index, ()))
    return group


def _turned(packet: Packet, setup: Setup, board: str, wood: Wood) -> str:
    """Say how the board comes from where it lay in the setup before."""
    from stockwright.packet.wood import side_names

    before = [
        (s, lie) for s in packet.setups for lie in s.lies if lie.board == board and s.index < setup.index
    ]
    if not before:
        return "Knock off loose knots, bark and grit; look for nails and staples."
    _, last = before[-1]
    now = next(lie for lie in setup.lies if lie.board == board)
    was = side_names(last)
    if last.up != now.up:
        if was["end-1"] == wood.sides["end-1"]:
            return "Turn the board over, edge over edge: the ends stay left and right."
        return "Turn the board over, end over end: the edges stay near and far."
    if was == wood.sides:
        return "The board keeps the way it lies; take off what held it, and move it to its new place."
    half = {was["end-1"], wood.sides["end-1"]} in ({"left", "right"}, {"near", "far"})
    return f"Turn the board {'half round' if half else 'a quarter round'} on the bed, the same face up."


def _hold(setup: Setup, woods: Mapping[str, Wood], tags: Tagged, extras: Extras, writing: Writing) -> Group:
    group = Group("Hold it")
    first = setup.programs[0] if setup.programs else None
    standing = [s for s in setup.solids if first is None or s.name in first.standing]
    for kind, sentence in KINDS:
        named = [s for s in standing if s.kind == kind]
        if named:
            heights = sorted({round(s.top, 2) for s in named})
            high = " and ".join(writing.length(h) for h in heights)
            group.add(sentence.format(tags=", ".join(tags.solids[s.name] for s in named), high=high))
    others = [s for s in standing if s.kind not in dict(KINDS)]
    if others:
        group.add("Set " + ", ".join(f"{tags.solids[s.name]} ({s.name})" for s in others) + " as drawn.")
    if woods:
        group.add(
            "Try it by hand: push and lift hard at every corner and every end. Nothing may move.", halt=True
        )
    checks = extras.seat_checks.get(setup.index, ())
    if checks:
        group.add(
            f"Check how it lies: read the height of the upper face above the bed at "
            f"{_count(len(checks), 'place')}.",
            *(
                f"{tag}: at x {writing.place(x)}, y {writing.place(y)} it must read {writing.length(reads)}, "
                f"give or take {writing.length(within)}"
                for (tag, _, _), (x, y, reads, within) in zip(tags.checks, checks, strict=True)
            ),
            "If one is out, the shims or the board are not where they should be: begin this setup again.",
            halt=True,
        )
    return group


KINDS = (
    ("fence", "Fence pieces {tags} stand (up to {high} high); every other piece is off the bed."),
    ("stop", "Set the stops {tags} tight against the ends (up to {high} high)."),
    ("side-clamp", "Set the side clamps {tags}: snug, not hard, or the board bends (up to {high} high)."),
    ("backing", "Fasten the scrap {tags} where the teeth leave the wood ({high} high). It will be cut into."),
    ("top-clamp", "Set the clamps {tags} on top as drawn and tighten them (up to {high} high)."),
)  # fmt: skip


def _cutter_and_zero(packet: Packet, setup: Setup, extras: Extras, writing: Writing) -> Group:
    group = Group("Cutter and zero")
    if not setup.programs:
        return group
    first = setup.programs[0]
    if first.tool is not None:
        _fit(group, packet, first.tool, writing)
    group.add(
        f"Zero of x and y: bring the middle of the cutter over the {setup.zero.x}, and set x and y to zero.",
    )
    group.add(f"Zero of z: {_z_words(setup)}.", setup.zero.how)
    if not any(program.file in extras.comes_down for program in setup.programs):
        _block(group, writing)
    return group


def _z_words(setup: Setup) -> str:
    return {
        "support": "on what the board rests on, never on the board",
        "bed": "on the bed",
        "stock-top": "on the upper face of the board",
    }[setup.zero.z]


def _fit(group: Group, packet: Packet, name: str, writing: Writing) -> None:
    tool = packet.tools[name]
    mark = tool.marked_max_rpm
    group.add(
        f"Spindle locked out. Fit “{name}” (number {tool.number}, {writing.length(tool.diameter)} across): "
        f"let it stick out {writing.length(tool.stickout)} from tip to nut, measured.",
        f"At least {writing.length(tool.gripped)} of clean shank in the collet; collet and nut free of dust.",
        f"If it cannot be set to within {writing.length(STICKOUT_WITHIN)}, correct the shop's document and "
        "make the packet again.",
        "No speed mark of it is known." if mark is None else f"Its own mark: {mark:.0f} rpm at most.",
    )


def _block(group: Group, writing: Writing) -> None:
    block = writing.length(GAUGE)
    group.add(
        f"Check z, spindle off: over bare bed move the tip to z {block}. A block {block} thick must just "
        "slide under it.",
        halt=True,
    )


def _run(packet: Packet, setup: Setup, extras: Extras, writing: Writing) -> Group:
    group = Group("Run")
    ready = False
    before: Program | None = None
    for program in setup.programs:
        if before is not None:
            _between(group, packet, before, program, writing)
        if program.purpose == "outline":
            clear = extras.clear_z.get(setup.index)
            height = f", the tip {writing.length(clear)} above zero" if clear is not None else ""
            group.add(
                f"Run {file_name(program.file)}: once round the work{height}, spindle off. Hand on the stop.",
                "Everything must pass clear above every clamp, and stay over the bed.",
                halt=True,
            )
            if program.file in extras.comes_down:
                gap = writing.length(extras.comes_down[program.file])
                group.add(
                    f"It comes down over bare bed and waits. A block {gap} thick must just slide under it.",
                    "If it does not, or rattles, the zero or the cutter is wrong: stop, and take z again.",
                    halt=True,
                )
        else:
            if not ready:
                _make_ready(group, extras)
                ready = True
            speeds = extras.speeds.get(program.tool or "")
            turning = "" if speeds is None else f" at {speeds[0]:.0f} rpm"
            group.add(
                f"Start {file_name(program.file)}: {extras.titles.get(program.file, 'cut')}, "
                f"{writing.time(program.seconds)}, “{program.tool}”{turning}.",
            )
        before = program
    if ready:
        group.add(
            "Watch the first level; listen; hand at the stop. Stop at once on smoke, a change of sound, "
            "a clamp that moves.",
            "Never reach in for chips or a loose piece while the cutter turns.",
        )
    return group


def _make_ready(group: Group, extras: Extras) -> None:
    group.add(
        "Dust collector on, its brush or hose clear of the clamps. Eyes, ears and breath protected; sleeves, "
        "hair and cords tied back; no gloves near a turning cutter."
    )
    if extras.speeds:
        group.add(
            "If the files do not switch your spindle, start it by hand at the speed given, before each one."
        )
    group.add("Everyone clear of the machine and out of line with the cutter. Hand at the stop.", halt=True)


def _between(group: Group, packet: Packet, before: Program, program: Program, writing: Writing) -> None:
    off = [name for name in before.standing if name not in program.standing]
    on = [name for name in program.standing if name not in before.standing]
    changed = program.tool != before.tool and program.tool is not None
    if off or on or changed:
        group.add("Wait until the spindle stands still, then lock it out.", halt=True)
    if on:
        group.add(f"Set {', '.join(on)} as drawn and tighten.")
    if off:
        group.add(f"Only then take off {', '.join(off)}.")
    if off or on:
        group.add("Try the board by hand again: nothing may move.", halt=True)
    if changed and program.tool is not None:
        _fit(group, packet, program.tool, writing)
        group.add(f"Take z again with this cutter: {program.touch_off.how}. Leave x and y as they are.")
        _block(group, writing)


def _afterwards(packet: Packet, setup: Setup, woods: Mapping[str, Wood], writing: Writing) -> Group:
    group = Group("Afterwards")
    if not setup.programs:
        return group
    group.add("Wait until the spindle stands still, then lock it out. Vacuum; feel for hot chips.")
    names = [cut.name for cut in setup.cuts]
    for cut in setup.cuts:
        wanted = packet.wanted.get(cut.board) if cut.board is not None else None
        asked = wanted.tolerance if wanted is not None else None
        if cut.name.startswith("face "):
            flat = f" No light wider than {writing.fine(asked.flatness)}." if asked and asked.flatness else ""
            group.add(
                f"Still clamped: look along {cut.name} against the light for spots the cutter missed; lay a "
                f"straightedge along, across and cornerwise.{flat}",
                "Spots left: leave everything as it is, measure how deep, and let `stockwright again` write "
                "one more pass.",
            )
            wood = woods.get(cut.board) if cut.board is not None else None
            if (
                wood is not None
                and wood.lower_is_flat
                and wanted is not None
                and wanted.thickness is not None
            ):
                within = (
                    f", give or take {writing.fine(asked.thickness)}" if asked and asked.thickness else ""
                )
                # A first visit leaves the board thicker than it will be in the end.
                group.add(
                    "Measure the thickness near all corners and in the middle: "
                    f"{writing.length(wood.top_after - wood.bottom)}{within}."
                )
        elif cut.name.startswith(("edge-", "end-")):
            square = f", within {writing.fine(asked.squareness)}" if asked and asked.squareness else ""
            against = "to the upper face" if cut.name.startswith("edge-") else "to edge-1"
            group.add(f"Try {cut.name} with a square {against}{square}; look for burns and torn fibres.")
    if "edge-2" in names or {"end-1", "end-2"} <= set(names):
        group.add(*_sizes(packet, setup, names, writing))
    if any(s.kind == "top-clamp" for s in setup.solids) and woods:
        group.add("Hold the board with one hand while the last clamp comes off.")
    return group


def _sizes(packet: Packet, setup: Setup, names: list[str], writing: Writing) -> tuple[str, ...]:
    details = []
    for lie in setup.lies:
        wanted = packet.wanted.get(lie.board)
        if wanted is None:
            continue
        if wanted.length is not None and {"end-1", "end-2"} & set(names):
            details.append(f"length {writing.length(wanted.length)}{_give(wanted.tolerance.length, writing)}")
        if wanted.width is not None and "edge-2" in names:
            details.append(f"width {writing.length(wanted.width)}{_give(wanted.tolerance.width, writing)}")
    return ("Measure the size:", *details)


def _give(tolerance: float | None, writing: Writing) -> str:
    return f", give or take {writing.fine(tolerance)}" if tolerance else ""


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
