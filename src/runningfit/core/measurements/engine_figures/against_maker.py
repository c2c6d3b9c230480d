"""A figure of the engine held against the maker's."""

from __future__ import annotations

from dataclasses import dataclass, replace

from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.conformity.decision import USUAL_WANTED, decide
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.verdicts import Reason, Verdict


@dataclass(frozen=True, slots=True)
class MakersFigure:
    """What the maker of the engine gives.

    Parameters
    ----------
    bounds : Bounds
        The limits, in the unit of the figure.
    source : str
        The manual and its page.
    """

    bounds: Bounds
    source: str


def against_maker(
    measured: Measured, figure: MakersFigure, *, unit: str = "", wanted: float = USUAL_WANTED
) -> Verdict:
    """Hold a figure of the engine against the maker's.

    Parameters
    ----------
    measured : Measured
        The figure with its uncertainty.
    figure : MakersFigure
        The maker's limits and where they stand.
    unit : str
        The unit of both, for the reasons.
    wanted : float
        How probable inside, or outside, must be to be shown [-].

    Returns
    -------
    Verdict
        Sound inside, not sound outside, else not proven; the source of the limits is its last reason.

    Raises
    ------
    InvalidInput
        A figure without uncertainty.
    """
    verdict = decide(measured, figure.bounds, wanted=wanted, unit=unit).verdict
    told = figure.source or "as told, their page not told"
    return replace(verdict, reasons=(*verdict.reasons, Reason("The limits are the maker's.", told)))
