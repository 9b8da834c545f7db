"""Pages of what planning, measuring, cutting again and trying a controller may find.

In: nothing. Out: `FOUND`. Promise: every rule that is neither a function of `checking/` nor a reason of the
proof has its paragraph here: what it is, and what cures it. A test searches the source for rules without one.
"""

from __future__ import annotations

__all__ = ["FOUND"]

_BOARDS: dict[str, str] = {
    "board-barely-thick-enough": (
        "There is less wood over the finished thickness than the readings are sure of, so a spot may be "
        "left on a face. Cure: read the board at more places, or more closely."
    ),
    "board-left-out": (
        "Of several boards this one is refused, and the packet is made without it, as was asked for. No "
        "file cuts it. Cure: what its own finding says; then make a packet for it by itself, with "
        "`--board`."
    ),
    "board-too-narrow": (
        "The width that is wanted does not fit between the edges as measured, whichever way the piece is "
        "laid in the board. Cure: ask for a narrower piece, or take a wider board; a shorter piece may be "
        "wider."
    ),
    "board-too-short": (
        "The length that is wanted does not fit between the ends as measured. Cure: ask for a shorter "
        "piece, or take a longer board."
    ),
    "board-too-thin": (
        "Between the two flat faces there is less wood than the finished thickness, as the board is laid "
        "for its first face; the message names the two readings that limit it. Cure: ask for a thinner "
        "piece, take a thicker board, or cut it shorter or narrower first: a shorter board is less bowed."
    ),
    "edge-not-cleaned": (
        "The pass that cuts two neighbours' edges takes less off than this edge is out of straight: spots "
        "would be left. Cure: joint the edge straighter first, or let the pass take more."
    ),
    "edge-not-true": (
        "The recipe says that this edge is true when the board comes, and its readings say otherwise. "
        "Cure: cut it first, or take it out of the recipe's `already`."
    ),
    "face-not-true": (
        "The recipe says that both faces are true when the board comes, and the readings say otherwise. "
        "Cure: cut both faces first, or take `faces` out of the recipe's `already`."
    ),
    "movement-unknown": (
        "What is known of the board and of its place is too little to say how far the finished piece will "
        "shrink, swell or cup. Cure: say `species`, `moisture` and `sawn` of the board, `place` of the "
        "job."
    ),
    "moves-a-little": (
        "In the place it is for, the finished piece moves less than the recipe allows. Nothing is to be "
        "done as long as the place is as was said."
    ),
    "moves-before-the-last-cut": (
        "The board is not yet as dry or as moist as its place. It is cut to size after a rest, when most "
        "of the movement is done. Cure: let it rest until a meter reads its place's moisture on both "
        "faces."
    ),
    "moves-more-than-allowance": (
        "While the board rests it may warp by more than the second visit takes off a face: spots would be "
        "left. Cure: leave more on for the second visit, or dry the board nearer to its place's moisture."
    ),
    "moves-while-it-rests": (
        "How far the board is taken to stand off its place after the rest. The plan comes into the wood "
        "as much higher. Cure: measure it after the rest; where it has moved farther, plan it anew."
    ),
    "narrower-after-the-rest": (
        "While it rests the board may lose more of its width than stands beside a finished edge. Cure: "
        "ask for a narrower piece, take a wider board, or measure it anew after the rest."
    ),
    "span-too-long": (
        "Between two shims the board bears on nothing for longer than the shop allows, because no shim "
        "there is thin enough. Cure: list thinner shims, or fill the gaps with paper until every shim is "
        "snug."
    ),
    "nothing-to-cut": (
        "In this clamping only sides are cut, and the board as measured reaches no farther there than the "
        "finished piece: no cutter would meet wood. Cure: ask for a smaller piece, so that the last pass "
        "has wood to take, or take the steps out of the recipe and say under `already` what is true."
    ),
    "springs-when-pressed": (
        "Once the first face is cut the board is thin enough to be pressed down between its shims; it "
        "springs back after the cut and is no longer flat. Cure: further shims where the message says, "
        "pushed in until they just touch; press over shims only."
    ),
    "will-move": (
        "In the place it is for, the finished piece will move by more than the recipe allows. Cure: let "
        "the board come to its place's moisture before the last cut, or take a recipe with two visits."
    ),
}

