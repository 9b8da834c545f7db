"""plan: job -> setups, each with the wood it receives and the references it relies on.

In: a bound `Job`. Out: a `Plan`: `Setup`s in the order of work, with place, shims, hold-downs, cuts and
levels, or every finding that refuses it. Promise: a reference is made before it is used; the board's measured
shape is carried through every flip and turn exactly; nothing is planned that a hold-down, a cutter's length
or the travel makes impossible.
"""

from stockwright.planning.plan import Plan, before_the_fence, plan, plan_board

__all__ = ["Plan", "before_the_fence", "plan", "plan_board"]
