"""The text of a recipe that is begun. In: a `Wish`. Out: lines of YAML with their comments.

Promise: each reference is cut before whatever relies on it; only kinds of tools and zones are named.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.starting.writing import quoted
from stockwright.units import LENGTH, MeasureError, parse, parse_range

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stockwright.starting.recipe import Wish

__all__ = ["recipe_lines"]

_REST = (
    "Let the board rest on stickers with air all round it, until a meter reads its place's moisture on both "
    "faces; without a meter for two weeks."
)


def recipe_lines(wish: Wish) -> Iterator[str]:
    """Yield the recipe's lines."""
    yield "stockwright: recipe/1"
    yield f"name: {quoted(wish.name)}"
    yield "version: 1.0.0               # count it up where what it makes changes"
    yield f"about: {quoted(wish.about or _about(wish))}"
    yield from _inputs(wish)
    yield from _tools(wish)
    yield from _holding(wish)
    yield from _tolerance(wish)
    yield from _finished(wish)
    yield ""
    yield "steps:                       # in the order of work: first what others rest on or stand square to"
    yield from _faces(wish)
    yield from _sides(wish)


def _about(wish: Wish) -> str:
    words = {
        "faces": {"one": "one face flat", "both": "both faces flat and parallel"},
        "edges": {"one": "one edge straight", "both": "both edges straight and parallel"},
        "ends": {"both": "both ends square"},
    }
    said = [told for key, kinds in words.items() if (told := kinds.get(getattr(wish, key)))]
    text = ", ".join(said)
    return f"{text[0].upper()}{text[1:]}."


def _inputs(wish: Wish) -> Iterator[str]:
    asked = []
    if wish.ends == "both":
        asked.append(("length", "finished length", wish.length))
    if wish.edges == "both":
        asked.append(("width", "finished width", wish.width))
    if wish.knows_thickness:
        thick = "finished thickness" if wish.faces == "both" else "thickness of the wood at its thinnest"
        asked.append(("thickness", thick, wish.thickness))
    if not asked:
        return
    yield ""
    yield "inputs:                      # what a job has to say; every value carries its unit"
    for name, ask, span in asked:
        low, high = _limits(span)
        yield f"  {name}: {{is: length, ask: {ask}, from: {quoted(low)}, to: {quoted(high)}}}"
    if wish.visits == "two":
        yield "  # what each face keeps for the second visit; more than the board warps meanwhile"
        yield "  allowance: {is: length, ask: what each face keeps, from: 0.8 mm, to: 10 mm, default: 1.6 mm}"


def _limits(span: str) -> tuple[str, str]:
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
        yield "  facer: {does: face, diameter: 20 mm to 80 mm}"
    if wish.sized:
        # 2 mm more than the wood: the tip goes below it, and a little is left to spare.
        does = "edge" if wish.edges != "none" else "end"
        yield f'  edge-cutter: {{does: {does}, diameter: 6 mm to 25 mm, reach: "=thickness + 2 mm"}}'


def _holding(wish: Wish) -> Iterator[str]:
    yield ""
    yield "holding:                     # where holding is wanted; with what, the shop's document says"
    if wish.faces != "none" and wish.held != "top":
        # One rough face alone: what comes off it is not known, so hold-downs stay further down.
        under = "3 mm" if wish.faces == "both" else "5 mm"
        yield "  # under the cut: what pushes at the edges, what stands firm at the ends"
        yield f'  low-sides: {{where: [edge-1, edge-2], below: "=thickness - {under}"}}'
        yield f'  low-ends: {{where: [end-1, end-2], below: "=thickness - {under}"}}'
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
    within = quoted(wish.within)
    asked = []
    if wish.faces != "none":
        asked.append(f"flatness: {within}")
    if wish.faces == "both":
        asked += [f"thickness: {within}", f"parallelism: {within}"]
    if wish.edges != "none":
        asked += ["squareness: 0.3 mm", "straightness: 0.3 mm"]
    if wish.edges == "both":
        asked.append("width: 0.5 mm")
    if wish.ends == "both":
        asked.append("length: 0.8 mm")
    if asked:
        yield ""
        yield "# what the piece may be out by; what a shop cannot reach is told before anything is cut"
        yield f"tolerance: {{{', '.join(asked)}}}"


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
    yield "    seat: thickest           # or no-rocking, or as-it-lies"
    taken = "half-of-surplus    # or least, or a length" if both else "least              # or a length"
    yield f"    take: {taken}"
    if wish.held == "top":
        yield "    passes: across           # both ends first, the clamps between them; then the middle"
    twice = int(wish.visits == "two")
    if light := wish.passes("A", twice if both else 0):
        yield f"    {light}"
    yield f"    hold: [{hold}]"
    if not both:
        return
    yield "  - flip: edge-over-edge     # or end-over-end"
    if wish.visits == "one":
        yield f'  - {{face: B, tool: facer, to: "=thickness", {_passes(wish, "B")}hold: [{second}]}}'
        return
    rough, again, last = _passes(wish, "B", 1), _passes(wish, "A"), _passes(wish, "B")
    yield f'  - {{face: B, tool: facer, to: "=thickness + 2 * allowance", {rough}hold: [{second}]}}'
    yield f"  - pause: {quoted(_REST)}"
    yield "    moved: by-moisture       # how far it may warp meanwhile: by-moisture, or a length"
    yield "  - flip: edge-over-edge"
    yield f'  - {{face: A, tool: facer, to: "=thickness + allowance", {again}hold: [{hold}]}}'
    yield "  - flip: edge-over-edge"
    yield f'  - {{face: B, tool: facer, to: "=thickness", {last}hold: [{second}]}}'


def _passes(wish: Wish, face: str, later: int = 0) -> str:
    """Return how a face's passes run and what is said of the last, before a further key."""
    said = wish.passes(face, later)
    return ("passes: across, " if wish.held == "top" else "") + (f"{said}, " if said else "")


def _last(wish: Wish, side: str) -> str:
    """Return what is said of a side's last pass, after another key."""
    said = wish.passes(side)
    return f", {said}" if said else ""


def _sides(wish: Wish) -> Iterator[str]:
    ends = ("end-1", "end-2") if wish.ends == "both" else ()
    if wish.edges == "one":
        yield "  # the other edge stays as it is, so there is no width; `take: 5 mm` says how much comes off"
    if wish.edges != "none":
        yield f"  - {{edge: edge-1, tool: edge-cutter{_last(wish, 'edge-1')}, hold: [far-clamps]}}"
    if wish.edges == "both" or (wish.edges == "one" and ends):
        yield "  - turn: {to-fence: edge-1} # by how much is computed"
    hold = ", hold: [middle-clamps]"
    for end in ends:
        to = ', to: "=length"' if end == "end-2" else ""
        yield f"  - {{end: {end}, tool: edge-cutter{to}{_last(wish, end)}{hold}}}"
        hold = ""  # the same clamping goes on
    if wish.edges == "both":
        last = "        # last: it takes the ends' breakout with it" if ends else ""
        yield f'  - {{edge: edge-2, tool: edge-cutter, to: "=width"{_last(wish, "edge-2")}{hold}}}{last}'
