"""The inch fits of ANSI B4.1: limits of hole and shaft as printed, class by class."""

from __future__ import annotations

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.limits_and_fits.zones import SizeLimits
from runningfit.core.standards.tables import rows
from runningfit.core.units import MM_PER_INCH

_TABLE = "asme_b4_1_1967"


def inch_limits(nominal_mm: float, name: str) -> tuple[SizeLimits, SizeLimits]:
    """Give the limit deviations of hole and shaft of an inch fit.

    Parameters
    ----------
    nominal_mm : float
        Nominal size [mm]; a size on an edge belongs to the range below it.
    name : str
        `RC3`, `RC4`.

    Returns
    -------
    tuple of SizeLimits
        Hole and shaft [µm].

    Raises
    ------
    InvalidInput
        The table has no such fit, or not at that size.

    Notes
    -----
    ANSI B4.1-1967 (R2009), table of running and sliding fits, in thousandths of an inch.
    """
    known = [row for row in rows(_TABLE) if row["fit"] == name]
    if not known:
        names = ", ".join(dict.fromkeys(row["fit"] for row in rows(_TABLE)))
        raise InvalidInput(
            "fit", needs=f"one of the inch fits {names}", came=name,
            remedy="Other classes were not seen in print; take the ISO fit that the drawing's date allows.",
        )  # fmt: skip
    # A size typed in inches comes back from millimetres with a rounding far below the table's last digit.
    size_in = round(nominal_mm / MM_PER_INCH, 9)
    for row in known:
        if float(row["over_in"]) < size_in <= float(row["to_in"]):
            um_per_thou = MM_PER_INCH
            source = f"ANSI B4.1-1967; {row['source']}"
            hole, shaft = (
                SizeLimits(
                    f"{one} {name}",
                    float(row[f"{one}_upper_thou"]) * um_per_thou,
                    float(row[f"{one}_lower_thou"]) * um_per_thou,
                    row["status"],
                    source,
                )
                for one in ("hole", "shaft")
            )
            return hole, shaft
    spans = ", ".join(f"{row['over_in']} to {row['to_in']}" for row in known)
    raise InvalidInput(
        "nominal size", needs=f"one of the ranges of {name} that were read: over {spans} in",
        came=f"{size_in:g} in",
    )  # fmt: skip
