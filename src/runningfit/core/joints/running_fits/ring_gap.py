"""The end gap of a piston ring: in another bore than it was read in, and hot."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, pi

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.running_fits.clearance import ClearanceAt
from runningfit.core.joints.running_fits.expansion import Expansion
from runningfit.core.joints.running_fits.fit_limits import FitLimits
from runningfit.core.joints.running_fits.judging import chance_of_room, hold_against
from runningfit.core.measurements.conformity.decision import USUAL_WANTED, Decision, percent
from runningfit.core.measurements.uncertainty.inputs import Part, effective_dof
from runningfit.core.measurements.uncertainty.measured import REFERENCE_TEMPERATURE_C, Measured
from runningfit.core.units import SaidLength
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

# Ten times what any ring has; a gap in the place of a diameter is far beyond.
_LARGEST_GAP_SHARE = 0.1


@dataclass(frozen=True, slots=True)
class RingGap:
    """The end gap of a ring as it was read in a gauge or a bore.

    Parameters
    ----------
    gap_mm : Measured
        The gap [mm].
    read_in_mm : float
        The diameter of the gauge or bore that it was read in [mm].
    bore_mm : Measured
        The diameter of the bore that it shall run in, where it is narrowest [mm].

    Raises
    ------
    InvalidInput
        Sizes that are no ring's.
    """

    gap_mm: Measured
    read_in_mm: float
    bore_mm: Measured

    def __post_init__(self) -> None:
        if not 0 <= self.gap_mm.value < _LARGEST_GAP_SHARE * self.bore_mm.value:
            raise InvalidInput(
                "ring gap", needs="0 to a tenth of the bore", came=f"{self.gap_mm.value:g} mm",
                remedy="Check the unit and the decimal point.",
            )  # fmt: skip
        if not self.read_in_mm > 0 or abs(self.bore_mm.value / self.read_in_mm - 1) > 0.05:
            raise InvalidInput(
                "bore", needs="a diameter near the one that the ring was read in",
                came=f"{self.bore_mm.value:g} and {self.read_in_mm:g} mm",
            )  # fmt: skip


def gap_in_bore(ring: RingGap) -> ClearanceAt:
    """Give the end gap of a ring in the bore that it shall run in.

    Parameters
    ----------
    ring : RingGap
        As read.

    Returns
    -------
    ClearanceAt
        The gap [mm] with the uncertainty of both readings; below nothing is a ring that binds.

    Notes
    -----
    The ring keeps its length along the wall: the gap grows by π for each millimetre of bore, π (d - d0).
    """
    gap_mm = ring.gap_mm.value + pi * (ring.bore_mm.value - ring.read_in_mm)
    parts = (Part(ring.gap_mm.u, ring.gap_mm.dof), Part(pi * ring.bore_mm.u, ring.bore_mm.dof))
    u_mm = hypot(*(part.u for part in parts))
    return ClearanceAt(gap_mm, gap_mm, gap_mm, u_mm, effective_dof(parts))


def gap_when_hot(
    ring: RingGap, ring_metal: Expansion, bore_metal: Expansion, ring_c: float, bore_c: float
) -> ClearanceAt:
    """Give the end gap of a ring when it runs.

    Parameters
    ----------
    ring : RingGap
        As read at 20 °C.
    ring_metal : Expansion
        How the ring expands.
    bore_metal : Expansion
        How the cylinder expands.
    ring_c : float
        The temperature of the ring [°C].
    bore_c : float
        The temperature of the wall [°C].

    Returns
    -------
    ClearanceAt
        The gap [mm] at both ends of what the metals may do; below nothing is a ring that butts.

    Raises
    ------
    InvalidInput
        A temperature that no ring has.

    Notes
    -----
    π d (1 + αb (tb - 20)) - (π d - g) (1 + αr (tr - 20)), of which the gap g is that in the bore at 20 °C.
    """
    for one in (ring_c, bore_c):
        if not -60 <= one <= 600:
            raise InvalidInput(
                "temperature", needs="-60 to 600 °C", came=f"{one:g} °C", remedy="Check the unit."
            )
    cold = gap_in_bore(ring)
    wall_mm = pi * ring.bore_mm.value
    ring_k, bore_k = ring_c - REFERENCE_TEMPERATURE_C, bore_c - REFERENCE_TEMPERATURE_C
    gaps = [
        wall_mm * (1 + wall_per_k * bore_k) - (wall_mm - cold.middle_mm) * (1 + per_k * ring_k)
        for wall_per_k in (bore_metal.low_per_k, bore_metal.high_per_k)
        for per_k in (ring_metal.low_per_k, ring_metal.high_per_k)
    ]
    low, high = min(gaps), max(gaps)
    return ClearanceAt(low, (low + high) / 2, high, cold.u_mm, cold.dof)


def judge_ring_gap(
    ring: RingGap, fit_limits: FitLimits, *, hot: ClearanceAt | None = None, wanted: float = USUAL_WANTED
) -> Verdict:
    """Judge the end gap of a ring in its bore.

    Parameters
    ----------
    ring : RingGap
        As read.
    fit_limits : FitLimits
        The limits of the gap at 20 °C.
    hot : ClearanceAt or None
        The gap when it runs, where that was worked out.
    wanted : float
        How probable an answer must be to count as shown [-].

    Returns
    -------
    Verdict
        Its value is the gap in the bore at 20 °C [mm]; a sanity band alone never makes it sound.

    Raises
    ------
    InvalidInput
        An uncertainty of nothing.
    """
    gap = gap_in_bore(ring)
    held = hold_against(gap, fit_limits, wanted=wanted)
    outcome = {Decision.INSIDE: Outcome.SOUND, Decision.OUTSIDE: Outcome.NOT_SOUND}.get(
        held.decision, Outcome.NOT_PROVEN
    )
    probability = held.outside if outcome is Outcome.NOT_SOUND else held.inside
    grown_mm = gap.middle_mm - ring.gap_mm.value
    reasons = [
        Reason.of(
            *("Read ", SaidLength(ring.gap_mm.value, 3), " in ", SaidLength(ring.read_in_mm, 3)),
            *("; in a bore of ", SaidLength(ring.bore_mm.value, 3), " ", SaidLength(gap.middle_mm, 3)),
            *(" (", SaidLength(grown_mm, 3, signed=True), ")."),
            source="π (d - d0)",
        ),
        Reason(f"Within its limits with {percent(held.inside or 0.0)}.", fit_limits.source),
    ]
    cautions = [Caution("File a gap that is too small, square and clean; one that is too large stays.")]
    if fit_limits.is_sanity_band:
        cautions.append(Caution("The limit is a rule of the trade, not this maker's: keeping it is no pass."))
        outcome = Outcome.NOT_PROVEN if outcome is Outcome.SOUND else outcome
    if hot is not None:
        free = chance_of_room(hot, hot.low_mm)
        butts = 1 - chance_of_room(hot, hot.high_mm)
        reasons.append(
            Reason.of(
                *("Hot it is ", SaidLength(hot.low_mm, 3, bare=True), " to ", SaidLength(hot.high_mm, 3)),
                f"; some is left with {percent(free)}.",
                source="expansion of ring and cylinder",
            )
        )
        if butts >= wanted:
            outcome, probability = Outcome.NOT_SOUND, butts
        elif outcome is Outcome.SOUND:
            outcome = Outcome.SOUND if free >= wanted else Outcome.NOT_PROVEN
            probability = max(0.0, (probability or 0.0) + free - 1)
    return Verdict(outcome, gap.middle_mm, "mm", gap.u_mm, probability, tuple(reasons), tuple(cautions))
