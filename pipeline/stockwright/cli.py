"""The command line. In: arguments. Out: text or JSON, files where asked, an exit code.

0 done; 1 refused, nothing delivered; 2 the input or the call is wrong, nothing written. Promise: never a
traceback for what a user can get wrong; libraries are imported by the command that needs them; with `--json`
one document on standard output and nothing else.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from stockwright import __version__
from stockwright.answering import CallError, answering, called_wrongly, give, nobody_reads, not_one_of, tell
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockwright.run import Request

__all__ = ["app", "main"]

app = typer.Typer(
    name="stockwright",
    help="From a measured rough board to flat, parallel, square stock: recipes in, a proven packet out.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    add_completion=False,
)
recipes_app = typer.Typer(no_args_is_help=True, help="Find and read recipes.", rich_markup_mode=None)
posts_app = typer.Typer(no_args_is_help=True, help="See which dialects there are.", rich_markup_mode=None)
app.add_typer(recipes_app, name="recipes")
app.add_typer(posts_app, name="posts")

Json = Annotated[bool, typer.Option("--json", help="One JSON document on standard output.")]
JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="The job's document.")]
ShopPath = Annotated[Path | None, typer.Option("--shop", metavar="FILE", help="Instead of the job's shop.")]
BoardPaths = Annotated[
    list[Path] | None,
    typer.Option("--board", metavar="FILE", help="Instead of the job's boards; YAML or CSV; again for more."),
]
Values = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="INPUT=VALUE", help="Instead of the job's value, as in thickness=24mm."),
]
PostName = Annotated[
    str | None, typer.Option("--post", metavar="NAME", help="Instead of the shop's dialect.")
]
Units = Annotated[str | None, typer.Option("--units", metavar="mm|inch", help="Instead of the shop's units.")]


@app.callback(invoke_without_command=True)
def _top(
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    if version:
        typer.echo(f"stockwright {__version__}")
        raise typer.Exit


@app.command()
def make(
    job: JobPath,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Where the packet goes.")],
    shop: ShopPath = None,
    board: BoardPaths = None,
    values: Values = None,
    post: PostName = None,
    units: Units = None,
    *,
    force: Annotated[bool, typer.Option("--force", help="Replace an earlier packet.")] = False,
    accept_unproven: Annotated[
        bool, typer.Option("--accept-unproven", help="Deliver programs that no reader can prove.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Make a packet: the programs, proven, and a sheet for every setup."""
    with answering(as_json):
        from stockwright import run, terminal
        from stockwright.packet.deliver import deliver, may_deliver

        asked = _request(job, shop, board, values, post, units, accept_unproven=accept_unproven)
        may_deliver(out, replace=force)  # said now rather than after all the work
        made = run.make(asked)
        deliver(out, made.files, replace=force)
        if as_json:
            proof = made.packet.proof
            verdict = proof.verdict if proof else None
            findings = made.checked.findings
            give(terminal.findings_json(findings, packet=str(out), files=sorted(made.files), verdict=verdict))
        else:
            tell(terminal.made_lines(made, out))


@app.command()
def check(
    job: JobPath,
    shop: ShopPath = None,
    board: BoardPaths = None,
    values: Values = None,
    post: PostName = None,
    units: Units = None,
    *,
    as_json: Json = False,
) -> None:
    """Read, plan, cut and check a job; write nothing."""
    with answering(as_json):
        from stockwright import run, terminal

        checked = run.check(_request(job, shop, board, values, post, units))
        if as_json:
            give(terminal.findings_json(checked.findings))
        else:
            tell(terminal.checked_lines(checked))


