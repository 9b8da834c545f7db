"""Whether a shop can run a recipe, before there is a board.

In: a recipe, a shop's document, values where they are known. Out: what fits, what does not and why, how far
it goes, what is missing in words of what it must do, and what comes nearest. Promise: the same bind, plan,
cut and check that a job goes through decide, on a flat board made up for it; no rule is judged here anew.
"""

from stockwright.fitting.fit import Asked, Fit, fit
from stockwright.fitting.telling import lines, values

__all__ = ["Asked", "Fit", "fit", "lines", "values"]
