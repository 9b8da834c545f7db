"""Shops, setups and programs with no round number in them, for odd work. In: what differs. Out: values."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from cutters import end_mill, facer
from setups import edge_setup, face_setup, shop
from situations import hand
from stockwright.board.nominal import board_from_nominal
from stockwright.job import Tolerance
from stockwright.planning.setup import Grip, ShimPlace

if TYPE_CHECKING:
    from situations import Stop
    from stockwright.checking import Situation
    from stockwright.machine import Shop
    from stockwright.motion.nodes import Program
    from stockwright.planning.setup import Setup
    from stockwright.tooling import Tool

__all__ = [
    "AT",
    "EAST",
    "GUESS",
    "NORTH",
    "SIZE",
    "edged",
    "faced",
    "grip",
    "known_as",
    "mill",
    "odd_shop",
    "raised",
    "zigzag",
]

How = Literal["press", "push", "carry", "shear", "draw"]
OWN, GUESS = "the shop's own figure", "guessed, the shop's document does not say"
AT, SIZE = (91.5, 63.25), (217.0, 83.5)  # low corner and size of the boards here
EAST, NORTH = AT[0] + SIZE[0], AT[1] + SIZE[1]


def odd_shop(*, friction: float | None = None, pressure: float | None = None, **machine: object) -> Shop:
    """Give a shop whose machine has no round number; `machine` replaces fields of it."""
    given: dict[str, object] = {
        "margin": 3.75,
        "spoilboard": 5.3,
        "max_feed": 4870.0,
        "power": 1340.0,
        "min_rpm": 7300.0,
        "max_rpm": 23700.0,
    }
    own = shop(mark=(213.0, 147.5), **(given | machine))  # type: ignore[arg-type]
    return replace(own, friction=friction, cutting_pressure=pressure)


def grip(how: How, x: float, y: float, force: float, z: float = 27.4, **more: object) -> Grip:
    """Give a grip at a place; `more` are its other fields."""
    name = str(more.pop("name", f"{how}-thing {x:g}"))
    source = str(more.pop("source", OWN))
    return Grip(name, str(more.pop("board", "board")), how, (x, y, z), force, source, **more)  # type: ignore[arg-type]


def raised(setup: Setup, z: float = 4.25) -> Setup:
    """Give a setup whose work zero lies above the bed, and beside the shop's mark."""
    return replace(setup, work_origin=(setup.work_origin[0] + 7.0, setup.work_origin[1] - 11.0, z))


def known_as(of: Situation, species: str | None, within: float = 0.8, **asked: float) -> Situation:
    """Give a situation whose boards are of a species and known so well, with what is asked of them."""
    boards = []
    for lie in of.setups[0].lies:
        bare = board_from_nominal(lie.board, 311.0, 127.0, 38.5)
        boards.append(replace(bare, species=species, uncertainty=within))
    wanted = replace(of.job.wanted, tolerance=Tolerance(**asked))
    return replace(of, job=replace(of.job, boards=tuple(boards), wanted=wanted))


def mill(**more: object) -> Tool:
    """Give an end mill of 11 mm; `more` replaces arguments of `tool`."""
    given: dict[str, object] = {"diameter": 11.0, "feed": 4130.0, "rpm": 14900.0}
    return end_mill(**(given | more))


def faced(
    *, grips: tuple[Grip, ...] = (), shims: bool = False, own: Shop | None = None, **of: object
) -> Setup:
    """Give a face with sloping wood."""
    given: dict[str, object] = {
        "size": SIZE,
        "at": AT,
        "tool": facer(diameter=41.0, corner_radius=1.3, rpm=13300.0, feed=2900.0, stepover=23.7),
        "z": 27.4,
        "wood": 31.2 + 0.011 * np.arange(23)[:, None] + np.array([0.0, 0.7, 1.9, 0.4])[None, :],
        "stepdown": 1.9,
        "light": 0.45,
    }
    setup = face_setup(shop=own or odd_shop(), **(given | of))  # type: ignore[arg-type]
    places = ((107.0, 71.0, 1.2), (288.5, 74.0, 0.7), (290.5, 139.0, 1.4), (104.0, 133.0, 0.9))
    under = tuple(ShimPlace("board", *place) for place in places) if shims else ()
    return replace(setup, grips=grips, shims=under)


def edged(
    *sides: Literal["far", "near", "left", "right"], grips: tuple[Grip, ...] = (), **of: object
) -> Setup:
    """Give a board whose named sides are cut; `of` goes to `edge_setup`."""
    given: dict[str, object] = {
        "size": SIZE,
        "at": AT,
        "waste": 7.3,
        "tool": mill(),
        "ceiling": 27.4,
        "bottom": -0.9,
        "stepover": 4.3,
        "stepdown": 8.7,
        "light": 0.45,
    }
    setup = edge_setup(sides=sides, **(given | of))  # type: ignore[arg-type]
    return replace(setup, grips=grips)


def zigzag(setup: Setup, stem: str = "by-hand") -> Program:
    """Drive to and fro over a face, slanting, rising and falling, at three heights and two feeds."""
    stops: list[Stop] = [("rapid", None, None, 61.0), ("rapid", 71.0, 59.5, None)]
    for k, (x, y) in enumerate(((295.0, 70.5), (88.0, 93.0), (310.5, 108.5), (79.0, 131.0), (301.0, 149.0))):
        stops += [("feed", x, y, 33.0 - 0.9 * k), ("feed", x, y, 32.0 - 0.9 * k)]
    return hand(
        setup,
        facer(diameter=41.0),
        *stops,
        ("rapid", 133.0, 97.0, 29.0),
        ("rapid", None, None, 61.0),
        stem=stem,
    )
