"""The facts that may be missing of a joint: how a person calls each, and the ends it may be at."""

from runningfit.core.treatments.threaded_joint.gaps.gap import Gap
from runningfit.core.treatments.threaded_joint.gaps.of_hole import OF_STRIPPING
from runningfit.core.treatments.threaded_joint.gaps.of_piece import OF_HYDROGEN, OF_PLATING, OF_REUSE
from runningfit.core.treatments.threaded_joint.gaps.of_torque import OF_CLAMPING

__all__ = ["OF_CLAMPING", "OF_HYDROGEN", "OF_PLATING", "OF_REUSE", "OF_STRIPPING", "Gap"]
