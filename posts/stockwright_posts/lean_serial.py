"""Few words and short lines, for small firmwares fed over a serial line. In: motion. Out: lines.

Named by trait: no standard describes these, and they agree on little more than what is used here. What is
used is all RS274/NGC, so the reader `rs274-ngc` proves it.
"""

from stockwright.posting import Traits, WordAddress


class LeanSerial(WordAddress):
    """What small readers with little memory have in common."""

    name = "lean-serial"
    reader = "rs274-ngc"
    about = "few words, lines of 60 characters, no tool change: small firmwares on a serial line"
    traits = Traits(
        # Words for cutter radius, tool length and cycles are often unknown there, and then an error.
        start_words=("G17", "G90", "G94"),
        # Readers hold some 70 to 128 characters, comments counted: common practice, no source.
        line_length=60,
        comment_length=40,
        # A fraction of a mm/min means nothing, and some cut it off at the point.
        feed_decimals_mm=0,
        feed_decimals_inch=1,
        # Where P counts milliseconds instead, 3.0 is no wait at all: never a longer one, and entry is high.
        dwell_unit="seconds",
        spin_up=3.0,
        tool_change="none",
        # Many have G38.2, some read it as another word or stop dead on it: a profile says what a manual says.
        probe_word=None,
        end_words=("M2",),
        extension="nc",
        name_length=24,  # small displays; common practice, no source
    )


POST = LeanSerial()
