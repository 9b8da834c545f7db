"""plan: job -> setups, each knowing the wood it receives and the references it stands on.

In: a bound `Job`. Out: a `Plan`: `Setup`s in the order of work, with place, shims, hold-downs, cuts and
levels, or every finding that refuses it. Promise: references are made before they are used; the board's
measured shape goes through every flip and turn exactly; nothing is planned that a hold-down, a cutter's
length or the travel forbids.
"""

from stockwright.planning.plan import Plan, plan, plan_board

__all__ = ["Plan", "plan", "plan_board"]
