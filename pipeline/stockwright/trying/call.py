"""The flow of `stockwright posts trial`. In: a call. Out: a folder of tiny programs and a card; or a profile.

Promise: whole or not at all, and nothing is overwritten; all mistakes of the call are reported at once.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from stockwright.frozen import frozen
from stockwright.mistakes import InputError, Mistake

if TYPE_CHECKING:
    from stockwright.posting import WordAddress

__all__ = ["Call", "profile", "write"]


@frozen
class Call:
    """What was asked for, as it was given."""

    out: Path | None
    like: str | None = None
    units: str | None = None
    shop: Path | None = None
    answers: Path | None = None


def profile(call: Call) -> str:
    """Give the profile that the answers make. Raises InputError."""
    from stockwright.trying import profile_of

    others = (("--out", call.out), ("--like", call.like), ("--units", call.units), ("--shop", call.shop))
    beside = [name for name, value in others if value is not None]
    if beside:
        message = f"the answers say all of it, and {', '.join(beside)} stands beside them"
        raise InputError([Mistake("posts trial --answers", 0, 0, "usage", message, "leave it out")])
    assert call.answers is not None
    return profile_of(call.answers)


def write(call: Call) -> list[str]:
    """Write a trial; give the lines that say so. Raises InputError and Refused."""
    from stockwright.packet.deliver import Sort, deliver
    from stockwright.trying import Room, room_of, trial_of
    from stockwright.trying.card import answer_sheet, card

    mistakes: list[Mistake] = []
    if call.out is None:
        hint = "or --answers FILE, for a profile"
        mistakes.append(Mistake("posts trial", 0, 0, "usage", "--out DIR is missing", hint))
    if call.units not in {None, "mm", "inch"}:
        message = f"got '{call.units}', expected mm or inch"
        mistakes.append(Mistake("posts trial --units", 0, 0, "unknown-word", message))
    post = _near(call.like or "rs274-ngc", mistakes)
    shop = None
    if call.shop is not None:
        from stockwright.documents import read_document

        try:
            shop = read_document(call.shop, "shop").model
        except InputError as error:
            mistakes += error.mistakes
    units: Literal["mm", "inch"] = "inch" if (call.units or getattr(shop, "units", "mm")) == "inch" else "mm"
    if mistakes or post is None or call.out is None:
        raise InputError(mistakes)
    room = Room()
    if shop is not None:
        from stockwright.bind.shop import bind_shop

        room = room_of(bind_shop(shop, post.name, units))
    trial = trial_of(post, units, room)
    files = {made.file: made.text.encode("ascii") for made in trial.programs}
    files |= {"card.html": card(trial).encode(), "answers.yaml": answer_sheet(trial).encode()}
    deliver(call.out, files, sort=Sort("trial", "trial.json", "trial_format"))
    unread = [made.file for made in trial.programs if not made.read]
    told = f"outside the readers' words: {', '.join(unread) or 'none'}"
    return [
        f"{len(trial.programs)} programs, spindle off, in {call.out}",
        f"read back: {len(trial.programs) - len(unread)}; {told}",
        "read card.html before the first one; then posts trial --answers answers.yaml",
    ]


def _near(name: str, mistakes: list[Mistake]) -> WordAddress | None:
    """Load the dialect that is near: an installed one, or a profile by its file's name."""
    from stockwright.posting import WordAddress, load_post, load_profile

    place = f"posts trial --like {name}"
    try:
        if name.endswith((".yaml", ".yml")):
            return load_profile(Path(name))
        post = load_post(name)
    except InputError as error:
        mistakes += [m if m.file else replace(m, file=place) for m in error.mistakes]
        return None
    if not isinstance(post, WordAddress):
        message = f"'{name}' is no word-address dialect, and a trial is for those"
        mistakes.append(Mistake(place, 0, 0, "wrong-kind", message, "posts show says which are"))
        return None
    return post
