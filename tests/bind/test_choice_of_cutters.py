"""Of several cutters the stiffest is taken, as it sticks out, and the sheet says why not the others."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cutters import end_mill, facer
from setups import shop
from stockwright.bind.tools import bind_tools, choices
from stockwright.documents.recipe import Role
from stockwright.documents.shop import ShopDocument

if TYPE_CHECKING:
    from stockwright.machine import Shop
    from stockwright.tooling import Tool

ROLES = {"edge-cutter": Role(does="edge"), "facer": Role(does="face")}
REACHES = {"edge-cutter": 30.0, "facer": None}
SHORT = replace(end_mill(diameter=10.0, shank=10.0, stickout=35.0), name="short", number=3)
LONG = replace(end_mill(stickout=110.0), name="long", number=4)


def chosen(own: Shop) -> dict[str, Tool]:
    """Bind the roles; no cutter is missing, so nothing of the document is looked at."""
    taken, lacking = bind_tools(ROLES, REACHES, own, ShopDocument.model_construct(tools={}))
    assert lacking == ()
    return taken


def test_an_edge_is_cut_by_what_bends_least_not_by_what_is_widest() -> None:
    """A 12 mm cutter 110 mm out gives way to a 10 mm one 35 mm out, in whatever order they are written."""
    for tools in ((facer(), SHORT, LONG), (LONG, SHORT, facer())):
        assert chosen(shop(tools=tools))["edge-cutter"].name == "short"


def test_of_cutters_for_a_face_the_widest_is_taken() -> None:
    """Then the one whose blades are shorter, then the first by name; how far they bend is no matter there."""
    slim, wide = facer(name="slim", diameter=40.0), facer(name="wide", diameter=60.0, stickout=90.0)
    short = facer(name="z-short", diameter=60.0, cutting_length=10.0)
    alike = facer(name="a-short", diameter=60.0, cutting_length=10.0)
    for tools, name in (
        ((slim, wide), "wide"),
        ((wide, slim, short), "z-short"),
        ((wide, short, alike, slim), "a-short"),
    ):
        assert chosen(shop(tools=(SHORT, *tools)))["facer"].name == name


def test_why_this_and_why_not_that_is_said() -> None:
    """The sentence has both cutters' bending, and what keeps a third one out."""
    stub = replace(end_mill(cutting_length=12.0), name="stub", number=5)
    own = shop(tools=(facer(), SHORT, LONG, stub))
    [sentence] = choices(ROLES, REACHES, own, chosen(own))
    assert sentence.startswith("short is the edge-cutter: its tip bends ")
    assert "long bends" in sentence
    assert "stub cuts 12 mm deep, not 30 mm" in sentence


def test_a_cutter_without_a_rival_needs_no_reason() -> None:
    """Where there is no choice, nothing is said."""
    own = shop(tools=(facer(), SHORT))
    assert choices(ROLES, REACHES, own, chosen(own)) == ()
