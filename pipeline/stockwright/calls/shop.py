"""The commands about a shop. In: arguments. Out: text or JSON, a document where asked, an exit code.

Promise: that of `cli`.
"""

# Annotations are values here, not text: typer reads each of them three times, and text anew each time.

from pathlib import Path
from typing import Annotated

import typer

from stockwright.calls.answering import answering, give, tell

__all__ = ["shop_app"]

shop_app = typer.Typer(
    no_args_is_help=True, help="Describe a shop; see how true its machine is.", rich_markup_mode=None
)
Json = Annotated[bool, typer.Option("--json", help="One JSON document on standard output.")]


@shop_app.command("check")
def shop_check(
    shop: Annotated[Path, typer.Argument(metavar="SHOP", help="The shop's document.")],
    measured: Annotated[
        Path | None, typer.Option("--measured", metavar="FILE", help="Readings off boards it has cut.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Where the figures made of them go.")
    ] = None,
    *,
    as_json: Json = False,
) -> None:
    """Say what a shop's document leaves to guesses and what that costs; make figures of readings."""
    with answering(as_json):
        from stockwright.calls.shop_check import Call, check

        told = check(Call(shop, measured, out))
        if as_json:
            give(told.values)
        else:
            tell(told.lines)


@shop_app.command("new")
def shop_new(
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="Where the shop's document goes.")],
) -> None:
    """Ask about a shop, one answer a line, and write its document; what is not known stays open."""
    with answering(as_json=False):
        from stockwright.calls.asking import answers
        from stockwright.starting.shop import DraftKept, new_shop

        try:
            tell(new_shop(out, answers()))
        except DraftKept as kept:
            tell(kept.lines, instead_of_it=True)
            raise typer.Exit(2) from None
