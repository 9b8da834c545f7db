"""What a word-address controller wants, said as a table. In: nothing. Out: `Traits`, checked when made.

Promise: a table that could move the machine by itself (an offset, a machine-frame move, a spindle start
among its start words) cannot be made. Defaults are the habits that most controllers live with.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal, get_args

__all__ = ["Case", "Comments", "DwellUnit", "LineEnding", "ToolChange", "TraitError", "Traits", "Units"]

Units = Literal["mm", "inch"]
Comments = Literal["parentheses", "none"]
LineEnding = Literal["lf", "cr-lf"]
ToolChange = Literal["none", "word", "pause"]
DwellUnit = Literal["seconds", "milliseconds", "none"]
Case = Literal["lower", "upper"]

_WORD = re.compile(r"[GM][0-9]{1,3}(\.[0-9])?", re.ASCII)
_EXTENSION = re.compile(r"[A-Za-z0-9]{1,8}", re.ASCII)


class TraitError(ValueError):
    """Traits that no dialect may have: pairs of the trait's name and what is wrong with it."""

    def __init__(self, wrong: tuple[tuple[str, str], ...]) -> None:
        self.wrong = wrong
        super().__init__("; ".join(f"{name}: {message}" for name, message in wrong))


@dataclass(frozen=True)
class Traits:
    """One dialect as a table. Every trait has its meaning beside it.

    Raises TraitError, naming every trait that is out of bounds at once.
    """

    units: tuple[Units, ...] = ("mm", "inch")  # what it can be written in
    mm_word: str | None = "G21"  # the word that says millimetres; none: the controller's own setting
    inch_word: str | None = "G20"
    decimals_mm: int = 3  # decimals kept of a position in mm: the resolution the motion is planned in
    decimals_inch: int = 4
    feed_decimals_mm: int = 1  # decimals of F, mm/min
    feed_decimals_inch: int = 2  # inch/min
    speed_decimals: int = 0  # decimals of S, rpm
    point_always: bool = True  # positions are 15.0, never 15, which some read as thousandths
    spaced: bool = True  # a space between words
    code_digits: int = 1  # 1: G1 M3; 2: G01 M03
    modal_motion: bool = False  # may the motion word be left out where it repeats
    modal_axes: bool = True  # may an axis that does not move be left out
    line_number_step: int = 0  # N words: N10 N20 ...; 0: none
    line_number_limit: int = 99999  # the highest N; it starts again after it
    comments: Comments = "parentheses"
    comment_length: int = 70  # characters, brackets counted
    line_length: int = 252  # characters, line end not counted
    line_ending: LineEnding = "lf"
    percent: bool = False  # a lone % first and last
    start_words: tuple[str, ...] = ("G17", "G40", "G49", "G80", "G90", "G94")  # after the units, a line each
    work_frame: str | None = "G54"  # the word for the zero that is touched off; none: the only one there is
    end_words: tuple[str, ...] = ("M2",)  # after the spindle has been stopped, a line each
    tool_change: ToolChange = "none"  # none: one file a tool; word: T and M6; pause: stop for the person
    pause_word: str | None = "M0"  # wait for the person; none: a pause is refused
    probe_word: str | None = None  # go until something is touched; none: a probing move is refused
    spin_up: float = 0.0  # seconds to wait after starting the spindle
    dwell_unit: DwellUnit = "seconds"  # what G4 P counts; none: a dwell is refused
    dust_on: str | None = None  # the relay the dust collector hangs on; none: it is switched by hand
    dust_off: str | None = None
    extension: str = "nc"  # of the file name
    name_length: int = 60  # characters of the file name before the extension
    name_case: Case = "lower"
    name_hyphens: bool = True  # False: letters and digits only

    def __post_init__(self) -> None:
        wrong = tuple(self._wrong())
        if wrong:
            raise TraitError(wrong)

    def decimals(self, units: Units) -> int:
        """Give the decimals kept of a position."""
        return self.decimals_mm if units == "mm" else self.decimals_inch

    def feed_decimals(self, units: Units) -> int:
        """Give the decimals kept of a feed."""
        return self.feed_decimals_mm if units == "mm" else self.feed_decimals_inch

    def units_word(self, units: Units) -> str | None:
        """Give the word that states the units, if there is one."""
        return self.mm_word if units == "mm" else self.inch_word

    @property
    def newline(self) -> str:
        """The line end itself."""
        return "\r\n" if self.line_ending == "cr-lf" else "\n"

    def _wrong(self) -> list[tuple[str, str]]:
        wrong = [
            (name, f"got {getattr(self, name):g}, expected {low:g} to {high:g}")
            for name, low, high in _BOUNDS
            if not low <= getattr(self, name) <= high
        ]
        wrong += [
            (name, f"got '{getattr(self, name)}', expected one of {', '.join(values)}")
            for name, values in _CHOICES
            if getattr(self, name) not in values
        ]
        if not self.units or set(self.units) - set(get_args(Units)) or len(set(self.units)) < len(self.units):
            wrong.append(("units", f"got {_listed(self.units)}, expected mm, inch or both"))
        wrong += [
            (name, "may be none only where one unit is written, for it tells the two apart")
            for name in ("mm_word", "inch_word")
            if getattr(self, name) is None and len(self.units) > 1
        ]
        if len(self.units) > 1 and self.mm_word is not None and self.mm_word == self.inch_word:
            wrong.append(("inch_word", f"got '{self.inch_word}', which mm_word is too"))
        misplaced = [
            (name, f"got '{word}', expected one of {', '.join(sorted(_ALLOWED[place], key=_in_order))}")
            for name, place in _WORDS
            for word in _words(getattr(self, name))
            if not _may(word, place)
        ]
        wrong += misplaced
        if not misplaced:
            ends = [_code(word) in _STOPS for word in self.end_words]
            if ends.count(True) != 1 or not ends[-1]:
                wrong.append(
                    ("end_words", f"got {_listed(self.end_words)}, expected M2 or M30 once, as the last")
                )
            if "G90" not in map(_code, self.start_words):
                wrong.append(("start_words", "lacks G90, without which positions may be taken as steps"))
        if (self.dust_on is None) != (self.dust_off is None):
            wrong.append(("dust_on", "goes together with dust_off: state both or neither"))
        if self.spin_up > 0 and self.dwell_unit == "none":
            wrong.append(("spin_up", "needs a dwell_unit, seconds or milliseconds"))
        if self.tool_change == "pause" and self.pause_word is None:
            wrong.append(("tool_change", "got 'pause', which needs a pause_word"))
        if not _EXTENSION.fullmatch(self.extension):
            wrong.append(("extension", f"got '{self.extension}', expected 1 to 8 letters or digits"))
        return wrong


