"""Counting back a bucket or a bag: what came, what is short, over, damaged, swapped, or untellable."""

from runningfit.core.plan.count_back.bucket import (
    Back,
    Counted,
    Expected,
    Over,
    Proposal,
    Short,
    Swap,
    Twins,
    Unproven,
    Wrong,
)
from runningfit.core.plan.count_back.reconciling import reconcile
from runningfit.core.plan.count_back.sorts import Sort

__all__ = [
    "Back",
    "Counted",
    "Expected",
    "Over",
    "Proposal",
    "Short",
    "Sort",
    "Swap",
    "Twins",
    "Unproven",
    "Wrong",
    "reconcile",
]
