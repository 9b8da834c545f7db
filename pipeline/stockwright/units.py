"""Measures as people write them, and back again.

In: text such as `19 mm`, `3/4"`, `1-1/2 in`, `60 in/min`, `20 mm to 80 mm`. Out: finite floats in mm, mm/min,
rpm, degrees, degrees Celsius, W, s, mm/s2, N, N mm, N/mm2, or shares of one. Promise: a bare number is never
guessed to be a length, and an unknown unit is reported with the nearest one that exists.
"""

from __future__ import annotations

import difflib
import functools
import math
import re
from dataclasses import field
from typing import TYPE_CHECKING, Literal

from stockwright.frozen import frozen
from stockwright.mistakes import MisreadError

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "ACCELERATION",
    "ANGLE",
    "COUNT",
    "FEED",
    "FORCE",
    "GAUGE",
    "INCH",
    "KILOGRAM_FORCE",
    "LENGTH",
    "LONGEST_LENGTH",
    "NUMBER",
    "PERCENT",
    "POUND_FORCE",
    "POWER",
    "PRESSURE",
    "SPEED",
    "STRESS",
    "TEMPERATURE",
    "TIME",
    "TORQUE",
    "Measure",
    "MeasureError",
    "System",
    "format_feed",
    "format_length",
    "parse",
    "parse_length",
    "parse_range",
]

System = Literal["mm", "inch"]

INCH = 25.4  # mm, exact: ISO 31-1 and the international yard and pound agreement of 1959
FOOT = 12 * INCH
HORSEPOWER = 550 * 0.3048 * 4.4482216152605  # W: 550 ft lbf/s, from the exact foot and pound-force
POUND_FORCE = 0.45359237 * 9.80665  # N: exact pound and standard gravity (1959 agreement, CGPM 1901)
KILOGRAM_FORCE = 9.80665  # N
INCH_OF_MERCURY = INCH * 13.5951e-6 * 9.80665  # N/mm2: mercury's conventional density, kg/mm3
# How thick a block is slid under the cutter to try a zero, mm: one to handle, which somebody owns; common
# practice, no source.
GAUGE: Mapping[System, float] = {"mm": 10.0, "inch": 3 / 8 * INCH}
MOST_PLACES = 4  # of an inch: 0.0001 in are 0.003 mm, and nothing here is read closer
LONGEST = 60  # characters; the longest sensible measure, a range of mixed fractions, stays under 40


class MeasureError(MisreadError):
    """Text that is not a measure: `code` is the mistake's word, `hint` what to write instead."""


@frozen
class Measure:
    """What a kind of quantity is called, shown by, and which units it may carry.

    `units` maps a unit as written to its size in the inside unit; `offsets` where its zero stands, in the
    inside unit, for units whose zero is another; `bare` is the size of a number without a unit, None where
    a number needs one, and `bare_from` the least that is taken so; `fractions` says that `3/4` is a number
    here.
    """

    name: str
    example: str
    units: Mapping[str, float] = field(hash=False)
    bare: float | None = None
    bare_from: float = 0.0
    fractions: bool = False
    whole: bool = False
    offsets: Mapping[str, float] = field(default_factory=dict, hash=False)
    most: float = 1e9

    @property
    def one(self) -> str:
        """Its name as a sentence says it: `a length`, `an angle`."""
        return f"{'an' if self.name[0] in 'aeiou' else 'a'} {self.name}"


# No board, bed or travel is so long: common practice, no source. What is longer is a slip of the pen, and
# work that grows with a length stays bounded.
LONGEST_LENGTH = 100_000.0  # mm

