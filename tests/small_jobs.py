"""A small job, all four sides of a short board, whose documents are changed a word at a time.

In: values that replace those of `PLAIN`. Out: a folder with the job's documents, and what `check` says of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.findings import Refused
from stockwright.run import Request, check

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.findings import Finding

__all__ = ["PLAIN", "said_of", "written"]

PLAIN = {
    "power": "1500 W",
    "spindle": "",
    "max-feed": "5 m/min",
    "press": "1400 N",
    "push": "300 N",
    "friction": "0.2",
    "pressure": "30 N/mm2",
    "backing": "scrap: {kind: backing, count: 2, length: 60 mm, depth: 40 mm}",
    "face-mark": "18000 rpm",
    "face-speed": "12000 rpm",
    "face-feed": "4 m/min",
    "face-stepover": "70 %",
    "face-stepdown": "2 mm",
    "edge-mark": "marked-max: 24000 rpm",
    "edge-speed": "12000 rpm",
    "edge-feed": "3 m/min",
    "edge-stepover": "40 %",
    "edge-stepdown": "7 mm",
    "light": "0.4 mm",
    "order": "end-1 end-2 edge-2",
}

SHOP = """
stockwright: shop/1
name: trial shop
post: rs274-ngc
units: mm
machine:
  travel: {x: 0 mm to 900 mm, y: 0 mm to 600 mm, z: 40 mm to 160 mm}
  rapid: 6 m/min
  rapids: independent
  acceleration: 400
  max-feed: @max-feed@
  spoilboard: 6 mm
  margin: 3 mm
  park: {x: 40 mm, y: 560 mm}
spindle:
  speed: 8000 rpm to 24000 rpm
  power: @power@
  @spindle@
  nose-diameter: 70 mm
  nose-length: 90 mm
  collets:
    12 mm: {grip: 26 mm, nut-diameter: 34 mm, nut-length: 22 mm}
bed:
  mark: {x: 200 mm, y: 140 mm}
  skimmed: 2026-05-30
  area: {x: 60 mm to 840 mm, y: 60 mm to 540 mm}
fence:
  face: 140 mm
  depth: 40 mm
  height: 20 mm
  pieces: [200 mm to 330 mm, 390 mm to 520 mm, 580 mm to 710 mm]
  liftable: yes
  wooden: yes
  straightness: 0.05 mm
  angle: 0.01 deg
  carries: 1500 N
friction: @friction@
cutting-pressure: @pressure@
hold-downs:
  side-clamp: {kind: side-clamp, count: 4, length: 50 mm, depth: 50 mm, height: 14 mm, push: @push@}
  end-stop: {kind: stop, count: 4, length: 30 mm, depth: 30 mm, height: 14 mm, carries: 1500 N}
  toe-clamp:
    {kind: top-clamp, count: 4, width: 30 mm, arm: 160 mm, arm-height: 18 mm, body-depth: 30 mm, reach: 45 mm,
     press: @press@}
  @backing@
shims: [0.1 mm, 0.2 mm, 0.5 mm, 1 mm, 2 mm, 3 mm]
tools:
  facer:
    kind: facing-cutter
    does: [face, bed]
    number: 1
    diameter: 50 mm
    cutting-length: 12 mm
    shank: 12 mm
    overall-length: 70 mm
    flutes: 3
    marked-max: @face-mark@
    centre-cutting: no
    speed: @face-speed@
    feed: @face-feed@
    plunge-feed: 0.5 m/min
    stepover: @face-stepover@
    stepdown: @face-stepdown@
  end-mill:
    kind: end-mill
    does: [edge, end]
    number: 2
    diameter: 12 mm
    cutting-length: 42 mm
    shank: 12 mm
    overall-length: 90 mm
    flutes: 2
    @edge-mark@
    centre-cutting: yes
    ramp: 3 deg
    speed: @edge-speed@
    feed: @edge-feed@
    plunge-feed: 0.4 m/min
    stepover: @edge-stepover@
    stepdown: @edge-stepdown@
"""

RECIPE = """
stockwright: recipe/1
name: small-sides
version: 1.0.0
about: Both faces, both edges and both ends.
inputs:
  length: {is: length, ask: finished length, from: 100 mm, to: 800 mm}
  width: {is: length, ask: finished width, from: 30 mm, to: 400 mm}
  thickness: {is: length, ask: finished thickness, from: 6 mm, to: 60 mm}
tools:
  facer: {does: face, diameter: 20 mm to 80 mm}
  edge-cutter: {does: edge, diameter: 6 mm to 25 mm, reach: "=thickness + 2 mm"}
holding:
  low-clamps: {where: [edge-1, edge-2], below: "=thickness - 3 mm"}
  end-stops: {where: [end-1, end-2], below: "=thickness - 3 mm"}
  far-clamps: {where: face, clear-of: [edge-1, end-1, end-2]}
  middle-clamps: {where: face, clear-of: [end-1, end-2, edge-2]}
finished: {length: "=length", width: "=width", thickness: "=thickness"}
steps:
  - {face: A, tool: facer, seat: thickest, take: half-of-surplus, hold: [low-clamps, end-stops]}
  - flip: edge-over-edge
  - {face: B, tool: facer, to: "=thickness", zero: support, hold: [low-clamps, end-stops]}
  - {edge: edge-1, tool: edge-cutter, light: @light@, hold: [far-clamps]}
  - turn: {to-fence: edge-1}
"""

BOARD = """
stockwright: board/1
name: short plank
species: ash-white
nominal: {length: 420 mm, width: 140 mm, thickness: 36 mm}
surface: rough
"""

JOB = """
stockwright: job/1
name: small
recipe: small.yaml
shop: shop.yaml
boards: [board.yaml]
set: {length: 390 mm, width: 118 mm, thickness: 25 mm}
"""


def written(folder: Path, **changes: str) -> Path:
    """Write the job with some values changed (- for _ in their names); return the job's path."""
    values = PLAIN | {name.replace("_", "-"): value for name, value in changes.items()}
    assert set(values) == set(PLAIN), "a value that the job does not have"
    steps = RECIPE
    hold = ", hold: [middle-clamps]"
    for side in values["order"].split():
        kind = "end" if side.startswith("end") else "edge"
        to = {"end-2": ', to: "=length"', "edge-2": ', to: "=width"'}.get(side, "")
        steps += f"  - {{{kind}: {side}, tool: edge-cutter, light: @light@{to}{hold}}}\n"
        hold = ""
    for name, template in (("shop", SHOP), ("small", steps), ("board", BOARD), ("job", JOB)):
        text = template.lstrip()
        for key, value in values.items():
            text = text.replace(f"@{key}@", value)
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder / "job.yaml"


def said_of(job: Path) -> tuple[Finding, ...]:
    """Return what refuses or warns of a job, planned, cut and checked as a user's is."""
    try:
        findings = check(Request(job)).findings
    except Refused as refused:
        findings = refused.findings
    return tuple(f for f in findings if f.level != "note")