_HOLDING: dict[str, str] = {
    "cannot-be-slid": (
        "The board is longer than the machine reaches, and it cannot be slid along and cut in parts here; "
        "the message says why. Cure: what the finding says, or a shorter board."
    ),
    "fence-below-riser": (
        "A board on risers begins above the fence. Cure: a fence as high as said, or lower risers."
    ),
    "fence-too-little": (
        "Too little of the fence can stay behind the board: the rest is in the way of the cut, or there is "
        "no more. Less than 60 mm refuses, less than a third of the board that lies on the bed warns: the "
        "shorter the fence, the farther a chip at one end of it turns the board (both common practice, no "
        "source). Cure: shorter pieces of fence or closer ones; where none is in the way, a longer fence."
    ),
    "held-far-apart": (
        "Between clamps that move, much of the board is held by nothing, and it may shake there. Cure: a "
        "stop or a low side clamp there, or a shorter board."
    ),
    "hold-down-where-cut": (
        "The recipe holds a side that is cut in the same clamping, and the cutter's tip comes down lower "
        "there than the lowest hold-down. Cure: leave that side out of the zone, or cut it in a clamping "
        "of its own."
    ),
    "neighbours-lie-askew": (
        "Edges that are cut in one pass between two boards mate only if both boards lie with the same "
        "face up. Cure: flip every board before that step, or none."
    ),
    "no-common-face": (
        "First faces that are cut side by side lie at one height, and two of these boards have none in "
        "common: where the thick one keeps its thickness, the thin one does not come clean. Cure: leave "
        "one of them out of the row, or cut the first face of each board alone."
    ),
    "no-fence": (
        "The recipe lays an edge against a fence, and the shop has none. Cure: add `fence` to the shop's "
        "document, or take a recipe that needs none."
    ),
    "no-hold-down": (
        "The recipe asks for something that holds there, and the shop lists nothing of that kind, or none "
        "low enough, or too few. Cure: list one in the shop's document, or hold that side elsewhere."
    ),
    "no-neighbour": (
        "Edges of neighbours are cut in one pass between two boards, and the job has one. Cure: name the "
        "boards in the job, in the order in which they lie side by side."
    ),
    "no-place-for-hold-down": (
        "A hold-down stands in slots or holes of the bed, and none is near enough to where it is needed. "
        "Cure: more places under the bed's `places`, more play, a longer foot, or another way to hold "
        "this board."
    ),
    "no-room-for-clamps": (
        "A hold-down does not fit where the recipe wants it: too long, too high, or in the way of the "
        "cutter. Cure: a smaller one, a longer arm or a lower fence, as the message says, or another way "
        "to hold it."
    ),
    "no-room-for-tape": (
        "Tape keeps away from the board's edges, and the board is too narrow for any. Cure: hold it "
        "another way."
    ),
    "no-room-for-risers": (
        "Risers go wholly under the board, clear of what is cut, one board to a clamping. Cure: shorter ones."
    ),
    "no-tool-for-role": (
        "None of the shop's cutters is what the recipe asks for in this role; the message says of each "
        "why not. Cure: add one that is, or take a recipe that asks for less."
    ),
    "no-vacuum-under-board": (
        "No area of the vacuum is sealed under the board: it lies beside them all, or marks of earlier "
        "cuts run under the seals. Cure: move an area under the board, skim the bed, or hold by tape."
    ),
    "no-waste-for-screws": (
        "Screws go where the finished piece is not, and there is not enough of such wood for them. Cure: "
        "take a longer board, or hold this one another way."
    ),
    "no-wooden-fence": (
        "The recipe joints a wooden fence in place, and the shop's fence may not be cut. Cure: set the "
        "take of the fence to nothing, or say `wooden: yes` if it may be cut."
    ),
    "nothing-carries-overhang": (
        "Much of the board hangs over the end of the bed, and the shop lists nothing that carries it: it "
        "tips or springs. Cure: stands level with the bed where the sheet says, and `supports: yes` under "
        "`slide`."
    ),
    "rough-face-on-vacuum": (
        "The face that lies on the vacuum is farther out of flat than its seal follows: air gets in and "
        "nothing holds. Cure: cut that face flat first, held from its sides."
    ),
    "riser-under-rough-face": (
        "A rough face bears on risers at a few places that nobody knows; one that is known too little may "
        "hang lower between them than the cutter goes. Cure: cut it flat first, on the bed; or a cutter that "
        "goes lower, or more readings."
    ),
    "row-cannot-be-held-so": (
        "A row of boards is squeezed from its sides; clamps on top and tape do not hold it as one. Cure: "
        "ask for hold-downs at both edges, below the cut."
    ),
    "row-does-not-close": (
        "Two neighbours of a row touch at one place and stand apart at another, so no squeeze holds them. "
        "Cure: cut their edges straight first, each board alone."
    ),
    "row-leans": (
        "Edges that are not parallel push a row askew, and the ends would come out of square. Cure: lay "
        "fewer boards side by side, those with parallel edges first."
    ),
    "row-lies-both-ways": (
        "Two boards of a row lie with their ends the other way round, and one pass would cut both. Cure: "
        "flip every second board edge over edge, so that its ends stay where they are."
    ),
    "row-lies-crosswise": (
        "A row is squeezed across the grain, and these boards lie so that the squeeze would run along it. "
        "Cure: turn no end to the fence before this step."
    ),
    "row-of-two-sizes": (
        "Boards that become different parts lie in one clamping, and one pass would cut both: a face at two "
        "heights, an end at two lengths, or between neighbours two takes. Cure: give both the same size, or "
        "make a job of its own for each part."
    ),
    "screw-bears-on-too-little": (
        "Under a sunk head too little wood is left to hold. Cure: sink it less, or hold the board another "
        "way."
    ),
    "screw-stands-too-high": (
        "The head of a screw would stand in the way of the face's cut. Cure: sink it as deep as the "
        "finding says, or hold this face from its sides."
    ),
    "shim-over-a-mark": (
        "A shim stands in the mark of an earlier cut, and the board would sag there. Cure: make it "
        "thicker by the mark's depth, or skim the bed."
    ),
    "tape-on-rough-face": (
        "Tape holds on planed, dust-free faces only, and this one is rough or out of flat. Cure: cut it "
        "flat first, held from its sides."
    ),
    "too-few-risers": (
        "Between risers, or twice beyond the last, more of the board is carried by nothing than the shop "
        "allows. Cure: as many as the finding says."
    ),
    "too-few-stops": (
        "At an end of a row each board wants a stop of its own, or all of them a long one. Cure: list so "
        "many, or one as long as the row is wide, or leave that end out of the zone."
    ),
    "wedge-slips-back": (
        "A wedge as steep as this can slide back when the cutter shakes it. Cure: cut it flatter, or "
        "secure it with a screw."
    ),
    "wood-lets-air-through": (
        "This wood has open pores that let air through, so the vacuum under it may be less than was "
        "reckoned. Cure: read the gauge with this board on it, or seal its lower face and ends."
    ),
}