@app.command()
def again(
    packet: Annotated[Path, typer.Argument(metavar="PACKET", help="The packet's folder.")],
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Where the new packet goes.")],
    setup: Annotated[
        int | None, typer.Option("--setup", metavar="N", help="The setup, as on the sheet.")
    ] = None,
    board: Annotated[str | None, typer.Option("--board", metavar="NAME", help="Which of several.")] = None,
    spot: Annotated[
        list[str] | None, typer.Option("--spot", metavar="X,Y", help="Where a spot was left; again for more.")
    ] = None,
    height: Annotated[
        str | None,
        typer.Option("--height", metavar="LENGTH", help="How far it stands above the face, or below: -."),
    ] = None,
    deeper: Annotated[
        str | None, typer.Option("--deeper", metavar="LENGTH", help="The whole face by so much.")
    ] = None,
    stopped: Annotated[
        str | None, typer.Option("--stopped", metavar="FILE:LINE", help="Take a program up where it stopped.")
    ] = None,
    at: Annotated[
        str | None, typer.Option("--at", metavar="X,Y[,Z]", help="Where it stopped, instead of the line.")
    ] = None,
    overlap: Annotated[
        str | None, typer.Option("--overlap", metavar="LENGTH", help="Go back so far before that pass.")
    ] = None,
    *,
    proud: Annotated[
        bool, typer.Option("--proud", help="Wood stands there: same height, only there.")
    ] = False,
    thinner: Annotated[bool, typer.Option("--thinner", help="A thinner board will do.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Replace an earlier packet at DIR.")] = False,
    as_json: Json = False,
) -> None:
    """Cut once more: spots left, a face deeper, or a program that stopped in the middle."""
    with answering(as_json):
        from stockwright import recutting, terminal
        from stockwright.packet.deliver import deliver
        from stockwright.recutting.asking import Words, asked, may_go_to
        from stockwright.recutting.telling import recut_lines

        words = Words(setup, board, spot or (), height, proud, deeper, thinner, stopped, at, overlap)
        may_go_to(packet, out, replace=force)
        made = recutting.again(packet, asked(words))
        deliver(out, made.files, replace=force)
        if as_json:
            verdict = made.packet.proof.verdict
            run = sorted(made.now)
            give(
                terminal.findings_json(
                    (), packet=str(out), files=sorted(made.files), run=run, verdict=verdict
                )
            )
        else:
            tell(recut_lines(made, out))


@app.command()
def prove(
    packet: Annotated[Path, typer.Argument(metavar="PACKET", help="A packet's folder.")],
    *,
    as_json: Json = False,
) -> None:
    """Prove a packet's programs as they now are, edits and all."""
    with answering(as_json):
        from stockwright import terminal
        from stockwright.packet.disk import read_packet
        from stockwright.proving import prove as prove_packet

        facts, texts, notes = read_packet(packet)
        outcome = prove_packet(facts, texts)
        if as_json:
            give(terminal.proof_json(outcome.proof, notes))
        else:
            tell(terminal.proof_lines(outcome.proof, notes))
        if outcome.proof.verdict != "proven":
            raise typer.Exit(1)


@app.command()
def probe(
    job: JobPath,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Where program, card and table go.")],
    shop: ShopPath = None,
    board: BoardPaths = None,
    values: Values = None,
    post: PostName = None,
    units: Units = None,
    by: Annotated[
        str | None, typer.Option("--by", metavar="probe|hand", help="Instead of what the shop has.")
    ] = None,
    along: Annotated[
        int | None, typer.Option("--along", min=2, max=99, help="Places along the board.")
    ] = None,
    across: Annotated[int | None, typer.Option("--across", min=2, max=99, help="Places across it.")] = None,
    *,
    wait: Annotated[bool, typer.Option("--wait", help="Stop after every touch, to write it down.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Replace an earlier packet.")] = False,
    accept_unproven: Annotated[
        bool, typer.Option("--accept-unproven", help="Deliver programs that no reader can prove.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Make a program that measures the board, a card to print, and the table it fills."""
    with answering(as_json):
        from stockwright.packet.deliver import deliver, may_deliver
        from stockwright.probing import Asked
        from stockwright.probing import probe as made_by
        from stockwright.probing.words import measured_json, measured_lines

        way: Literal["probe", "hand"] | None = "probe" if by == "probe" else "hand" if by == "hand" else None
        if by is not None and way is None:
            raise not_one_of(f"--by {by}", by, ("probe", "hand"))
        asked = _request(job, shop, board, values, post, units, accept_unproven=accept_unproven)
        may_deliver(out, replace=force)
        made = made_by(asked, Asked(way, along, across, wait))
        deliver(out, made.files, replace=force)
        if as_json:
            give(measured_json(made, out))
        else:
            tell(measured_lines(made, out))


@app.command()
def board(
    boards: Annotated[list[Path], typer.Argument(metavar="BOARD...", help="Boards, YAML or CSV.")],
    shop: Annotated[
        Path | None, typer.Option("--shop", metavar="FILE", help="Stack shims from this shop's sizes.")
    ] = None,
    skips: Annotated[
        str | None, typer.Option("--skips", metavar="SHARE", help="Of a hidden face, as in '5 %'.")
    ] = None,
    pieces: Annotated[
        list[str] | None, typer.Option("--pieces", metavar="N", help="Also crosscut first; again for more.")
    ] = None,
    strips: Annotated[
        list[str] | None, typer.Option("--strips", metavar="N", help="Also ripped first; again for more.")
    ] = None,
    picture: Annotated[
        Path | None, typer.Option("--picture", metavar="FILE", help="Draw the warp: .svg or .html.")
    ] = None,
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="Draw how this job seats and cuts them.")
    ] = None,
    *,
    as_json: Json = False,
) -> None:
    """Say what was measured, and what a board can give."""
    with answering(as_json):
        from stockwright.boards import Call
        from stockwright.boards import boards as account_for

        call = Call(tuple(boards), shop, tuple(pieces or ()), tuple(strips or ()), skips, picture, job)
        told = account_for(call)
        if as_json:
            give(told.values)
        else:
            tell(told.lines)


@app.command()
def schema(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="recipe, shop, board, job, post or packet.")],
) -> None:
    """Print the JSON Schema of a document, for editors."""
    with answering(as_json=False):
        from stockwright.documents import KINDS
        from stockwright.documents import schema as document_schema

        kinds = (*KINDS, "packet")
        if kind not in kinds:
            raise not_one_of(f"schema {kind}", kind, kinds)
        if kind == "packet":
            from stockwright.packet.model import Packet

            give(Packet.model_json_schema(by_alias=True))
        else:
            give(document_schema(kind))


