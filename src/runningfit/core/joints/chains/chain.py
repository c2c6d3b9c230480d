"""A chain of dimensions and its gap: worst case, root sum of squares, each contributor's share."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import inf, isfinite, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.normal import normal_below
from runningfit.core.verdicts import Caution

_MOST_CONTRIBUTORS = 1000
# A tolerance told for a normal contributor is taken as this many standard deviations (common practice, no
# source).
NORMAL_SIGMAS = 3.0


class Shape(StrEnum):
    """How a contributor is spread within its limits."""

    NORMAL = "normal"
    EVEN = "even"
    TRIANGULAR = "triangular"


# Standard deviation over half-width (JCGM 100:2008, 4.3.7 and 4.3.9, and the convention above).
_SIGMA_OF_HALF = {Shape.NORMAL: 1 / NORMAL_SIGMAS, Shape.EVEN: 1 / sqrt(3), Shape.TRIANGULAR: 1 / sqrt(6)}


@dataclass(frozen=True, slots=True)
class Contributor:
    """One dimension of a chain.

    Parameters
    ----------
    name : str
        What it is.
    least_mm, most_mm : float
        Its limits [mm]; alike where it was measured without any doubt.
    factor : float
        How much the gap changes with it: 1 widens it, -1 narrows it.
    shape : Shape
        How it is spread between its limits.
    u_mm : float or None
        Its standard uncertainty [mm], where it was measured; then the limits are not its spread but the value
        stands in their middle.
    gauge : str
        The gauge that it was measured with, where others of the chain were too; what that gauge errs by, it
        errs by in all of them.
    gauge_u_mm : float
        The standard uncertainty that all readings of the gauge share: setting ring, certificate [mm].
    """

    name: str
    least_mm: float
    most_mm: float
    factor: float
    shape: Shape
    u_mm: float | None = None
    gauge: str = ""
    gauge_u_mm: float = 0.0

    @property
    def is_exact(self) -> bool:
        """Whether it is taken without any doubt."""
        return self.sigma_mm == 0 and self.gauge_u_mm == 0

    @property
    def middle_mm(self) -> float:
        """The middle of its limits [mm]."""
        return (self.least_mm + self.most_mm) / 2

    @property
    def half_mm(self) -> float:
        """Half of the distance between its limits [mm]."""
        return (self.most_mm - self.least_mm) / 2

    @property
    def sigma_mm(self) -> float:
        """Its standard deviation [mm]."""
        return self.half_mm * _SIGMA_OF_HALF[self.shape] if self.u_mm is None else self.u_mm


@dataclass(frozen=True, slots=True)
class Shim:
    """A shim, gasket or skim that may be chosen so that the gap comes to its middle.

    Parameters
    ----------
    name : str
        What it is.
    factor : float
        How much the gap changes with it; a shim in the gap has -1.
    step_mm : float
        The step in which it can be had [mm]; 0 where any size can be made.
    least_mm, most_mm : float
        The thinnest and the thickest [mm].
    """

    name: str
    factor: float
    step_mm: float
    least_mm: float
    most_mm: float


@dataclass(frozen=True, slots=True)
class Chain:
    """A gap and everything that adds to it.

    Parameters
    ----------
    name : str
        What the gap is called.
    contributors : tuple of Contributor
        The dimensions.
    lower_mm, upper_mm : float or None
        Limits of the gap [mm], where there are any.
    shim : Shim or None
        What centres it, where something may.

    Raises
    ------
    InvalidInput
        A contributor cannot be, a name stands twice, or limits are upside down.
    """

    name: str
    contributors: tuple[Contributor, ...]
    lower_mm: float | None = None
    upper_mm: float | None = None
    shim: Shim | None = None

    def __post_init__(self) -> None:
        if not 1 <= len(self.contributors) <= _MOST_CONTRIBUTORS:
            raise InvalidInput(
                "contributors", needs=f"1 to {_MOST_CONTRIBUTORS}", came=str(len(self.contributors))
            )
        seen: set[str] = set()
        for one in self.contributors:
            if one.name in seen:
                raise InvalidInput("contributors", needs="each under its own name", came=one.name)
            seen.add(one.name)
            figures = (one.least_mm, one.most_mm, one.factor, one.sigma_mm)
            if not all(map(isfinite, figures)) or one.least_mm > one.most_mm or one.factor == 0:
                raise InvalidInput(
                    f"contributor {one.name}", needs="its least before its largest, and a factor but 0",
                    came=f"{one.least_mm:g} to {one.most_mm:g} mm, factor {one.factor:g}",
                )  # fmt: skip
            if (one.gauge_u_mm != 0) != bool(one.gauge) or not 0 <= one.gauge_u_mm < inf:
                raise InvalidInput(
                    f"contributor {one.name}", needs="a gauge with an uncertainty that its readings share",
                    came=f"{one.gauge or 'no gauge'} and {one.gauge_u_mm:g} mm",
                )  # fmt: skip
            if one.u_mm is not None and one.u_mm <= 0:
                raise InvalidInput(
                    f"contributor {one.name}", needs="an uncertainty above 0", came=f"{one.u_mm:g} mm",
                    remedy="No reading is without doubt; leave u out of what is fixed by definition.",
                )  # fmt: skip
        if self.lower_mm is not None and self.upper_mm is not None and self.lower_mm >= self.upper_mm:
            raise InvalidInput(
                "limits",
                needs="the lower below the upper",
                came=f"{self.lower_mm:g} and {self.upper_mm:g} mm",
            )
        if self.shim is not None:
            shim = self.shim
            if shim.factor == 0 or shim.step_mm < 0 or not 0 <= shim.least_mm <= shim.most_mm:
                raise InvalidInput(
                    "shim", needs="a factor but 0, no step below 0, its thinnest before its thickest",
                    came=f"{shim.factor:g}, {shim.step_mm:g} mm, {shim.least_mm:g} to {shim.most_mm:g} mm",
                )  # fmt: skip
            if not all(map(isfinite, (shim.factor, shim.step_mm, shim.most_mm))):
                raise InvalidInput("shim", needs="finite numbers", came="one that is not")
            if self.lower_mm is None or self.upper_mm is None:
                raise InvalidInput(
                    "limits", needs="both limits of the gap, so that a shim can centre it", came="none"
                )


@dataclass(frozen=True, slots=True)
class Share:
    """What one contributor does to the gap.

    Parameters
    ----------
    name : str
        The contributor, or the gauge that several share.
    factor : float
        How much the gap changes with it; with what the gauge errs by, the sum of theirs.
    worst_mm : float
        How far it moves the gap either way at its worst [mm].
    sigma_mm : float
        Its standard deviation in the gap [mm].
    of_variance : float
        Its share of the gap's variance, 0 to 1.
    """

    name: str
    factor: float
    worst_mm: float
    sigma_mm: float
    of_variance: float


@dataclass(frozen=True, slots=True)
class ChosenShim:
    """The shim that brings the gap nearest to the middle of its limits.

    Parameters
    ----------
    name : str
        What it is.
    exact_mm : float
        What would centre the gap exactly [mm].
    chosen_mm : float
        The nearest that can be had [mm].
    gap_mm : float
        The middle of the gap with it [mm].
    """

    name: str
    exact_mm: float
    chosen_mm: float
    gap_mm: float


@dataclass(frozen=True, slots=True)
class ChainAnswer:
    """What a chain comes to, its shim included.

    Parameters
    ----------
    mean_mm : float
        The middle of the gap [mm].
    worst_low_mm, worst_high_mm : float
        The gap with every contributor at its bad end [mm].
    sigma_mm : float
        Standard deviation of the gap, root of the sum of squares [mm].
    probability_within : float or None
        That the gap lies within its limits if it is normal, where it has limits.
    shares : tuple of Share
        The contributors, the one that spreads the gap most first.
    shim : ChosenShim or None
        The shim, where one may be chosen.
    cautions : tuple of Caution
        What to mind of it.
    """

    mean_mm: float
    worst_low_mm: float
    worst_high_mm: float
    sigma_mm: float
    probability_within: float | None
    shares: tuple[Share, ...]
    shim: ChosenShim | None
    cautions: tuple[Caution, ...] = ()

    @property
    def rss_mm(self) -> float:
        """Half of the width that holds 99.73 % of a normal gap: three standard deviations [mm]."""
        return NORMAL_SIGMAS * self.sigma_mm


def solve_chain(chain: Chain) -> ChainAnswer:
    """Work out a chain.

    Parameters
    ----------
    chain : Chain
        Gap and contributors.

    Returns
    -------
    ChainAnswer
        Worst case, root sum of squares and shares.

    Notes
    -----
    Gap = Σ factor · dimension; worst case Σ |factor| · half-width about the middle; variance Σ factor² σ² for
    contributors that do not hang together (JCGM 100:2008, equation 10, number from memory); what a gauge errs
    by in several of them adds once, by the sum of their factors. A measured contributor's worst case is three
    standard uncertainties.
    """
    mean_mm = sum(one.factor * one.middle_mm for one in chain.contributors)
    spread = [
        (one.name, one.factor, abs(one.factor) * _worst_mm(one), abs(one.factor) * one.sigma_mm)
        for one in chain.contributors
    ]
    for gauge, shared_mm in shared_errors_mm(chain).items():
        spread.append((f"gauge {gauge}", shared_mm[0], NORMAL_SIGMAS * shared_mm[1], shared_mm[1]))
    reach_mm = sum(reach for _, _, reach, _ in spread)
    sigma_mm = sqrt(sum(sigma**2 for *_, sigma in spread))
    shim = None
    if chain.shim is not None and chain.lower_mm is not None and chain.upper_mm is not None:
        shim = _choose(chain.shim, mean_mm, (chain.lower_mm + chain.upper_mm) / 2)
        mean_mm = shim.gap_mm
    shares = [
        Share(name, factor, reach, sigma, sigma**2 / sigma_mm**2 if sigma_mm else 0.0)
        for name, factor, reach, sigma in spread
    ]
    return ChainAnswer(
        mean_mm=mean_mm,
        worst_low_mm=mean_mm - reach_mm,
        worst_high_mm=mean_mm + reach_mm,
        sigma_mm=sigma_mm,
        probability_within=_within(chain, mean_mm, sigma_mm),
        shares=tuple(sorted(shares, key=lambda share: -share.of_variance)),
        shim=shim,
        cautions=_cautions(chain, mean_mm, reach_mm, shim),
    )


def shared_errors_mm(chain: Chain) -> dict[str, tuple[float, float]]:
    """Give what each gauge that measured several contributors does to the gap.

    Parameters
    ----------
    chain : Chain
        Gap and contributors.

    Returns
    -------
    dict of str to tuple of float
        By gauge, the sum of the factors of what it measured, and the standard deviation in the gap [mm].
    """
    found: dict[str, tuple[float, float]] = {}
    for one in chain.contributors:
        if one.gauge:
            factor, signed_mm = found.get(one.gauge, (0.0, 0.0))
            found[one.gauge] = factor + one.factor, signed_mm + one.factor * one.gauge_u_mm
    return {gauge: (factor, abs(signed_mm)) for gauge, (factor, signed_mm) in found.items()}


def _cautions(chain: Chain, mean_mm: float, reach_mm: float, shim: ChosenShim | None) -> tuple[Caution, ...]:
    said = []
    exact = [one.name for one in chain.contributors if one.is_exact]
    if exact:
        said.append(
            f"Taken without any doubt: {', '.join(exact)}. Tell a tolerance, or u where it was measured."
        )
    low, high = chain.lower_mm, chain.upper_mm
    if shim is not None and chain.shim is not None:
        told = chain.shim
        if not told.least_mm <= shim.exact_mm <= told.most_mm:
            said.append(
                f"{shim.name} would have to be {shim.exact_mm:.3f} mm to centre the gap, which lies beyond "
                f"{told.least_mm:g} to {told.most_mm:g} mm."
            )
        said.append(f"{shim.name} is taken as exactly {shim.chosen_mm:g} mm: measure it before it goes in.")
    if (low is not None and mean_mm < low) or (high is not None and mean_mm > high):
        said.append("The middle of the gap lies outside its limits.")
    elif (low is not None and mean_mm - reach_mm < low) or (high is not None and mean_mm + reach_mm > high):
        said.append("At its worst the gap lies outside its limits: measure it when it is together.")
    return tuple(map(Caution, said))


def _worst_mm(one: Contributor) -> float:
    return one.half_mm if one.u_mm is None else max(one.half_mm, NORMAL_SIGMAS * one.u_mm)


def _within(chain: Chain, mean_mm: float, sigma_mm: float) -> float | None:
    if chain.lower_mm is None and chain.upper_mm is None:
        return None
    if sigma_mm == 0:
        low_holds = chain.lower_mm is None or chain.lower_mm <= mean_mm
        return float(low_holds and (chain.upper_mm is None or mean_mm <= chain.upper_mm))
    above = 1.0 if chain.upper_mm is None else normal_below((chain.upper_mm - mean_mm) / sigma_mm)
    below = 0.0 if chain.lower_mm is None else normal_below((chain.lower_mm - mean_mm) / sigma_mm)
    return above - below


def _choose(shim: Shim, without_mm: float, wanted_mm: float) -> ChosenShim:
    exact_mm = (wanted_mm - without_mm) / shim.factor
    chosen_mm = min(max(exact_mm, shim.least_mm), shim.most_mm)
    if shim.step_mm:
        steps = round((chosen_mm - shim.least_mm) / shim.step_mm)
        if shim.least_mm + steps * shim.step_mm > shim.most_mm + 1e-9:
            steps -= 1
        chosen_mm = round(shim.least_mm + steps * shim.step_mm, 9)
    return ChosenShim(shim.name, exact_mm, chosen_mm, without_mm + shim.factor * chosen_mm)
