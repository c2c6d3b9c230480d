"""What a gauge adds to each reading: a part of the reading itself, and a part that all its readings share."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.inputs import Part, Shape, effective_dof, half_width_u
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.verdicts import Caution


@dataclass(frozen=True, slots=True)
class Instrument:
    """A gauge with its calibration record.

    Parameters
    ----------
    resolution_mm : float
        Its smallest step [mm].
    repeat_mm : float
        The standard deviation of single readings of the same place, steps and all [mm]; 0 where it was
        never tried.
    repeat_dof : float
        The degrees of freedom of that [-].
    certificate_mm, certificate_k : float
        The expanded uncertainty of its calibration [mm], and the k that stands beside it [-].
    ring_mm : float
        The standard uncertainty of the setting ring or standard [mm]; 0 where it needs none.
    drift_mm : float
        How far it may have moved within one term of calibration, either way [mm].
    term_months, since_months : float
        How long a calibration holds, and how long ago it was [months].
    scatter_tried : bool
        One place was read repeatedly, and a scatter of 0 is what came of it.
    """

    resolution_mm: float
    repeat_mm: float = 0.0
    repeat_dof: float = 9.0
    certificate_mm: float = 0.0
    certificate_k: float = 2.0
    ring_mm: float = 0.0
    drift_mm: float = 0.0
    term_months: float = 12.0
    since_months: float = 0.0
    scatter_tried: bool = False

    def __post_init__(self) -> None:
        sizes = (self.repeat_mm, self.certificate_mm, self.ring_mm, self.drift_mm, self.since_months)
        if not self.resolution_mm > 0:
            raise InvalidInput(
                "resolution",
                needs="the smallest step of the gauge, more than nothing",
                came=f"{self.resolution_mm:g}",
            )
        if not all(one >= 0 for one in sizes) or not self.certificate_k > 0 or not self.term_months > 0:
            raise InvalidInput(
                "instrument",
                needs="figures that are not negative, and k and term of more than nothing",
                came="others",
            )


@dataclass(frozen=True, slots=True)
class OfReading:
    """The uncertainty of the mean of some readings of one place.

    Parameters
    ----------
    own_u_mm : float
        What is the reading's own: scatter and steps [mm].
    own_dof : float
        The degrees of freedom of that [-].
    shared_u_mm : float
        What all readings of this gauge share: certificate, ring, drift [mm].
    cautions : tuple of Caution
        What to mind of the gauge.
    """

    own_u_mm: float
    own_dof: float
    shared_u_mm: float
    cautions: tuple[Caution, ...]

    def whole(self, value: float) -> Measured:
        """Give a value with the whole uncertainty.

        Parameters
        ----------
        value : float
            The mean of the readings [mm].

        Returns
        -------
        Measured
            The value with own and shared parts together [mm].
        """
        parts = (Part(self.own_u_mm, self.own_dof), Part(self.shared_u_mm))
        return Measured(value, sqrt(self.own_u_mm**2 + self.shared_u_mm**2), effective_dof(parts))


def scatter_beside_steps(scatter: float, resolution: float) -> float:
    """Give the scatter that a gauge has beside its steps, which the scatter of its readings holds already.

    Parameters
    ----------
    scatter : float
        The standard deviation of single readings of one place, as they were read.
    resolution : float
        The smallest step of the gauge, in the same unit.

    Returns
    -------
    float
        What is left once the steps are counted for themselves; nothing where they are all of it.

    Notes
    -----
    √(s² - q²/12), Sheppard's correction: without it the steps q would count twice (JCGM 100:2008, F.2.2.1,
    from memory).
    """
    return sqrt(max(0.0, scatter**2 - half_width_u(resolution / 2, Shape.RECTANGULAR) ** 2))


def of_reading(instrument: Instrument, count: int = 1) -> OfReading:
    """Build the uncertainty of a reading from what is known of its gauge.

    Parameters
    ----------
    instrument : Instrument
        The gauge.
    count : int
        How many readings of the same place were averaged.

    Returns
    -------
    OfReading
        Its own and its shared part.

    Raises
    ------
    InvalidInput
        Fewer than one reading.

    Notes
    -----
    Steps are rectangular (JCGM 100:2008, F.2.2.1, from memory), are not averaged away and are taken out of
    the scatter that readings showed, so that they count once; a drift is rectangular and grows in proportion
    to the time since the calibration (common practice, no source).
    """
    if count < 1:
        raise InvalidInput("readings", needs="one or more", came=f"{count}")
    beside = scatter_beside_steps(instrument.repeat_mm, instrument.resolution_mm)
    scatter = Part(beside / sqrt(count), instrument.repeat_dof)
    steps = Part(half_width_u(instrument.resolution_mm / 2, Shape.RECTANGULAR))
    terms = instrument.since_months / instrument.term_months
    drift = half_width_u(instrument.drift_mm * max(1.0, terms), Shape.RECTANGULAR)
    shared = sqrt(
        (instrument.certificate_mm / instrument.certificate_k) ** 2 + instrument.ring_mm**2 + drift**2
    )
    cautions = []
    if terms > 1:
        counted = (
            f"its drift is counted {terms:.2g} times"
            if instrument.drift_mm
            else "how far it has drifted since is not known and not counted"
        )
        cautions.append(
            Caution(
                f"The gauge was calibrated {instrument.since_months:g} months ago, which holds for "
                f"{instrument.term_months:g}: {counted}; have it calibrated."
            )
        )
    if instrument.certificate_mm == 0 and instrument.ring_mm == 0:
        cautions.append(
            Caution("Nothing is known of how true the gauge is: set it on a ring or a gauge block.")
        )
    if instrument.repeat_mm == 0 and not instrument.scatter_tried:
        cautions.append(Caution("Nobody tried how far this gauge scatters: read one place ten times."))
    return OfReading(
        sqrt(scatter.u**2 + steps.u**2), effective_dof((scatter, steps)), shared, tuple(cautions)
    )
