"""prove: a packet's physical facts and its programs' text -> a verdict.

Promise: an independent reader and a simulated board; nothing is taken from planning, cutting, checking,
motion or posts, so that writer and proof cannot be wrong together. What is not proven is not delivered.
"""

from stockwright.proving.verdict import Outcome, prove

__all__ = ["Outcome", "prove"]
