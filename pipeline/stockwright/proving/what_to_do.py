"""What a person does about each reason. In: a rule's name. Out: a sentence.

Promise: every rule of the proof has its own sentence, naming what can be done at the bench or in the text.
"""

from __future__ import annotations

__all__ = ["WHAT_TO_DO", "what_to_do"]

_ANEW = "take the program from the packet as it was made, or make the packet anew"

WHAT_TO_DO: dict[str, str] = {
    "attached-touches-solid": (
        "move that thing out of the way, lift off what rides with the spindle, or let the move go round"
    ),
    "attached-touches-wood": "lift it off for this program, or use a cutter that sticks out farther",
    "body-touches-solid": (
        "move that thing away from the path, or use a cutter that sticks out farther; the nut is wider than "
        "the cutter"
    ),
    "body-touches-wood": (
        "cut in more levels and widen the cut above, or use a cutter that is longer or sticks out farther"
    ),
    "cannot-lie": (
        "read `up`, `quarter_turns` and `matrix` of that board in packet.json: they must say the same, and "
        "turn without stretching; else make the packet anew"
    ),
    "changes-tool-midway": (
        "end the program before the change, and begin another with its own touch-off: a change belongs "
        "before the first move"
    ),
    "cut-below-bed": "raise the Z of that line; if the depth is meant, fit a thicker spoilboard and say so",
    "cut-from-two-sides": "cut through from one side alone, a little below the board, where a wall is asked",
    "cut-too-deep": (
        "compare the Z of that line, or of the line that began this level, with the goal; wood cannot be put "
        "back, so do not run it"
    ),
    "cuts-before-speed": (
        "put the wait back behind M3, as long as the number named; a cutter that is slow yet tears and grabs"
    ),
    "cuts-too-thick": (
        "put back the level that is missing before this line, or add one halfway between this depth and the "
        "last"
    ),
    "cutter-touches-solid": (
        "move that thing away from the path, or correct the X, Y or Z of that line; read the number it got"
    ),
    "ends-low": "before the end, retract: a line with G0 and Z alone, to the height named",
    "ends-turning": "put M5 on a line of its own before M2 or M30",
    "facts-disagree": (
        "packet.json says one thing in two places, and they differ: it was edited, so make the packet anew; "
        "until then neither it nor the sheet is to be followed"
    ),
    "feed-out-of-range": "lower the F word to what the machine can feed",
    "goal-misnamed": (
        "packet.json says one side's name at another side's place: it was edited, or `up` or `quarter_turns` "
        "is not as the board lies; make the packet anew"
    ),
    "goals-do-not-cover": (
        "packet.json says what is wanted where, and leaves a gap: it was edited, so make the packet anew"
    ),
    "leaves-the-path": "take G64 out, or put G61 in its place: it keeps to the path, slower round corners",
    "leaves-the-travel": (
        "correct the number on that line: a digit too many or a lost decimal point is the usual cause; else "
        "lay the board nearer the middle of the bed and make the packet anew"
    ),
    "loose-piece": (
        "mill that waste to chips from the outside in, or give it a hold-down of its own before it is freed"
    ),
    "meets-the-bed": (
        "raise the Z of that line, or come down beside the board at a feed, with the cutter turning"
    ),
    "more-than-the-control-takes": (
        "part that line in two, or shorten it; a file that is too long is split where the tip is raised"
    ),
    "moves-on-after-stop": "after the stop, let the first move be Z alone up to the height named",
    "moves-on-after-touch": "after the touch, let the first move be Z alone up to the height named",
    "no-end": f"the file was cut short, or its last line was lost: {_ANEW}; do not only add M30",
    "no-reader": (
        "choose a post that names its reader; until then nobody has checked these files, and whoever runs "
        "them does so on their own word"
    ),
    "out-of-flat": "read the other reasons first: a spot left or a cut too deep is the usual cause",
    "out-of-parallel": (
        "read how the board lies for its second face: it must rest on the first, no shim or chip under it"
    ),
    "out-of-square": "read how the board lies for that edge or end: it must stand against the trued side",
    "out-of-straight": "read the other reasons first: wood left at a wall or cut into it is the usual cause",
    "outline-touches-wood": "raise the Z of that line: an outline is traced in the air, above the board",
    "plunge-without-centre-edges": (
        "come down beside the board and move in sideways; this cutter has no edges at its middle"
    ),
    "probe-touches-wood": "raise the Z of that line, or go there with a probing move",
    "program-listed-twice": "give each run a file of its own in packet.json, or make the packet anew",
    "program-missing": "put the file back where packet.json says it is, or make the packet anew",
    "program-not-listed": "take that file out of the folder, so that nobody runs it by mistake",
    "ramp-too-steep": "go down over a longer way, or come down beside the board and move in sideways",
    "rapid-through-wood": "retract to a clear Z before that line, or make it a G1 with the feed of the pass",
    "relies-on-what-was-left": (
        "state the missing words on a line before the first move; a machine keeps what the last program set"
    ),
    "rests-in-wood": "retract before that line, or feed faster there: a cutter that stands in wood burns it",
    "signs-unknown-to-the-control": (
        "take the comment out, write capitals, write 15.0 for 15; or let the post's profile say that the "
        "control takes it, if its manual does"
    ),
    "spindle-off-in-wood": "put M3 and its S word before the cutter comes down",
    "spindle-on-in-outline": "take M3 out: hands are near when an outline is traced",
    "spindle-on-in-probe": "take M3 out: the probe is in the spindle, or a hand near it",
    "spindle-out-of-range": "correct the S word: within the machine's range and not above the cutter's mark",
    "spindle-turns-wrong-way": "M3, not M4: these cutters cut clockwise seen from above",
    "spots-left": (
        "look for a pass or a level that is missing, too high or shifted near that place; if the wood itself "
        "is too low there, seat the board anew or take a thinner piece"
    ),
    "starts-from-unknown-place": (
        "let the first move be Z alone, up to the height named, and x and y only after it"
    ),
    "stops-with-spindle-on": "put M5 before the stop, or end the program there and begin another",
    "text-not-understood": (
        "correct that line by hand if the slip is plain; otherwise, as a word that is guessed at moves a "
        f"machine, {_ANEW}"
    ),
    "tool-not-asked-for": (
        "put the words back that ask for the cutter, before the first move; else the last one cuts on"
    ),
    "touch-below-floor": "end the probing move higher, so that a contact that fails stops above the bed",
    "touch-beside-wood": "move that place inward, until the board is under the whole tip",
    "touch-not-straight-down": "let a probing move have Z alone, downwards",
    "touch-too-deep": "end the probing move higher: the probe would be pushed in farther than it gives",
    "touches-in-another-program": "take the probing move out: only a measuring program touches",
    "touches-without-probe": "fit the probe and name it as the program's tool, with how far it gives",
    "traverse-low": "retract to the height named before going across",
    "wall-cut-into": (
        "move that pass out by what is named: compare its X and Y with those of the level before it"
    ),
    "wall-left": (
        "look for a pass along that side which is missing, too far out, or not deep enough to go through"
    ),
    "wall-not-reached": (
        "lay the board so that wood stands over the wall all along: a gap too wide, or a board exchanged for "
        "another, is the usual cause"
    ),
    "words-unknown-to-the-control": (
        "take that word out; or let the post's profile say it, if the control's manual does and you know "
        "what it switches or moves"
    ),
    "wrong-size": (
        "compare what was wanted with the goals of the last face or side; a reason above may be the cause"
    ),
    "wrong-tool": (
        "fit the cutter that the sheet names for this file; if the T word was changed, put its number back"
    ),
}


def what_to_do(rule: str) -> str:
    """Give the sentence of a rule; one that a later version knows gets the plain advice."""
    return WHAT_TO_DO.get(rule, f"read that line of the program; {_ANEW}")
