"""A job of many boards: each by itself from plan to proof, in processes side by side, then one packet.

In: a request, and how it is to be done. Out: `Delivery`, as bytes; a job that does not come apart so is done
in one go. Promise: the packet is the same, byte for byte, however many processes made it, and whether or not
a run was stopped between; one board that is refused does not hide what is said of the others.
"""

from stockwright.batching.many import Delivery, How, make

__all__ = ["Delivery", "How", "make"]
