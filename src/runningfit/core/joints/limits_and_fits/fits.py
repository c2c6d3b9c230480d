"""A fit: hole and shaft of one nominal size, and the least and largest clearance between them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.limits_and_fits.deviations import zone_limits
from runningfit.core.joints.limits_and_fits.inch_fits import inch_limits
from runningfit.core.joints.limits_and_fits.zones import SizeLimits, read_zone
from runningfit.core.units import LengthQuestion, LengthUnit, read_length

_FIT = re.compile(
    r"\s*(?:Ø|ø|⌀|dia\.?)?\s*(?P<size>.+?)\s*(?P<hole>[A-Za-z]{1,2}[0-9]{1,2})\s*[/ -]\s*"
    r"(?P<shaft>[A-Za-z]{1,2}[0-9]{1,2})\s*"
)
_INCH_FIT = re.compile(
    r"\s*(?:Ø|ø|⌀)?\s*(?P<size>.+?)\s*\b(?P<fit>(?:RC|LC|LT|LN|FN) ?[0-9]{1,2})\s*", re.IGNORECASE
)
_NEEDS = 'a size and both zones such as "25 H7/g6", or a size and an inch fit such as "1 in RC4"'


class FitKind(StrEnum):
    """How hole and shaft go together."""

    CLEARANCE = "clearance"
    TRANSITION = "transition"
    INTERFERENCE = "interference"


@dataclass(frozen=True, slots=True)
class Fit:
    """Hole and shaft of one nominal size.

    Parameters
    ----------
    nominal_mm : float
        Nominal size [mm].
    name : str
        `H7/g6`, `RC4`.
    hole, shaft : SizeLimits
        Their limit deviations.
    """

    nominal_mm: float
    name: str
    hole: SizeLimits
    shaft: SizeLimits

    @property
    def clearance_min_um(self) -> float:
        """The least clearance [µm]; an interference is less than nothing."""
        return self.hole.lower_um - self.shaft.upper_um

    @property
    def clearance_max_um(self) -> float:
        """The largest clearance [µm]; an interference is less than nothing."""
        return self.hole.upper_um - self.shaft.lower_um

    @property
    def kind(self) -> FitKind:
        """Clearance, transition or interference (ISO 286-1:2010, 3.3)."""
        if self.clearance_min_um >= 0:
            return FitKind.CLEARANCE
        return FitKind.INTERFERENCE if self.clearance_max_um <= 0 else FitKind.TRANSITION


def read_fit(text: str) -> Fit:
    """Read a fit and look up its limits.

    Parameters
    ----------
    text : str
        Size and zones: `25 H7/g6`, `1 in H7/p6`; or size and inch fit: `1 in RC4`. A bare number before ISO
        zones is in millimetres, before an inch fit in inches.

    Returns
    -------
    Fit
        With the limits of ISO 286-1:2010 or ANSI B4.1-1967.

    Raises
    ------
    InvalidInput
        It is no fit, the size reads two ways, both zones are holes or shafts, or the tables have none such.
    """
    inch = _INCH_FIT.fullmatch(text)
    if inch is not None:
        nominal_mm = _size_mm(inch["size"], text, LengthUnit.INCH)
        name = inch["fit"].replace(" ", "").upper()
        return Fit(nominal_mm, name, *inch_limits(nominal_mm, name))
    found = _FIT.fullmatch(text)
    if found is None:
        raise InvalidInput("fit", needs=_NEEDS, came=text)
    nominal_mm = _size_mm(found["size"], text, LengthUnit.MM)
    zones = [read_zone(found["hole"]), read_zone(found["shaft"])]
    holes, shafts = [zone for zone in zones if zone.is_hole], [zone for zone in zones if not zone.is_hole]
    if len(holes) != 1:
        raise InvalidInput(
            "fit", needs="one hole with capitals and one shaft with small letters", came=text,
            remedy=f"Write {str(zones[0]).upper()}/{str(zones[1]).lower()} if the first is the hole.",
        )  # fmt: skip
    return Fit(
        nominal_mm,
        f"{holes[0]}/{shafts[0]}",
        zone_limits(nominal_mm, holes[0]),
        zone_limits(nominal_mm, shafts[0]),
    )


def _size_mm(size: str, text: str, unit: LengthUnit) -> float:
    try:
        length = read_length(size, default_unit=unit)
    except InvalidInput as refused:
        raise InvalidInput("fit", needs=_NEEDS, came=text, remedy=refused.remedy) from refused
    if isinstance(length, LengthQuestion):
        raise InvalidInput("fit", needs="a size that reads one way", came=text, remedy=length.question)
    return length.mm
