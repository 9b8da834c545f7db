"""A recipe drawn: each of its clampings from above, with the board as it is turned, held and cut.

In: a recipe's bound steps, how many boards. Out: one SVG that stands alone. Promise: the clampings, and how a
board lies in each, are worked out from the steps as the planner does it; the sizes are those of no real
board, and the drawing says so.
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Any

from stockwright.job import BedStep, EdgeStep, FaceStep, FlipStep, MateStep
from stockwright.packet.drawing import FIXED, Canvas, Window
from stockwright.packet.proof_picture import standing_alone
from stockwright.planning.groups import group

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from stockwright.job import Side, Step, Zone
    from stockwright.planning.groups import Group
    from stockwright.planning.wood import Place

__all__ = ["draw_recipe"]

Point = tuple[float, float]
Box = tuple[float, float, float, float]
WIDE, TALL = 93.0, 56.0  # paper mm of one clamping; two stand beside one another
LONG, BROAD, SLIM = 58.0, 24.0, 7.0  # paper mm of a board drawn; of one in a row
MOST_ABREAST = 3  # boards of a row that are drawn
STRIP = 1.8  # paper mm: how wide a cut along a side is shaded
APART = 3.0  # paper mm between boards with a gap
BLOCK = 3.4  # paper mm: how deep a hold-down stands
ARM = 9.0  # paper mm: how far an arm reaches over the board
LETTERS = 3.3  # paper mm: these pictures stand in pages of words, none at a machine
SIDES: tuple[Side, ...] = ("edge-1", "edge-2", "end-1", "end-2")
LEGEND = "From above, not to scale. Grey, heavy line: cut here. Hatched: what holds; the fence."


def draw_recipe(name: str, steps: Sequence[Step], boards: int) -> str:
    """Return the drawing of the recipe `name`, for a job of `boards` boards."""
    groups = group(tuple(steps))
    beds = [step for step in steps if isinstance(step, BedStep)]
    number = len(groups) + len(beds)
    rows = -(-number // 2)
    foot = 13.0 if _of_every_second(steps) else 8.0
    window = Window((0.0, 0.0), (2 * WIDE, rows * TALL), left=0.0, right=0.0, above=0.0, below=foot)
    canvas = Canvas(
        f"recipe-{name}", f"{name}: each clamping from above", window, 2 * WIDE, rows * TALL + foot, LETTERS
    )
    corners = [((k % 2) * WIDE, (rows - 1 - k // 2) * TALL) for k in range(number)]
    for place, (step, corner) in enumerate(zip(beds, corners, strict=False), 1):
        _bed(canvas, place, step, corner)
    before: Group | None = None
    for place, (each, corner) in enumerate(zip(groups, corners[len(beds) :], strict=True), len(beds) + 1):
        _clamping(canvas, place, each, before, corner, boards)
        before = each
    canvas.word((2.0, canvas.height - 3.0), LEGEND, "word quiet", "start", FIXED)
    if _of_every_second(steps):
        told = "Boards 2, 4 and so on are turned over once more: their other face is up."
        canvas.word((2.0, canvas.height - 8.0), told, "word", "start", FIXED)
    return standing_alone(canvas.svg())


def _of_every_second(steps: Sequence[Step]) -> bool:
    return any(isinstance(step, FlipStep) and step.second_only for step in steps)


def _bed(canvas: Canvas, number: int, step: BedStep, corner: Point) -> None:
    x, y = corner
    bed = (x + 8.0, y + 9.0, x + WIDE - 8.0, y + TALL - 14.0)
    fence = (bed[0] + 6.0, bed[1] + 3.0, bed[2] - 6.0, bed[1] + 7.0)
    canvas.polygon("cut-now" if step.what == "surface" else "board", _corners(bed), "bed")
    canvas.hatched("solid fence", _corners(fence), "back", "fence")
    if step.what == "fence":
        canvas.line("wall", [(fence[0], fence[3]), (fence[2], fence[3])], "fence's face")
    what = "the bed, skimmed flat" if step.what == "surface" else "the fence, jointed in place"
    _title(canvas, number, what, "no board lies on it" if step.what == "surface" else "", corner)


def _clamping(
    canvas: Canvas, number: int, now: Group, before: Group | None, corner: Point, boards: int
) -> None:
    abreast = max(min(now.together, boards, MOST_ABREAST), 1)
    gap = APART if any(isinstance(step, MateStep) for step in now.steps) else 0.0
    places = _boards(corner, abreast, gap)
    whole = (places[0][0], places[0][1], places[-1][2], places[-1][3])
    for box in places:
        faced = any(isinstance(step, FaceStep) for step in now.steps)
        canvas.polygon("cut-now" if faced else "board", _corners(box), "board")
    if now.against_fence:
        fence = (whole[0] - 5.0, whole[1] - BLOCK, whole[2] + 5.0, whole[1])
        canvas.hatched("solid fence", _corners(fence), "back", "fence")
    for zone in now.hold:
        _zone(canvas, zone, now.place, whole, min(ARM, 0.6 * (places[0][3] - places[0][1])))
    for step in now.steps:
        _cut(canvas, step, now.place, places)
    for kind, side in (("name", side) for side in SIDES):
        _name(canvas, side, now, whole, kind)
    up = f"face {now.place.up} up"
    middle = places[len(places) // 2]
    at = canvas.at(((middle[0] + middle[2]) / 2, (middle[1] + middle[3]) / 2))
    canvas.word(at, up, "word strong", tries=FIXED)
    cuts = list(dict.fromkeys(_called(step) for step in now.steps))
    what = " and ".join([", ".join(cuts[:-1]), cuts[-1]] if len(cuts) > 1 else cuts)
    mated = any(isinstance(step, MateStep) for step in now.steps)
    many = "" if now.together < 2 or mated else ", several boards at once"
    _title(canvas, number, what + many, ", ".join(_turned(now, before)), corner)
    held = "held " + " and ".join(_held(now.hold)) if now.hold else ""
    canvas.word(canvas.at((corner[0] + 4.0, corner[1] + 3.0)), held, "word", "start", FIXED)


def _title(canvas: Canvas, number: int, what: str, under: str, corner: Point) -> None:
    top = corner[1] + TALL
    canvas.word(canvas.at((corner[0] + 4.0, top - 4.0)), f"{number}. {what}", "word strong", "start", FIXED)
    if under:
        canvas.word(canvas.at((corner[0] + 4.0, top - 8.8)), under, "word", "start", FIXED)


def _boards(corner: Point, abreast: int, gap: float) -> list[Box]:
    """Return where the boards of a clamping are drawn, the nearest first."""
    high = BROAD if abreast == 1 else SLIM
    left = corner[0] + (WIDE - LONG) / 2
    low = corner[1] + 7.0 + (TALL - 18.0 - abreast * high - (abreast - 1) * gap) / 2
    return [
        (left, low + k * (high + gap), left + LONG, low + k * (high + gap) + high) for k in range(abreast)
    ]


def _corners(box: Box) -> list[Point]:
    x0, y0, x1, y1 = box
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def _along(box: Box, towards: Point, inwards: float) -> Box:
    """Return the strip of a box along the side that looks `towards`, `inwards` wide (negative: outside)."""
    x0, y0, x1, y1 = box
    dx, dy = round(towards[0]), round(towards[1])
    if dx:
        edge = x1 if dx > 0 else x0
        return (min(edge, edge - dx * inwards), y0, max(edge, edge - dx * inwards), y1)
    edge = y1 if dy > 0 else y0
    return (x0, min(edge, edge - dy * inwards), x1, max(edge, edge - dy * inwards))


def _cut(canvas: Canvas, step: Any, place: Place, boards: list[Box]) -> None:
    """Draw the sides that a step cuts."""
    cuts: list[tuple[Box, Side]] = []
    if isinstance(step, EdgeStep):
        cuts = [(box, step.side) for box in boards]
    elif isinstance(step, MateStep):
        sides = {place.looks(side)[1]: side for side in SIDES if place.looks(side)[0] == 0}
        for near, far in itertools.pairwise(boards):
            cuts += [(near, sides[1.0]), (far, sides[-1.0])]
    for box, side in cuts:
        towards = place.looks(side)
        canvas.polygon("cut-now", _corners(_along(box, towards, STRIP)), f"cut at {side}")
        x0, y0, x1, y1 = _along(box, towards, 0.0)
        canvas.line("wall", [(x0, y0), (x1, y1)], side)


def _zone(canvas: Canvas, zone: Zone, place: Place, whole: Box, arm_over: float) -> None:
    """Draw what holds: blocks at sides, arms over the face, what grips below, screws in the waste."""
    if zone.where == "underneath":
        x0, y0, x1, y1 = whole
        canvas.hatched("beneath", _corners((x0 + 5.0, y0 + 3.0, x1 - 5.0, y1 - 3.0)), "wide", zone.name)
        return
    if zone.where == "raised":
        x0, y0, x1, y1 = whole
        for share in (0.2, 0.8):
            middle = x0 + share * (x1 - x0)
            canvas.hatched(
                "beneath", _corners((middle - 4.0, y0 + 3.0, middle + 4.0, y1 - 3.0)), "wide", "riser"
            )
        return
    if zone.where == "waste":
        for box in (_along(whole, (-1.0, 0.0), 5.0), _along(whole, (1.0, 0.0), 5.0)):
            for share in (0.2, 0.8):
                at = ((box[0] + box[2]) / 2, box[1] + share * (box[3] - box[1]))
                canvas.dot("shim", at, "screw", 1.0)
        return
    if zone.where == "face":
        clear = {*zone.clear_of}
        ways = [side for side in SIDES if side not in clear and round(place.looks(side)[1])]
        for side in ways:
            for block in _blocks(_along(whole, place.looks(side), -BLOCK), place.looks(side), 3):
                arm = _stretched(block, place.looks(side), arm_over)
                canvas.hatched("solid top-clamp", _corners(arm), "cross", zone.name)
        return
    for side in zone.where:
        towards = place.looks(side)
        for block in _blocks(_along(whole, towards, -BLOCK), towards, 3 if round(towards[1]) else 1):
            canvas.hatched("solid side-clamp", _corners(block), "slant", f"{zone.name} at {side}")


def _blocks(strip: Box, towards: Point, number: int) -> Iterator[Box]:
    """Yield `number` short blocks along a strip."""
    x0, y0, x1, y1 = strip
    for k in range(number):
        share = (k + 0.5) / number
        if round(towards[1]):
            middle = x0 + share * (x1 - x0)
            yield (middle - 3.0, y0, middle + 3.0, y1)
        else:
            middle = y0 + share * (y1 - y0)
            yield (x0, middle - 3.0, x1, middle + 3.0)


def _stretched(box: Box, towards: Point, by: float) -> Box:
    """Return a box made longer away from where it looks."""
    x0, y0, x1, y1 = box
    return (x0, y0 - by, x1, y1) if towards[1] > 0 else (x0, y0, x1, y1 + by)


def _name(canvas: Canvas, side: Side, now: Group, whole: Box, kind: str) -> None:
    """Write a side's name within the board, or beside a row."""
    dx, dy = now.place.looks(side)
    x0, y0, x1, y1 = whole
    middle = canvas.at(((x0 + x1) / 2, (y0 + y1) / 2))
    if round(dx):
        at = canvas.at(((x1 + 5.0) if dx > 0 else (x0 - 5.0), (y0 + y1) / 2))
        canvas.word((at[0], at[1] - 6.0), side, f"word {kind}", "start" if dx > 0 else "end", FIXED)
        return
    inside = y1 - 4.0 if dy > 0 else y0 + 4.0
    if now.together > 1:
        inside = y1 + 7.5 if dy > 0 else y0 - 7.0
    canvas.word((middle[0], canvas.at((0.0, inside))[1]), side, f"word {kind}", tries=FIXED)


