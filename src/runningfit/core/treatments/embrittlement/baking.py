"""How hot, how long and how soon a plated piece is baked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.standards.tables import rows
from runningfit.core.treatments.embrittlement.hardness import HardnessScale
from runningfit.core.treatments.embrittlement.implied import ImpliedHardness, hardest_on
from runningfit.core.treatments.embrittlement.rules import (
    Force,
    Saying,
    StandardSays,
    strictness,
    tensile_mpa_of,
)
from runningfit.core.verdicts import Reason

# DOD-P-16232F 3.4, from memory: phosphate stands no more heat than this.
_PHOSPHATE_C = (99.0, 107.0)
_PHOSPHATE_HOURS = 8.0
_PHOSPHATE_WITHIN_HOURS = 4.0


@dataclass(frozen=True, slots=True)
class Bake:
    """What the oven must do.

    Parameters
    ----------
    temperature_from_c, temperature_to_c : float
        Between what temperatures [°C].
    hours : float
        Least time at temperature [h].
    within_hours : float
        From the last bath that brings hydrogen to the oven, at most [h].
    reasons : tuple of Reason
        Where each figure comes from.
    """

    temperature_from_c: float
    temperature_to_c: float
    hours: float
    within_hours: float
    reasons: tuple[Reason, ...]

    @property
    def said(self) -> str:
        """The bake as it is written on a note."""
        return (
            f"{self.temperature_from_c:g} to {self.temperature_to_c:g} °C for at least {self.hours:g} h, in "
            f"the oven within {self.within_hours:g} h of the last bath"
        )


def hours_by_strength(implied: ImpliedHardness) -> tuple[float, float, Reason]:
    """Give the hours of baking by ASTM B850, for the hardest that a piece may be.

    Parameters
    ----------
    implied : ImpliedHardness
        What is known of the hardness.

    Returns
    -------
    tuple of float, float and Reason
        Hours at temperature, hours from plating to the oven, and why. Where rows of the chart overlap the
        longer counts; below the chart its shortest row, above it its longest.
    """
    table = rows("astm_b850_1998")
    chosen = table[0]
    rockwell = hardest_on(implied, HardnessScale.HRC)
    strength = tensile_mpa_of(implied)
    for row in table:
        by_hardness = rockwell is not None and rockwell[0] >= float(row["hrc_from"])
        by_strength = strength is not None and strength >= float(row["tensile_from_mpa"])
        if by_hardness or by_strength:
            chosen = row
    reason = Reason(
        f"ASTM B850 (1998, reapproved 2009): {chosen['hours']} h for {chosen['tensile_from_mpa']} to "
        f"{chosen['tensile_to_mpa']} MPa, about {chosen['hrc_from']} to {chosen['hrc_to']} HRC.",
        f"{chosen['source']} ({chosen['status']})",
    )
    return float(chosen["hours"]), float(chosen["within_hours"]), reason


def strictest_bake(
    implied: ImpliedHardness, standards: Sequence[StandardSays], *, phosphated: bool = False
) -> Bake:
    """Give the bake that satisfies every standard that asks for one.

    Parameters
    ----------
    implied : ImpliedHardness
        What is known of the hardness.
    standards : sequence of StandardSays
        What each standard says.
    phosphated : bool
        Whether the coat is a phosphate, which the heat of the usual bake would spoil.

    Returns
    -------
    Bake
        The longest hours and the shortest delay of them all.
    """
    asking = [one for one in standards if strictness(one.says) >= strictness(Saying.BAKE_UNLESS_VERIFIED)]
    if phosphated:
        reason = Reason(
            "DOD-P-16232F: 99 to 107 °C for 8 h, or 120 h at room temperature, before the piece is loaded.",
            "DOD-P-16232F 3.4 (MEMORY); the 4 h to the oven borrowed from ASTM B850",
        )
        return Bake(*_PHOSPHATE_C, _PHOSPHATE_HOURS, _PHOSPHATE_WITHIN_HOURS, (reason,))
    hours, within, reason = hours_by_strength(implied)
    reasons = [reason]
    for one in asking:
        # A standard that binds only where it is called up, and sets less, changes nothing here.
        if one.hours is not None and one.hours > hours and one.force is not Force.RECOMMENDS:
            hours = one.hours
            reasons.insert(
                0, Reason(f"{one.named}: {one.hours:g} h, the longest.", f"{one.source} ({one.status})")
            )
        if one.within_hours is not None:
            within = min(within, one.within_hours)
    row = rows("astm_b850_1998")[0]
    return Bake(
        float(row["temperature_from_c"]), float(row["temperature_to_c"]), hours, within, tuple(reasons)
    )
