"""Boards that clamps bend while a face is cut. In: a situation, not changed. Out: findings."""

# ruff: noqa: D401 - a rule's docstring is its page: it states the bad thing and orders nobody.

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stockwright.board.spring import sag_between, sag_beyond, second_moment, stiffness_of
from stockwright.checking.wording import down, shown
from stockwright.findings import Finding
from stockwright.forces.statics import bow_from_edge
from stockwright.frozen import frozen
from stockwright.planning.setup import FaceCut

if TYPE_CHECKING:
    from stockwright.board.spring import Stiffness
    from stockwright.checking.situation import Situation
    from stockwright.planning.setup import Grip, Setup

__all__ = ["board_bows_under_clamps"]

SHARE = 0.5  # of the flatness asked may go into this; common practice, no source
FLAT = 0.15  # mm, where no flatness is asked; common practice, no source
LINE = 9  # places along a riser, and across it: nearer than a clamp is wide; our own choice
UNDER = 25.0  # mm: a clamp this near to a shim stands over it; common practice, no source


@frozen
class _Bend:
    grip: Grip
    by: float
    most: float
    why: str
    way: str


def board_bows_under_clamps(situation: Situation) -> tuple[Finding, ...]:
    """A clamp bends the board while its face is cut flat, or while it stands on risers.

    Cut flat while bent, a board springs back when the clamp comes off and is out of flat by as much. A
    squeeze off the middle of the thickness bows it across (M w2 / 8EI); a press between two shims, or two
    risers, bends it down to the bed (F L3 / 48EI). Stiffness is the species' own where it was read, else a
    cautious one. Half of the flatness asked may go into it, 0.15 mm where none is (common practice, no
    source). Where all that counts is known, the force as the shop states it, the wood's stiffness as it was
    read, a flatness that is asked, a board bent by more than that flatness is refused. Cure: less force, a
    squeeze nearer to the middle of the edge, a shim under the clamp.
    """
    found = []
    for setup in situation.setups:
        raised = any(solid.kind == "riser" for solid in setup.solids)
        if not raised and not any(isinstance(cut, FaceCut) for cut in setup.cuts):
            continue
        flatness = situation.job.wanted.tolerance.flatness
        most = FLAT if flatness is None else SHARE * flatness
        for lie in setup.lies:
            grips = [grip for grip in setup.grips if grip.board == lie.board]
            kinds = [board.species for board in situation.job.boards if board.name == lie.board]
            wood = stiffness_of(kinds[0] if kinds else None)
            held = _held(situation, setup, lie.board)
            squeezed = _squeezed(setup, grips, most, wood, held)
            bends = [*squeezed, *_pressed(setup, lie.board, grips, most, wood)]
            if bends:
                worst = max(bends, key=lambda bend: bend.by)
                known = wood.said in kinds and not worst.grip.guessed
                surely = known and flatness is not None and worst.by > flatness
                weak = held < 1 and worst.grip.how == "push"
                found.append(_finding(setup, lie.board, worst, most, weak=weak, surely=surely))
    return tuple(found)


def _held(situation: Situation, setup: Setup, board: str) -> float:
    """Return how many times what is asked a board is held, at the most 1: less is to be held harder."""
    holds = (h for h in situation.holds if h.load.run.setup.index == setup.index and h.board == board)
    return min([1.0, *(hold.least for hold in holds)])


def _thickness(setup: Setup, board: str) -> tuple[float, float]:
    """Return the height of the board's lower face and its thickness when the face is done, mm."""
    under = [shim.thickness for shim in setup.shims if shim.board == board]
    bottom = float(np.mean(under)) if under else 0.0
    top = min([setup.wood_top, *(cut.z for cut in setup.cuts if isinstance(cut, FaceCut))])
    return bottom, max(top - bottom, 1.0)


def _grain(setup: Setup, board: str) -> np.ndarray:
    """Return the way of the grain in plan, a unit vector."""
    lie = next(each for each in setup.lies if each.board == board)
    way = lie.matrix[:2, 0]
    return np.asarray(way / max(float(np.hypot(*way)), 1e-9))