LENGTH = Measure(
    name="length",
    example='12 mm, 0.5 in or 3/4"',
    units={
        "mm": 1.0,
        "cm": 10.0,
        "m": 1000.0,
        "in": INCH,
        "inch": INCH,
        '"': INCH,
        "ft": FOOT,
        "foot": FOOT,
        "'": FOOT,
    },
    fractions=True,
    most=LONGEST_LENGTH,
)
FEED = Measure(
    name="feed",
    example="3 m/min or 120 in/min",
    units={"mm/min": 1.0, "m/min": 1000.0, "mm/s": 60.0, "in/min": INCH, "ft/min": FOOT, "in/s": 60 * INCH},
)
SPEED = Measure(name="speed", example="16000 rpm", units={"rpm": 1.0, "1/min": 1.0})
ANGLE = Measure(name="angle", example="0.5 deg", units={"deg": 1.0, "°": 1.0})
PERCENT = Measure(name="share", example="40 %", units={"%": 0.01})
POWER = Measure(name="power", example="1500 W or 2 hp", units={"W": 1.0, "kW": 1000.0, "hp": HORSEPOWER})
FORCE = Measure(
    name="force", example="400 N", units={"N": 1.0, "kN": 1000.0, "lbf": POUND_FORCE, "kgf": KILOGRAM_FORCE}
)
TORQUE = Measure(
    name="torque",
    example="10 N m",
    units={
        "N m": 1000.0,
        "N·m": 1000.0,
        "Nm": 1000.0,
        "lbf ft": POUND_FORCE * FOOT,
        "lbf in": POUND_FORCE * INCH,
    },
)
PRESSURE = Measure(
    name="pressure",
    example="0.6 bar",
    units={"bar": 0.1, "mbar": 0.0001, "kPa": 0.001, "inHg": INCH_OF_MERCURY, "psi": POUND_FORCE / INCH**2},
)
STRESS = Measure(
    name="force per area",
    example="0.02 N/mm2",
    units={"N/mm2": 1.0, "N/mm²": 1.0, "N/cm2": 0.01, "MPa": 1.0, "kPa": 0.001, "psi": POUND_FORCE / INCH**2},
)
TIME = Measure(name="time", example="5 s or 2 min", units={"s": 1.0, "min": 60.0, "h": 3600.0})
# The Fahrenheit scale by its definition from the Celsius scale: 32 degrees F is 0 C, and 1.8 of them are 1 C.
TEMPERATURE = Measure(
    name="temperature",
    example="20 C or 68 F",
    units={"C": 1.0, "°C": 1.0, "F": 1 / 1.8, "°F": 1 / 1.8},
    offsets={"F": -32 / 1.8, "°F": -32 / 1.8},
)
ACCELERATION = Measure(
    name="acceleration",
    example="400 mm/s2",
    units={"mm/s2": 1.0, "mm/s²": 1.0, "m/s2": 1000.0, "m/s²": 1000.0, "in/s2": INCH},
    bare=1.0,
    # As mm/s2 no router is started so gently, and as in/s2 many are: common practice, no source.
    bare_from=100.0,
)
NUMBER = Measure(name="number", example="0.5", units={}, bare=1.0)
COUNT = Measure(name="count", example="4", units={}, bare=1.0, whole=True)

