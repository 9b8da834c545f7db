"""Small cutters in their collets, for tests of the stages after planning. In: parameters. Out: `Tool`. mm."""

from __future__ import annotations

from typing import Literal

from stockwright.tooling import Cylinder, Tool

__all__ = ["end_mill", "facer", "tool"]


def tool(
    *,
    name: str = "bit",
    number: int = 1,
    kind: Literal["facing-cutter", "end-mill"] = "end-mill",
    does: tuple[str, ...] = ("edge",),
    diameter: float = 12.0,
    cutting_length: float = 42.0,
    shank: float = 12.0,
    stickout: float = 60.0,
    gripped: float = 26.0,
    nut: tuple[float, float] = (34.0, 22.0),
    nose: tuple[float, float] = (70.0, 90.0),
    flutes: int = 2,
    centre_cutting: bool = False,
    ramp: float = 3.0,
    corner_radius: float = 0.0,
    rpm: float = 16000.0,
    feed: float = 2400.0,
    plunge_feed: float = 400.0,
    stepover: float = 4.8,
    stepdown: float = 7.0,
    marked_max_rpm: float | None = 24000.0,
) -> Tool:
    """Give a cutter in its collet; `nut` and `nose` are (diameter, length)."""
    parts = [Cylinder(diameter, 0.0, cutting_length)]
    if stickout > cutting_length:
        parts.append(Cylinder(shank, cutting_length, stickout))
    parts.append(Cylinder(nut[0], stickout, stickout + nut[1]))
    parts.append(Cylinder(nose[0], stickout + nut[1], stickout + nut[1] + nose[1]))
    return Tool(
        name=name,
        number=number,
        kind=kind,
        does=does,
        diameter=diameter,
        cutting_length=cutting_length,
        shank_diameter=shank,
        overall_length=stickout + gripped,
        gripped=gripped,
        grip_wanted=gripped,
        stickout=stickout,
        marked_max_rpm=marked_max_rpm,
        flutes=flutes,
        centre_cutting=centre_cutting,
        ramp=ramp,
        corner_radius=corner_radius,
        rpm=rpm,
        feed=feed,
        plunge_feed=plunge_feed,
        stepover=stepover,
        stepdown=stepdown,
        assembly=tuple(parts),
    )


def facer(**changes: object) -> Tool:
    """Give a 50 mm facing cutter that cannot plunge; `changes` replace arguments of `tool`."""
    given: dict[str, object] = {
        "name": "wide-facer",
        "number": 1,
        "kind": "facing-cutter",
        "does": ("face", "bed"),
        "diameter": 50.0,
        "cutting_length": 12.0,
        "stickout": 44.0,
        "flutes": 3,
        "ramp": 0.0,
        "rpm": 14000.0,
        "feed": 3000.0,
        "plunge_feed": 500.0,
        "stepover": 35.0,
        "stepdown": 2.0,
        "marked_max_rpm": 18000.0,
    }
    return tool(**(given | changes))  # type: ignore[arg-type]


def end_mill(**changes: object) -> Tool:
    """Give a 12 mm end mill that plunges; `changes` replace arguments of `tool`."""
    given: dict[str, object] = {"name": "long-end-mill", "number": 2, "centre_cutting": True}
    return tool(**(given | changes))  # type: ignore[arg-type]
