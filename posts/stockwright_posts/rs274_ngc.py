"""Word-address code as NISTIR 6556 publishes it. In: motion. Out: lines that its section 3 accepts.

Source: T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274NGC Interpreter - Version 3, NISTIR 6556, 2000.
Proven by the reader `rs274-ngc`.
"""

from stockwright.posting import Traits, WordAddress


class Rs274Ngc(WordAddress):
    """The open word-address language, said so that wide and narrow readers of it agree."""

    name = "rs274-ngc"
    reader = "rs274-ngc"
    about = "the open word-address language of NISTIR 6556: G20 or G21, comments in ( ), ends with M2"
    # Of what is published all is taken whose doings stand in the text; what switches or moves a thing at the
    # machine (M6 to M9) is not, unless a profile names it. 3.3.2.1: a number may be whole.
    also_takes = ("G18", "G19", "G61.1", "G64", "G91", "G93", "M1", "M48")
    takes_whole_numbers = True
    traits = Traits(
        # One mode a line: G80 may not share a line with a motion (section 3.4, one word of a modal group).
        # G61 (3.5.14): the path is kept to. A control left in G64 rounds corners, by how much nobody says,
        # and what is proven is the path as it is written.
        start_words=("G17", "G40", "G49", "G61", "G80", "G90", "G94"),
        # 3.3: at most 256 characters a line. The published interpreter reads 253 and a line end.
        line_length=253,
        # 3.5.4: G4 P counts seconds. A spindle needs some to come to speed; 3: common practice, no source.
        dwell_unit="seconds",
        spin_up=3.0,
        # No M6: z is touched off before the program with the tool that it names, and M6 may move the machine.
        tool_change="none",
        probe_word="G38.2",  # 3.5.9
        # 3.6.1: M2 and M30 both end; M30 also exchanges pallets, and rewinds where there is a tape.
        end_words=("M2",),
        extension="ngc",
    )


POST = Rs274Ngc()
