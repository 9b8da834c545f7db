"""The command line. In: arguments. Out: text or JSON, files where asked, an exit code.

Exit codes: 0 done; 1 refused, nothing delivered; 2 the input or the call is wrong, nothing written. Promise:
never a traceback for anything a user can get wrong; each command imports the libraries it needs; with
`--json` one document on standard output and nothing else.
"""

# Annotations are values here, not text: typer reads each of them three times, and text anew each time.

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from stockwright import __version__
from stockwright.calls.answering import (
    CallError,
    answering,
    asking,
    called_wrongly,
    cannot_answer,
    closed_ones_opened,
    give,
    nobody_reads,
    not_one_of,
    noted,
    tell,
    units_said,
    values_said,
)
from stockwright.calls.posts import posts_app
from stockwright.calls.recipes import recipes_app
from stockwright.calls.shop import shop_app
from stockwright.mistakes import InputError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

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
app.add_typer(recipes_app, name="recipes")
app.add_typer(posts_app, name="posts")
app.add_typer(shop_app, name="shop")

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
    processes: Annotated[
        int | None,
        typer.Option("--processes", metavar="N", min=1, max=64, help="For many boards; else as many as fit."),
    ] = None,
    leave_out_refused: Annotated[
        bool, typer.Option("--leave-out-refused", help="Of many boards, deliver those that can be made.")
    ] = False,
    resume: Annotated[
        bool, typer.Option("--resume", help="Keep finished boards beside DIR until the packet stands.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Make a packet: the programs, proven, and a sheet for every setup."""
    with answering(as_json):
        from stockwright.batching.call import How, deliver, told
        from stockwright.packet.deliver import may_deliver

        ask = asking(as_json)
        asked = _request(job, shop, board, values, post, units, accept_unproven=accept_unproven, ask=ask)
        noted(may_deliver(out, replace=force), as_json)  # said now rather than after all the work
        how = How(processes, leave_out_refused, out if resume else None)
        made = deliver(asked, out, how, force=force)
        if as_json:
            give(told(made, out))
        else:
            tell(made.lines(out))


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
        from stockwright import run
        from stockwright.calls import terminal, told_job

        checked = run.check(_request(job, shop, board, values, post, units, ask=asking(as_json)))
        if as_json:
            give(terminal.findings_json(checked.findings))
        else:
            tell(told_job.checked_lines(checked))


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
        from stockwright import recutting
        from stockwright.calls import terminal
        from stockwright.packet.deliver import deliver
        from stockwright.recutting.asking import Words, asked, may_go_to
        from stockwright.recutting.telling import recut_lines

        words = Words(setup, board, spot or (), height, proud, deeper, thinner, stopped, at, overlap)
        noted(may_go_to(packet, out, replace=force), as_json)
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
    pictures: Annotated[
        Path | None, typer.Option("--pictures", metavar="DIR", help="Draw the board after each setup.")
    ] = None,
    *,
    force: Annotated[bool, typer.Option("--force", help="Replace earlier pictures.")] = False,
    as_json: Json = False,
) -> None:
    """Prove a packet's programs as they now are, edits and all."""
    with answering(as_json):
        from stockwright.calls import terminal
        from stockwright.packet.disk import read_packet
        from stockwright.packet.picture_files import Pictures
        from stockwright.packet.writing import writing_of
        from stockwright.progress import doing
        from stockwright.proving import prove as prove_packet

        doing("proving: reading the programs back and cutting them")
        facts, texts, notes = read_packet(packet)
        drawing = None if pictures is None else Pictures(facts, pictures, replace=force)
        outcome = prove_packet(facts, texts, None if drawing is None else drawing.seen.append)
        drawn = [] if drawing is None else drawing.written(outcome.proof.reasons)
        if as_json:
            give(terminal.proof_json(outcome.proof, [*notes, *drawn]))
        else:
            tell([*terminal.proof_lines(outcome.proof, notes, writing_of(facts)), *drawn])
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
        ask = asking(as_json)
        asked = _request(job, shop, board, values, post, units, accept_unproven=accept_unproven, ask=ask)
        noted(may_deliver(out, replace=force), as_json)
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
    units: Units = None,
    *,
    as_json: Json = False,
) -> None:
    """Say what was measured, and what a board can give."""
    with answering(as_json):
        from stockwright.calls.board import Call
        from stockwright.calls.board import boards as account_for

        call = Call(tuple(boards), shop, tuple(pieces or ()), tuple(strips or ()), skips, picture, job, units)
        told = account_for(call)
        if as_json:
            give(told.values)
        else:
            tell(told.lines)


@app.command()
def schema(
    kind: Annotated[
        str, typer.Argument(metavar="KIND", help="recipe, shop, board, job, post, measured or packet.")
    ],
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


@app.command()
def explain(
    name: Annotated[str | None, typer.Argument(metavar="NAME", help="As it stands in a message.")] = None,
) -> None:
    """Say what a name in a message means; alone, list the names."""
    with answering(as_json=False):
        from stockwright import explaining

        pages = None if name is None else explaining.explained(name)
        tell(explaining.names_lines() if pages is None else explaining.page_lines(pages))


def _request(
    job: Path,
    shop: Path | None,
    boards: list[Path] | None,
    values: list[str] | None,
    post: str | None,
    units: str | None,
    *,
    accept_unproven: bool = False,
    ask: "Callable[[str], str | None] | None" = None,
) -> "Request":
    from stockwright.run import Request, read

    given, mistakes = values_said(values or ())
    system = units_said(units, mistakes)
    if mistakes:
        try:
            read(Request(job, shop, tuple(boards or ()), given, post))
        except InputError as error:  # told now too, so that everything comes at once
            mistakes += error.mistakes
        raise InputError(mistakes)
    return Request(job, shop, tuple(boards or ()), given, post, system, accept_unproven, ask)


def main(arguments: "Sequence[str]") -> int:
    """Run one call, without the command's name; return its exit code."""
    closed_ones_opened()
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
    except OSError as error:
        return cannot_answer(error)
    return code if isinstance(code, int) else 0
