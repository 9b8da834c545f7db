"""RS274/NGC with nothing left to be remembered. In: motion. Out: lines that each say all they need.

For old retrofits that lose a mode, an axis or a feed between lines. Proven by the reader `spelled-out`, which
refuses a line that leans on another.
"""

from stockwright.posting import Traits, WordAddress


class SpelledOut(WordAddress):
    """Every line whole: motion word, all axes, feed, all decimals."""

    name = "spelled-out"
    reader = "spelled-out"
    about = "nothing modal: every line has its motion word, all axes and its feed; for old retrofits"
    traits = Traits(
        modal_motion=False,
        modal_axes=False,
        modal_feed=False,
        speed_with_start=True,
        restate_modes=True,
        trailing_zeros=True,
        code_digits=2,
        line_length=72,
        comment_length=40,
        characters="capitals",
        # 3.5.4 of NISTIR 6556: seconds. 3: common practice, no source.
        dwell_unit="seconds",
        spin_up=3.0,
        pause_word="M00",
        end_words=("M30",),
        extension="nc",
        name_length=24,  # small displays; common practice, no source
    )


POST = SpelledOut()
