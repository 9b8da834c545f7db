"""What a packet says a cutter may take at once: from the shop's and the recipe's own figures."""

from __future__ import annotations

from made_packets import proven


def test_a_tool_says_its_deepest_cut_and_its_trim() -> None:
    """The example's shop steps its facer down by 2 mm and its mill by 7; the recipe trims edges by 0.4 mm."""
    tools = proven("stair-tread/job").packet.tools
    assert {name: (tool.deepest, tool.trim) for name, tool in tools.items()} == {
        "wide-facer": (2.0, 0.0),
        "long-end-mill": (7.0, 0.4),
    }
