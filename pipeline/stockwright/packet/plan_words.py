"""The words of the drawing from above: numbers, names and lengths, each beside what it names.

In: a canvas and what lies on the bed, work mm. Out: words on the canvas. Promise: a name stands at its own
edge, end or board, or a line leads there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.packet.drawing import ALONG, FIXED
from stockwright.packet.placing import size_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from stockwright.packet.drawing import Canvas
    from stockwright.packet.placing import Place
    from stockwright.packet.wood import Wood

__all__ = [
    "AXIS",
    "LOWEST_FOR_TWO",
    "as_long_as_one_another",
    "beside",
    "hidden_sides",
    "write_beside",
    "write_foot",
    "write_grain",
    "write_lengths",
    "write_number",
    "write_side_names",
    "write_zero",
]

Point = tuple[float, float]
AXIS = 11.0  # paper mm: how long the arrows of x and y are
GRAIN, SHORTEST_GRAIN = 13.0, 3.5  # paper mm: half the arrow of the grain
SAME = 0.05  # mm: lengths that differ by less are told as one
NAME_OFF = 3.2  # paper mm from an edge to the middle of its name
NAMES_OUTSIDE = (-NAME_OFF, -8.0, -12.0, -16.0)  # paper mm outside of a low board
LOWEST_FOR_TWO = 17.0  # paper mm: how high a board is drawn that has names within and words between them
# Where along a board a word may stand, shares of it from its middle.
ALONG_A_BOARD = (0.0, *(side * step / 25 for step in range(1, 11) for side in (-1, 1)))


def write_number(canvas: Canvas, outlines: Sequence[Sequence[Point]], text: str) -> None:
    """Write the number of a thing on one of its parts: in its middle, or slid along its longer side."""
    places: list[Place] = []
    boxes = [(np.min(outline, axis=0), np.max(outline, axis=0)) for outline in outlines]
    for low, high in reversed(boxes):  # a body stands clear of the wood, its arm does not
        for shift in (0.0, 0.25, -0.25, 0.5, -0.5, 0.75, -0.75):
            wide, deep = ((high - low) / 2).tolist()
            x, y = ((low + high) / 2).tolist()
            at = (x + shift * wide, y) if wide > deep else (x, y + shift * deep)
            places.append((*canvas.at(at), "middle"))
    low, high = boxes[-1]
    canvas.put(places, text, "word tag", canvas.at(tuple(((low + high) / 2).tolist())))


def write_beside(
    canvas: Canvas,
    at: Point,
    text: str,
    kind: str,
    off: float = 2.2,
    within: Sequence[Sequence[Point]] = (),
    rivals: Sequence[Point] = (),
) -> None:
    """Write beside a marked place on paper, as `beside` says; nearer to one of `rivals` it is led back."""
    canvas.put(beside(canvas, at, off, within), text, kind, at, rivals)


def beside(
    canvas: Canvas, at: Point, off: float = 2.2, within: Sequence[Sequence[Point]] = ()
) -> list[Place]:
    """Return the places beside a marked one on paper, towards the drawing's middle; else round about it.

    `within`: outlines of boards; a place on one is rather written towards its middle than on its edge.
    """
    x, y = at
    ways: list[Place] = [(x + off, y, "start"), (x - off, y, "end")]
    if x > canvas.width / 2:
        ways.reverse()
    sides = tuple(ways)
    spans = [(canvas.at(np.max(o, axis=0))[1], canvas.at(np.min(o, axis=0))[1]) for o in within]
    upper = any(far <= y <= near and y < (far + near) / 2 for far, near in spans)
    for up in (3.6, -3.6) if upper else (-3.6, 3.6):
        ways += [(x, y + up, "middle"), *((way, y + up, anchor) for way, _, anchor in sides)]
    return ways


def as_long_as_one_another(woods: Mapping[str, Wood]) -> bool:
    """Say whether the boards begin and end together along the bed: then one dimension stands for all."""
    ends = np.array([[np.min(w.before, axis=0)[0], np.max(w.before, axis=0)[0]] for w in woods.values()])
    return len(ends) < 2 or bool((np.ptp(ends, axis=0) < SAME).all())


def _columns(outline: Sequence[Point]) -> tuple[list[float], list[float]]:
    return [x for x, _ in outline], [y for _, y in outline]


def write_lengths(canvas: Canvas, woods: Mapping[str, Wood], length: Callable[[float], str]) -> None:
    """Write at each board's end or on it how long it is, where dimensions would lie on one another.

    Led there from afar it would be read as its neighbour's: where one board has no room for it, none has it,
    and all stand on the first page alone.
    """
    found: list[tuple[Place, str]] = []
    for wood in woods.values():
        (x0, y0), (x1, y1) = np.min(wood.before, axis=0).tolist(), np.max(wood.before, axis=0).tolist()
        x, y = canvas.at((x1, (y0 + y1) / 2))
        left, _ = canvas.at((x0, 0.0))
        text = f"{length(x1 - x0)} long"
        half = size_of(text, bold=False)[0] / 2
        places: list[Place] = [(x + 1.8, y, "start"), (left - 1.8, y, "end")]
        within = (((left + x) / 2 + share * (x - left), y, "middle") for share in ALONG_A_BOARD)
        places += [place for place in within if left + half < place[0] < x - half]
        free = (p for p in places if canvas.room_for([([p], text, p[:2])], "word"))
        if (place := next(free, None)) is None:
            return
        found.append((place, text))
    for place, text in found:
        canvas.put([place], text)


def write_grain(canvas: Canvas, wood: Wood, told: str, *, named: bool, must: bool) -> bool:
    """Say what the board is and which face is up, by an arrow both ways how the grain runs; `named` too.

    Returns whether the arrow is drawn: only where it has room, unless it `must` be.
    """
    (x0, y0), (x1, y1) = np.min(wood.before, axis=0).tolist(), np.max(wood.before, axis=0).tolist()
    along_x = wood.sides["end-1"] in {"left", "right"}
    x, y = canvas.at(((x0 + x1) / 2, (y0 + y1) / 2))
    wide, deep = (x1 - x0) * canvas.scale, (y1 - y0) * canvas.scale
    downs = [share * deep for share in (0.0, 0.15, -0.15, 0.3, -0.3)] if deep > LOWEST_FOR_TWO else [0.0]
    whole = [(x + share * wide, y + down, "middle") for down in downs for share in ALONG_A_BOARD]
    canvas.put(whole, told, "word strong", (x, y))
    dx, dy = (1.0, 0.0) if along_x else (0.0, 1.0)
    room = wide if along_x else deep
    spots = [
        (x + dx * share * room + dy * off * wide, y + dy * share * room + dx * off * deep, half)
        for half in (min(GRAIN, 0.2 * room), min(GRAIN, 0.2 * room) / 2, SHORTEST_GRAIN)
        for off in (0.0, 0.25, -0.25)
        for share in (0.25, -0.25, 0.32, -0.32, 0.4, -0.4, 0.0)
        if abs(share) * room + half < room / 2
    ]
    free = (s for s in spots if canvas.free((s[0], s[1]), s[2] * dx + 1.4, s[2] * dy + 1.4))
    found = next(free, None)
    if found is None and not must:
        return False
    x, y, half = found or (spots or [(x, y, SHORTEST_GRAIN)])[0]
    canvas.keep_free((x, y), half * dx + 1.0, half * dy + 1.0)
    canvas.stroke("grain", (x - dx * half, y - dy * half), (x + dx * half, y + dy * half))
    for sense in (-1.0, 1.0):
        tip = (x + sense * dx * half, y + sense * dy * half)
        canvas.arrow("solid-ink", tip, (sense * dx, sense * dy), 2.2)
    if named:
        by: list[Place] = [(x, y + 3.3, "middle"), (x, y - 3.3, "middle")]
        by += [(x + half * dx + 2.0, y, "start"), (x - half * dx - 2.0, y, "end")]
        canvas.put(by if along_x else by[::-1], "grain", "word", (x, y))
    return True


def hidden_sides(wood: Wood, woods: Mapping[str, Wood]) -> set[str]:
    """Return the ways in which a board of a row has a neighbour: what its side there is called is its own."""
    low, high = (pick([p[1] for p in wood.before]) for pick in (min, max))
    others = [[p[1] for p in other.before] for other in woods.values() if other is not wood]
    hidden = {"near" for ys in others if min(ys) < low} | {"far" for ys in others if max(ys) > high}
    nearest = min(woods.values(), key=lambda other: min(p[1] for p in other.before))
    # Where the ends lie alike they are named once, at the nearest board.
    return hidden | {"left", "right"} if nearest is not wood and nearest.sides == wood.sides else hidden


def write_side_names(
    canvas: Canvas,
    outline: Sequence[Point],
    sides: Mapping[str, str],
    hidden: set[str],
    standing: Sequence[Sequence[Point]],
) -> None:
    """Write what edges and ends are called at themselves: within, else outside, else led back there."""
    (x0, y0), (x1, y1) = np.min(outline, axis=0).tolist(), np.max(outline, axis=0).tolist()
    (left, far), (right, near) = canvas.at((x0, y1)), canvas.at((x1, y0))
    across, down = (left + right) / 2, (far + near) / 2
    wide, high = right - left, near - far
    # A name within a board that is too low for two lines would seem to name the other edge.
    within = high > LOWEST_FOR_TWO
    ink = [(*canvas.at((min(x), max(y))), *canvas.at((max(x), min(y)))) for x, y in map(_columns, standing)]

    def over_ink(place: Place) -> bool:
        x, y, _ = place
        return any(a - 7 < x < c + 7 and b - 2 < y < d + 2 for a, b, c, d in ink)

    for name, where in sides.items():
        if where in hidden:
            continue
        places: list[Place] = []
        if where in {"near", "far"}:
            at, inwards = (near, -1.0) if where == "near" else (far, 1.0)
            for off in (NAME_OFF, -NAME_OFF) if within else NAMES_OUTSIDE:
                places += [(across + s * wide, at + inwards * off, "middle") for s in ALONG_A_BOARD]
            canvas.put(places if within else sorted(places, key=over_ink), name, "word name", (across, at))
            continue
        at, inwards = (left, 1.0) if where == "left" else (right, -1.0)
        ways = [(1.8, "start" if inwards > 0 else "end"), (-1.8, "end" if inwards > 0 else "start")]
        for off, anchor in ways if within else ways[::-1]:
            places += [(at + inwards * off, down + s * high, anchor) for s in ALONG_A_BOARD]
        canvas.put(places, name, "word name", (at, down))


def write_zero(canvas: Canvas) -> None:
    """Write what the arrows of the mark are."""
    x, y = canvas.at((0.0, 0.0))
    # Off the arrows' tips, where little else stands.
    right, top = x + AXIS + 2.0, y - AXIS - 2.0
    canvas.put(
        [(right + 2.4, y, "middle"), (right - 1, y + 3.4, "middle"), (right - 1, y - 3.4, "middle")],
        "x",
        "word strong",
        (right, y),
    )
    canvas.put(
        [(x, top - 2.6, "middle"), (x - 3.0, top + 1, "middle"), (x + 3.0, top + 1, "middle")],
        "y",
        "word strong",
        (x, top),
    )


def write_foot(canvas: Canvas, mark: str, z_at: str | None) -> None:
    """Write below everything what the signs of the zeros are, and where the person stands.

    `mark`: what x and y are taken at; `z_at`: where z is, from there.
    """
    foot = canvas.height - 2.4
    canvas.word((2.0, foot), f"ring: {mark}x 0, y 0", "word", "start", FIXED)
    canvas.word((0.45 * canvas.width, foot), "near side: you stand here", "word quiet", tries=ALONG)
    if z_at is not None:
        canvas.word((canvas.width - 2.0, foot), f"triangle: z 0 at {z_at}", "word", "end", FIXED)
