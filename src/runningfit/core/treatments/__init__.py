"""What can be done to a piece: what each treatment gives, needs and endangers."""

from runningfit.core.treatments.plain import Treatment, all_treatments, treatment

__all__ = ["Treatment", "all_treatments", "treatment"]
