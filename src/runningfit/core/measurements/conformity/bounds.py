"""The limits that a value must lie between, and what was believed of it before it was measured."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, isfinite, lgamma, log, pi, sqrt

from runningfit.core.errors import InvalidInput


@dataclass(frozen=True, slots=True)
class Bounds:
    """The limits that a value must lie between, both included.

    Parameters
    ----------
    lower : float or None
        The lower limit, in the unit of the value; none where there is none.
    upper : float or None
        The upper limit.
    """

    lower: float | None = None
    upper: float | None = None

    def __post_init__(self) -> None:
        if self.lower is None and self.upper is None:
            raise InvalidInput(
                "limits", needs="a lower limit, an upper limit or both", came="none",
                remedy="Take them from the manual; new limits and wear limits are different limits.",
            )  # fmt: skip
        if not all(isfinite(limit) for limit in (self.lower, self.upper) if limit is not None):
            raise InvalidInput("limits", needs="finite numbers", came=f"{self.lower} and {self.upper}")
        if self.lower is not None and self.upper is not None and self.lower >= self.upper:
            raise InvalidInput(
                "limits",
                needs="a lower limit below the upper one",
                came=f"{self.lower:g} and {self.upper:g}",
                remedy="They are upside down, or the same: check which is which.",
            )

    @property
    def ends(self) -> tuple[float, float]:
        """Both limits; infinite where there is none."""
        return (-inf if self.lower is None else self.lower, inf if self.upper is None else self.upper)

    def holds(self, value: float) -> bool:
        """Say whether a value lies within the limits.

        Parameters
        ----------
        value : float
            The value.

        Returns
        -------
        bool
            Whether it does.
        """
        low, high = self.ends
        return low <= value <= high


@dataclass(frozen=True, slots=True)
class NormalPrior:
    """What was believed before measuring: around a middle, as likely above as below.

    Parameters
    ----------
    middle : float
        The mean, in the unit of the value.
    deviation : float
        The standard deviation, more than nothing.
    """

    middle: float
    deviation: float

    def __post_init__(self) -> None:
        if not (isfinite(self.middle) and isfinite(self.deviation) and self.deviation > 0):
            raise InvalidInput(
                "prior", needs="a finite mean and a deviation of more than nothing",
                came=f"{self.middle:g} and {self.deviation:g}",
            )  # fmt: skip

    def density(self, x: float) -> float:
        """Give how likely a value was.

        Parameters
        ----------
        x : float
            The value.

        Returns
        -------
        float
            The density, for each unit of the value.
        """
        return exp(-0.5 * ((x - self.middle) / self.deviation) ** 2) / (self.deviation * sqrt(2 * pi))


@dataclass(frozen=True, slots=True)
class GammaPrior:
    """What was believed before measuring of a value that cannot be negative, such as runout or clearance.

    Parameters
    ----------
    shape : float
        The shape [-], 1 or more.
    scale : float
        The scale, in the unit of the value; the mean is shape times scale.
    """

    shape: float
    scale: float

    def __post_init__(self) -> None:
        if not (isfinite(self.shape) and isfinite(self.scale) and self.shape >= 1 and self.scale > 0):
            raise InvalidInput(
                "prior", needs="a shape of 1 or more and a scale of more than nothing",
                came=f"{self.shape:g} and {self.scale:g}",
            )  # fmt: skip

    @property
    def middle(self) -> float:
        """The mean."""
        return self.shape * self.scale

    @property
    def deviation(self) -> float:
        """The standard deviation."""
        return sqrt(self.shape) * self.scale

    def density(self, x: float) -> float:
        """Give how likely a value was.

        Parameters
        ----------
        x : float
            The value.

        Returns
        -------
        float
            The density, for each unit of the value.
        """
        if x < 0 or (x == 0 and self.shape > 1):
            return 0.0
        if x == 0:
            return 1 / self.scale
        logarithm = (self.shape - 1) * log(x / self.scale) - x / self.scale - lgamma(self.shape)
        return exp(logarithm) / self.scale


Prior = NormalPrior | GammaPrior


def prior_cuts(prior: Prior) -> tuple[float, ...]:
    """Give where to cut an integral over a prior, so that each piece is smooth.

    Parameters
    ----------
    prior : NormalPrior or GammaPrior
        The prior.

    Returns
    -------
    tuple of float
        Cuts that hold all of it but a share below 1e-15.
    """
    low = 0.0 if isinstance(prior, GammaPrior) else -inf
    spans = (-12, -8, -5, -3, -2, -1, 0, 1, 2, 3, 5, 8, 12, 20, 40)
    return tuple(sorted({max(low, prior.middle + span * prior.deviation) for span in spans}))
