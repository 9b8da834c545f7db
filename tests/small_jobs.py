"""A small job, all four sides of a short board or one of them, whose documents are changed a word at a time.

In: values that replace those of `PLAIN`. Out: a folder with the job's documents, and what `check` says of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.findings import Refused
from stockwright.run import Request, check

if TYPE_CHECKING:
    from pathlib import Path

    from stockwright.findings import Finding

__all__ = ["ONE_VISIT", "PLAIN", "said_of", "written"]

PLAIN = {
    "steps": "all",
    "travel-x": "0 mm to 900 mm",
    "travel-z": "40 mm to 160 mm",
    "spoilboard": "6 mm",
    "riding": "",
    "errors": "",
    "mark-x": "200 mm",
    "park-x": "40 mm",
    "bed-x": "60 mm to 840 mm",
    "power": "1500 W",
    "spindle": "",
    "max-feed": "5 m/min",
    "press": "1400 N",
    "arm": "160 mm",
    "arm-height": "18 mm",
    "on-board": "45 mm",
    "clamp-width": "30 mm",
    "clamps": "2",
    "push": "300 N",
    "pushed-at": "14 mm",
    "friction": "0.2",
    "pressure": "30 N/mm2",
    "backing": "scrap: {kind: backing, count: 2, length: 60 mm, depth: 40 mm}",
    "more-hold-downs": "",
    "face-mark": "18000 rpm",
    "face-speed": "12000 rpm",
    "face-feed": "4 m/min",
    "face-stepover": "70 %",
    "face-stepdown": "2 mm",
    "face-length": "70 mm",
    "face-more": "",
    "edge-diameter": "12 mm",
    "edge-mark": "marked-max: 24000 rpm",
    "edge-speed": "12000 rpm",
    "edge-feed": "3 m/min",
    "edge-stepover": "40 %",
    "edge-stepdown": "7 mm",
    "edge-cuts": "42 mm",
    "edge-length": "90 mm",
    "edge-more": "",
    "reach": "=thickness + 2 mm",
    "light": "0.4 mm",
    "below": "0.5 mm",
    "tolerance": "",
    "order": "",
    "under": "below: {where: underneath}",
    "holds": "middle-clamps",
    "species": "ash-white",
    "board": "420 mm 140 mm 36 mm",
    "size": "390 mm 118 mm 25 mm",
}
# A short board that is flat already, so that one side of it is made in one visit.
ONE_VISIT = {"board": "220 mm 110 mm 25 mm", "size": "200 mm 100 mm 25 mm"}

SHOP = """
stockwright: shop/1
name: trial shop
post: rs274-ngc
units: mm
machine:
  travel: {x: @travel-x@, y: 0 mm to 600 mm, z: @travel-z@}
  rapid: 6 m/min
  rapids: independent
  acceleration: 400
  max-feed: @max-feed@
  spoilboard: @spoilboard@
  margin: 3 mm
  park: {x: @park-x@, y: 560 mm}
  @riding@
  @errors@
spindle:
  speed: 8000 rpm to 24000 rpm
  power: @power@
  @spindle@
  nose-diameter: 70 mm
  nose-length: 90 mm
  collets:
    12 mm: {grip: 26 mm, nut-diameter: 34 mm, nut-length: 22 mm}
bed:
  mark: {x: @mark-x@, y: 140 mm}
  skimmed: 2026-05-30
  area: {x: @bed-x@, y: 60 mm to 540 mm}
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
  side-clamp: {kind: side-clamp, count: 4, length: 50 mm, depth: 50 mm, height: @pushed-at@, push: @push@}
  end-stop: {kind: stop, count: 4, length: 30 mm, depth: 30 mm, height: 14 mm, carries: 1500 N}
  toe-clamp:
    {kind: top-clamp, count: @clamps@, width: @clamp-width@, arm: @arm@, arm-height: @arm-height@,
     body-depth: 30 mm, reach: @on-board@, press: @press@}
  @backing@
  @more-hold-downs@
shims: [0.1 mm, 0.2 mm, 0.5 mm, 1 mm, 2 mm, 3 mm]
tools:
  facer:
    kind: facing-cutter
    does: [face, bed]
    number: 1
    diameter: 50 mm
    cutting-length: 12 mm
    shank: 12 mm
    overall-length: @face-length@
    flutes: 3
    marked-max: @face-mark@
    centre-cutting: no
    speed: @face-speed@
    feed: @face-feed@
    plunge-feed: 0.5 m/min
    stepover: @face-stepover@
    stepdown: @face-stepdown@
    @face-more@
  end-mill:
    kind: end-mill
    does: [edge, end]
    number: 2
    diameter: @edge-diameter@
    cutting-length: @edge-cuts@
    shank: 12 mm
    overall-length: @edge-length@
    flutes: 2
    @edge-mark@
    centre-cutting: yes
    ramp: 3 deg
    speed: @edge-speed@
    feed: @edge-feed@
    plunge-feed: 0.4 m/min
    stepover: @edge-stepover@
    stepdown: @edge-stepdown@
    @edge-more@
