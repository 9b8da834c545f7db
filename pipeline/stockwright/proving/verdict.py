"""The verdict on what the programs do. In: a packet's physical facts and the programs' text. Out: `Outcome`.

Promise: `proven` only when every program was read whole, every move followed in the simulated boards, and no
rule found anything; nothing that only the planner believed is used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stockwright.frozen import frozen
from stockwright.packet.model import Finished, PlaneGoal, Proof, Reason, Verdict, WallGoal
from stockwright.proving.clearance import judge_clearance
from stockwright.proving.contact import Lying, Trail, follow
from stockwright.proving.facts import judge_facts
from stockwright.proving.frames import AS_FACE, CannotLie, Lay, grid_frame, lay
from stockwright.proving.measure import judge_sizes, measure
from stockwright.proving.named import judge_names
from stockwright.proving.on_edge import TURN, back_to_faces, edge_upright, seen_along_width
from stockwright.proving.orders import judge_orders, text_not_understood
from stockwright.proving.outlines import area_of
from stockwright.proving.planes import KEEP_OFF, SLIVER, FlatJudge, tolerance
from stockwright.proving.readers import read_in_setup
from stockwright.proving.rests import rests_in_wood
from stockwright.proving.run import Run
from stockwright.proving.seats import judge_seats
from stockwright.proving.seen import Seen, seen
from stockwright.proving.sweep import polygon_cells
from stockwright.proving.takes import judge_takes
from stockwright.proving.telling import placed, quoted
from stockwright.proving.touches import judge_touches
from stockwright.proving.walls import judge_walls, kept, part_pieces
from stockwright.proving.wood import CELL, Wood, plank, rings, slab

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from stockwright.packet.model import Packet, Program, Setup
    from stockwright.proving.program import Reading

    Floats = NDArray[np.float64]

__all__ = ["CANNOT_KNOW", "Outcome", "prove"]

CANNOT_KNOW: tuple[str, ...] = (
    "That zero is taken where the sheet says, and that the machine then moves true to its scale.",
    "That the cutter named is the one fitted, sharp, and sticking out as far as the sheet says.",
    "That the control has nothing in force that a program does not name: no corner rounded, no axis shifted.",
    "That hold-downs, fences and stops stand where drawn, and hold: no relay that is switched lets them go.",
    "That feeds and depths suit this cutter and this wood: the load is checked before, not proven here.",
    "That the board lies as drawn, is as it was measured, and is sound wood: no loose knot, metal or crack.",
)
UNKNOWABLE = frozenset({"no-reader", "cannot-lie"})  # reasons that say nothing against the text itself


@frozen
class Outcome:
    """The proof, what each board then measures, and each program's own verdict by file name."""

    proof: Proof
    finished: dict[str, Finished]
    program_verdicts: dict[str, Verdict]


def prove(packet: Packet, texts: Mapping[str, str], watch: Callable[[Seen], None] | None = None) -> Outcome:
    """Prove the programs of a packet. `texts`: file name, as the packet lists it, to the file's text.

    `watch` is shown every board at the end of every setup, for pictures; no verdict hangs on what it does.

    A text that is not listed is a reason too, so hand in program files only. Never raises for what a
    packet or a text says.
    """
    case = _Case(packet, watch)
    readings = case.read(texts)
    if not case.reasons:
        case.reasons += judge_facts(packet)
        try:
            for setup in packet.setups:
                case.setup(setup, readings)
            case.end()
        except CannotLie as error:
            case.reasons.append(Reason(rule="cannot-lie", message=f"{error}; lay it on a face"))
    return case.outcome()


