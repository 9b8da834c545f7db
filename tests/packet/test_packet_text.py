"""packet.json: what goes out comes back, in the same bytes, and fits the published schema."""

from __future__ import annotations

import json

import jsonschema
import pytest
from pydantic import ValidationError

from small_packet import small_document, small_packet
from stockwright.packet.model import Packet, dump_packet, load_packet


def test_a_packet_survives_its_text() -> None:
    """Read back, a packet says the same, and written again gives the same bytes."""
    text = dump_packet(small_packet())
    assert dump_packet(load_packet(text)) == text
    assert load_packet(text).setups[0].goals == small_packet().setups[0].goals


def test_the_text_fits_the_schema() -> None:
    """The JSON Schema that is published accepts what is written."""
    jsonschema.validate(json.loads(dump_packet(small_packet())), Packet.model_json_schema())


def test_the_schema_refuses_another_format() -> None:
    """A packet of another format number does not fit the schema."""
    plain = json.loads(dump_packet(small_packet()))
    plain["packet_format"] = 2
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(plain, Packet.model_json_schema())


def test_text_is_sorted_rounded_and_ends_with_a_line_end() -> None:
    """Keys rise, floats have six decimals at most, no negative zero, one line end at the end."""
    document = small_document()
    document["setups"][0]["work_origin"] = [-0.0000001, 1 / 3, 0]
    text = dump_packet(Packet.model_validate(document))
    assert '"work_origin": [0.0, 0.333333, 0.0]' in text
    assert text.endswith("}\n")
    assert not text.endswith("\n\n")
    keys = list(json.loads(text))
    assert keys == sorted(keys)


def test_fields_of_a_later_version_are_passed_over() -> None:
    """A field that this version does not know does not stop it from reading."""
    document = small_document()
    document["setups"][0]["colour_of_the_chalk"] = "blue"
    assert Packet.model_validate(document) == small_packet()


def test_names_that_are_nowhere_are_all_told_at_once() -> None:
    """An unknown tool and an unknown solid are both in the message."""
    document = small_document()
    document["setups"][0]["programs"][0]["tool"] = "spoon"
    document["setups"][1]["programs"][0]["standing"] = ["nobody"]
    with pytest.raises(ValidationError) as error:
        Packet.model_validate(document)
    assert "spoon" in str(error.value)
    assert "nobody" in str(error.value)


def test_infinite_numbers_are_refused() -> None:
    """JSON has no infinities, and a packet takes none."""
    document = small_document()
    document["machine"]["rapid"] = float("inf")
    with pytest.raises(ValidationError):
        Packet.model_validate(document)


def test_a_grid_that_does_not_fit_its_stations_is_refused() -> None:
    """Heights must be one row a station along x, one height a station along y."""
    document = small_document()
    document["boards"]["plank"]["top"].pop()
    with pytest.raises(ValidationError, match="top must have 4 rows of 3 heights"):
        Packet.model_validate(document)


def test_a_bed_cut_belongs_to_no_board() -> None:
    """A cut named bed, and its goal, may leave the board null."""
    document = small_document()
    document["setups"][0]["cuts"] = [{"board": None, "name": "bed"}]
    document["setups"][0]["goals"][0] |= {"board": None, "cut": "bed"}
    assert Packet.model_validate(document).setups[0].cuts[0].board is None
