"""What a word-address controller needs, as a table. In: nothing. Out: `Traits`, checked when made.

Promise: a table that could move the machine by itself (an offset, a machine-frame move, a spindle start among
its start words) cannot be made. The defaults are habits that most controllers accept.
"""

from __future__ import annotations

import re
from typing import Literal, get_args

from stockwright.frozen import frozen
from stockwright.posting.allowed_words import ALLOWED, STOPS, code_of, in_order, may

__all__ = [
    "Arcs",
    "Case",
    "Characters",
    "Comments",
    "DwellLetter",
    "DwellUnit",
    "LineEnding",
    "Retract",
    "SpinUpBy",
    "ToolChange",
    "TraitError",
    "Traits",
    "Units",
]

Units = Literal["mm", "inch"]
Comments = Literal["parentheses", "none"]
LineEnding = Literal["lf", "cr-lf"]
ToolChange = Literal["none", "word", "pause"]
DwellUnit = Literal["seconds", "milliseconds", "none"]
DwellLetter = Literal["P", "F", "X"]
SpinUpBy = Literal["dwell", "control"]
Arcs = Literal["none", "centre", "radius"]
Retract = Literal["work", "machine"]
Characters = Literal["plain", "capitals", "bare"]
Case = Literal["lower", "upper"]

_EXTENSION = re.compile(r"[A-Za-z0-9]{1,8}", re.ASCII)


class TraitError(ValueError):
    """Traits that no dialect may have: pairs of the trait's name and what is wrong with it."""

    def __init__(self, wrong: tuple[tuple[str, str], ...]) -> None:
        self.wrong = wrong
        super().__init__("; ".join(f"{name}: {message}" for name, message in wrong))


