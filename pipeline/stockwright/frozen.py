"""Frozen dataclasses that share their methods.

In: a class with fields. Out: the same class, a frozen dataclass. Promise: like `dataclass(frozen=True)`, only
faster to make. The standard library writes and compiles seven methods anew for every class, which took a
sixth of a short call with three hundred classes; here all classes share one set of methods for making,
comparing, hashing and showing. Making a value takes a little longer that way, but a call makes only some
thousands.
"""

from __future__ import annotations

from dataclasses import MISSING, FrozenInstanceError, dataclass, field, fields
from operator import attrgetter
from typing import TYPE_CHECKING, Any, TypeVar, dataclass_transform, overload

if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import Field

__all__ = ["frozen"]

T = TypeVar("T")


@overload
def frozen(cls: type[T], /) -> type[T]: ...
@overload
def frozen(*, eq: bool = True) -> Callable[[type[T]], type[T]]: ...
@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def frozen(cls: type[T] | None = None, /, *, eq: bool = True) -> type[T] | Callable[[type[T]], type[T]]:
    """Make a class a frozen dataclass; with `eq=False` a value equals itself alone, as one with arrays.

    Raises TypeError where a field without a default follows one that has one, or is not for `__init__`.
    """

    def made(plain: type[T]) -> type[T]:
        own = vars(plain)
        # What `fields` and `replace` need; none of the methods, which are what takes the time.
        its = fields(dataclass(init=False, eq=False, repr=False)(plain))  # type: ignore[arg-type]
        _may_be_made(plain, its)
        # The fields that are given, and what makes those that are not.
        shared: dict[str, Any] = {
            "__stockwright_given__": tuple(each.name for each in its),
            "__stockwright_else__": {each.name: each for each in its if _has_default(each)},
            "__init__": _init,
            "__setattr__": _no_setting,
            "__delattr__": _no_removing,
        }
        if "__repr__" not in own:
            shared["__stockwright_shown__"] = tuple(each.name for each in its if each.repr)
            shared["__repr__"] = _repr
        if eq:  # what reads the fields that are compared, and those that are hashed: all of a value at once
            hashed = [each for each in its if (each.compare if each.hash is None else each.hash)]
            shared["__stockwright_compared__"] = _reader([each.name for each in its if each.compare])
            shared["__stockwright_hashed__"] = _reader([each.name for each in hashed])
            if "__eq__" not in own:
                shared["__eq__"] = _eq
            if own.get("__hash__") is None:
                shared["__hash__"] = _hash
        for name, value in shared.items():
            setattr(plain, name, value)
        return plain

    return made if cls is None else made(cls)


def _may_be_made(plain: type, its: tuple[Field[Any], ...]) -> None:
    before: Field[Any] | None = None
    for each in its:
        if not each.init or each.kw_only:
            msg = f"{plain.__qualname__}.{each.name}: a frozen value's fields are all given, in their order"
            raise TypeError(msg)
        if _has_default(each):
            before = each
        elif before is not None:
            msg = f"{plain.__qualname__}: {each.name!r} without a default follows {before.name!r} with one"
            raise TypeError(msg)


def _has_default(each: Field[Any]) -> bool:
    return each.default is not MISSING or each.default_factory is not MISSING


def _reader(names: list[str]) -> attrgetter[Any]:
    return attrgetter(*names or ["__class__"])  # of values without a field, one is as the other


def _init(self: Any, /, *given: Any, **named: Any) -> None:
    names: tuple[str, ...] = self.__stockwright_given__
    # Into the dict itself, past the `__setattr__` that refuses.
    if named or len(given) != len(names):
        self.__dict__.update(_completed(self, names, given, named))
    else:
        self.__dict__.update(zip(names, given, strict=True))
    if hasattr(self, "__post_init__"):
        self.__post_init__()


def _completed(
    self: Any, names: tuple[str, ...], given: tuple[Any, ...], named: dict[str, Any]
) -> dict[str, Any]:
    """Return every field; raise TypeError as any function does that is called with the wrong arguments."""
    called = f"{type(self).__qualname__}()"
    if len(given) > len(names):
        msg = f"{called} takes {len(names)} arguments, {len(given)} were given"
        raise TypeError(msg)
    values = dict(zip(names, given, strict=False))
    lacking: list[str] = []
    for name in names[len(given) :]:
        if name in named:
            values[name] = named.pop(name)
        elif (other := self.__stockwright_else__.get(name)) is not None:
            values[name] = other.default if other.default is not MISSING else other.default_factory()
        else:
            lacking.append(name)
    if lacking:
        msg = f"{called} lacks {', '.join(map(repr, lacking))}"
        raise TypeError(msg)
    if named:
        msg = f"{called} takes no {', '.join(map(repr, named))}, or had it already"
        raise TypeError(msg)
    return values


def _no_setting(self: Any, name: str, value: Any) -> None:  # noqa: ARG001
    msg = f"cannot assign to field {name!r}"
    raise FrozenInstanceError(msg)


def _no_removing(self: Any, name: str) -> None:  # noqa: ARG001
    msg = f"cannot delete field {name!r}"
    raise FrozenInstanceError(msg)


def _eq(self: Any, other: Any) -> Any:
    if other.__class__ is not self.__class__:
        return NotImplemented
    read = self.__stockwright_compared__
    return read(self) == read(other)


def _hash(self: Any) -> int:
    return hash(self.__stockwright_hashed__(self))


def _repr(self: Any) -> str:
    told = ", ".join(f"{name}={getattr(self, name)!r}" for name in self.__stockwright_shown__)
    return f"{type(self).__qualname__}({told})"