"""

RECIPE = """
stockwright: recipe/1
name: small-sides
version: 1.0.0
about: A short board made true.
inputs:
  length: {is: length, ask: finished length, from: 100 mm, to: 800 mm}
  width: {is: length, ask: finished width, from: 30 mm, to: 400 mm}
  thickness: {is: length, ask: finished thickness, from: 6 mm, to: 60 mm}
tools:
  facer: {does: face, diameter: 20 mm to 80 mm}
  edge-cutter: {does: edge, diameter: 6 mm to 25 mm, reach: "@reach@"}
holding:
  low-clamps: {where: [edge-1, edge-2], below: "=thickness - 3 mm"}
  end-stops: {where: [end-1, end-2], below: "=thickness - 3 mm"}
  far-clamps: {where: face, clear-of: [edge-1, end-1, end-2]}
  middle-clamps: {where: face, clear-of: [end-1, end-2, edge-2]}
  @under@
@tolerance@
"""

FACES = """
  - {face: A, tool: facer, seat: thickest, take: half-of-surplus, hold: [low-clamps, end-stops]}
  - flip: edge-over-edge
  - {face: B, tool: facer, to: "=thickness", zero: support, hold: [low-clamps, end-stops]}
"""
EDGE = "  - {edge: edge-1, tool: edge-cutter, light: @light@, below: @below@, hold: [far-clamps]}\n"
TURN = "  - turn: {to-fence: edge-1}\n"
BELOW = FACES.replace("support, hold: [low-clamps, end-stops]", "support, hold: [below]")
# What each job makes of a board, what is true when it comes, and the steps before the sides of `order`.
STEPS = {
    "all": ("length width thickness", "", FACES + EDGE + TURN, "end-1 end-2 edge-2"),
    "faces": ("thickness", "", FACES, ""),
    "below": ("thickness", "", BELOW, ""),
    "side": ("width", "faces, edge-1", TURN, "edge-2"),
    "sides": ("length width", "faces, edge-1", TURN, "end-1 end-2 edge-2"),
    "ends": ("length thickness", "edge-1, edge-2", BELOW + TURN, "end-1 end-2"),
}

JOB = """
stockwright: job/1
name: small
recipe: small.yaml
shop: shop.yaml
boards: [board.yaml]
set: {length: @length@, width: @width@, thickness: @thickness@}
"""


def written(folder: Path, **changes: str) -> Path:
    """Write the job with some values changed (- for _ in their names); return the job's path."""
    given = {name.replace("_", "-"): value for name, value in changes.items()}
    made = given.get("steps", PLAIN["steps"])
    values = PLAIN | (ONE_VISIT if "faces" in STEPS[made][1] else {}) | {"order": STEPS[made][3]} | given
    assert set(values) == set(PLAIN), "a value that the job does not have"
    size = values["size"].split(" mm")
    values |= {
        name: f"{mm.strip()} mm" for name, mm in zip(("length", "width", "thickness"), size, strict=False)
    }
    documents = {"shop": SHOP, "small": _recipe(values), "board": _board(values), "job": JOB}
    for name, template in documents.items():
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


def _recipe(values: dict[str, str]) -> str:
    finished, already, steps, _ = STEPS[values["steps"]]
    text = RECIPE + (f"already: [{already}]\n" if already else "")
    text += (
        "finished: {"
        + ", ".join(f'{each}: "={each}"' for each in finished.split())
        + "}\nsteps:\n"
        + steps.lstrip("\n")
    )
    hold = ", hold: [@holds@]"
    for side in values["order"].split():
        kind = "end" if side.startswith("end") else "edge"
        to = {"end-2": ', to: "=length"', "edge-2": ', to: "=width"'}.get(side, "")
        text += f"  - {{{kind}: {side}, tool: edge-cutter, light: @light@, below: @below@{to}{hold}}}\n"
        hold = ""
    return text


def _board(values: dict[str, str]) -> str:
    """Describe a rough board by its nominal sizes, or one that is flat already by readings."""
    length, width, thick = values["board"].replace("mm", "").split()
    text = f"stockwright: board/1\nname: short plank\nspecies: {values['species']}\n"
    if "faces" not in STEPS[values["steps"]][1]:
        sizes = f"length: {length} mm, width: {width} mm, thickness: {thick} mm"
        return f"{text}nominal: {{{sizes}}}\nsurface: rough\n"
    far = float(length)
    row = f"[{thick} mm, {thick} mm, {thick} mm]"
    rows = f"rows: [{row}, {row}, {row}]"
    along, across = _three(far), _three(float(width))
    return (
        f"{text}edge-1: {{along: {along}, offset: [0 mm, 0 mm, 0 mm]}}\n"
        f"edge-2: {{along: {along}, offset: [{width} mm, {width} mm, {width} mm]}}\n"
        f"ends: {{end-1: {{near: 0 mm, far: 0 mm}}, end-2: {{near: {far:g} mm, far: {far:g} mm}}}}\n"
        f"heights: {{along: {along}, across: {across}, {rows}}}\nthickness: {{{rows}}}\n"
        "uncertainty: 0.05 mm\n"
    )


def _three(span: float) -> str:
    """Give three places along a span at which it is read."""
    return f"[10 mm, {span / 2:g} mm, {span - 10:g} mm]"