_BOUNDS: tuple[tuple[str, float, float], ...] = (
    ("decimals_mm", 2, 5),  # fewer than 2 is 0.1 mm: no flat board comes of it
    ("decimals_inch", 3, 6),
    ("feed_decimals_mm", 0, 3),
    ("feed_decimals_inch", 0, 4),
    ("speed_decimals", 0, 2),
    ("code_digits", 1, 2),
    ("line_number_step", 0, 1000),
    ("line_number_limit", 999, 99999),
    ("comment_length", 10, 250),
    # 60 holds an N word, three axes to 10 m and a feed; 253 is what the interpreter of NISTIR 6556 holds.
    ("line_length", 60, 253),
    ("spin_up", 0, 60),
    ("name_length", 4, 60),
)
_CHOICES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("comments", get_args(Comments)),
    ("line_ending", get_args(LineEnding)),
    ("tool_change", get_args(ToolChange)),
    ("dwell_unit", get_args(DwellUnit)),
    ("name_case", get_args(Case)),
)
_WORDS: tuple[tuple[str, str], ...] = (
    ("mm_word", "units"),
    ("inch_word", "units"),
    ("start_words", "start"),
    ("work_frame", "frame"),
    ("end_words", "end"),
    ("pause_word", "pause"),
    ("probe_word", "probe"),
    ("dust_on", "relay"),
    ("dust_off", "relay"),
)
# Allowed words only: a table cannot slip in motion, an offset, the machine frame, incremental mode, a spindle
# start, or a relay that may be what holds the work (M7 M8 M9 and their like stand in the dust traits alone,
# where a person says what hangs on them; words that clamp and let go in the code lists, M10 M11 M68 M69,
# stand nowhere: from memory of DIN 66025).
_MODES = frozenset({"G15", "G17", "G40", "G49", "G61", "G61.1", "G64", "G69", "G80", "G90", "G94", "G97"})
_STOPS = frozenset({"M2", "M30"})
_RELAYS = (7, 8, 9, *range(20, 30), *range(50, 60), *range(61, 68), *range(70, 90))
_ALLOWED = {
    "units": frozenset({"G20", "G21", "G70", "G71"}),
    "start": _MODES,
    "frame": frozenset(f"G{n}" for n in range(54, 60)),
    "end": _MODES | _STOPS,
    "pause": frozenset({"M0"}),
    "probe": frozenset({"G38.2"}),  # NISTIR 6556, 3.5.9; the only one that any open standard describes
    "relay": frozenset(f"M{n}" for n in _RELAYS),
}


def _code(word: str) -> str:
    """Give a code as the standard compares it: G01, G1 and G1.0 are one code."""
    whole, point, rest = word[1:].partition(".")
    return word[0] + (whole.lstrip("0") or "0") + (f".{rest}" if point and rest != "0" else "")


def _in_order(word: str) -> tuple[str, float]:
    return word[0], float(word[1:])


def _words(value: str | tuple[str, ...] | None) -> tuple[str, ...]:
    if value is None:
        return ()
    return value if isinstance(value, tuple) else (value,)


def _listed(words: tuple[str, ...]) -> str:
    return f"[{', '.join(words)}]"


def _may(word: str, place: str) -> bool:
    return isinstance(word, str) and _WORD.fullmatch(word) is not None and _code(word) in _ALLOWED[place]
