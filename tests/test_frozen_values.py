"""Frozen values are what the standard library's own are: compared, hashed, shown and refused alike."""

from __future__ import annotations

import pickle
from dataclasses import FrozenInstanceError, dataclass, field, fields, replace
from typing import Any

import pytest

from stockwright.frozen import frozen


@frozen
class Ours:
    """Fields of every sort."""

    a: int
    b: str = "b"
    c: tuple[int, ...] = field(default=(1,), compare=False)
    d: float = field(default=0.5, hash=False)
    e: str = field(default="hidden", repr=False)


@dataclass(frozen=True)
class Theirs:
    """The same, made by the standard library."""

    a: int
    b: str = "b"
    c: tuple[int, ...] = field(default=(1,), compare=False)
    d: float = field(default=0.5, hash=False)
    e: str = field(default="hidden", repr=False)


@frozen
class Nothing:
    """No field at all."""


@frozen(eq=False)
class Itself:
    """Equal to nothing but itself."""

    a: int


@frozen
class Own:
    """Says for itself what it is worth."""

    a: int

    def __eq__(self, other: object) -> bool:
        """Compare by size alone."""
        return isinstance(other, Own) and abs(other.a) == abs(self.a)

    def __hash__(self) -> int:
        """Go with that."""
        return hash(abs(self.a))

    def __repr__(self) -> str:
        """Show less."""
        return "own"


CHANGES: tuple[dict[str, Any], ...] = ({}, {"a": 2}, {"b": "c"}, {"c": (2,)}, {"d": 1.0}, {"e": "other"})


def test_values_compare_and_hash_as_the_standard_librarys_do() -> None:
    """For every field changed alone, equal and of one hash are exactly the values that are so there."""
    for change in CHANGES:
        ours, theirs = replace(Ours(1), **change), replace(Theirs(1), **change)
        assert (ours == Ours(1)) is (theirs == Theirs(1)), change
        assert (hash(ours) == hash(Ours(1))) is (hash(theirs) == hash(Theirs(1))), change
    assert Ours(1).__eq__(1) is NotImplemented
    assert Nothing() == Nothing()
    assert hash(Nothing()) == hash(Nothing())
    one = Itself(1)
    assert one == one  # noqa: PLR0124 - what is asked
    assert one != Itself(1)


def test_what_a_class_says_itself_is_kept() -> None:
    """Methods that stand in the class are not replaced."""
    assert Own(1) == Own(-1)
    assert hash(Own(1)) == hash(Own(-1))
    assert repr(Own(1)) == "own"


def test_values_are_shown_as_the_standard_librarys_are() -> None:
    """A value names its class and its shown fields, in order."""
    assert repr(Ours(1)) == repr(Theirs(1)).replace("Theirs", "Ours")
    assert repr(Nothing()) == "Nothing()"


def test_values_cannot_be_changed_and_can_be_sent() -> None:
    """Setting or deleting a field is refused; replacing and pickling give an equal value."""
    value = Ours(1)
    with pytest.raises(FrozenInstanceError):
        value.a = 2  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        del value.a
    assert pickle.loads(pickle.dumps(value)) == value
    assert [each.name for each in fields(value)] == ["a", "b", "c", "d", "e"]
    assert replace(value, a=3).a == 3
