"""playback: a packet's facts and its programs' texts -> one page that plays the cuts.

In: a packet and its texts, read as the proof reads them. Out: one HTML text that needs no other file.
Promise: what moves on the page is what the text says, never what was planned; where several moves are drawn
as one, the page says how many, and how far off they are at most; the page is of bounded size however long the
programs are.
"""

from stockwright.playback.page import playback

__all__ = ["playback"]
