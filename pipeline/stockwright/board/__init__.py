"""The rough board: measured, seated, placed.

In: readings of a board, in the board's frame, mm. Out: its two surfaces and how sure they are, how it
warps, how it lies best on shims, where the piece fits into it. Promise: domain only; reads no documents,
writes nothing.
"""
