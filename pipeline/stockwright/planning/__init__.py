"""plan: job -> setups, each knowing the wood it receives and the references it stands on."""

from stockwright.planning.plan import Plan, plan, plan_board

__all__ = ["Plan", "plan", "plan_board"]
