"""Where a turning cutter that waits touches the wood, to a tenth of a millimetre."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutters import facer
from setups import face_setup, shop
from situations import found, hand, situation
from stockwright.checking import burning
from stockwright.motion.nodes import Dwell, Pause, SpindleOff, SpindleOn

RADIUS, NEAR, TOP = 25.0, 80.0, 35.0  # of the facer; the board's near side and upper face


def waiting(y: float, z: float, *nodes: Dwell | Pause | SpindleOff | SpindleOn) -> int:
    """Count what is found of a cutter that waits at x 250 with its tip at z."""
    setup = face_setup()
    stops = (("rapid", None, None, 60.0), ("rapid", 250.0, y, None), ("feed", 250.0, y, z))
    program = hand(setup, facer(), *stops)
    made = replace(program, nodes=(*program.nodes[:-1], *nodes, program.nodes[-1]))
    return len(found(burning.dwells_in_the_wood, situation(setup, shop(), (made,))))


@pytest.mark.parametrize("node", [Dwell(2.0), Pause("look")])
def test_beside_the_wood_it_may_wait_from_a_tenth_of_a_millimetre_on(node: Dwell | Pause) -> None:
    """The rim counts, not the centre: nearer than a tenth it rubs, over the wood it does."""
    assert waiting(NEAR - RADIUS - 0.15, 30.0, node) == 0
    assert waiting(NEAR - RADIUS - 0.05, 30.0, node) == 1
    assert waiting(130.0, 30.0, node) == 1


def test_above_the_wood_it_may_wait_from_a_tenth_of_a_millimetre_on() -> None:
    """Nearer to the upper face than that, it rubs."""
    assert waiting(130.0, TOP + 0.15, Dwell(2.0)) == 0
    assert waiting(130.0, TOP + 0.05, Dwell(2.0)) == 1


def test_a_still_cutter_may_wait_anywhere() -> None:
    """Between stop and start nothing rubs; started again, it does."""
    assert waiting(130.0, 30.0, SpindleOff(), Dwell(2.0)) == 0
    assert waiting(130.0, 30.0, SpindleOff(), Dwell(2.0), SpindleOn(14000.0), Dwell(2.0)) == 1
    assert waiting(130.0, 30.0, Dwell(2.0), Pause("look")) == 2
