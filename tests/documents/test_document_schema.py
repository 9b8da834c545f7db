"""The JSON Schemas that editors use accept what the reader accepts."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any, get_args

import jsonschema
import pytest
import yaml
from jsonschema import Draft202012Validator

from stockwright.documents.described import TABLES, phrase
from stockwright.documents.fields import Part
from stockwright.documents.load import read_document, schema
from stockwright.documents.loaded import KINDS as MODELS
from stockwright.packet.model import Packet
from stockwright.sharing.packing import Asked, pack
from stockwright.sharing.parcel import Parcel, dump_parcel

ROOT = Path(__file__).parents[2]
FIRST = Path(__file__).with_name("first_format")
SHIPPED = sorted([*ROOT.glob("recipes/*.yaml"), *ROOT.glob("examples/*/**/*.yaml"), *FIRST.glob("**/*.yaml")])
KINDS = ("recipe", "shop", "board", "job", "post", "measured")


def _kind(file: Path) -> str:
    first = file.read_text(encoding="utf-8").split("\n", 1)[0]
    return first.removeprefix("stockwright: ").split("/")[0]


@cache
def _editor(kind: str) -> Draft202012Validator:
    """Return what judges documents of a kind as an editor would, its schema itself judged first."""
    made = schema(kind)
    Draft202012Validator.check_schema(made)
    return Draft202012Validator(made)


def _checked(file: Path) -> bool:
    return _kind(file) in KINDS


@pytest.mark.parametrize("file", [each for each in SHIPPED if _checked(each)], ids=lambda file: file.name)
def test_shipped_documents_are_read_and_fit_their_schema(file: Path) -> None:
    """Every recipe, shop, board and job in the checkout is valid to the reader and to an editor."""
    kind = _kind(file)
    read_document(file, kind)
    _editor(kind).validate(yaml.safe_load(file.read_text(encoding="utf-8")))


def test_each_kind_of_document_is_among_those_checked() -> None:
    """None of the kinds that people write is left out of the test above."""
    assert {_kind(file) for file in SHIPPED} >= set(KINDS)


def _blocks(file: Path) -> list[str]:
    parts = file.read_text(encoding="utf-8").split("```yaml\n")[1:]
    return [part.split("```")[0] for part in parts]


PAGES = sorted([*ROOT.glob("*.md"), *ROOT.glob("*/README.md"), *ROOT.glob("examples/*/*.md")])
SHOWN = [
    (f"{file.parent.name}/{file.name}-{number}", block)
    for file in PAGES
    for number, block in enumerate(_blocks(file), 1)
    if block.startswith("stockwright: ")
]


@pytest.mark.parametrize("block", [block for _, block in SHOWN], ids=[name for name, _ in SHOWN])
def test_documents_shown_on_pages_fit_their_schema(block: str) -> None:
    """What a page shows as a whole document, an editor takes without a mark."""
    _editor(block.removeprefix("stockwright: ").split("/")[0]).validate(yaml.safe_load(block))


def _parts(kind: str) -> dict[str, dict[str, Any]]:
    """Return every table of a kind's schema, a recipe's that extends another included."""
    made = schema(kind)
    tops = {"": made, "then": made.get("then", {}), "else": made.get("else", {})}
    return {name: part for name, part in {**made["$defs"], **tops}.items() if "properties" in part}


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_is_described(kind: str) -> None:
    """An editor has something to say of every key of every table."""
    bare = [
        f"{name}.{key}"
        for name, part in _parts(kind).items()
        for key, each in part["properties"].items()
        if not each.get("description")
    ]
    assert bare == []


def _types(found: dict[str, type[Part]], looked_at: Any) -> None:
    if isinstance(looked_at, type) and issubclass(looked_at, Part):
        if looked_at.__name__ not in found:
            found[looked_at.__name__] = looked_at
            for each in looked_at.model_fields.values():
                _types(found, each.annotation)
                for more in each.metadata:
                    _types(found, more)
        return
    for each in get_args(looked_at):
        _types(found, each)


def test_phrases_are_of_keys_that_there_are() -> None:
    """Every key has a phrase of its own, and no phrase is left of a key that is no more."""
    found: dict[str, type[Part]] = {}
    for model in MODELS.values():
        _types(found, model)
    keys = {
        (base.__name__, str(each.alias))
        for part in found.values()
        for each in part.model_fields.values()
        for base in part.__mro__
    }
    wordless = [
        f"{name}.{each.alias}"
        for name, part in found.items()
        for each in part.model_fields.values()
        if phrase(part, str(each.alias)) is None
    ]
    stale = [f"{name}.{key}" for name, table in TABLES.items() for key in table if (name, key) not in keys]
    assert (wordless, stale) == ([], [])


PACKETS = sorted([*ROOT.glob("tests/golden/*/packet.json"), FIRST / "packet.json"])


@pytest.mark.parametrize("file", PACKETS, ids=lambda file: file.parent.name)
def test_packets_fit_their_schema(file: Path) -> None:
    """Every packet kept in the checkout is what its schema says, the first one included."""
    jsonschema.validate(json.loads(file.read_text(encoding="utf-8")), Packet.model_json_schema(by_alias=True))


@pytest.mark.parametrize("recipe", ["skim-the-bed", "four-sides-square"])
def test_parcels_fit_their_schema(recipe: str) -> None:
    """A parcel's table of contents is what its schema says, and a name that leaves its folder is not."""
    job = ROOT / "examples" / "stair-tread" / ("bed.yaml" if recipe == "skim-the-bed" else "job.yaml")
    contents = json.loads(dump_parcel(pack(Asked(recipe, ROOT / "recipes" / "README.md", job))[0]))
    wanted = Parcel.model_json_schema()
    jsonschema.validate(contents, wanted)
    contents["files"][0]["file"] = "../elsewhere.yaml"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(contents, wanted)


@pytest.mark.parametrize("kind", KINDS)
def test_a_schema_is_a_schema(kind: str) -> None:
    """Each kind's schema is itself valid, plain JSON, and the same each time."""
    made = schema(kind)
    jsonschema.Draft202012Validator.check_schema(made)
    assert json.dumps(made) == json.dumps(schema(kind))


def _recipe() -> dict[str, Any]:
    text = (ROOT / "recipes" / "four-sides-square.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded


def test_a_schema_refuses_a_misspelt_key_and_word() -> None:
    """An editor underlines `tol` and `thickes` before the reader is asked."""
    wanted = schema("recipe")
    for key, value in (("tol", "facer"), ("seat", "thickes")):
        recipe = _recipe()
        recipe["steps"][0][key] = value
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(recipe, wanted)


def test_a_schema_takes_one_side_without_brackets() -> None:
    """A list of one may be written without its brackets, to editors too."""
    recipe = _recipe()
    recipe["steps"][0]["hold"] = "low-clamps"
    jsonschema.validate(recipe, schema("recipe"))
