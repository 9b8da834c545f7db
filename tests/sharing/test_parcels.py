"""Parcels: what goes in, what stays at home, and what is refused when one comes in."""

from __future__ import annotations

import io
import json
import random
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockwright.documents import read_document
from stockwright.mistakes import InputError
from stockwright.packet.deliver import deliver
from stockwright.sharing.packing import Asked, pack
from stockwright.sharing.parcel import PARCEL, load_parcel
from stockwright.sharing.unpacking import changes, unpack

if TYPE_CHECKING:
    from collections.abc import Mapping

ROOT = Path(__file__).parents[2]
CHILD = (
    "stockwright: recipe/1\nname: child\nversion: 1.0.0\nextends: four-sides-square\n"
    "about: A lighter second face.\nsteps: {change: {face B: {light: 0.2 mm}}}\n"
)


def _packed(folder: Path, text: str = CHILD) -> bytes:
    (folder / "child.yaml").write_text(text, encoding="utf-8")
    job = ROOT / "examples/stair-tread/job.yaml"
    asked = Asked(str(folder / "child.yaml"), None, job, "A. Joiner", "public domain")
    return pack(asked)[1]


def _saved(folder: Path, content: bytes) -> Path:
    path = folder / "parcel"
    path.write_bytes(content)
    return path


def _code(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        unpack(path)
    return caught.value.mistakes[0].code


def _again(content: bytes, changed: Mapping[str, bytes | None], **info: object) -> bytes:
    """Return the parcel with some files changed, added or (None) taken out."""
    with zipfile.ZipFile(io.BytesIO(content)) as old:
        files: dict[str, bytes | None] = {name: old.read(name) for name in old.namelist()}
    files |= changed
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as new:
        for name, data in files.items():
            if data is not None:
                entry = zipfile.ZipInfo(name)
                if name in changed:
                    for key, value in info.items():
                        setattr(entry, key, value)
                new.writestr(entry, data)
    return buffer.getvalue()


def test_a_parcel_is_the_same_each_time(tmp_path: Path) -> None:
    """No clock and no folder of the machine is in it."""
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    assert _packed(tmp_path / "a") == _packed(tmp_path / "b")


@pytest.mark.parametrize(
    ("said", "code"), [("a\nb", "wrong-type"), ("\udcff", "wrong-type"), ("a" * 2001, "out-of-range")]
)
def test_terms_that_no_terminal_could_show_are_mistakes(said: str, code: str) -> None:
    """Author and licence at once, each under its option, before a parcel is made that nobody could open."""
    with pytest.raises(InputError) as caught:
        pack(Asked("four-sides-square", author=said, licence=said))
    assert [(m.file, m.code) for m in caught.value.mistakes] == [("--author", code), ("--licence", code)]


def test_what_comes_out_is_what_went_in(tmp_path: Path) -> None:
    """The recipe reads as the same one, with its terms and its parent beside it."""
    opened = unpack(_saved(tmp_path, _packed(tmp_path)))
    assert opened.recipe == read_document(tmp_path / "child.yaml", "recipe").model
    assert (opened.parcel.author, opened.parcel.licence) == ("A. Joiner", "public domain")
    whats = {each.file: each.what for each in opened.parcel.files}
    assert whats == {
        "child.yaml": "recipe",
        "four-sides-square.yaml": "parent",
        "example.yaml": "job",
        "board.yaml": "board",
    }


def test_a_shops_own_figures_stay_at_home(tmp_path: Path) -> None:
    """Neither the shop's document nor a word of it that the job says travels."""
    opened = unpack(_saved(tmp_path, _packed(tmp_path)))
    job = opened.files["example.yaml"].decode()
    assert "shop" not in job.replace("stockwright", "")
    shop = (ROOT / "examples/stair-tread/shop.yaml").read_text(encoding="utf-8")
    name = next(line for line in shop.splitlines() if line.startswith("name:")).removeprefix("name: ")
    assert all(name.encode() not in data for data in opened.files.values())


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("../child.yaml", "outside-folder"),
        ("/etc/x.yaml", "outside-folder"),
        ("a/../../x.yaml", "outside-folder"),
        ("c:\\x.yaml", "outside-folder"),
        ("Upper.yaml", "outside-folder"),
        (".hidden", "outside-folder"),
        ("extra.yaml", "not-a-parcel"),
    ],
)
def test_no_file_leaves_its_folder_or_comes_unlisted(tmp_path: Path, name: str, code: str) -> None:
    """A name that leads out, and one that its table of contents does not know."""
    assert _code(_saved(tmp_path, _again(_packed(tmp_path), {name: b"x: 1\n"}))) == code


def test_a_link_is_refused(tmp_path: Path) -> None:
    """A file that says it is a link to elsewhere is no document."""
    content = _again(_packed(tmp_path), {"child.yaml": b"/etc/passwd"}, external_attr=0o120777 << 16)
    assert _code(_saved(tmp_path, content)) == "not-a-parcel"


def test_a_changed_file_is_found_by_its_digest(tmp_path: Path) -> None:
    """One letter of the recipe differs from what was packed."""
    changed = {"child.yaml": CHILD.replace("lighter", "heavier").encode()}
    assert _code(_saved(tmp_path, _again(_packed(tmp_path), changed))) == "changed"


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    """The table of contents says what ought to be there."""
    assert _code(_saved(tmp_path, _again(_packed(tmp_path), {"board.yaml": None}))) == "missing-file"


