"""A whole threaded joint: what is known of it, and what all of that comes to."""

from runningfit.core.treatments.threaded_joint.judging import (
    judge_joint,
    judge_piece,
    rank_joint,
    rank_piece,
)

__all__ = ["judge_joint", "judge_piece", "rank_joint", "rank_piece"]
