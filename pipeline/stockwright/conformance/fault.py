"""How the kit reports that a post is wrong. In: a fact and a sentence. Out: nothing, or `Fault`."""

from __future__ import annotations

__all__ = ["Fault", "demand"]


class Fault(AssertionError):  # noqa: N818 - test runners show it as a failed assertion, which it is
    """A post does not do what posts must."""


def demand(fact: object, sentence: str) -> None:
    """Raise `Fault` with the sentence where the fact does not hold."""
    if not fact:
        raise Fault(sentence)
