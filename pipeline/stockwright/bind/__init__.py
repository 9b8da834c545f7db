"""bind: documents -> `Job` and its post. Every name, role, input and limit becomes a number or a real thing.

In: a job's documents, all valid. Out: a `Job` in millimetres, and the post that will write it. Promise: what
contradicts itself across documents is a mistake with its place; what the shop lacks is refused as a whole,
and nothing after this looks anything up by name.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from stockwright.bind.boards import bind_board
from stockwright.bind.shop import bind_shop
from stockwright.bind.steps import bind_steps, length_of
from stockwright.bind.tools import bind_tools
from stockwright.findings import Finding, Refused
from stockwright.job import BedStep, Job, Tolerance, TurnStep, Wanted
from stockwright.mistakes import InputError

if TYPE_CHECKING:
    from stockwright.documents import Documents
    from stockwright.posting import Post

__all__ = ["bind", "bind_board"]


def bind(
    documents: Documents, post: str | None = None, units: Literal["mm", "inch"] | None = None
) -> tuple[Job, Post]:
    """Bind a job. `post` and `units` stand in for the job's and the shop's.

    Raises `InputError` with every mistake, then `Refused` with everything that the shop lacks.
    """
    job, recipe, shop = documents.job.model, documents.recipe.model, documents.shop.model
    mistakes = []
    boards = []
    for loaded in documents.boards:
        board, wrong = bind_board(loaded)
        mistakes += wrong
        if board is not None:
            boards.append(board)
    found_post = None
    try:
        found_post = _post(documents, post)
    except InputError as error:
        mistakes += error.mistakes

    units = units or job.units or shop.units
    bound_shop = bind_shop(shop, found_post.name if found_post else "", units)
    finished = {
        m: length_of(getattr(recipe.finished, m), documents.values) for m in ("length", "width", "thickness")
    }
    asked = {name: getattr(recipe.tolerance, name) for name in type(recipe.tolerance).model_fields}
    wanted = Wanted(**finished, tolerance=Tolerance(**asked))
    reaches = {name: length_of(role.reach, documents.values) for name, role in recipe.tools.items()}
    tools, lacking = bind_tools(recipe.tools, reaches, bound_shop, shop)
    steps, wrong = bind_steps(documents.recipe, documents.values, tools, wanted)
    mistakes += wrong
    board_steps = any(not isinstance(s, BedStep) for s in steps)
    if board_steps and not documents.boards:
        mistakes.append(
            documents.job.mistake(
                (),
                "missing-key",
                "'boards' is missing, and the recipe cuts one",
                "name a board here, or with --board",
            )
        )
    if mistakes:
        raise InputError(mistakes)
    if bound_shop.fence is None and any(isinstance(s, TurnStep) for s in steps):
        lacking = (*lacking, _no_fence())
    if lacking:
        raise Refused(lacking)
    assert found_post is not None
    digest = "sha256:" + hashlib.sha256(documents.recipe.text.encode()).hexdigest()
    bound = Job(
        name=job.name,
        recipe=recipe.name,
        recipe_version=recipe.version,
        recipe_digest=digest,
        shop=bound_shop,
        boards=tuple(boards) if board_steps else (),
        wanted=wanted,
        steps=steps,
    )
    return bound, found_post


def _post(documents: Documents, instead: str | None) -> Post:
    """Return the post: the command line's, else the job's, else the shop's."""
    from pathlib import Path

    from stockwright.posting import load_post

    named = instead or documents.job.model.post or documents.shop.model.post
    if named is None:
        raise InputError(
            [
                documents.shop.mistake(
                    (),
                    "missing-key",
                    "'post' is missing",
                    "name the dialect here, or with --post; see `posts list`",
                )
            ]
        )
    if named.endswith((".yaml", ".yml")):
        from stockwright.posting.profile import load_profile

        return load_profile(Path(named) if instead else Path(documents.shop.path).parent / named)
    try:
        return load_post(named)
    except InputError as error:
        if instead:
            raise InputError([replace(m, file=f"--post {named}") for m in error.mistakes]) from None
        from_job = documents.job.model.post is not None
        source = documents.job if from_job else documents.shop
        raise InputError(
            [source.mistake(("post",), m.code, m.message, m.hint) for m in error.mistakes]
        ) from None


def _no_fence() -> Finding:
    return Finding(
        rule="no-fence",
        level="refuse",
        message="the recipe turns an edge to the fence, and the shop has none",
        remedy="add a `fence` to the shop's document, or take a recipe that needs none",
        measured=0,
        limit=1,
    )
