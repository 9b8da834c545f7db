"""probe: a job's board -> a program that measures it, a card to write on, a table to fill in.

In: a job with its shop and boards. Out: a packet whose programs touch wood with a probe, or stop above each
place for a person who reads the height. Promise: safe even if a contact is missed, and proven by the same
reader and simulated board as a cut.
"""

from stockwright.probing.run import Asked, Measured, probe

__all__ = ["Asked", "Measured", "probe"]
