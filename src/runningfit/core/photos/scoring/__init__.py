"""How well photos were measured, held against what really lies on the mat."""

from runningfit.core.photos.scoring.scores import Bin, Errors, PhotoCounts, Row, Score, Share
from runningfit.core.photos.scoring.scoring import score

__all__ = ["Bin", "Errors", "PhotoCounts", "Row", "Score", "Share", "score"]
