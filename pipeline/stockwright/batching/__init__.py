"""A job of many boards: each board alone from plan to proof, in parallel processes, then one packet for all.

In: a request, and how it is to be run. Out: `Delivery`, the packet's files as bytes; a job whose boards share
a clamping cannot be split and is run as a whole. Promise: the packet is the same, byte for byte, however many
processes made it and whether or not a run was interrupted; a board that is refused does not hide the findings
on the others.
"""

from stockwright.batching.many import Delivery, How, make

__all__ = ["Delivery", "How", "make"]
