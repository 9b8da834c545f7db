"""Forces: what a tooth does to wood, how far a cutter bends, what holds a board and whether it stays.

In: cutters, and plain numbers in mm, N, W, rpm and degrees. Out: such numbers. Promise: nothing here knows of
jobs, setups or documents.
"""
