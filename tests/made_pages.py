"""The pages of this project that are made. In: schemas, rules, posts, recipes, an example. Out: files' bytes.

Promise: nothing here is kept by hand; between markers in a page that people write, or as a page of its own.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shutil
import tempfile
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import yaml

from made_rooms import rooms_page

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

__all__ = ["ROOT", "between", "kind_page", "made", "no_more", "pictures", "recipe_drawings"]

ROOT = Path(__file__).parents[1]
KINDS = ("recipe", "shop", "board", "job", "post", "measured")
PACKAGE = "pipeline/stockwright"
FOLDERS = ("recipes/pages", "posts/pages", f"{PACKAGE}/documents/pages")
OWN = "<!-- made by tests/docs/accept.py; change what it is made from -->\n\n"
BEGINS, ENDS = "<!-- made: {} -->\n", "<!-- made: end -->\n"


def made() -> dict[str, bytes]:
    """Return every made page, and every page with a made part, by path."""
    from stockwright.checking import rules_page

    texts = {f"{PACKAGE}/checking/README.md": rules_page(), f"{PACKAGE}/README.md": OWN + rooms_page()}
    texts[f"{PACKAGE}/explaining/README.md"] = _said_page()
    texts |= {f"{PACKAGE}/documents/pages/{kind}.md": kind_page(kind) for kind in KINDS}
    texts[f"{PACKAGE}/documents/README.md"] = _kinds_page()
    recipes, posts = dict(_recipes()), dict(_posts())
    texts |= {f"recipes/pages/{name}.svg": text for name, text in recipe_drawings().items()}
    texts |= {f"recipes/pages/{name}.md": text for name, (_, text) in recipes.items()}
    texts |= {f"posts/pages/{name}.md": text for name, (_, text) in posts.items()}
    for folder, table in (("recipes", recipes), ("posts", posts)):
        head = f"| {folder[:-1]} | what it is for |\n| --- | --- |\n"
        rows = "".join(f"| [`{name}`](pages/{name}.md) | {about} |\n" for name, (about, _) in table.items())
        texts[f"{folder}/README.md"] = between(ROOT / folder / "README.md", folder, head + rows)
    return {path: text.encode() for path, text in texts.items()} | pictures()


def no_more() -> list[str]:
    """Return pages in the made folders that nothing makes."""
    pages = made()
    there = [file.relative_to(ROOT).as_posix() for folder in FOLDERS for file in (ROOT / folder).glob("*")]
    return sorted(path for path in there if path not in pages)


def between(file: Path, name: str, text: str) -> str:
    """Return a page with `text` between the markers of `name`. Raises `ValueError` where they are missing."""
    before, begins, rest = file.read_text(encoding="utf-8").partition(BEGINS.format(name))
    _, ends, after = rest.partition(ENDS)
    if not begins or not ends:
        raise ValueError(f"{file.name} has no place for what is made of {name}")
    return f"{before}{begins}{text}{ends}{after}"


def _kinds_page() -> str:
    from stockwright.documents.load import schema

    lines = ["# Documents", "", "What people write, each kind on its own page, made from its schema.", ""]
    lines += [f"- [{kind}](pages/{kind}.md): {_about(schema(kind))}" for kind in KINDS]
    lines += ["", "`stockwright schema KIND` prints the schema itself, for editors.", ""]
    return OWN + "\n".join(lines)


def _about(schema: Mapping[str, Any]) -> str:
    """Return what a schema says of itself, in one line."""
    own = schema.get("description") or schema.get("else", {}).get("description") or schema.get("title", "")
    return " ".join(str(own).split("\n\n")[0].split())


def kind_page(kind: str) -> str:
    """Return the page of one kind of document: every table with its keys."""
    from stockwright.documents.load import schema

    whole = schema(kind)
    lines = [f"# {kind}", "", f"Its first line is `stockwright: {whole['title'].partition(' ')[2]}`.", ""]
    tops = [each for each in (whole.get("else"), whole) if each and "properties" in each][:1]
    for top in tops:
        lines += [_about(top), "", *_table(top)]
    ways = [" and ".join(f"`{key}`" for key in each.get("required", ())) for each in whole.get("oneOf", ())]
    if any(ways):
        lines += ["", f"One of these must be there: {'; '.join(ways)}."]
    for name, part in sorted(whole.get("$defs", {}).items()):
        if "properties" in part:
            lines += ["", f"## {name}", "", _about(part), "", *_table(part)]
    return OWN + "\n".join(lines).rstrip() + "\n"


def _table(part: Mapping[str, Any]) -> Iterator[str]:
    yield "| key | what it is | kind | left out |"
    yield "| --- | --- | --- | --- |"
    must = set(part.get("required", ()))
    for key, each in part["properties"].items():
        default = each.get("default")
        left = "must be there" if key in must else _left_out(default)
        cells = (f"`{key}`", each.get("description", ""), _type(each), left)
        yield f"| {' | '.join(' '.join(str(cell).replace('|', chr(92) + '|').split()) for cell in cells)} |"


def _left_out(default: object) -> str:
    """Say what is taken where a key is left out."""
    if isinstance(default, dict):  # a table of which nothing is said
        default = {key: value for key, value in default.items() if value is not None}
    if default in (None, "", [], {}):
        return ""
    return f"`{ {True: 'yes', False: 'no'}[default] if isinstance(default, bool) else default }`"


def _type(each: Mapping[str, Any]) -> str:
    """Say what sort of value a key has; a table of its own by a link."""
    if "$ref" in each:
        name = each["$ref"].rpartition("/")[2]
        return f"[{name}](#{name.lower()})"
    if "const" in each:
        return f"`{each['const']}`"
    if "enum" in each:
        return ", ".join(f"`{word}`" for word in each["enum"])
    for key in ("anyOf", "oneOf"):
        if key in each:
            told = dict.fromkeys(_type(one) for one in each[key] if one.get("type") != "null")
            told.pop("`yes`, `no`", None)
            one = next((t for t in told if f"list of {t}" in told), None)  # one may stand without brackets
            return f"{one}, or a list of them" if one else " or ".join(told) or "`yes`, `no`"
    kind = each.get("type")
    if kind == "array":
        items = each.get("items") or {}
        return f"list of {_type(items)}" if items else "list"
    if kind == "object":
        inside = each.get("additionalProperties")
        return f"names, each with {_type(inside)}" if isinstance(inside, dict) else "table"
    return "yes or no" if kind == "boolean" else "value"


def _said_page() -> str:
    """Return the page of everything a message may name but rules, which have their own, and of all words."""
    from stockwright.explaining import KINDS as NAMED
    from stockwright.explaining import pages
    from stockwright.words import words_page

    lines = [
        "# What stockwright says",
        "",
        "Every name that a message carries; `stockwright explain NAME` prints its page. The rules of `check`",
        "have a page of their own: [checking/README.md](../checking/README.md).",
        "",
        "## Words",
        "",
        words_page(),
    ]
    every = pages()
    for kind in ("finding", "reason", "mistake"):
        title = NAMED[kind][:1].upper() + NAMED[kind][1:]
        lines += [f"## {title}", "", "| name | what it means |", "| --- | --- |"]
        lines += [f"| `{p.name}` | {' '.join(p.text.split())} |" for p in every if p.kind == kind]
        lines.append("")
    return OWN + "\n".join(lines).rstrip() + "\n"


def _recipes() -> Iterator[tuple[str, tuple[str, str]]]:
    from stockwright.documents import read_document
    from stockwright.documents.load import recipe_text
    from stockwright.documents.shipped import recipes_folder, shipped_names

    folder = recipes_folder()
    for name in shipped_names(folder):
        model = read_document(folder / f"{name}.yaml", "recipe").model
        text = recipe_text(name, resolved=True)
        lines = [f"# {name}", "", model.about, "", f"As written: [{name}.yaml](../{name}.yaml).", ""]
        lines += [f"![how a board lies, is held and is cut in each clamping]({name}.svg)", ""]
        for key, title in (
            ("inputs", "What it asks"),
            ("tools", "Which cutters it needs"),
            ("holding", "Where it wants the board held"),
            ("already", "What is true of every board when it comes"),
            ("tolerance", "What the finished piece may be out by"),
            ("finished", "The finished size"),
            ("steps", "What is done, in this order"),
        ):
            block = re.search(rf"^{key}:.*\n(?:(?:[ #-].*)?\n)*", text, re.MULTILINE)
            if block:
                lines += [f"## {title}", "", "```yaml", block[0].rstrip(), "```", ""]
        yield name, (model.about, OWN + "\n".join(lines).rstrip() + "\n")


@cache
def recipe_drawings() -> dict[str, str]:
    """Return the drawing of every shipped recipe by its name, from the first example that runs it."""
    from stockwright.documents.shipped import recipes_folder, shipped_names
    from stockwright.packet.recipe_drawing import draw_recipe
    from stockwright.run import Request, bound

    jobs = yaml.safe_load((ROOT / "examples" / "expected.yaml").read_text(encoding="utf-8"))
    shown: dict[str, Path] = {}
    for job, comes_to in jobs.items():
        file = ROOT / "examples" / job
        if comes_to == "proven":
            shown.setdefault(yaml.safe_load(file.read_text(encoding="utf-8"))["recipe"], file)
    drawn = {}
    for name in shipped_names(recipes_folder()):
        job, _ = bound(Request(shown[name]))
        drawn[name] = draw_recipe(name, job.steps, len(job.boards))
    return drawn


def _posts() -> Iterator[tuple[str, tuple[str, str]]]:
    from stockwright.posting import BrokenPost, found, load_post

    for name in sorted(found()):
        post = load_post(name)
        assert not isinstance(post, BrokenPost)
        said = post.describe()
        lines = [f"# {name}", "", f"{post.about[:1].upper()}{post.about[1:]}.", ""]
        rows = [line.partition(": ") for line in said.splitlines()[1:]]
        lines += ["| of | it does |", "| --- | --- |"]
        lines += [f"| {a} | {b.replace('|', chr(92) + '|')} |" for a, _, b in rows]
        yield name, (post.about, OWN + "\n".join(lines) + "\n")


def pictures() -> dict[str, bytes]:
    """Return the pictures of the first board, made by the calls that its page shows."""
    page = (ROOT / "examples" / "first-board.md").read_text(encoding="utf-8")
    calls = re.findall(r"^stockwright (.*)$", page, re.MULTILINE)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copytree(ROOT / "examples" / "stair-tread", folder / "examples" / "stair-tread")
        for call in calls:
            _call(call.split(), folder)
        shown = sorted(set(re.findall(r"\]\(first-board/([a-z0-9-]+\.svg)\)", page)))
        made_by = {file.name: file for file in sorted(folder.rglob("*.svg"))}
        return {f"examples/first-board/{each}": made_by[each].read_bytes() for each in shown}


def _call(words: list[str], folder: Path) -> None:
    from stockwright import cli

    before = Path.cwd()
    os.chdir(folder)
    try:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()) as said:
            code = cli.main(words)
    finally:
        os.chdir(before)
    if code:
        raise ValueError(f"stockwright {' '.join(words)}: exit code {code}: {said.getvalue()}")