_MEASURING: dict[str, str] = {
    "dead-probe-is-pushed": (
        "So little is known of the board that a probe which does not answer would be pushed farther than "
        "it gives. Cure: try it by hand where the program first stops, or read a few heights with a rule "
        "first."
    ),
    "no-probe": (
        "Measuring by probe was asked for, and the shop has none that fits. Cure: add `probe` or its "
        "collet to the shop's document, or read the board with `--by hand`."
    ),
    "no-room-to-measure": (
        "The spindle cannot rise high enough to pass over what may stand on the bed. Cure: let the probe "
        "stick out less, take lower stops, or read the board with rule and callipers."
    ),
    "nothing-to-measure": (
        "The recipe cuts no board, or the board has no place that can be touched. Cure: read it with rule "
        "and callipers."
    ),
    "place-out-of-reach": (
        "A place to be touched lies where the spindle does not go. Cure: lay the board higher, let the "
        "probe stick out farther, saw the board shorter, or read it by hand."
    ),
    "places-left-out": (
        "Some places cannot be touched past what stands there, and are left out. Cure: read these by "
        "hand, or take lower stops."
    ),
    "touch-may-miss": (
        "The board may lie lower than a touch is allowed to go; the program would stop there. Cure: lay "
        "it on something flat and say so, or measure it more closely first."
    ),
}

_AGAIN: dict[str, str] = {
    "all-was-cut": (
        "The program that is said to have stopped had made its last cut. Cure: go on with the sheet; "
        "where spots are left, use `--spot` or `--deeper`."
    ),
    "nothing-was-cut": (
        "The program had stopped before its first pass was done, so there is nothing to take up. Cure: "
        "take the zero anew and run the same file from its beginning."
    ),
    "thinner-than-wanted": (
        "Cutting deeper would make the board thinner than the recipe allows. Cure: cut less deep, or say "
        "`--thinner` if the thinner board will do."
    ),
    "too-deep-for-what-stands": (
        "Cutting deeper would bring the cutter down to something that stands on the bed. Cure: cut less "
        "deep, or set that thing lower and make the packet anew."
    ),
    "too-little-wood-left": (
        "Cutting deeper now would leave too little wood for a later setup. Cure: cut less deep, or make "
        "the job anew with a thinner piece."
    ),
}

_POSTS: dict[str, str] = {
    "one-file-for-two": (
        "Two programs would get one file name, as the post shortens names, and one would take the other's "
        "place. Cure: a profile with longer names, or shorter names of boards."
    ),
    "post-cannot-say": (
        "The dialect has no word for something that the job needs. Cure: what the finding says, or "
        "another post; a guess is never written."
    ),
    "sum-out-of-range": (
        "A sum of the recipe comes to more or less than the recipe allows, for the values that were "
        "tried. Cure: other values, or mend the recipe."
    ),
    "trial-too-low": (
        "A trial moves in the air only, and at the top of its travel the spindle is too near to what "
        "stands on the bed. Cure: take the hold-downs off the bed, and out of the document that you name."
    ),
    "trial-too-wide": (
        "If the controller took a trial's millimetres for inches, it would run beyond its travel. Cure: "
        "take the units from the machine's manual; a trial is not for so small a machine."
    ),
    "unproven": (
        "The post names no reader, so nobody has read the programs back and cut them in a simulated "
        "board. Cure: choose a post that names one, or take the programs on your own word with "
        "`--accept-unproven`."
    ),
}

FOUND: dict[str, str] = {**_BOARDS, **_HOLDING, **_MEASURING, **_AGAIN, **_POSTS}