# Whole words and other writings of units, so that a near miss names the right one.
OTHER_WRITINGS = {
    "millimeter": "mm", "millimetre": "mm", "millimeters": "mm", "millimetres": "mm", "mil": "mm",
    "centimeter": "cm", "centimetre": "cm", "centimeters": "cm", "centimetres": "cm",
    "meter": "m", "metre": "m", "meters": "m", "metres": "m", "inches": "in", "feet": "ft",
    "″": '"', "”": '"', "“": '"', "''": '"', "′": "'", "’": "'",
    "mmpm": "mm/min", "mm/minute": "mm/min", "mpm": "m/min", "inch/min": "in/min", "ipm": "in/min",
    "fpm": "ft/min", "r/min": "rpm", "u/min": "rpm", "rev/min": "rpm", "degree": "deg", "degrees": "deg",
    "watt": "W", "watts": "W", "horsepower": "hp", "percent": "%", "pct": "%", "second": "s", "seconds": "s",
    "sec": "s", "minute": "min", "minutes": "min", "hours": "h", "mm/s/s": "mm/s2", "mm/s^2": "mm/s2",
    "newton": "N", "newtons": "N", "lbs": "lbf", "kg": "kgf", "pounds": "lbf", "pa": "kPa",
    "celsius": "C", "degc": "C", "deg c": "C", "fahrenheit": "F", "degf": "F", "deg f": "F",
}  # fmt: skip

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_FRACTION = r"(?:(?:(?P<whole>\d+)(?:-| +))?(?P<over>\d+)/(?P<under>\d+))"
_WRITTEN = re.compile(
    rf"(?P<sign>[-+]?) *(?:{_FRACTION}|(?P<plain>{_NUMBER})) *(?P<unit>[^\d\s.,+-].*|1/min)?", re.ASCII
)
_FEET = re.compile(rf"(?P<feet>{_NUMBER}) *(?:'|ft|foot) +(?P<inches>\d.*)", re.ASCII)
_COMMA = re.compile(r"\d,\d")


def parse(text: str, measure: Measure) -> float:
    """Return what `text` says, in the inside unit of `measure` (mm, mm/min, rpm, ...); always finite.

    Raises `MeasureError` with code `unit-missing`, `unknown-unit`, `wrong-type` or `out-of-range`.
    """
    text = text.strip()
    if len(text) > LONGEST:
        raise _not_one(text[:20] + "...", measure)
    if measure is LENGTH and ("'" in text or "f" in text) and (feet := _FEET.fullmatch(text)):
        value = float(feet["feet"]) * FOOT + parse(feet["inches"], LENGTH)
    else:
        found = _WRITTEN.fullmatch(text)
        if not found or (found["over"] and not measure.fractions):
            raise _not_one(text, measure)
        number = _number(found, text, measure)
        if found["unit"] is None and 0 < number < measure.bare_from:
            first, *_, last = measure.units
            hint = f"write '{text} {first}' or '{text} {last}', whichever is meant"
            message = f"got '{text}', a number without a unit; so small {measure.one} needs one"
            raise MeasureError("unit-missing", message, hint)
        value = number * _size(found["unit"], text, measure)
        value += measure.offsets.get((found["unit"] or "").strip(), 0.0)
    if not math.isfinite(value):
        raise _not_one(text, measure)
    if abs(value) > measure.most:
        unit, size = next(iter(measure.units.items()), ("", 1.0))
        message = f"got '{text}', expected at most {measure.most / size:,.0f} {unit}".rstrip()
        raise MeasureError("out-of-range", message, "is a digit or the unit wrong?")
    # A millionth of a micrometre: so that 3/4" is 19.05 and 70 % is 0.7, as anyone would work them out.
    return round(value, 9)


def parse_length(text: str) -> float:
    """Return a length in mm, sign and all. Raises `MeasureError`."""
    return parse(text, LENGTH)


def parse_range(text: str, measure: Measure) -> tuple[float, float]:
    """Return the two ends of `20 mm to 80 mm`, low first; one measure alone is both ends.

    Raises `MeasureError`, code `out-of-range` where the first end is the greater.
    """
    low_text, joined, high_text = text.strip().partition(" to ")
    try:
        low = parse(low_text if joined else text, measure)
        high = parse(high_text, measure) if joined else low
    except MeasureError as error:
        raise MeasureError(error.code, error.message, _range_hint(text, measure) or error.hint) from None
    if low > high:
        raise MeasureError(
            "out-of-range",
            f"got '{text}', whose first end is greater than its last",
            f"write '{high_text.strip()} to {low_text.strip()}'",
        )
    return low, high


