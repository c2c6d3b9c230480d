"""The limits of a clearance: those for new parts, those of wear, and a sanity band where neither was told."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.grades import is_trusted
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.standards.tables import rows

_TABLE = "running_clearances_collected_2026"


class FitRole(StrEnum):
    """What runs in what, as rules of thumb go."""

    PISTON = "piston"
    BEARING = "bearing"
    GUIDE = "guide"
    INLET_GUIDE = "inlet guide"
    EXHAUST_GUIDE = "exhaust guide"
    PIN = "pin"
    END_FLOAT = "end float"
    TOP_RING = "top ring"
    SECOND_RING = "second ring"


class LimitsFor(StrEnum):
    """What limits are for: a new part must keep others than a worn one."""

    NEW = "new"
    WEAR = "wear"


@dataclass(frozen=True, slots=True)
class FitLimits:
    """Limits of a clearance at 20 °C.

    Parameters
    ----------
    bounds : Bounds
        The limits [mm].
    used_for : LimitsFor
        New parts or wear.
    source : str
        Where they stand, such as the page of the manual.
    is_sanity_band : bool
        Whether they are another maker's or common practice, so that keeping them proves nothing.
    said : str
        What a sanity band was given for.
    trusted : bool
        False where they are from memory.
    """

    bounds: Bounds
    used_for: LimitsFor
    source: str
    is_sanity_band: bool = False
    said: str = ""
    trusted: bool = True


def makers_limits(
    lower_mm: float | None, upper_mm: float | None, used_for: LimitsFor, source: str = ""
) -> FitLimits:
    """Take limits from the maker of the engine.

    Parameters
    ----------
    lower_mm : float or None
        The least clearance [mm].
    upper_mm : float or None
        The largest clearance [mm].
    used_for : LimitsFor
        New parts or wear.
    source : str
        The manual and its page.

    Returns
    -------
    FitLimits
        The limits.

    Raises
    ------
    InvalidInput
        No limit, or limits that are upside down.
    """
    return FitLimits(Bounds(lower_mm, upper_mm), used_for, source or "limits as told, their page not told")


def sanity_band(role: FitRole, nominal_mm: float, used_for: LimitsFor = LimitsFor.NEW) -> FitLimits | None:
    """Give what other makers or common practice allow a clearance.

    Parameters
    ----------
    role : FitRole
        What runs in what.
    nominal_mm : float
        The diameter [mm].
    used_for : LimitsFor
        New parts or wear.

    Returns
    -------
    FitLimits or None
        The band; none where no figure of that sort was found.

    Raises
    ------
    InvalidInput
        A diameter that is not more than nothing.

    Notes
    -----
    Each limit is so much for each millimetre of diameter and a fixed addition, as its table has them; a lower
    one below nothing is nothing.
    """
    if not nominal_mm > 0:
        raise InvalidInput("diameter", needs="more than nothing", came=f"{nominal_mm:g} mm")
    for row in rows(_TABLE):
        if row["role"] == role and row["of"] == used_for:
            lower, upper = (_limit(row[f"{end}_per_mm"], row[f"{end}_mm"], nominal_mm) for end in _ENDS)
            return FitLimits(
                Bounds(lower, upper),
                used_for,
                f"{row['source']} ({row['status']})",
                True,
                row["said"],
                is_trusted(row["status"], row["source"]),
            )
    return None


_ENDS = ("lower", "upper")


def _limit(per_mm: str, fixed_mm: str, nominal_mm: float) -> float | None:
    return max(0.0, float(per_mm) * nominal_mm + float(fixed_mm)) if per_mm else None
