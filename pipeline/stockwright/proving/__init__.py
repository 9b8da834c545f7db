"""prove: a packet's physical facts and its programs' text -> a verdict.

In: `Packet`, texts by file. Out: an `Outcome`: proven, refused or unproven, and each reason with its line.
Promise: an independent reader and a simulated board; nothing is taken from planning, cutting, checking,
motion or posts, so that one error cannot be in the writer and in the proof alike. What is not proven is not
delivered.
"""

from stockwright.proving.verdict import Outcome, prove

__all__ = ["Outcome", "prove"]