def _squeezed(setup: Setup, grips: list[Grip], most: float, wood: Stiffness, held: float) -> list[_Bend]:
    """Return how squeezes bow a board; what is `held` too weakly is going to be pushed harder by as much."""
    pushes = [grip for grip in grips if grip.how == "push"]
    bends = []
    for grip in pushes:
        bottom, thick = _thickness(setup, grip.board)
        off = abs(grip.at[2] - (bottom + thick / 2))
        way = np.asarray(grip.way)
        stiff = wood.along if abs(float(way @ _grain(setup, grip.board))) > 0.7 else wood.across
        width = float(np.ptp(setup.outline_of(grip.board) @ way))
        beside = float(np.ptp(setup.outline_of(grip.board) @ np.array([-way[1], way[0]])))
        count = sum(float(np.dot(other.way, grip.way)) > 0.7 for other in pushes)
        # A squeeze spreads into the board at 45 degrees to either side, and never beyond its own share.
        length = min(beside / count, width)
        by = bow_from_edge(grip.force, off, width, length, thick, stiff)
        if by > most:
            force = grip.force * most / by
            nearer = off * most / by * held
            bends.append(
                _Bend(
                    grip,
                    by,
                    force,
                    f"pushes with {grip.force:.0f} N {shown(off)} mm off the middle of its thickness",
                    f"let it bear within {down(nearer, 0.1)} mm of the middle of its thickness",
                )
            )
    return bends


def _pressed(setup: Setup, board: str, grips: list[Grip], most: float, wood: Stiffness) -> list[_Bend]:
    places, on = _supports(setup, board)
    if len(places) < 2:
        return []  # it lies flat, and cannot be pressed down
    _, thick = _thickness(setup, board)
    grain = _grain(setup, board)
    across = np.array([-grain[1], grain[0]])
    stations = np.array(sorted(set(np.round(places @ grain, 1).tolist())))
    bends = []
    for grip in grips:
        at = np.asarray(grip.at[:2])
        if grip.how != "press" or float(np.hypot(*(places - at).T).min()) <= UNDER:
            continue
        along = float(at @ grain)
        below, above = stations[stations <= along], stations[stations > along]
        whole = float(np.ptp(setup.outline_of(board) @ across))
        if len(below) and len(above):
            span, beside = float(above[0] - below[-1]), 0.0
        else:
            span = float(np.abs(stations - along).min())
            beside = float(np.diff(stations)[0 if not len(below) else -1]) if len(stations) > 1 else 0.0
        moment = second_moment(min(whole, max(span, thick)), thick)
        if len(below) and len(above):
            by = sag_between(grip.force, span, wood.along, moment)
        else:
            by = sag_beyond(grip.force, span, beside, wood.along, moment)
        if by > most:
            bends.append(
                _Bend(
                    grip,
                    by,
                    grip.force * most / by,
                    f"presses with {grip.force:.0f} N "
                    + (
                        f"{shown(span)} mm beyond the last {on}"
                        if not (len(below) and len(above))
                        else f"between {on}s {shown(span)} mm apart"
                    ),
                    f"put a {on} under it at x {shown(float(at[0]))}, y {shown(float(at[1]))}",
                )
            )
    return bends


def _supports(setup: Setup, board: str) -> tuple[np.ndarray, str]:
    """Return places (n, 2) at which a board is carried, and the word for what carries it there."""
    shims = [(shim.x, shim.y) for shim in setup.shims if shim.board == board]
    if shims:
        return np.array(shims), "shim"
    grain = _grain(setup, board)
    beside = np.array([-grain[1], grain[0]])
    lines: list[np.ndarray] = []
    for solid in setup.solids:
        if solid.kind == "riser":  # the board is carried all over it
            along, away = solid.outline @ grain, solid.outline @ beside
            lines += [
                s * grain + t * beside
                for s in np.linspace(along.min(), along.max(), LINE)
                for t in np.linspace(away.min(), away.max(), LINE)
            ]
    return np.array(lines).reshape(-1, 2), "riser"


def _finding(setup: Setup, board: str, bend: _Bend, most: float, *, weak: bool, surely: bool) -> Finding:
    """Return the finding; where a squeeze is too `weak` as it is, no less of it is told."""
    verb = "push" if bend.grip.how == "push" else "press"
    less = "" if weak else f"let it {verb} with {down(bend.most, 1)} N or less, or "
    return Finding(
        rule="board-bows-under-clamps",
        level="refuse" if surely else "warn",
        message=f"{bend.grip.name} {bend.why} and bends {board} by about {bend.by:.2f} mm, "
        f"and {shown(most)} mm may be",
        remedy=f"{less}{bend.way}",
        measured=round(bend.by, 4),
        limit=most,
        setup=setup.index,
        at=bend.grip.at,
    )
