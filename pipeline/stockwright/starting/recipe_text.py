"""The text of a recipe that is begun. In: a `Wish`. Out: lines of YAML with their comments.

Promise: each reference is cut before whatever relies on it; only kinds of tools and zones are named.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.starting.kept import flow
from stockwright.starting.writing import plain, quoted
from stockwright.units import LENGTH, MeasureError, parse, parse_range

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.starting.recipe import Wish

__all__ = ["limits", "recipe_lines"]

_ACROSS = "passes: across"
_ALLOWANCE = "{is: length, ask: what each face keeps, from: 0.8 mm, to: 10 mm, default: 1.6 mm}"
_REST = (
    "Let the board rest on stickers with air all round it, until a meter reads its place's moisture on both "
    "faces; without a meter for two weeks."
)


def recipe_lines(wish: Wish) -> Iterator[str]:
    """Yield the recipe's lines."""
    body = [*_tools(wish), *_holding(wish), *_tolerance(wish), *_finished(wish)]
    if wish.kept.slides() and wish.held == "sides":
        body += ["", "slide: yes                   # a board longer than the machine reaches is slid along"]
    order = "in the order of work: first what others rest on or stand square to"
    body += ["", f"steps:                       # {order}", *_faces(wish), *_sides(wish)]
    yield "stockwright: recipe/1"
    yield f"name: {quoted(wish.name)}"
    yield "version: 1.0.0               # count it up where what it makes changes"
    yield f"about: {quoted(wish.about or _about(wish))}"
    yield from _inputs(wish, "\n".join(body))
    yield from body


def _about(wish: Wish) -> str:
    words = {
        "faces": {"one": "one face flat", "both": "both faces flat and parallel"},
        "edges": {"one": "one edge straight", "both": "both edges straight and parallel"},
        "ends": {"both": "both ends square"},
    }
    said = [told for key, kinds in words.items() if (told := kinds.get(getattr(wish, key)))]
    text = ", ".join(said)
    return f"{text[0].upper()}{text[1:]}."


def _inputs(wish: Wish, body: str) -> Iterator[str]:
    """Yield what a job has to say: sizes, and what else the sums of the `body` name."""
    asked = []
    if wish.ends == "both":
        asked.append(("length", "finished length", wish.length))
    if wish.edges == "both":
        asked.append(("width", "finished width", wish.width))
    if wish.knows_thickness:
        thick = "finished thickness" if wish.faces == "both" else "thickness of the wood at its thinnest"
        asked.append(("thickness", thick, wish.thickness))
    lines = []
    for name, usual, span in asked:
        low, high = limits(span)
        said = wish.kept.input(name)
        ask = flow(said["ask"]) if "ask" in said else usual
        default = f", default: {flow(said['default'])}" if "default" in said else ""
        lines.append(
            f"  {name}: {{is: length, ask: {ask}, from: {quoted(low)}, to: {quoted(high)}{default}}}"
        )
    there = [name for name, _, _ in asked]
    if wish.visits == "two":
        there.append("allowance")
        lines.append("  # what each face keeps for the second visit; more than the board warps meanwhile")
        kept = flow(wish.kept.input("allowance")) if wish.kept.input("allowance") else _ALLOWANCE
        lines.append(f"  allowance: {kept}")
    lines += [f"  {name}: {said}" for name, said in wish.kept.inputs_of("\n".join([*lines, body]), there)]
    if lines:
        yield ""
        yield "inputs:                      # what a job has to say; every value carries its unit"
        yield from lines


def limits(span: str) -> tuple[str, str]:
    """Return both ends of a range, as they were written where each has its own unit."""
    low, _, high = span.partition(" to ")
    try:
        for each in (low, high):
            parse(each, LENGTH)
    except MeasureError:
        least, most = parse_range(span, LENGTH)
        return f"{least:g} mm", f"{most:g} mm"
    return low, high


def _tools(wish: Wish) -> Iterator[str]:
    yield ""
    yield "tools:                       # kinds of cutters; a shop's own is matched to each"
    if wish.faces != "none":
        yield f"  facer: {wish.kept.tool('face') or '{does: face, diameter: 20 mm to 80 mm}'}"
    if wish.sized:
        # 2 mm more than the wood: the tip goes below it, and a little is left to spare.
        does = "edge" if wish.edges != "none" else "end"
        usual = f'{{does: {does}, diameter: 6 mm to 25 mm, reach: "=thickness + 2 mm"}}'
        yield f"  edge-cutter: {wish.kept.tool(does) or usual}"


def _holding(wish: Wish) -> Iterator[str]:
    yield ""
    yield "holding:                     # where holding is wanted; with what, the shop's document says"
    if wish.faces != "none" and wish.held != "top":
        # One rough face alone: what comes off it is not known, so hold-downs stay further down.
        under = f'"=thickness - {"3 mm" if wish.faces == "both" else "5 mm"}"'
        yield "  # under the cut: what pushes at the edges, what stands firm at the ends"
        for name, sides in (("low-sides", ["edge-1", "edge-2"]), ("low-ends", ["end-1", "end-2"])):
            below = wish.kept.below(sides) or under
            yield f"  {name}: {{where: [{', '.join(sides)}], below: {below}}}"
    if wish.faces != "none" and wish.held == "top":
        yield "  on-top: {where: face}      # clamps over the face that is cut: they move once"
    if wish.held == "underneath":
        yield "  below: {where: underneath} # tape or vacuum; the face there is flat by then"
    if wish.edges != "none":
        yield "  # clamps on top, reaching in from the far edge while edge-1 is cut"
        yield "  far-clamps: {where: face, clear-of: [edge-1, end-1, end-2]}"
    if clear := _second_clear(wish):
        yield "  # clamps on top, clear of what is cut now"
        yield f"  middle-clamps: {{where: face, clear-of: [{', '.join(clear)}]}}"


