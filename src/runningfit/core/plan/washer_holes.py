"""The screws that a washer goes with, by its hole."""

from __future__ import annotations

# Nominal diameters [mm]; inch sizes by their definition, metric ones by name, BA by BS 93, from memory.
_NOMINAL_MM = {
    "6BA": 2.8, "4BA": 3.6, "2BA": 4.7, "0BA": 6.0,
    "3/16": 4.7625, "1/4": 6.35, "5/16": 7.9375, "3/8": 9.525, "7/16": 11.1125, "1/2": 12.7, "9/16": 14.2875,
    "5/8": 15.875, "3/4": 19.05, "7/8": 22.225, "1": 25.4,
    "M3": 3.0, "M4": 4.0, "M5": 5.0, "M6": 6.0, "M7": 7.0, "M8": 8.0, "M10": 10.0, "M12": 12.0, "M14": 14.0,
    "M16": 16.0, "M18": 18.0, "M20": 20.0, "M22": 22.0, "M24": 24.0,
}  # fmt: skip
# How much wider than the screw the hole of a washer is (common practice, no source).
LEAST_ROOM_MM, MOST_ROOM_MM = 0.1, 1.6


def screws_through(hole_mm: float, u_mm: float) -> tuple[str, ...]:
    """Return the sizes of the screws that a washer goes with.

    Parameters
    ----------
    hole_mm : float
        The diameter of its hole [mm].
    u_mm : float
        The standard uncertainty of that [mm].

    Returns
    -------
    tuple of str
        Such as `5/16` and `M8`, the largest first; none where no usual screw is of such a size.
    """
    least = hole_mm - 1.96 * u_mm - MOST_ROOM_MM
    most = hole_mm + 1.96 * u_mm - LEAST_ROOM_MM
    fitting = [name for name, nominal in _NOMINAL_MM.items() if least <= nominal <= most]
    return tuple(sorted(fitting, key=lambda name: -_NOMINAL_MM[name]))