@recipes_app.command("list")
def recipes_list(*, as_json: Json = False) -> None:
    """List the shipped recipes."""
    with answering(as_json):
        from stockwright import terminal
        from stockwright.documents import read_document
        from stockwright.documents.shipped import recipes_folder, shipped_names

        folder = recipes_folder()
        found = [read_document(folder / f"{name}.yaml", "recipe").model for name in shipped_names(folder)]
        if as_json:
            give({"recipes": [{"name": r.name, "version": r.version, "about": r.about} for r in found]})
        else:
            tell(terminal.list_lines((r.name, r.about) for r in found))


@recipes_app.command("show")
def recipes_show(name: Annotated[str, typer.Argument(metavar="RECIPE")]) -> None:
    """Print a shipped recipe as it is written."""
    with answering(as_json=False):
        from stockwright.documents.shipped import recipes_folder, shipped_names

        folder = recipes_folder()
        names = shipped_names(folder)
        if name not in names:
            raise not_one_of(f"recipes show {name}", name, names)
        sys.stdout.write((folder / f"{name}.yaml").read_text(encoding="utf-8"))


@posts_app.command("list")
def posts_list(*, as_json: Json = False) -> None:
    """List the dialects that are installed; a broken one is named with its reason."""
    with answering(as_json):
        from stockwright import terminal
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


def _request(
    job: Path,
    shop: Path | None,
    boards: list[Path] | None,
    values: list[str] | None,
    post: str | None,
    units: str | None,
    *,
    accept_unproven: bool = False,
) -> Request:
    from stockwright.run import Request, read

    given: dict[str, str] = {}
    mistakes = []
    for text in values or ():
        name, equals, value = (part.strip() for part in text.partition("="))
        if not equals or not name:
            message = "expected INPUT=VALUE, such as thickness=24mm"
            mistakes.append(Mistake(f"--set {text}", 0, 0, "wrong-type", message))
        elif name in given:
            message = f"'{name}' is set twice, expected once"
            mistakes.append(Mistake(f"--set {text}", 0, 0, "duplicate-key", message))
        else:
            given[name] = value
    if units not in {None, "mm", "inch"}:
        mistakes += not_one_of(f"--units {units}", str(units), ("mm", "inch")).mistakes
    if mistakes:
        try:
            read(Request(job, shop, tuple(boards or ()), given, post))
        except InputError as error:  # told now too, so that everything comes at once
            mistakes += error.mistakes
        raise InputError(mistakes)
    system: Literal["mm", "inch"] | None = "mm" if units == "mm" else "inch" if units == "inch" else None
    return Request(job, shop, tuple(boards or ()), given, post, system, accept_unproven)


def main(arguments: Sequence[str]) -> int:
    """Run one call, without the command's name; return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # what the terminal has no letter for is no reason to fail
            stream.reconfigure(errors="backslashreplace")
    try:
        code = typer.main.get_command(app).main(
            list(arguments), prog_name="stockwright", standalone_mode=False
        )
        sys.stdout.flush()
    except CallError as error:
        return called_wrongly(error, "--json" in arguments)
    except BrokenPipeError:
        return nobody_reads()
    return code if isinstance(code, int) else 0
