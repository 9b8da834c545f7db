"""The rough board: measured, seated, placed.

In: readings of a board, in the board's frame, mm. Out: its two surfaces and how certain they are, its warp,
how it lies best on shims, and where the finished piece fits into it. Promise: domain only: this room reads no
documents and writes nothing.
"""
