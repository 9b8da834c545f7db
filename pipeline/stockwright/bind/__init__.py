"""bind: documents -> `Job` and its post. Every name, role, input and limit becomes a number or a real thing.

In: a job's documents, all valid. Out: a `Job` in millimetres, and the post that will write it. Promise: a
contradiction between documents is a mistake with its place; everything that the shop lacks is reported at
once; nothing after this stage looks anything up by name.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from stockwright.bind.boards import bind_board
from stockwright.bind.parts import bind_parts, deepest, values_of_parts
from stockwright.bind.shop import bind_shop
from stockwright.bind.tools import bind_tools, choices
from stockwright.findings import Finding, Refused
from stockwright.job import BedStep, Job, TurnStep
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from stockwright.documents import Documents, Gathered
    from stockwright.documents.job import Place
    from stockwright.posting import Post

__all__ = ["at_fault", "bind", "bind_board", "post_of"]


def bind(
    documents: Documents, post: str | None = None, units: Literal["mm", "inch"] | None = None
) -> tuple[Job, Post]:
    """Bind a job. `post` and `units` stand in for the job's and the shop's.

    Raises `InputError` with every mistake, then `Refused` with everything that the shop lacks; where that is
    the fence alone, with the job, which can be planned up to it.
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
    every = values_of_parts(documents)
    reaches = {name: deepest(role.reach, every) for name, role in recipe.tools.items()}
    tools, lacking = bind_tools(recipe.tools, reaches, bound_shop, shop)
    parts, wrong = bind_parts(documents.recipe, every, tools)
    mistakes += wrong
    wanted, steps = parts[0].wanted, parts[0].steps
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
    fenceless = bound_shop.fence is None and any(isinstance(s, TurnStep) for s in steps)
    fence = (_no_fence(),) if fenceless else ()
    if lacking:
        raise Refused((*lacking, *fence), shop=bound_shop)
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
        place=_moisture_there(job.place),
        already=frozenset(recipe.already),
        choices=choices(recipe.tools, reaches, bound_shop, tools),
        slide=recipe.slide,
        own={b.name: part for b, part in zip(boards, parts, strict=True)} if documents.asked else {},
    )
    if fence:
        raise Refused(fence, bound)
    return bound, found_post


def _moisture_there(place: Place | None) -> float | None:
    """Return the moisture, %, that wood comes to at a place, or None where no place is said."""
    from stockwright.board.moisture import emc

    if place is None:
        return None
    if place.moisture is not None:
        return round(place.moisture * 100, 6)
    assert place.temperature is not None
    assert place.humidity is not None
    return emc(place.temperature, place.humidity)


def at_fault(found: Gathered, post: str | None = None) -> list[Mistake]:
    """Return the mistakes in those documents of a job that can be read, where others cannot.

    What `bind` would say of them: boards whose readings contradict each other, and a post that does not
    exist.
    """
    mistakes = [each for board in found.boards for each in bind_board(board)[1]]
    named, tree = found.post, found.job_tree
    place = Mistake(tree.path, *tree.where(("post",)), "", "")
    if post is None and named is None and tree.complete and found.shop is not None:
        named, place = found.shop.model.post, found.shop.mistake(("post",), "", "")
    if post is not None or named is not None:
        folder = None if found.shop is None else Path(found.shop.path).parent
        try:
            post_of(post, named, folder, place)
        except InputError as error:
            mistakes += error.mistakes
    return mistakes


def _post(documents: Documents, instead: str | None) -> Post:
    """Return the post: the command line's, else the job's, else the shop's."""
    job, shop = documents.job, documents.shop
    if instead is None and job.model.post is None and shop.model.post is None:
        hint = "name the dialect here, or with --post; see `posts list`"
        raise InputError([shop.mistake((), "missing-key", "'post' is missing", hint)])
    source = shop if job.model.post is None else job
    place = source.mistake(("post",), "", "")
    found = post_of(instead, job.model.post or shop.model.post, Path(shop.path).parent, place)
    assert found is not None
    return found


def post_of(instead: str | None, named: str | None, folder: Path | None, place: Mistake) -> Post | None:
    """Return the post of the command line, or else the one that stands at `place` in a document.

    A document's profile lies in the shop's `folder`; None where that is not known. Raises `InputError`.
    """
    from stockwright.posting import load_post

    name = instead or named
    assert name is not None
    if name.endswith((".yaml", ".yml")):
        from stockwright.documents.folder import ELSEWHERE, elsewhere
        from stockwright.posting.profile import load_profile

        if instead:
            return load_profile(Path(name))
        if folder is None:
            return None
        if wrong := elsewhere(name, folder):
            raise InputError([replace(place, code="outside-folder", message=wrong, hint=ELSEWHERE)])
        try:
            return load_profile(folder / name)
        except InputError as error:
            raise InputError([_named_at(place, m) for m in error.mistakes]) from None
    try:
        return load_post(name)
    except InputError as error:
        if instead:
            raise InputError([replace(m, file=f"--post {name}") for m in error.mistakes]) from None
        raise InputError(
            [replace(place, code=m.code, message=m.message, hint=m.hint) for m in error.mistakes]
        ) from None


def _named_at(place: Mistake, found: Mistake) -> Mistake:
    """Return a mistake that has a place: its own, or else where the file that it is about was named."""
    if found.line:
        return found
    return replace(place, code=found.code, message=f"{found.file}: {found.message}", hint=found.hint)


def _no_fence() -> Finding:
    return Finding(
        rule="no-fence",
        level="refuse",
        message="the recipe turns an edge to the fence, and the shop has none",
        remedy="add a `fence` to the shop's document, or take a recipe that needs none",
        measured=0,
        limit=1,
    )
