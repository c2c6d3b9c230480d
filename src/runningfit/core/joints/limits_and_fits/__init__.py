"""Limits and fits: what a letter and a grade mean for a hole or a shaft of some size, and how both fit."""

from runningfit.core.joints.limits_and_fits.deviations import zone_limits
from runningfit.core.joints.limits_and_fits.fits import Fit, FitKind, read_fit
from runningfit.core.joints.limits_and_fits.grades import standard_tolerance_um
from runningfit.core.joints.limits_and_fits.zones import SizeLimits, ToleranceZone, read_zone

__all__ = [
    "Fit",
    "FitKind",
    "SizeLimits",
    "ToleranceZone",
    "read_fit",
    "read_zone",
    "standard_tolerance_um",
    "zone_limits",
]
