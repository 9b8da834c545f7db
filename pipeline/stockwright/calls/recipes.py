"""The commands about recipes. In: arguments. Out: text, JSON, a parcel or a folder, an exit code.

Promise: that of `cli`.
"""

# Annotations are values here, not text: typer reads each of them three times, and text anew each time.

import sys
from pathlib import Path
from typing import Annotated

import typer

from stockwright.calls.answering import answering, give, not_one_of, tell, values_said

__all__ = ["recipes_app"]

recipes_app = typer.Typer(
    no_args_is_help=True,
    help="Find, read, fit, begin, compare, send and receive recipes.",
    rich_markup_mode=None,
)
Json = Annotated[bool, typer.Option("--json", help="One JSON document on standard output.")]


@recipes_app.command("list")
def recipes_list(*, as_json: Json = False) -> None:
    """List the shipped recipes."""
    with answering(as_json):
        from stockwright.calls import terminal
        from stockwright.documents import read_document
        from stockwright.documents.shipped import recipes_folder, shipped_names

        folder = recipes_folder()
        found = [read_document(folder / f"{name}.yaml", "recipe").model for name in shipped_names(folder)]
        if as_json:
            give({"recipes": [{"name": r.name, "version": r.version, "about": r.about} for r in found]})
        else:
            tell(terminal.list_lines((r.name, r.about) for r in found))


@recipes_app.command("show")
def recipes_show(
    name: Annotated[str, typer.Argument(metavar="RECIPE", help="A shipped recipe, or a file.")],
    *,
    resolved: Annotated[
        bool, typer.Option("--resolved", help="Whole, with what it takes from its parents.")
    ] = False,
) -> None:
    """Print a recipe as it is written, or whole."""
    with answering(as_json=False):
        from stockwright.documents.load import recipe_text
        from stockwright.documents.shipped import recipes_folder, shipped_names

        names = shipped_names(recipes_folder())
        if name not in names and not name.endswith((".yaml", ".yml")):
            raise not_one_of(f"recipes show {name}", name, names)
        sys.stdout.write(recipe_text(name, resolved=resolved))


@recipes_app.command("fit")
def recipes_fit(
    recipe: Annotated[str, typer.Argument(metavar="RECIPE", help="A shipped recipe, or a file.")],
    shop: Annotated[Path, typer.Option("--shop", metavar="FILE", help="The shop's document.")],
    values: Annotated[
        list[str] | None, typer.Option("--set", metavar="INPUT=VALUE", help="What is known; again for more.")
    ] = None,
    board: Annotated[
        list[Path] | None, typer.Option("--board", metavar="FILE", help="A board, where there is one.")
    ] = None,
    post: Annotated[
        str | None, typer.Option("--post", metavar="NAME", help="Instead of the shop's dialect.")
    ] = None,
    *,
    as_json: Json = False,
) -> None:
    """Say whether a shop can run a recipe, how far, what is missing, and what comes nearest."""
    with answering(as_json):
        from stockwright import fitting

        found = fitting.fit(fitting.Asked(recipe, shop, values_said(values or ()), tuple(board or ()), post))
        if as_json:
            give(fitting.values(found))
        else:
            tell(fitting.lines(found), instead_of_it=not found.fits)
        if not found.fits:
            raise typer.Exit(1)


@recipes_app.command("new")
def recipes_new(
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="Where the recipe goes.")],
    like: Annotated[
        str | None, typer.Option("--like", metavar="RECIPE", help="Its answers stand where none is given.")
    ] = None,
) -> None:
    """Ask what is to be made, one answer a line, and write a recipe with its comments."""
    with answering(as_json=False):
        from stockwright.calls.asking import answers
        from stockwright.starting.recipe import new_recipe

        tell(new_recipe(out, like, answers()))


@recipes_app.command("compare")
def recipes_compare(
    first: Annotated[str, typer.Argument(metavar="RECIPE", help="A shipped recipe, or a file.")],
    second: Annotated[str, typer.Argument(metavar="RECIPE", help="The other one.")],
    *,
    as_json: Json = False,
) -> None:
    """Say in words what two recipes do differently."""
    with answering(as_json):
        from stockwright.documents import read_document
        from stockwright.sharing.comparing import differences
        from stockwright.sharing.packing import recipe_path

        one, other = (read_document(recipe_path(name), "recipe").model for name in (first, second))
        found = differences(one, other)
        if as_json:
            give({"differences": found})
        else:
            tell(found or [f"{one.name} and {other.name} do the same"])


@recipes_app.command("pack")
def recipes_pack(
    recipe: Annotated[str, typer.Argument(metavar="RECIPE", help="A shipped recipe, or a file.")],
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="The parcel, one file.")],
    page: Annotated[
        Path | None, typer.Option("--page", metavar="FILE", help="What is written about it.")
    ] = None,
    example: Annotated[
        Path | None, typer.Option("--example", metavar="JOB", help="A job that uses it; its shop stays here.")
    ] = None,
    author: Annotated[str | None, typer.Option("--author", metavar="NAME", help="Who made it.")] = None,
    licence: Annotated[
        str | None, typer.Option("--licence", metavar="TEXT", help="Under which terms.")
    ] = None,
    *,
    force: Annotated[bool, typer.Option("--force", help="Replace an earlier parcel.")] = False,
    as_json: Json = False,
) -> None:
    """Make one file of a recipe, its parents, its page and an example, for another shop."""
    with answering(as_json):
        from stockwright.packet.one_file import deliver_file
        from stockwright.sharing.packing import Asked, pack
        from stockwright.sharing.parcel import PARCEL

        contents, content = pack(Asked(recipe, page, example, author, licence))
        deliver_file(out, content, PARCEL.file.encode() if force else None, "parcel")
        if as_json:
            give({"parcel": str(out), "contents": contents.model_dump()})
        else:
            many = len(contents.files)
            tell(
                [
                    f"{contents.name} {contents.version}, {many} file{'' if many == 1 else 's'} in {out}",
                    *(f"  {each.file}: {each.what}" for each in contents.files),
                ]
            )


@recipes_app.command("unpack")
def recipes_unpack(
    parcel: Annotated[Path, typer.Argument(metavar="PARCEL", help="A parcel.")],
    into: Annotated[Path, typer.Option("--into", metavar="DIR", help="A folder for it.")],
    *,
    force: Annotated[bool, typer.Option("--force", help="Replace what an earlier parcel left.")] = False,
    as_json: Json = False,
) -> None:
    """Open a parcel with care, and say what changes where one lies there already."""
    with answering(as_json):
        from stockwright.packet.deliver import deliver
        from stockwright.sharing.parcel import PARCEL
        from stockwright.sharing.unpacking import changes, unpack

        opened = unpack(parcel)
        changed = changes(opened, into)
        if changed and not force and not as_json:
            tell(["what would change:", *(f"  {each}" for each in changed)], instead_of_it=True)
        deliver(into, opened.files, replace=force, sort=PARCEL)
        contents = opened.parcel
        if as_json:
            give({"folder": str(into), "contents": contents.model_dump(), "changed": changed or []})
        else:
            by = f", by {contents.author}" if contents.author else ""
            under = f", {contents.licence}" if contents.licence else ""
            tell(
                [
                    f"{contents.name} {contents.version}{by}{under}: {contents.about}",
                    *(f"  {into / each.file}: {each.what}" for each in contents.files),
                    *(["changed:", *(f"  {each}" for each in changed)] if changed else []),
                    *opened.notes,
                    f"name it in a job with `recipe: {contents.recipe}`, the job lying beside it",
                ]
            )
