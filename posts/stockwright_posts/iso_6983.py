"""Word-address code as ISO 6983 and DIN 66025 describe it. In: motion. Out: blocks in their order of words.

Source: ISO 6983-1:1982, 3.6, for the % that opens a program; the rest from memory of both standards and
from a public copy of the code list of EIA RS-274-D. Proven by the reader `iso-6983`.
"""

from stockwright.posting import Traits, WordAddress


class Iso6983(WordAddress):
    """The older family: G70 and G71, % first, N words, two-digit codes, modes again after each retract."""

    name = "iso-6983"
    reader = "iso-6983"
    about = "the ISO 6983 and DIN 66025 family: % first, N words, G70 or G71, two-digit codes, ends with M30"
    traits = Traits(
        mm_word="G71",
        inch_word="G70",
        code_digits=2,
        start_words=("G17", "G40", "G90", "G94"),
        # G54 is a stored zero in one list, a shift along X in another: the zero is what the control holds.
        work_frame=None,
        # A program taken up in its middle must find every mode there.
        restate_modes=True,
        line_number_step=1,
        line_number_limit=9999,
        line_length=80,
        comments="none",
        percent=True,
        # G04 takes F, X or P, in seconds or thousandths: only a manual says.
        dwell_unit="none",
        pause_word="M00",
        end_words=("M30",),
        extension="iso",
        name_length=24,  # small displays; common practice, no source
    )


POST = Iso6983()
