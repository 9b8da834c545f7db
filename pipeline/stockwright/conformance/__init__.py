"""What the author of a post runs to test it.

In: a post. Out: cases, each of which passes or says what is wrong. Promise: a post that passes writes the
neutral motion and nothing else, describes itself as its text shows it, and never lets a person's text act as
a word of the controller. Each case has a group, its name's first word; the groups are listed in the posts'
README. No plug-in of a test runner is needed.

    @pytest.mark.parametrize("case", cases(MyPost()), ids=str)
    def test_it_conforms(case):
        check(case)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockwright.conformance.fault import Fault
from stockwright.frozen import frozen
from stockwright.posting.traits import Traits

if TYPE_CHECKING:
    from collections.abc import Callable

    from stockwright.conformance.playing import Read
    from stockwright.posting.post import Post

__all__ = ["Case", "Fault", "cases", "check"]

_MACHINE_ZERO = (-300.0, -200.0, 200.0)  # mm, work frame: where the kit lets a machine's own zero lie


@frozen
class Case:
    """One thing that must be true of a post; `name` says which, `run` raises `Fault` where it is not."""

    name: str
    run: Callable[[], None]

    def __str__(self) -> str:
        return self.name

    @property
    def group(self) -> str:
        """The first word of its name."""
        return self.name.split(" ", 1)[0]


def cases(post: Post, read: Read | None = None) -> tuple[Case, ...]:
    """Give all cases for a post, in a fixed order.

    `read` reads its text back, `text -> Reading`; left out, the reader that the post names. Without either
    the one case `reader` fails: what cannot be read back cannot be shown to conform.
    """
    from stockwright.conformance import checks, word_traits
    from stockwright.conformance.playing import Player
    from stockwright.posting.post import faults
    from stockwright.proving.readers import IN_MACHINE_FRAME, READERS

    whole = Case("whole", lambda: _none(faults(post)))
    if faults(post):
        return (whole,)
    in_machine = IN_MACHINE_FRAME.get(post.reader or "")
    if read is None and in_machine is not None and getattr(post.traits, "retract", "work") == "machine":
        known = in_machine
        read = lambda text: known(text, _MACHINE_ZERO)  # noqa: E731 - a def would say no more
    read = read or (READERS.get(post.reader) if post.reader else None)
    if read is None:
        return (
            whole,
            Case("reader", lambda: _none((f"{post.reader or 'none'} is no reader that there is",))),
        )
    player = Player(post, read)
    found = [whole, *(Case(name, run) for name, run in checks.all_of(player))]
    if isinstance(post.traits, Traits):
        found += [Case(name, run) for name, run in word_traits.all_of(player)]
    return tuple(found)


def check(case: Case) -> None:
    """Run a case. Raises `Fault`, an AssertionError, with what was found and what was expected."""
    case.run()


def _none(wrong: tuple[str, ...]) -> None:
    if wrong:
        raise Fault("; ".join(wrong))
