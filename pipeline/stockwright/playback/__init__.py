"""playback: a packet's facts and its programs' texts -> one page that plays the cuts.

In: a packet and its texts, read as the proof reads them. Out: one HTML text with nothing outside it. Promise:
what moves on the page is what the text says, never what was planned; where moves are drawn together, the page
says how many and how far off at most; the page is of bounded size whatever the programs' length.
"""

from stockwright.playback.page import playback

__all__ = ["playback"]
