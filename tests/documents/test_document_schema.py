"""The JSON Schemas that editors use accept what the reader accepts."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from stockwright.documents.load import read_document, schema

ROOT = Path(__file__).parents[2]
SHIPPED = sorted([*ROOT.glob("recipes/*.yaml"), *ROOT.glob("examples/*/**/*.yaml")])
KINDS = ("recipe", "shop", "board", "job", "post")


def _kind(file: Path) -> str:
    first = file.read_text(encoding="utf-8").split("\n", 1)[0]
    return first.removeprefix("stockwright: ").split("/")[0]


def _checked(file: Path) -> bool:
    return _kind(file) in KINDS


@pytest.mark.parametrize("file", [each for each in SHIPPED if _checked(each)], ids=lambda file: file.name)
def test_shipped_documents_are_read_and_fit_their_schema(file: Path) -> None:
    """Every recipe, shop, board and job in the checkout is valid to the reader and to an editor."""
    kind = _kind(file)
    read_document(file, kind)
    jsonschema.validate(yaml.safe_load(file.read_text(encoding="utf-8")), schema(kind))


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
