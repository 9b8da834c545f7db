"""Whether a shop can run a recipe, before there is a board.

In: a recipe, a shop's document, and values where they are known. Out: what fits; what does not, and why; the
range of sizes that can be made; what is missing, described by what it must do; and what comes nearest.
Promise: the answer comes from the same bind, plan, cut and check that a job goes through, on a flat board
invented for the purpose; no rule is written a second time here.
"""

from stockwright.fitting.fit import Asked, Fit, fit
from stockwright.fitting.telling import lines, values

__all__ = ["Asked", "Fit", "fit", "lines", "values"]
