"""Limits of size of standard threads by class: what a gauge would let through."""

from runningfit.core.standards.limits.limits_of_size import ExternalLimits, InternalLimits
from runningfit.core.standards.limits.lookup import (
    external_classes,
    external_limits,
    internal_classes,
    internal_limits,
)

__all__ = [
    "ExternalLimits",
    "InternalLimits",
    "external_classes",
    "external_limits",
    "internal_classes",
    "internal_limits",
]