def test_a_bomb_is_refused_before_it_grows(tmp_path: Path) -> None:
    """A packed file that swells is not even begun; nor are a thousand small ones."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("parcel.json", b"0" * 50_000_000)
    assert _code(_saved(tmp_path, buffer.getvalue())) == "not-a-parcel"
    many = {f"f{number}.yaml": b"" for number in range(1000)}
    assert _code(_saved(tmp_path, _again(_packed(tmp_path), many))) == "too-large"


def test_a_newer_format_says_what_to_update(tmp_path: Path) -> None:
    """Format 2 is not guessed at."""
    content = _packed(tmp_path)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        table = json.loads(archive.read(PARCEL.file))
    table["parcel_format"] = 2
    path = _saved(tmp_path, _again(content, {PARCEL.file: json.dumps(table).encode()}))
    with pytest.raises(InputError, match="newer version of stockwright"):
        unpack(path)


def test_a_recipe_with_mistakes_is_told_by_its_place_in_the_parcel(tmp_path: Path) -> None:
    """A parcel made by hand, digests and all, with a recipe that is wrong in its sixth line."""
    import hashlib

    content = _packed(tmp_path)
    wrong = CHILD.replace("face B", "face C").encode()
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        table = json.loads(archive.read(PARCEL.file))
    entry = next(each for each in table["files"] if each["file"] == "child.yaml")
    entry |= {"sha256": hashlib.sha256(wrong).hexdigest(), "bytes": len(wrong)}
    files = {PARCEL.file: json.dumps(table).encode(), "child.yaml": wrong}
    with pytest.raises(InputError) as caught:
        unpack(_saved(tmp_path, _again(content, files)))
    [mistake] = caught.value.mistakes
    assert (mistake.file, mistake.line) == (f"{tmp_path / 'parcel'}:child.yaml", 6)


def test_what_changes_is_shown_before_it_is_replaced(tmp_path: Path) -> None:
    """The new parcel's light last level is 0.3 mm, and the old one lies there still."""
    first = unpack(_saved(tmp_path, _packed(tmp_path)))
    deliver(tmp_path / "here", first.files, sort=PARCEL)
    text = CHILD.replace("0.2 mm", "0.3 mm").replace("1.0.0", "1.1.0")
    second = unpack(_saved(tmp_path, _packed(tmp_path, text)))
    assert changes(second, tmp_path / "here") == [
        "1.0.0, then 1.1.0",
        "step face B: light 0.2 mm, then 0.3 mm",
    ]
    with pytest.raises(InputError, match="earlier parcel"):
        deliver(tmp_path / "here", second.files, sort=PARCEL)
    deliver(tmp_path / "here", second.files, replace=True, sort=PARCEL)
    same = "nothing of what the recipe does; it is 1.1.0 as well"
    assert changes(second, tmp_path / "here") == [same]


def test_a_name_that_no_other_system_reads_is_not_packed(tmp_path: Path) -> None:
    """Better said to the sender than to the receiver."""
    path = tmp_path / "Größe.yaml"
    path.write_text(CHILD, encoding="utf-8")
    with pytest.raises(InputError, match="not every system"):
        pack(Asked(str(path)))


HOSTILE = (
    "../x.yaml",
    "/x.yaml",
    "a/../../x",
    "c:x",
    "con",
    "x" * 200,
    "parcel.json",
    "child.yaml",
    "\u202egnp.yaml",
    "",
)


def _damaged(whole: bytes, chance: random.Random) -> bytes:
    """Return a parcel with bytes changed, cut or doubled, or a hostile file put in, or one exchanged."""
    match chance.randrange(5):
        case 0:
            at = chance.randrange(len(whole))
            return whole[:at] + bytes([chance.randrange(256)]) + whole[at + 1 :]
        case 1:
            at = chance.randrange(len(whole))
            return whole[:at] + whole[at + chance.randrange(1, 400) :]
        case 2:
            a, b = sorted(chance.randrange(len(whole)) for _ in range(2))
            return whole[:b] + whole[a:]
        case 3:
            mode = chance.choice((0o100644, 0o120777, 0o040755, 0o010644)) << 16
            return _again(whole, {chance.choice(HOSTILE): b"x: 1\n"}, external_attr=mode)
        case _:
            name = chance.choice(("child.yaml", "board.yaml", "parcel.json", "example.yaml"))
            return _again(whole, {name: chance.randbytes(chance.randrange(200))})


@pytest.mark.wide
def test_two_thousand_damaged_parcels_are_refused_and_touch_nothing(tmp_path: Path) -> None:
    """Each is refused as a mistake, or is the parcel itself; nothing appears beside it."""
    whole = _packed(tmp_path)
    here = {each.name for each in tmp_path.iterdir()} | {"parcel"}
    refused = 0
    for seed in range(2000):
        content = _damaged(whole, random.Random(seed))
        try:
            opened = unpack(_saved(tmp_path, content))
        except InputError as error:
            refused += bool(error.mistakes)
        else:
            with zipfile.ZipFile(io.BytesIO(whole)) as archive:  # the damage lay where nothing is said
                assert opened.files == {name: archive.read(name) for name in archive.namelist()}
    assert refused > 1900
    assert {each.name for each in tmp_path.iterdir()} == here
    assert not (tmp_path.parent / "x.yaml").exists()


@given(st.text(max_size=200))
def test_any_text_is_a_table_of_contents_or_a_mistake(text: str) -> None:
    """Never a traceback."""
    with pytest.raises(InputError):
        load_parcel(text, "x")