def _second_clear(wish: Wish) -> list[str]:
    """Return what clamps stay clear of while the sides after edge-1 are cut; nothing where none are."""
    if wish.edges == "both" or (wish.edges == "one" and wish.ends == "both"):
        return ["end-1", "end-2", "edge-2"]
    return ["end-1", "end-2"] if wish.ends == "both" else []


def _tolerance(wish: Wish) -> Iterator[str]:
    within = plain(wish.within)
    asked = {}
    if wish.faces != "none":
        asked["flatness"] = within
    if wish.faces == "both":
        asked |= dict.fromkeys(("thickness", "parallelism"), within)
    if wish.edges != "none":
        asked |= dict.fromkeys(("squareness", "straightness"), "0.3 mm")
    if wish.edges == "both":
        asked["width"] = "0.5 mm"
    if wish.ends == "both":
        asked["length"] = "0.8 mm"
    if asked:
        said = {key: wish.kept.tolerance(key) if key != "flatness" else "" for key in asked}
        yield ""
        yield "# what the piece may be out by; what a shop cannot reach is told before anything is cut"
        yield f"tolerance: {{{', '.join(f'{key}: {said[key] or asked[key]}' for key in asked)}}}"


def _finished(wish: Wish) -> Iterator[str]:
    made = {"length": wish.ends, "width": wish.edges, "thickness": wish.faces}
    sizes = [f'{measure}: "={measure}"' for measure, sides in made.items() if sides == "both"]
    if sizes:
        yield ""
        yield f"finished: {{{', '.join(sizes)}}}"


def _faces(wish: Wish) -> Iterator[str]:
    if wish.faces == "none":
        return
    hold = "on-top" if wish.held == "top" else "low-sides, low-ends"
    second = "below" if wish.held == "underneath" else hold
    both = wish.faces == "both"
    yield "  - face: A                  # the face that is cut first is called A"
    yield "    tool: facer"
    first = len(wish.kept.cuts("A")) - 1
    said = wish.kept.of_side("A", {"seat"}, first)
    yield f"    {said[0] if said else 'seat: thickest           # or no-rocking, or as-it-lies'}"
    taken = "half-of-surplus    # or least, or a length" if both else "least              # or a length"
    said = wish.kept.of_side("A", {"take"}, first, but="" if both else "half-of-surplus")
    yield f"    {said[0] if said else f'take: {taken}'}"
    twice = int(wish.visits == "two")
    for each in _passes(wish, "A", twice if both else 0):
        across = "           # both ends first, the clamps between them; then the middle"
        yield f"    {each}{across if each == _ACROSS and wish.held == 'top' else ''}"
    yield f"    hold: [{hold}]"
    if not both:
        return
    yield "  - flip: edge-over-edge     # or end-over-end"
    if wish.visits == "one":
        yield _face("B", '"=thickness"', _passes(wish, "B"), second)
        return
    yield _face("B", '"=thickness + 2 * allowance"', _passes(wish, "B", 1), second)
    pause, moved = wish.kept.rest() or (quoted(_REST), "by-moisture")
    yield f"  - pause: {pause}"
    yield f"    moved: {moved}       # how far it may warp meanwhile: by-moisture, or a length"
    yield "  - flip: edge-over-edge"
    yield _face("A", '"=thickness + allowance"', _passes(wish, "A"), hold)
    yield "  - flip: edge-over-edge"
    yield _face("B", '"=thickness"', _passes(wish, "B"), second)


def _face(face: str, to: str, said: list[str], hold: str) -> str:
    return f"  - {{{', '.join([f'face: {face}', 'tool: facer', f'to: {to}', *said, f'hold: [{hold}]'])}}}"


def _passes(wish: Wish, face: str, later: int = 0) -> list[str]:
    """Return how a face's passes run, and what else the recipe followed says of them."""
    keys = {"passes", "direction", "perimeter", "stepover", "stepdown", "light"}
    if wish.held == "sides":
        keys |= {"together"}  # a row is held from its sides
    if wish.held == "top" or wish.kept.slides():
        keys |= {"overlap"}
    said = wish.kept.of_side(face, keys, later)
    run = any(each.startswith("passes:") for each in said)
    return said if run or wish.held != "top" else [_ACROSS, *said]


def _sides(wish: Wish) -> Iterator[str]:
    ends = ("end-1", "end-2") if wish.ends == "both" else ()
    if wish.edges == "one":
        yield "  # the other edge stays as it is, so there is no width; `take: 5 mm` says how much comes off"
    if wish.edges != "none":
        yield _side(wish, "edge-1", "", "far-clamps")
    if wish.edges == "both" or (wish.edges == "one" and ends):
        yield "  - turn: {to-fence: edge-1} # by how much is computed"
    hold = "middle-clamps"
    for end in ends:
        yield _side(wish, end, '"=length"' if end == "end-2" else "", hold)
        hold = ""  # the same clamping goes on
    if wish.edges == "both":
        last = "        # last: it takes the ends' breakout with it" if ends else ""
        yield _side(wish, "edge-2", '"=width"', hold) + last


def _side(wish: Wish, side: str, to: str, hold: str) -> str:
    edge = side.startswith("edge")
    keys = {"below", "light", "stepdown", "spring"} | ({"hollow"} if edge else set())
    if edge and wish.edges == "one":
        keys |= {"take"}
    said = [f"{'edge' if edge else 'end'}: {side}", "tool: edge-cutter"]
    said += [f"to: {to}"] if to else []
    said += wish.kept.of_side(side, keys)
    said += [f"hold: [{hold}]"] if hold else []
    return f"  - {{{', '.join(said)}}}"
