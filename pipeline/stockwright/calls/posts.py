"""The commands about posts. In: arguments. Out: text, JSON, programs that try a controller, an exit code.

Promise: that of `cli`.
"""

# Annotations are values here, not text: typer reads each of them three times, and text anew each time.

import sys
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from stockwright.calls.answering import answering, give, tell
from stockwright.mistakes import InputError

__all__ = ["posts_app"]

posts_app = typer.Typer(no_args_is_help=True, help="See which dialects there are.", rich_markup_mode=None)
Json = Annotated[bool, typer.Option("--json", help="One JSON document on standard output.")]
ShopPath = Annotated[Path | None, typer.Option("--shop", metavar="FILE", help="Instead of the job's shop.")]
Units = Annotated[str | None, typer.Option("--units", metavar="mm|inch", help="Instead of the shop's units.")]


@posts_app.command("list")
def posts_list(*, as_json: Json = False) -> None:
    """List the dialects that are installed; a broken one is named with its reason."""
    with answering(as_json):
        from stockwright.calls import terminal
        from stockwright.posting import BrokenPost, survey

        found = [
            {
                "name": p.name,
                "about": str(p) if isinstance(p, BrokenPost) else p.about,
                "broken": isinstance(p, BrokenPost),
            }
            for p in survey()
        ]
        if as_json:
            give({"posts": found})
        else:
            tell(terminal.list_lines((str(p["name"]), str(p["about"])) for p in found))


@posts_app.command("show")
def posts_show(name: Annotated[str, typer.Argument(metavar="POST")]) -> None:
    """Say in words what a dialect does."""
    with answering(as_json=False):
        from stockwright.posting import load_post

        try:
            tell(load_post(name).describe().splitlines())
        except InputError as error:
            raise InputError([replace(m, file=f"posts show {name}") for m in error.mistakes]) from None


@posts_app.command("trial")
def posts_trial(
    out: Annotated[Path | None, typer.Option("--out", metavar="DIR", help="Where the programs go.")] = None,
    like: Annotated[str | None, typer.Option("--like", metavar="POST", help="One that is near.")] = None,
    units: Units = None,
    shop: ShopPath = None,
    answers: Annotated[
        Path | None, typer.Option("--answers", metavar="FILE", help="Print the profile that these make.")
    ] = None,
) -> None:
    """Write spindle-off programs that find out what a controller speaks."""
    with answering(as_json=False):
        from stockwright.trying import call as trials

        asked = trials.Call(out, like, units, shop, answers)
        if answers is None:
            tell(trials.write(asked))
        else:
            sys.stdout.write(trials.profile(asked))