def format_length(value: float, units: System = "mm", decimals: int | None = None) -> str:
    """Return a length in mm as people read it: `12.35 mm` or `0.486 in`.

    `decimals`: the places of a millimetre that matter, 2 left out. An inch has two places more, four at most
    and three left out: whoever is told a place to the millimetre is told it to the hundredth of an inch.
    """
    if units == "inch":
        return f"{_trimmed(value / INCH, 3 if decimals is None else min(decimals + 2, MOST_PLACES))} in"
    return f"{_trimmed(value, 2 if decimals is None else decimals)} mm"


def format_feed(value: float, units: System = "mm") -> str:
    """Return a feed in mm/min as people read it: `2400 mm/min` or `94.5 in/min`."""
    if units == "inch":
        return f"{_trimmed(value / INCH, 1)} in/min"
    return f"{_trimmed(value, 0)} mm/min"


def _trimmed(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _number(found: re.Match[str], text: str, measure: Measure) -> float:
    if found["over"]:
        if not int(found["under"]):
            raise MeasureError("wrong-type", f"got '{text}', a fraction over zero")
        value = int(found["whole"] or 0) + int(found["over"]) / int(found["under"])
    else:
        value = float(found["plain"])
    value = -value if found["sign"] == "-" else value
    if measure.whole and value != int(value):
        raise _not_one(text, measure)
    return value


def _size(unit: str | None, text: str, measure: Measure) -> float:
    if unit is None:
        if measure.bare is None:
            # Nobody writes a fraction of a millimetre.
            meant = "in" if "/" in text and "in" in measure.units else next(iter(measure.units))
            raise MeasureError(
                "unit-missing",
                f"got '{text}', a number without a unit; {measure.one} needs one",
                f"write '{text} {meant}' if that is meant",
            )
        return measure.bare
    unit = unit.strip()
    if unit in measure.units:
        return measure.units[unit]
    if not measure.units:
        raise MeasureError("unknown-unit", f"got '{text}', expected a plain {measure.name} without a unit")
    shown = ", ".join(measure.units)
    hint = _meant_hint(text, measure)
    if not hint and (nearest := _nearest(unit, measure)):
        hint = f"did you mean '{nearest}'?"
    raise MeasureError(
        "unknown-unit", f"'{unit}' in '{text}' is no unit of {measure.name}, expected one of {shown}", hint
    )


def _meant_hint(text: str, measure: Measure) -> str:
    """Return how to write what a text was probably meant to say, where that can be read."""
    from stockwright.miswritten import meant

    plain = meant(text)
    return f"write '{plain}'" if plain != text and _reads(plain, measure) else ""


def _range_hint(text: str, measure: Measure) -> str:
    from stockwright.miswritten import meant_range

    plain = meant_range(text) if len(text) <= LONGEST else ""
    ends = plain.split(" to ")
    return f"write '{plain}'" if plain and all(_reads(each, measure) for each in ends) else ""


def _reads(text: str, measure: Measure) -> bool:
    try:
        parse(text, measure)
    except MeasureError:
        return False
    return True


@functools.lru_cache(maxsize=256)
def _nearest(unit: str, measure: Measure) -> str:
    other = OTHER_WRITINGS.get(unit.lower(), "")
    if other in measure.units:
        return other
    by_case = {known.lower(): known for known in measure.units}
    if unit.lower() in by_case:
        return by_case[unit.lower()]
    words = [*measure.units, *(word for word, known in OTHER_WRITINGS.items() if known in measure.units)]
    close = difflib.get_close_matches(unit, words, n=1, cutoff=0.5)
    return OTHER_WRITINGS.get(close[0], close[0]) if close else ""


def _not_one(text: str, measure: Measure) -> MeasureError:
    from stockwright.miswritten import comma_hint

    hint = comma_hint(text) if _COMMA.search(text) else _meant_hint(text, measure)
    got = f"got '{text}'" if text else "nothing stands here"
    return MeasureError("wrong-type", f"{got}, expected {measure.one} such as {measure.example}", hint)
