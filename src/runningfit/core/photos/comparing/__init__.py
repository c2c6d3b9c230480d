"""Two photos of one bag held against each other: what is missing, what was added, what was swapped."""

from runningfit.core.photos.comparing.answers import (
    Added,
    CannotTell,
    Comparison,
    Difference,
    Group,
    Missing,
    Swapped,
)
from runningfit.core.photos.comparing.comparison import compare

__all__ = [
    "Added",
    "CannotTell",
    "Comparison",
    "Difference",
    "Group",
    "Missing",
    "Swapped",
    "compare",
]
