"""Plating on threads: how diameters grow, how thick a coat may be, and whether the joint still assembles."""

from runningfit.core.treatments.plating.chances import Spread, probability_below, probability_smaller
from runningfit.core.treatments.plating.coats import NO_COAT, TANK_UNEVENNESS, Coat, coat_of_class, read_coat
from runningfit.core.treatments.plating.judging import judge_plating, percentile_mm
from runningfit.core.treatments.plating.threads import (
    Growth,
    PlatedThread,
    PlatingJudgement,
    ThreadHistory,
    plate_thread,
    probability_assembles,
)

__all__ = [
    "NO_COAT",
    "TANK_UNEVENNESS",
    "Coat",
    "Growth",
    "PlatedThread",
    "PlatingJudgement",
    "Spread",
    "ThreadHistory",
    "coat_of_class",
    "judge_plating",
    "percentile_mm",
    "plate_thread",
    "probability_assembles",
    "probability_below",
    "probability_smaller",
    "read_coat",
]
