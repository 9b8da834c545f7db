"""What a post says of its control goes into the packet, and no more."""

from __future__ import annotations

import pytest

from small_packet import small_document
from stockwright.packet.control import control_of
from stockwright.packet.model import Control, Packet
from stockwright.posting import Traits, WordAddress
from stockwright.posting.load import found, load_post


def with_traits(**traits: object) -> Control:
    """Give what is stated of a post with these traits."""
    return control_of(WordAddress(name="made", about="made here", traits=Traits(**traits)))  # type: ignore[arg-type]


@pytest.mark.parametrize("name", found())
def test_each_shipped_post_states_its_lines_and_its_modes(name: str) -> None:
    """The length of a line and the wait are those of its traits; the modes are what it begins with."""
    post = load_post(name)
    control = control_of(post)
    assert (control.line_length, control.spin_up) == (post.traits.line_length, post.traits.spin_up)
    begins = getattr(post.traits, "start_words", ())
    assert control.modes[: len(begins)] == list(begins)
    assert set(control.modes) <= set(control.words)


def test_only_the_published_language_takes_more_than_is_written() -> None:
    """Steps and whole numbers are of NISTIR 6556; small and old controls are not said to have them."""
    takes = {name: control_of(load_post(name)) for name in found()}
    assert {name for name, control in takes.items() if "G91" in control.words} == {"rs274-ngc"}
    assert {name for name, control in takes.items() if control.points} == {
        "iso-6983",
        "lean-serial",
        "spelled-out",
    }
    assert {name for name, control in takes.items() if control.names_tool} == {"cldata", "motion-table"}
    assert not any({"M6", "M7", "M8", "M9", "G40"} & set(takes["lean-serial"].words))


def test_a_profile_s_words_are_taken_and_no_others() -> None:
    """Relays, tool changes, waits and numbers of lines are taken where a profile names them."""
    plain = with_traits()
    more = with_traits(
        dust_on="M08", dust_off="M09", tool_change="word", line_number_step=10, file_bytes=5000, spin_up=2.0
    )
    assert set(more.words) - set(plain.words) == {"M6", "M8", "M9"}
    assert (plain.line_number, more.line_number) == (None, 99999)
    assert (plain.file_bytes, more.file_bytes, plain.file_lines) == (None, 5000, None)
    assert (plain.names_tool, more.names_tool, more.spin_up) == (False, True, 2.0)
    assert "G4" not in with_traits(dwell_unit="none").words
    assert "M0" not in with_traits(stops_trusted=False).words
    assert with_traits(spin_up=2.0, spin_up_by="control").spin_up == 0.0
    assert "G53" in with_traits(retract="machine", machine_zero=(0.0, 0.0, 100.0)).words


def test_a_packet_without_these_facts_is_written_as_before() -> None:
    """Where nothing is said of controls the key is left out, and what is said comes back as it was."""
    packet = Packet.model_validate(small_document())
    assert "controls" not in packet.model_dump(mode="json")["machine"]
    said = {"any": with_traits(spin_up=2.0)}
    packet = packet.model_copy(update={"machine": packet.machine.model_copy(update={"controls": said})})
    assert Packet.model_validate_json(packet.model_dump_json(by_alias=True)).machine.controls == said