class _Case:
    """A proof under way: the boards as they now are, and the reasons so far."""

    def __init__(self, packet: Packet, watch: Callable[[Seen], None] | None = None) -> None:
        self.packet = packet
        self.watch = watch
        self.reasons: list[Reason] = []
        self.texts: Mapping[str, str] = {}
        self.readings: dict[str, Reading] = {}
        self.woods: dict[str, Wood] = {}
        self.roughs: dict[str, BaseGeometry] = {}
        self.cell = CELL
        self.uprights: dict[str, dict[str, Floats]] = {}
        self.regions: dict[tuple[str, str], list[BaseGeometry]] = {}
        self.edgewise: set[tuple[str, str]] = set()
        self.finished: dict[str, Finished] = {}
        self.unsure = {name: board.uncertainty for name, board in packet.boards.items()}

    def read(self, texts: Mapping[str, str]) -> dict[str, Reading]:
        """Read every program; note what is missing, not listed, not readable or not understood."""
        self.texts = texts
        readings: dict[str, Reading] = {}
        for setup in self.packet.setups:
            for program in setup.programs:
                reading = self._read(setup, program, texts, readings)
                if reading is not None:
                    readings[program.file] = reading
        self.readings = readings
        listed = {program.file for setup in self.packet.setups for program in setup.programs}
        for file in sorted(set(texts) - listed):
            text = (
                "the file is not in the packet's list of programs; take it away, or nobody knows when it runs"
            )
            self.reasons.append(Reason(rule="program-not-listed", program=file, message=text))
        return readings

    def _read(
        self, setup: Setup, program: Program, texts: Mapping[str, str], known: dict[str, Reading]
    ) -> Reading | None:
        def tell(rule: str, message: str) -> None:
            self.reasons.append(Reason(rule=rule, setup=setup.index, program=program.file, message=message))

        if program.file in known:
            tell("program-listed-twice", "the packet lists this file twice; each run has a file of its own")
        elif program.file not in texts:
            tell("program-missing", "the packet lists this file, and it is not there")
        elif program.tool is None:
            tell(
                "wrong-tool", "the packet names no tool for this program, so nothing can be told of its reach"
            )
        elif (reading := read_in_setup(self.packet, setup, program, texts[program.file])) is None:
            tell("no-reader", f"no reader for {program.reader or program.post!r}: what it does is not known")
        else:
            run = self._run(setup, program, reading, -np.inf)
            self.reasons += [*text_not_understood(run), *judge_takes(run, texts[program.file])]
            return reading
        return None

    def _run(self, setup: Setup, program: Program, reading: Reading, top: float) -> Run:
        assert program.tool is not None
        tool = self.packet.tools[program.tool]
        return Run(setup, program, tool, self.packet.machine, reading, top)

    def setup(self, setup: Setup, readings: dict[str, Reading]) -> None:
        """Run the programs of a setup through its boards, then judge its goals."""
        boards = self._boards(setup)
        before = [
            (lying.wood.lo[lying.lay.side].copy(), lying.may, lying.sure, self._underside(lying))
            for lying in boards
        ]
        if not self.reasons:  # what was cut wrongly lies wrongly, and that is said already
            self.reasons += judge_seats(setup, boards)
        trail = Trail()
        told = len(self.reasons)
        tops = [_tops(lying) for lying in boards] if self.watch else []
        runs: list[Run] = []
        for program in setup.programs:
            top = max((lying.wood.top(lying.lay) for lying in boards), default=-np.inf)
            run = self._run(setup, program, readings[program.file], top)
            runs.append(run)
            first = len(trail.a)
            found = [*judge_orders(run), *judge_clearance(run), *judge_touches(run, boards, self.unsure)]
            found += rests_in_wood(run, boards)
            found += follow(run, boards, trail)
            for lying, (_, _, _, span) in zip(boards, before, strict=True):
                if lying.wood.name is not None:
                    found += part_pieces(setup, program, lying, trail, first, span)
            self.reasons += sorted(found, key=lambda reason: reason.line or 0)
        self._every_cut_has_a_goal(setup)
        for lying, (lo, may, sure, span) in zip(boards, before, strict=True):
            self._judge_board(setup, lying, lo, may, sure, trail, span[1])
        self._judge_fence(setup, trail)
        for lying, (_, may, _, _), top_span in zip(boards, before, tops, strict=False):
            within = tolerance(self.packet.wanted.get(lying.wood.name or ""))
            if self.watch:
                self.watch(seen(setup, lying, may, top_span, within, tuple(runs)))
        laid = [(lying, may) for lying, (_, may, _, _) in zip(boards, before, strict=True)]
        self.reasons[told:] = [placed(reason, laid) for reason in self.reasons[told:]]

    def _boards(self, setup: Setup) -> list[Lying]:
        """Lay every board of a setup, making its wood the first time it is seen."""
        found: list[Lying] = []
        for lies in setup.lies:
            if any(lying.wood.name == lies.board for lying in found):
                raise CannotLie(f"{lies.board} lies twice in setup {setup.index}")
            if lies.board not in self.woods:
                frame = grid_frame(lies)
                self.woods[lies.board] = plank(lies.board, self.packet.boards[lies.board], frame)
                self.roughs[lies.board] = self.woods[lies.board].sure
                self.cell = max(self.cell, self.woods[lies.board].grid.cell)
            wood = self.woods[lies.board]
            if lies.up in AS_FACE:
                if lies.moved > 0:
                    raise CannotLie(f"{lies.board} has rested and lies on its edge: how far is not known")
                wood = seen_along_width(wood)
            elif lies.moved > 0:
                wood.warp(1 if lies.up == "A" else -1, lies.moved)
            extent = float(np.abs(np.asarray(wood.may.bounds)).max()) * 1.5
            placed = lay(lies, wood.to_grid, extent)
            found.append(
                Lying(wood, placed, _seen(wood.may, placed.to_work), _seen(wood.sure, placed.to_work))
            )
        planes = [g for g in setup.goals if isinstance(g, PlaneGoal) and g.board is None]
        if planes:
            surface = -setup.work_origin[2]
            outline = shapely.union_all([area_of(goal.region) for goal in planes])
            top = max(surface, *(goal.z for goal in planes))
            deep = min(surface, *(goal.z for goal in planes)) - self.packet.machine.spoilboard - 1.0
            level = Lay(np.eye(4), np.eye(4), 1, flat=True, wobble=0.0, slope=0.0)
            found.append(Lying(slab(outline, top, deep), level, outline, outline))
        return found

    @staticmethod
    def _underside(lying: Lying) -> tuple[float, float]:
        wood, placed = lying.wood, lying.lay
        return wood.bottom(placed, sure=False), wood.bottom(placed, sure=True)

    def _every_cut_has_a_goal(self, setup: Setup) -> None:
        for cut in setup.cuts:
            if not any(goal.board == cut.board and goal.cut == cut.name for goal in setup.goals):
                text = f"the cut {cut.name!r} has no goal, so nothing says when it is right"
                self.reasons.append(Reason(rule="goals-do-not-cover", setup=setup.index, message=text))
        lying = {None, *(lies.board for lies in setup.lies)}
        for goal in setup.goals:
            if goal.board not in lying:
                text = f"the goal {goal.cut!r} is of {goal.board}, which does not lie here: nothing judges it"
                self.reasons.append(Reason(rule="goals-do-not-cover", setup=setup.index, message=text))

    def _judge_board(
        self,
        setup: Setup,
        lying: Lying,
        lo: Floats,
        may: BaseGeometry,
        sure: BaseGeometry,
        trail: Trail,
        underside: float,
    ) -> None:
        wood, name = lying.wood, lying.wood.name
        walls = [goal for goal in setup.goals if isinstance(goal, WallGoal) and goal.board == name]
        within = tolerance(self.packet.wanted.get(name)) if name is not None else tolerance(None)
        stays = kept(sure, walls)
        flat = FlatJudge(setup, lying, lo, stays, trail, within)
        self.reasons += flat.judge()
        if name is None:
            return
        self.reasons += judge_names(setup, name, stays, underside)
        self.reasons += judge_walls(setup, name, may, trail)
        wood.may = _seen(lying.may, lying.lay.to_grid)
        wood.sure = _seen(lying.sure, lying.lay.to_grid)
        if lying.lay.slope > 0:  # a wall upright here leans in the grid frame, by its height times the tilt
            standing = wood.stands()
            if standing.any():
                lean = lying.lay.slope * float(max(np.abs(wood.hi[side][standing]).max() for side in (1, -1)))
                wood.may = wood.may.buffer(lean, join_style="mitre")
                wood.sure = wood.sure.buffer(-lean, join_style="mitre")
        self._two_sides(setup, wood)
        faces = self.woods[name]
        if faces is not wood:  # it lay on its edge
            back_to_faces(faces, lying, may, underside, trail)
        for goal in setup.goals:
            if goal.board != name:
                continue
            if isinstance(goal, PlaneGoal):
                region = _seen(area_of(goal.region), lying.lay.to_grid)
                self.regions.setdefault((name, goal.cut), []).append(region)
                if faces is not wood:
                    self.edgewise.add((name, goal.cut))
                    normal = np.linalg.inv(TURN)[:3, :3] @ lying.lay.to_work[2, :3]
                    self.uprights.setdefault(name, {})[goal.cut] = edge_upright(normal)
            elif faces is wood:
                self.uprights.setdefault(name, {})[goal.cut] = lying.lay.to_work[2, :3]

    def _two_sides(self, setup: Setup, wood: Wood) -> None:
        """Refuse wood cut through from both sides together: its outline is not carried soundly."""
        cells, _ = polygon_cells(wood.grid, rings(wood.sure.buffer(-KEEP_OFF)))
        gone = cells & wood.known() & (wood.lo[1] + wood.lo[-1] <= 0)
        if gone.any():
            area = float(gone.sum()) * wood.grid.cell**2
            text = (
                f"{wood.name}: {area:.0f} mm2 is cut through from both sides together, "
                "or right through where no wall is asked; cut it from one side, below the board"
            )
            self.reasons.append(
                Reason(rule="cut-from-two-sides", setup=setup.index, measured=area, limit=0.0, message=text)
            )

    def _judge_fence(self, setup: Setup, trail: Trail) -> None:
        """Judge walls that are no board's: the wood is what stands and may be cut."""
        if any(isinstance(goal, WallGoal) and goal.board is None for goal in setup.goals):
            pieces = [area_of(s.outline) for s in setup.solids if s.may_cut_to is not None]
            if pieces:
                self.reasons += judge_walls(setup, None, shapely.union_all(pieces), trail)

    def end(self) -> None:
        """Measure every board, compare it with the wish, and see that its flat goals cover it."""
        for name, wood in sorted(self.woods.items()):
            wide = self.packet.wanted.get(name)
            rough = self.roughs.get(name) if wide is not None and wide.width is None else None
            self.finished[name] = measure(wood, self.uprights.get(name, {}), self._hollow(name), rough)
        for name, wanted in sorted(self.packet.wanted.items()):
            made = {cut for board, cut in self.regions if board == name} | set(self.uprights.get(name, {}))
            self.reasons += judge_sizes(name, wanted, self.finished.get(name, Finished()), made)
        for (name, cut), regions in sorted(self.regions.items(), key=lambda item: item[0]):
            wood = self.woods[name]
            whole = seen_along_width(wood).may if (name, cut) in self.edgewise else wood.may
            left = whole.difference(shapely.union_all(regions)).buffer(-SLIVER)
            if not left.is_empty:
                text = (
                    f"the goals of {cut} leave {left.area:.0f} mm2 of {name} to no one; every place needs one"
                )
                self.reasons.append(
                    Reason(rule="goals-do-not-cover", measured=round(left.area, 1), limit=0.0, message=text)
                )

    def _hollow(self, name: str) -> dict[str, float]:
        """Give how hollow the edges of a board are to be, by side."""
        wanted = self.packet.wanted.get(name)
        return {} if wanted is None else {str(side): value for side, value in wanted.hollow.items()}

    def outcome(self) -> Outcome:
        """Sum up."""
        self.reasons = [quoted(reason, self.texts, self.readings) for reason in self.reasons]
        rules = {reason.rule for reason in self.reasons}
        verdict: Verdict = "proven" if not rules else "unproven" if rules <= UNKNOWABLE else "refused"
        verdicts: dict[str, Verdict] = {}
        for setup in self.packet.setups:
            for program in setup.programs:
                own = {r.rule for r in self.reasons if r.program == program.file}
                unknown = bool(own) or verdict == "unproven"
                verdicts[program.file] = (
                    "refused" if own - UNKNOWABLE else "unproven" if unknown else "proven"
                )
        proof = Proof(
            verdict=verdict, cell=self.cell, cannot_know=list(CANNOT_KNOW), reasons=list(self.reasons)
        )
        return Outcome(proof, dict(self.finished), verdicts)


def _tops(lying: Lying) -> tuple[float, float]:
    """Give the lowest work z of an upper face that surely stands, off its rims, and the highest that may."""
    wood, placed = lying.wood, lying.lay
    firm, _ = polygon_cells(wood.grid, rings(wood.sure.buffer(-2 * wood.grid.cell)))
    firm &= np.isfinite(wood.lo[placed.side]) & wood.stands()
    if not firm.any():
        return np.inf, -np.inf
    heights = wood.lo[placed.side]
    if placed.flat:
        low = placed.work_z(float(np.min(heights, where=firm, initial=np.inf)), 0.0, 0.0)
    else:
        x, y = wood.grid.centres()
        row, column = np.nonzero(firm)
        low = np.asarray(placed.work_z(heights[firm], x[column], y[row])).min()
    return float(low), wood.top(placed)


def _seen(outline: BaseGeometry, matrix: Floats) -> BaseGeometry:
    """Move an outline by a matrix (4, 4), seen along z; heights are taken as 0."""

    def move(points: Floats) -> Floats:
        found: Floats = points @ matrix[:2, :2].T + matrix[:2, 3]
        return found

    moved: BaseGeometry = shapely.transform(outline, move)
    return moved
