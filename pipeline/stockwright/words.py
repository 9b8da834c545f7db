"""The glossary: one word for one thing, in documents, on the terminal, on the sheet and in code.

In: nothing. Out: `WORDS`: what each word means, and which words are not used for it. Promise: a test searches
keys, phrases, pages, templates and messages for the words that are not used.
"""

from __future__ import annotations

from stockwright.frozen import frozen

__all__ = ["WORDS", "Word", "words_page"]


@frozen
class Word:
    """What a word means here, and which words are not used for the same thing."""

    means: str
    not_said: tuple[str, ...] = ()


WORDS: dict[str, Word] = {
    "backing": Word(
        "scrap set against a corner where teeth leave the wood, so that it does not break out there"
    ),
    "bed": Word(
        "what boards lie on: the spoilboard, or strips on it. Heights of hold-downs and shims start there",
        ("worktable", "machine table"),
    ),
    "bed mark": Word(
        "the scribed cross on the bed where x and y are zero in every setup", ("datum", "home position")
    ),
    "board": Word(
        "the wood that is worked. Its x runs along the grain, y across, z from face B up to face A",
        ("stock", "workpiece", "work piece", "plank stock"),
    ),
    "clamping": Word("holding a board once: everything that is cut until it is let go", ("fixturing",)),
    "clear-of": Word(
        "of a zone on the face: the sides that clamps stay away from, for they are cut in that clamping"
    ),
    "cut": Word(
        "one face, edge, end or skim of the bed, made by one cutter. A cut has levels, a level has passes",
        ("operation", "toolpath", "tool path"),
    ),
    "cutter": Word(
        "what turns and cuts, under the name that the shop gives it; `tools` in documents lists them",
        ("bit", "bits", "router bit", "endmill"),
    ),
    "depth": Word("how far down a cut goes from the highest wood it meets", ("depth of cut",)),
    "design factor": Word(
        "how many times as hard as the cutter may push a board is to be held: 2, for cutters get dull and "
        "boards are not quite as they were measured"
    ),
    "edge": Word("one of the two long narrow sides of a board: edge-1 is made first and stands at the fence"),
    "end": Word("one of the two short sides of a board, across the grain: end-1 is where x begins"),
    "face": Word("one of the two wide sides of a board: face A is cut first, face B lies opposite"),
    "fence": Word(
        "what an edge is laid against, along x on the near side of the bed; its pieces can be lifted off",
        ("backstop",),
    ),
    "finding": Word(
        "what a check has to say: a rule's name, how bad it is, two numbers compared, and what to do",
        ("diagnostic", "violation"),
    ),
    "grip": Word("how one hold-down holds: which way, how hard, and where that number comes from"),
    "hold-down": Word(
        "anything that holds a board: clamp, stop, wedge, screw, tape, vacuum", ("fixture", "workholding")
    ),
    "hollow": Word("how far the middle of an edge lies inside the line of its ends, where that is wanted"),
    "job": Word("one recipe for certain boards in one shop, with its sizes"),
    "level": Word("all passes at one height", ("depth pass", "roughing pass")),
    "margin": Word("how near anything that moves may come to anything that stands; the shop's own figure"),
    "nose": Word(
        "the spindle's lower end, above the nut: travel and heights of the spindle are those of its nose"
    ),
    "outline": Word(
        "the program that runs first, in the air and with the spindle off, round what will be cut; also the "
        "shape of a board seen from above"
    ),
    "packet": Word("the folder that comes out: programs, sheet, playback and the facts that are proven"),
    "parcel": Word("one file with a recipe, its page and an example, on its way to another shop"),
    "pass": Word("one run of the cutter through the wood, from where it comes in to where it leaves"),
    "piece": Word("the finished board inside the rough one, with straight edges and flat faces"),
    "post": Word("what writes motion in the words of one dialect", ("postprocessor", "post-processor")),
    "probe": Word("a tip in the spindle that says when it touches; also to measure a board with it"),
    "profile": Word("a few lines beside the shop's document that say how a dialect differs from a post"),
    "program": Word("one file for the controller: one cutter, one thing done"),
    "proof": Word(
        "the programs read back by a reader of its own and cut in a simulated board, with a verdict",
        ("verification", "backplot"),
    ),
    "recipe": Word("what is made, in which order, and what it needs, for any shop"),
    "row": Word("several boards side by side in one clamping"),
    "seating": Word("how the rough board lies for its first face: its tilt and the shims under it"),
    "setup": Word("one clamping with its zero and its cuts; one page of the sheet"),
    "sheet": Word("the pages to work from at the machine", ("traveller", "traveler", "setup card")),
    "shim": Word("a thin piece under a board, where it would rock or sag", ("packer",)),
    "shop": Word("machine, bed, fence, hold-downs and cutters, in one document"),
    "spot": Word("a place on a face that the cutter did not reach", ("holiday", "missed area")),
    "state": Word("what runs while the same hold-downs stand; where clamps move, a setup has several"),
    "stick-out": Word("how far a cutter stands out below the nut, from tip to nut", ("tool overhang",)),
    "stop": Word(
        "what stands firm at a board's end and carries the push of the cutter; `carries` is what it bears "
        "before it shifts"
    ),
    "support": Word(
        "what a board lies on: the bed, or risers on it. `zero: support` in a recipe says that z is nought "
        "there and not on the wood, so that the second face comes out parallel to the first"
    ),
    "take": Word(
        "how much a cut takes off: of the first face half of what is too thick, the least that cleans it, or "
        "a length"
    ),
    "thickness": Word("a board's size from face to face", ("board height", "gauge thickness")),
    "trim": Word("what comes off sideways, at an edge or an end, at once"),
    "waste": Word("wood outside the finished piece; it is milled to chips", ("sacrificial", "scrap part")),
    "wind": Word("how far a board is twisted: two corners high, the two others low", ("warpage",)),
    "zero": Word("where x, y and z are nought in a setup, as taken at the machine", ("origin point",)),
    "zone": Word("where a recipe wants a board held; the shop says with what"),
}


def words_page() -> str:
    """Return the glossary as a table in markdown."""
    lines = ["| word | meaning | not |", "| --- | --- | --- |"]
    lines += [f"| {name} | {w.means} | {', '.join(w.not_said)} |" for name, w in WORDS.items()]
    return "\n".join(lines) + "\n"
