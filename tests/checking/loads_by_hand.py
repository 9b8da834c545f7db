"""Loads of slices that are given by hand. In: a cutter, slices. Out: `Run` and `Load` values."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np

from setups import edge_setup, shop
from situations import hand, job
from stockwright.checking import Limits
from stockwright.checking.bites import Bites
from stockwright.checking.forces import loads_of
from stockwright.checking.situation import Run
from stockwright.motion.moves import moves
from stockwright.motion.nodes import SpindleOn

if TYPE_CHECKING:
    from stockwright.checking.forces import Load
    from stockwright.planning.setup import Setup
    from stockwright.tooling import Tool

__all__ = ["loaded", "run_of"]


def run_of(tool: Tool, setup: Setup | None = None, rpm: float = 16000.0) -> Run:
    """Give a program that turns a cutter at a speed, and at half as much again before."""
    setup = setup or edge_setup(tool=tool)
    made = hand(setup, tool, ("feed", 0.0, 0.0, 0.0), rpm=1.5 * rpm)
    made = replace(made, nodes=(*made.nodes, SpindleOn(rpm)))
    return Run(setup, made, moves(made), ())


Slice = tuple[int, float, float, int]


def loaded(run: Run, slices: list[Slice], feed: float = 3200.0, limits: Limits | None = None) -> Load:
    """Give the load of slices (row, width, depth, wall); row k runs from (10k, 0, 1) to (10k, 5, 2)."""
    rows = 1 + max([s[0] for s in slices], default=0)
    places = 10.0 * np.arange(rows)
    bites = Bites(
        run=run,
        a=np.column_stack([places, np.zeros(rows), np.ones(rows)]),
        b=np.column_stack([places, np.full(rows, 5.0), np.full(rows, 2.0)]),
        feed=np.full(rows, feed),
        row=np.array([s[0] for s in slices], dtype=np.intp),
        width=np.array([s[1] for s in slices], dtype=float),
        depth=np.array([s[2] for s in slices], dtype=float),
        left=np.ones(len(slices), dtype=bool),
        wall=np.array([s[3] for s in slices], dtype=np.intp),
    )
    of: Any = SimpleNamespace(job=job(shop()), limits=limits or Limits(), bites=(bites,))
    [load] = loads_of(of)
    return load
