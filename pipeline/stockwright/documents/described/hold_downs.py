"""Keys of hold-downs, and of where they may stand. In: nothing. Out: a phrase for each."""

__all__ = ["HOLD_DOWNS"]

_COUNT = {"kind": "how it holds", "count": "how many are there"}
_BESIDE = {
    **_COUNT,
    "length": "how long it is along the board's side",
    "depth": "how far it reaches away from the board",
    "height": "how high it stands above the bed",
}

HOLD_DOWNS = {
    "SideClampPart": {**_BESIDE, "push": "how hard it squeezes"},
    "LeverStopPart": {**_BESIDE, "push": "how hard it pushes"},
    "WedgePart": {
        **_BESIDE,
        "angle": "how steep the wedge is",
        "drive": "how hard it is driven in",
        "push": "how hard it pushes, where that was measured",
    },
    "StopPart": {**_BESIDE, "carries": "what it bears before it shifts"},
    "TopClampPart": {
        **_COUNT,
        "width": "how wide its arm is, along the board",
        "arm": "from the arm's tip to the near side of its body, at most",
        "arm-height": "how high the arm stands above the board",
        "body-depth": "how deep its body is, away from the board",
        "reach": "how far the arm may reach onto the board",
        "press": "how hard it presses, where that was measured",
        "bolt": "what draws it down, where its press was not measured",
    },
    "BoltPart": {
        "diameter": "of the bolt's thread",
        "torque": "how tight it is drawn",
        "from-heel": "from the bolt to where the arm's heel bears",
        "from-work": "from the bolt to where the arm's tip bears",
        "nut-factor": "how much of the torque becomes pull, by a test",
    },
    "BackingPiece": {
        **_COUNT,
        "length": "how long it is, along the fence",
        "depth": "how deep it is, away from the board",
    },
    "TapePart": {
        **_COUNT,
        "width": "how wide a strip is",
        "thickness": "how thick it is",
        "shear": "what it carries sideways, by its area",
        "lift": "what it bears against lifting, by its area, which only a pull test tells",
    },
    "VacuumPart": {
        "kind": "how it holds",
        "areas": "the areas of the bed that draw a board down, measured over the seal",
        "seal": "how wide the seal's lip is",
        "follows": "how far out of flat an underside may be that it still closes on",
        "pressure": "what the gauge reads below the air's, a board lying on it",
    },
    "VacuumAreaPart": {"x": "from where to where, to the right", "y": "from where to where, away from you"},
    "ScrewPart": {
        **_COUNT,
        "head": "how wide its head is",
        "head-height": "how high its head is",
        "depth": "how far it goes into the bed",
        "sunk": "how far below the wood the head's upper side lies",
        "shear": "what it carries sideways",
        "pull": "what it carries upwards",
    },
    "RiserPart": {
        **_COUNT,
        "length": "how long it is, across the board",
        "width": "how wide it is, along the board",
        "height": "how high it stands above the bed, all of them alike",
    },
    "PlacesPart": {
        "slots": "slots that hold-downs are bolted to",
        "holes": "threaded holes that hold-downs are bolted to",
        "play": "how far the middle of a foot may stand off its bolt",
    },
    "SlotsPart": {"along": "which way the slots run", "at": "where each of them lies"},
    "HolesPart": {
        "x": "one at every crossing of these, to the right",
        "y": "with these, away from the operator",
    },
    "ChannelPart": {
        "x": "from where to where, to the right",
        "y": "from where to where, away from the operator",
        "depth": "how deep it is",
    },
}