def _called(step: Any) -> str:
    if isinstance(step, FaceStep):
        return f"face {step.face}"
    return str(step.side) if isinstance(step, EdgeStep) else "edge-2 of each, edge-1 of the next"


def _turned(now: Group, before: Group | None) -> Iterator[str]:
    """Say what is done with the board before this clamping."""
    if now.before:
        yield "first rested" if now.moved is not None else "after a pause"
    if before is not None and now.place.up != before.place.up:
        same = now.place.looks("end-1") == before.place.looks("end-1")
        yield "turned over, edge over edge" if same else "turned over, end over end"
    elif before is not None and now.place.quarter_turns != before.place.quarter_turns:
        half = (now.place.quarter_turns - before.place.quarter_turns) % 4 == 2
        yield f"turned {'half' if half else 'a quarter'} round"
    elif before is not None:
        yield "it keeps the way it lies"
    if now.against_fence:
        yield "to the fence"


def _held(zones: Sequence[Zone]) -> list[str]:
    """Say where a clamping holds; sides together."""
    words = {
        "underneath": "from below, by tape or vacuum",
        "waste": "by screws through the waste",
        "face": "from above",
    }
    told = [words[zone.where] for zone in zones if isinstance(zone.where, str)]
    sides = [side for zone in zones if not isinstance(zone.where, str) for side in zone.where]
    if sides:
        low = all(zone.below is not None for zone in zones if not isinstance(zone.where, str))
        at = "all four sides" if len(set(sides)) == len(SIDES) else " and ".join(dict.fromkeys(sides))
        told.append(f"{'low ' if low else ''}at {at}")
    return list(dict.fromkeys(told))
