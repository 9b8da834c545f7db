"""Shops begun by answering: only what was answered stands in them; nothing that keeps safe is made up."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
import yaml

from stockwright.calls.asking import Answers
from stockwright.documents import read_document, schema
from stockwright.mistakes import InputError
from stockwright.starting.shop import KINDS, new_shop

ANSWERS = Path(__file__).with_name("small_shop_answers.txt").read_text(encoding="utf-8")


def _begun(folder: Path, text: str = ANSWERS) -> Path:
    out = folder / "attic.yaml"
    new_shop(out, Answers(io.StringIO(text)))
    return out


def test_the_answers_are_the_shop(tmp_path: Path) -> None:
    """Every number stands where it was answered, and the document fits its schema."""
    file = _begun(tmp_path)
    model = read_document(file, "shop").model
    jsonschema.validate(yaml.safe_load(file.read_text(encoding="utf-8")), schema("shop"))
    assert (model.name, model.post, model.units) == ("attic", "rs274-ngc", "mm")
    assert (model.machine.travel.x, model.machine.max_feed, model.spindle.power) == ((0, 600), 3000, 800)
    assert (model.bed.mark.x, model.bed.mark.y, model.fence.pieces) == (80, 60, ((100, 500),))
    assert list(model.hold_downs) == ["side-clamp", "toe-clamp"]
    assert [(tool.number, tool.does) for tool in model.tools.values()] == [
        (1, ("face", "bed")),
        (2, ("edge", "end")),
    ]


def test_what_is_not_known_stays_open(tmp_path: Path) -> None:
    """No marked speed, no force, no day of skimming is made up; each is a comment that says what it means."""
    file = _begun(tmp_path)
    model = read_document(file, "shop").model
    assert [tool.marked_max for tool in model.tools.values()] == [None, None]
    assert (model.hold_downs["side-clamp"].push, model.hold_downs["toe-clamp"].press) == (None, None)
    assert model.bed.skimmed is None
    text = file.read_text(encoding="utf-8")
    assert text.count("# marked-max: not known: read it off the cutter") == 2
    assert "# skimmed: not known" in text


def test_no_answers_are_told_one_by_one(tmp_path: Path) -> None:
    """Without answers nothing is written: margin, mark, travel and power are asked for, never guessed."""
    with pytest.raises(InputError) as error:
        _begun(tmp_path, "")
    assert {m.code for m in error.value.mistakes} == {"missing-answer"}
    said = " ".join(m.message for m in error.value.mistakes)
    for word in (
        "how near anything that moves",
        "scribed cross",
        "spindle nose goes",
        "how much power",
        "feed",
    ):
        assert word in said
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_of_hold_down_can_be_described(kind: str, tmp_path: Path) -> None:
    """A kind's own sizes are asked for, one a line, and the document is read with it."""
    sizes = {"count": "2", "angle": "8 deg", "thickness": "0.3 mm", "sunk": "0 mm"}
    sizes["areas"] = "2\n60 mm to 200 mm\n80 mm to 300 mm\n240 mm to 400 mm\n80 mm to 300 mm"
    required = [
        sizes.get(str(each.alias), "25 mm")
        for each in KINDS[kind].model_fields.values()
        if each.alias not in {"kind", "bolt"} and each.is_required()
    ]
    # What may stay open comes last in each kind.
    opened = [""] * sum(
        not each.is_required() for each in KINDS[kind].model_fields.values() if each.alias != "bolt"
    )
    lines = "\n".join([kind, "held", *required, *opened, ""]) + "\n"
    before, _, after = ANSWERS.partition("side-clamp\n")
    rest = after[after.index("0.2 mm, 1 mm\n2\nfacer\n") :]
    model = read_document(_begun(tmp_path, before + lines + rest), "shop").model
    assert isinstance(model.hold_downs["held"], KINDS[kind])


def test_areas_of_a_vacuum_stand_as_they_were_answered(tmp_path: Path) -> None:
    """Each area is asked for along x and y; one that runs backwards is refused at its own question."""
    before, _, after = ANSWERS.partition("side-clamp\n")
    rest = after[after.index("0.2 mm, 1 mm\n2\nfacer\n") :]
    areas = ["2", "60 mm to 200 mm", "80 mm to 300 mm", "10 in to 1 ft", "80 mm to 300 mm"]
    lines = "\n".join(["vacuum", "pod", *areas, "6 mm", "", "0.7 bar", "", ""])
    model = read_document(_begun(tmp_path, before + lines + rest), "shop").model
    pod = model.hold_downs["pod"]
    assert [(area.x, area.y) for area in pod.areas] == [
        ((60, 200), (80, 300)),
        ((254, pytest.approx(304.8)), (80, 300)),
    ]
    assert (pod.seal, pod.follows, pod.pressure) == (6, None, pytest.approx(0.07))
    (tmp_path / "backwards").mkdir()
    with pytest.raises(InputError) as error:
        _begun(tmp_path / "backwards", before + lines.replace("60 mm to 200 mm", "200 mm to 60 mm") + rest)
    assert ["200 mm to 60 mm" in m.message for m in error.value.mistakes] == [True]


def test_piped_as_a_process(tmp_path: Path) -> None:
    """Answers come through a pipe, nothing is asked aloud, and a second time nothing is overwritten."""
    call = [sys.executable, "-m", "stockwright", "shop", "new", "--out", "attic.yaml"]
    done = [
        subprocess.run(
            call, cwd=tmp_path, input=ANSWERS, capture_output=True, text=True, check=False, timeout=60
        )
        for _ in range(2)
    ]
    assert [each.returncode for each in done] == [0, 2]
    assert done[0].stderr == ""
    assert "attic.yaml: exists:" in done[1].stderr
    assert (tmp_path / "attic.yaml").read_bytes() == _begun_bytes(tmp_path)


def _begun_bytes(folder: Path) -> bytes:
    (folder / "again").mkdir()
    return _begun(folder / "again").read_bytes()
