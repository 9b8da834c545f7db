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


@frozen
class Begun:
    """One field made anew for each value, and a look at what was given."""

    a: int
    made: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Refuse what is below nothing."""
        if self.a < 0:
            raise ValueError(self.a)


@frozen
class More(Begun):
    """A field more than what it comes from has."""

    b: int = 2


WRONG_CALLS: tuple[tuple[tuple[Any, ...], dict[str, Any], str], ...] = (
    ((), {}, "'a'"),
    ((), {"b": "c"}, "'a'"),
    ((1, "b", (1,), 0.5, "e", 6), {}, "6"),
    ((1,), {"f": 1}, "'f'"),
    ((1,), {"a": 1}, "'a'"),
)
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


def test_values_are_made_as_the_standard_librarys_are() -> None:
    """Fields are given in order or by name, else by default, made anew; then a value looks itself over."""
    assert Ours(1, "x", d=2.0) == Ours(a=1, b="x", c=(1,), d=2.0, e="hidden")
    assert repr(Ours(1, "x", (2,), d=2.0)) == repr(Theirs(1, "x", (2,), d=2.0)).replace("Theirs", "Ours")
    one, other = Begun(1), Begun(1)
    assert one == other
    assert one.made is not other.made
    assert [each.name for each in fields(More(1))] == ["a", "made", "b"]
    assert More(1, [], 3) == More(a=1, b=3) != More(1)
    for kind in (Begun, More):
        with pytest.raises(ValueError, match="-1"):
            kind(-1)


@pytest.mark.parametrize(("given", "named", "told"), WRONG_CALLS)
def test_wrong_calls_are_refused(given: tuple[Any, ...], named: dict[str, Any], told: str) -> None:
    """A field that lacks, one too many, an unknown one and one given twice are type errors that name it."""
    with pytest.raises(TypeError, match=told):
        Ours(*given, **named)
    with pytest.raises(TypeError):
        Theirs(*given, **named)


def test_classes_that_no_call_could_make_are_refused() -> None:
    """A field without a default behind one that has one, or one that is not given, is refused at once."""
    for namespace in (
        {"__annotations__": {"a": int, "b": int}, "a": 1},
        {"__annotations__": {"a": int}, "a": field(init=False, default=1)},
        {"__annotations__": {"a": int}, "a": field(kw_only=True)},
    ):
        with pytest.raises(TypeError, match=r"Wrong.*\b[ab]\b"):
            frozen(type("Wrong", (), dict(namespace)))
