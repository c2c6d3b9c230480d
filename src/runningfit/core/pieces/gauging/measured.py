"""What was measured of a thread, and each diameter beside its limits."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import TypeAlias

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.normal import normal_below
from runningfit.core.standards import Thread
from runningfit.core.standards.limits import ExternalLimits, InternalLimits
from runningfit.core.units import MM_PER_INCH

# One-sided 95 %: below it neither "within" nor "outside" is said (ISO 14253-1 guards its limits alike).
SURE = 0.95
Limits: TypeAlias = ExternalLimits | InternalLimits


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured diameter.

    Parameters
    ----------
    mm : float
        The diameter [mm].
    u_mm : float
        Its standard uncertainty [mm]: about half of what one would put behind ±.
    """

    mm: float
    u_mm: float


@dataclass(frozen=True, slots=True)
class ThreadMeasurement:
    """What was measured and gauged of one bolt or hole.

    Parameters
    ----------
    internal : bool
        Whether it is the thread of a nut or hole.
    major, pitch_diameter, minor : Measured or None
        Outside diameter; pitch diameter over wires or by a thread micrometer; diameter of the bore or core.
    go, no_go : bool or None
        Whether the GO gauge went all the way, and whether the NO-GO gauge went on or in (more than two
        turns); none where it was not tried.
    plated : bool
        Whether it is plated now.
    """

    internal: bool
    major: Measured | None = None
    pitch_diameter: Measured | None = None
    minor: Measured | None = None
    go: bool | None = None
    no_go: bool | None = None
    plated: bool = False


@dataclass(frozen=True, slots=True)
class DiameterCheck:
    """One measured diameter beside its limits.

    Parameters
    ----------
    name : str
        `major diameter`, `pitch diameter` or `minor diameter`.
    measured : Measured
        What was measured.
    low_mm, high_mm : float or None
        The limits [mm]; none where there is none on that side.
    p_below, p_within, p_above : float
        Probabilities that it lies below, within and above the limits, from the uncertainty alone.
    """

    name: str
    measured: Measured
    low_mm: float | None
    high_mm: float | None
    p_below: float
    p_within: float
    p_above: float

    @property
    def outside_mm(self) -> float:
        """How far the reading lies outside its limits [mm]: negative below, positive above, else nothing."""
        if self.low_mm is not None and self.measured.mm < self.low_mm:
            return self.measured.mm - self.low_mm
        if self.high_mm is not None and self.measured.mm > self.high_mm:
            return self.measured.mm - self.high_mm
        return 0.0

    @property
    def is_within(self) -> bool:
        """Whether it surely lies within."""
        return self.p_within >= SURE

    @property
    def is_outside(self) -> bool:
        """Whether it surely lies outside."""
        return max(self.p_below, self.p_above) >= SURE


def _checked(name: str, measured: Measured, basic_mm: float) -> Measured:
    """Refuse what is no measurement, and inches typed as millimetres."""
    if not (isfinite(measured.mm) and measured.mm > 0):
        raise InvalidInput(name, needs="more than nothing [mm]", came=measured.mm, remedy="Measure it again.")
    if not (isfinite(measured.u_mm) and measured.u_mm > 0):
        raise InvalidInput(
            f"uncertainty of the {name}",
            needs="more than nothing [mm]: no instrument is exact",
            came=measured.u_mm,
            remedy="A micrometer has about 0.005 mm, a caliper 0.02 mm (common practice, no source).",
        )
    if measured.u_mm >= measured.mm:
        raise InvalidInput(
            f"uncertainty of the {name}",
            needs="less than the diameter",
            came=measured.u_mm,
            remedy="Check it.",
        )
    if abs(measured.mm * MM_PER_INCH - basic_mm) < 0.1 * basic_mm:
        raise InvalidInput(
            name,
            needs="millimetres",
            came=measured.mm,
            remedy=f"That looks like inches: {measured.mm:g} in are {measured.mm * MM_PER_INCH:.3f} mm.",
        )
    return measured


def _against(name: str, measured: Measured, low_mm: float | None, high_mm: float | None) -> DiameterCheck:
    below = 0.0 if low_mm is None else normal_below((low_mm - measured.mm) / measured.u_mm)
    above = 0.0 if high_mm is None else normal_below((measured.mm - high_mm) / measured.u_mm)
    return DiameterCheck(
        name, measured, low_mm, high_mm, p_below=below, p_within=max(0.0, 1 - below - above), p_above=above
    )


def diameters_against(
    thread: Thread, measurement: ThreadMeasurement, limits: Limits
) -> tuple[DiameterCheck, ...]:
    """Hold each measured diameter against its limits.

    Parameters
    ----------
    thread : Thread
        What it should be.
    measurement : ThreadMeasurement
        What was measured.
    limits : ExternalLimits or InternalLimits
        The limits of its class.

    Returns
    -------
    tuple of DiameterCheck
        The pitch diameter first, then the crest's, then the root's; only those that were measured.

    Raises
    ------
    InvalidInput
        A value or uncertainty that cannot be, or inches typed as millimetres.
    """
    ranges: tuple[tuple[str, Measured | None, float, float | None, float | None], ...]
    pitch = (limits.pitch_diameter_min_mm, limits.pitch_diameter_max_mm)
    if isinstance(limits, ExternalLimits):
        ranges = (
            ("pitch diameter", measurement.pitch_diameter, thread.pitch_diameter_mm, *pitch),
            ("major diameter", measurement.major, thread.major_mm, limits.major_min_mm, limits.major_max_mm),
            ("minor diameter", measurement.minor, thread.minor_internal_mm, None, limits.minor_max_mm),
        )
    else:
        ranges = (
            ("pitch diameter", measurement.pitch_diameter, thread.pitch_diameter_mm, *pitch),
            ("minor diameter", measurement.minor, thread.minor_internal_mm,
             limits.minor_min_mm, limits.minor_max_mm),
            ("major diameter", measurement.major, thread.major_mm, limits.major_min_mm, None),
        )  # fmt: skip
    return tuple(
        _against(name, _checked(name, measured, basic), low, high)
        for name, measured, basic, low, high in ranges
        if measured is not None
    )
