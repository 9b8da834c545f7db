"""A whole packet: what it was made with and from, its parts, its verdict.

Promise: every board, cutter and solid that it names exists in it; no two programs share a file, and no two
setups a number.
"""

from __future__ import annotations

from typing import Any, Literal, Self

from pydantic import ConfigDict, Field, model_validator

from stockwright.packet.model.boards import MeasuredBoard, Wanted  # noqa: TC001 - pydantic reads it
from stockwright.packet.model.border import Border, NotBelow
from stockwright.packet.model.judged import Expected, Finished, PacketFinding, Proof
from stockwright.packet.model.machine import Machine, Tool  # noqa: TC001 - pydantic reads it
from stockwright.packet.model.setup import Setup  # noqa: TC001 - pydantic reads it

__all__ = [
    "MadeWith",
    "Packet",
    "RecipeUsed",
]


class MadeWith(Border):
    """The program that made the packet."""

    name: str
    version: str


class RecipeUsed(Border):
    """The recipe as read, parents included, and its digest ("sha256:...")."""

    name: str
    version: str
    digest: str


def _with_digests(schema: dict[str, Any]) -> None:
    """Publish what is written beside the fields: `text` makes it of them, so that an edit shows."""
    schema["properties"]["digests"] = {
        "type": "object",
        "additionalProperties": {"type": "string"},
        "description": "A digest of boards, machine, setups, tools, wanted and each page, as they were made.",
    }


class Packet(Border):
    """What a packet says about itself.

    `job`, `units`, `inch_as`, `paper`, `shim_stock` (mm) and `guesses` are for people; `again` says, oldest
    first, what was cut once more than the job asked; `said_otherwise` what the post could not say as meant;
    `expected`, by board, what the machine's errors let it be out by, which `finished`, from the simulated
    board, knows nothing of.
    The proof uses none of them.
    """

    model_config = ConfigDict(json_schema_extra=_with_digests)

    packet_format: Literal[1] = 1
    job: str = ""
    units: Literal["mm", "inch"] = "mm"
    inch_as: Literal["decimals", "fractions"] = "decimals"
    paper: Literal["a4", "letter"] | None = None
    shim_stock: list[NotBelow] = Field(default=[])
    guesses: list[str] = Field(default=[])
    again: list[str] = Field(default=[])
    said_otherwise: list[str] = Field(default=[])
    made_with: MadeWith
    recipe: RecipeUsed
    wanted: dict[str, Wanted]
    boards: dict[str, MeasuredBoard]
    machine: Machine
    tools: dict[str, Tool]
    setups: list[Setup]
    findings: list[PacketFinding] = Field(default=[])
    finished: dict[str, Finished] = Field(default={})
    expected: dict[str, list[Expected]] = Field(default={})
    proof: Proof = Proof()

    @model_validator(mode="after")
    def _names_are_known(self) -> Self:
        wrong: list[str] = [f"wanted names the board {n!r}" for n in self.wanted if n not in self.boards]
        for setup in self.setups:
            where = f"setup {setup.index}"
            named = [lie.board for lie in setup.lies]
            named += [part.board for part in (*setup.cuts, *setup.goals) if part.board is not None]
            named += [offcut.board for offcut in setup.offcuts]
            wrong += [f"{where} names the board {n!r}" for n in named if n not in self.boards]
            known = {solid.name for solid in setup.solids}
            for program in setup.programs:
                if program.tool is not None and program.tool not in self.tools:
                    wrong.append(f"{program.file} names the tool {program.tool!r}")
                wrong += [f"{program.file} names the solid {n!r}" for n in program.standing if n not in known]
        if wrong:
            raise ValueError("; ".join(f"{text}, which is not in the packet" for text in wrong))
        from stockwright.packet.deliver import one_elsewhere

        files = [program.file for setup in self.setups for program in setup.programs]
        if len(set(files)) < len(files) or one_elsewhere(files):
            raise ValueError("two programs have one file")
        numbers = [setup.index for setup in self.setups]
        if len(set(numbers)) < len(numbers):
            raise ValueError("two setups have one index")
        return self
