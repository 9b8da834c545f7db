"""Finds posts and loads the one in use. In: a name. Out: a checked `Post`.

Promise: entry points of the group `stockwright.posts` are the only registry, for shipped posts as for anyone
else's. Listing names loads nothing; a plug-in that fails to load is named with its package and the reason,
and does not stop any other.
"""

from __future__ import annotations

from difflib import get_close_matches
from importlib import metadata
from typing import cast

from stockwright.mistakes import InputError, Mistake
from stockwright.posting.post import Post, faults

__all__ = ["GROUP", "BrokenPost", "found", "load_post", "survey"]

GROUP = "stockwright.posts"


class BrokenPost(Exception):  # noqa: N818 - it is shown in lists as often as it is raised
    """A post that cannot be used: the package it came in, that package's version, and why."""

    def __init__(self, name: str, package: str, version: str, reason: str) -> None:
        self.name, self.package, self.version, self.reason = name, package, version, reason
        super().__init__(f"broken: {package} {version}: {reason}")


def found() -> tuple[str, ...]:
    """Give the names of all posts, in order of spelling. Loads none of them."""
    return _names(_points())


def load_post(name: str) -> Post:
    """Load one post and check it.

    Raises InputError for a name that nobody or more than one package claims, and for a post that is broken.
    """
    points = _points()  # looked for once: it reads what every installed package says of itself
    names = _names(points)
    if name not in names:
        close = get_close_matches(name, names, n=1)
        hint = f"did you mean '{close[0]}'?" if close else "posts list shows them"
        message = (
            f"no post is called '{name}', expected one of {', '.join(names) or 'none: none is installed'}"
        )
        raise InputError([Mistake("", 0, 0, "unknown-post", message, hint)])
    post = _load(name, points)
    if isinstance(post, BrokenPost):
        hint = "repair or remove that package, or take another post"
        raise InputError([Mistake("", 0, 0, "broken-post", f"post '{name}': {post}", hint)])
    return post


def survey() -> tuple[Post | BrokenPost, ...]:
    """Load every post, for a list of them: each one checked, or why it is broken."""
    points = _points()
    return tuple(_load(name, points) for name in _names(points))


def _names(points: tuple[metadata.EntryPoint, ...]) -> tuple[str, ...]:
    return tuple(sorted({point.name for point in points}))


def _points() -> tuple[metadata.EntryPoint, ...]:
    # Asked of each package, whose text says at once whether it has any: `metadata.entry_points` works
    # through what every package says for any program, a thirtieth of a short call. Of a package that is
    # seen twice the first is meant, as with what is imported from it.
    found: dict[str, tuple[metadata.EntryPoint, ...]] = {}
    for package in metadata.distributions():
        if GROUP in (package.read_text("entry_points.txt") or ""):
            found.setdefault(package.name, tuple(package.entry_points.select(group=GROUP)))
    return tuple(point for points in found.values() for point in points)


def _package(point: metadata.EntryPoint) -> tuple[str, str]:
    if point.dist is None:
        return ("an unnamed package", "of no version")
    return (point.dist.name, point.dist.version)


def _load(name: str, every: tuple[metadata.EntryPoint, ...]) -> Post | BrokenPost:
    points = [point for point in every if point.name == name]
    package, version = _package(points[0])
    if len(points) > 1:
        claims = " and ".join(sorted(" ".join(_package(point)) for point in points))
        return BrokenPost(name, package, version, f"the name '{name}' is claimed by {claims}")
    try:
        made = points[0].load()
        post = cast("Post", made() if isinstance(made, type) else made)
        wrong = faults(post)
        if not wrong and post.name != name:
            wrong = (f"it calls itself '{post.name}' and is registered as '{name}'",)
    except (Exception, SystemExit) as error:  # noqa: BLE001 - whatever a stranger's code does, others live
        said = str(error).strip().splitlines()
        wrong = (f"{type(error).__name__}: {said[0]}" if said else type(error).__name__,)
    return BrokenPost(name, package, version, "; ".join(wrong)) if wrong else post