@frozen
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
    trailing_zeros: bool = False  # positions keep all their decimals: 15.000
    plus_sign: bool = False  # positions not below zero have a sign too: +15.0
    least_digits: int = 1  # digits of a position before the point at least: 4 is 0015.0
    spaced: bool = True  # a space between words
    code_digits: int = 1  # 1: G1 M3; 2: G01 M03
    modal_motion: bool = False  # may the motion word be left out where it repeats
    modal_axes: bool = True  # may an axis that does not move be left out
    modal_feed: bool = True  # may F be left out of a cutting line where it holds
    restate_modes: bool = False  # say the modes again after each move up to where the program goes about
    arcs: Arcs = "none"  # none: chords; centre: I and J from the start; radius: R
    sagitta: float = 0.005  # mm a chord may stand off its arc
    rapid_feed: float = 0.0  # mm/min: moves in the air are cutting moves at this feed; 0: rapid moves
    line_number_step: int = 0  # N words: N10 N20 ...; 0: none
    line_number_limit: int = 99999  # the highest N; it starts again after it
    comments: Comments = "parentheses"
    comment_length: int = 70  # characters, brackets counted
    characters: Characters = "plain"  # of comments; capitals: and . + - /; bare: capitals, digits
    line_length: int = 252  # characters, line end not counted
    line_ending: LineEnding = "lf"
    file_bytes: int = 0  # the longest file, line ends counted; a longer program is split; 0: any
    file_lines: int = 0  # the most lines of a file; 0: any
    percent: bool = False  # a lone % first and last
    start_words: tuple[str, ...] = ("G17", "G40", "G49", "G80", "G90", "G94")  # after the units, a line each
    work_frame: str | None = "G54"  # the word for the zero that is touched off; none: the only one there is
    end_words: tuple[str, ...] = ("M2",)  # after the spindle has been stopped, a line each
    retract: Retract = "work"  # machine: first and last to `retract_z` in the machine frame (G53), Z alone
    retract_z: float = 0.0  # mm, machine frame
    machine_zero: tuple[float, float, float] | None = (
        None  # mm: the machine frame's zero, bed frame, of the nose
    )
    tool_change: ToolChange = "none"  # none: one file a tool; word: T and M6; pause: stop for the person
    pause_word: str | None = "M0"  # wait for the person; none: a pause is refused
    stops_trusted: bool = True  # no: the word may be passed over at the machine, so no program leans on it
    probe_word: str | None = None  # go until something is touched; none: a probing move is refused
    speed_with_start: bool = False  # S12000 M3 on one line
    spin_up: float = 0.0  # seconds until the spindle is up to speed
    spin_up_by: SpinUpBy = "dwell"  # dwell: the program waits so long; control: the start word itself waits
    dwell_unit: DwellUnit = "seconds"  # what G4 counts; none: a dwell is refused
    dwell_letter: DwellLetter = "P"  # the word that holds the wait
    dust_on: str | None = None  # the relay the dust collector hangs on; none: it is switched by hand
    dust_off: str | None = None
    dust_on_delay: float = 0.0  # seconds to wait after the collector is switched on
    dust_off_delay: float = 0.0  # seconds it runs on before it is switched off
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
    def can_pause(self) -> bool:
        """Whether a program may lean on a stop for the person."""
        return self.pause_word is not None and self.stops_trusted

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
            (name, f"got '{word}', expected one of {', '.join(sorted(ALLOWED[place], key=in_order))}")
            for name, place in _WORDS
            for word in _words(getattr(self, name))
            if not may(word, place)
        ]
        wrong += misplaced
        if not misplaced:
            ends = [code_of(word) in STOPS for word in self.end_words]
            if ends.count(True) != 1 or not ends[-1]:
                wrong.append(
                    ("end_words", f"got {_listed(self.end_words)}, expected M2 or M30 once, as the last")
                )
            if "G90" not in map(code_of, self.start_words):
                wrong.append(("start_words", "lacks G90, without which positions may be taken as steps"))
        if (self.dust_on is None) != (self.dust_off is None):
            wrong.append(("dust_on", "goes together with dust_off: state both or neither"))
        wrong += self._at_odds()
        if not _EXTENSION.fullmatch(self.extension):
            wrong.append(("extension", f"got '{self.extension}', expected 1 to 8 letters or digits"))
        return wrong

    def _at_odds(self) -> list[tuple[str, str]]:
        """Give the traits that contradict one another."""
        wrong: list[tuple[str, str]] = []
        waits = [("spin_up", self.spin_up if self.spin_up_by == "dwell" else 0.0)]
        waits += [("dust_on_delay", self.dust_on_delay), ("dust_off_delay", self.dust_off_delay)]
        for name, seconds in waits:
            if seconds > 0 and self.dwell_unit == "none":
                waits_itself = ", or spin_up_by: control" if name == "spin_up" else ""
                wrong.append((name, f"needs a dwell_unit, seconds or milliseconds{waits_itself}"))
            elif seconds > 0 and name != "spin_up" and self.dust_on is None:
                wrong.append((name, "needs dust_on and dust_off, the words it waits at"))
        if self.tool_change == "pause" and not self.can_pause:
            wrong.append(("tool_change", "got 'pause', which needs a pause_word that is trusted"))
        if self.arcs != "none" and "G17" not in map(code_of, self.start_words):
            wrong.append(("arcs", f"got '{self.arcs}', which needs G17, their plane, among start_words"))
        if self.retract == "machine" and self.machine_zero is None:
            wrong.append(
                ("retract", "got 'machine', which needs machine_zero, or nothing can be proven of it")
            )
        if self.line_number_step > self.line_number_limit:
            wrong.append(
                ("line_number_step", "is greater than line_number_limit, so that no number can be said")
            )
        place = self.machine_zero
        if place is not None and not (
            isinstance(place, tuple) and len(place) == 3 and all(abs(v) <= _FARTHEST for v in place)
        ):
            wrong.append(("machine_zero", f"got {place}, expected x, y and z within {_FARTHEST:g} mm"))
        for name, least in (("file_bytes", _LEAST_BYTES), ("file_lines", _LEAST_LINES), ("rapid_feed", 100)):
            value = getattr(self, name)
            if 0 < value < least:
                wrong.append((name, f"got {value:g}, expected 0 for none, or {least} at least"))
        return wrong


_FARTHEST = 20000.0  # mm; a machine of 20 m is a slip of the pen
# A whole program needs its start and its end in every part: less than this leaves no room for a cut.
_LEAST_BYTES = 2000
_LEAST_LINES = 80
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
    ("least_digits", 1, 5),
    ("sagitta", 0.001, 0.02),  # beyond it a wall shows the chords
    ("rapid_feed", 0, 60000),
    ("file_bytes", 0, 1_000_000_000),
    ("file_lines", 0, 100_000_000),
    ("retract_z", -20000, 20000),
    ("dust_on_delay", 0, 60),
    ("dust_off_delay", 0, 60),
)
_CHOICES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("comments", get_args(Comments)),
    ("line_ending", get_args(LineEnding)),
    ("tool_change", get_args(ToolChange)),
    ("dwell_unit", get_args(DwellUnit)),
    ("name_case", get_args(Case)),
    ("arcs", get_args(Arcs)),
    ("retract", get_args(Retract)),
    ("characters", get_args(Characters)),
    ("dwell_letter", get_args(DwellLetter)),
    ("spin_up_by", get_args(SpinUpBy)),
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


def _words(value: str | tuple[str, ...] | None) -> tuple[str, ...]:
    if value is None:
        return ()
    return value if isinstance(value, tuple) else (value,)


def _listed(words: tuple[str, ...]) -> str:
    return f"[{', '.join(words)}]"
