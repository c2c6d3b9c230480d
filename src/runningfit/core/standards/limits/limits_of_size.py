"""What the limits of a screw thread are: the largest and smallest diameters that its class allows."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ExternalLimits:
    """The limits of the external thread, before plating.

    Parameters
    ----------
    thread_class : str
        The class: `2A`, `6g`, `medium`, `close`, `A`.
    major_max_mm, major_min_mm : float
        Major diameter [mm].
    pitch_diameter_max_mm, pitch_diameter_min_mm : float
        Pitch (effective) diameter [mm].
    minor_max_mm, minor_min_mm : float or None
        Minor diameter [mm]; none where the standard limits only the root by the tool or gauge.
    status, source : str
        How sure the limits are, and where the rule was read.
    """

    thread_class: str
    major_max_mm: float
    major_min_mm: float
    pitch_diameter_max_mm: float
    pitch_diameter_min_mm: float
    minor_max_mm: float | None
    status: str
    source: str
    minor_min_mm: float | None = None


@dataclass(frozen=True, slots=True)
class InternalLimits:
    """The limits of the internal thread, before plating.

    Parameters
    ----------
    thread_class : str
        The class: `2B`, `6H`, `medium`, `normal`.
    major_min_mm : float
        Least major diameter [mm]; the largest is left to the tap.
    pitch_diameter_min_mm, pitch_diameter_max_mm : float
        Pitch (effective) diameter [mm].
    minor_min_mm, minor_max_mm : float
        Minor diameter [mm].
    status, source : str
        How sure the limits are, and where the rule was read.
    """

    thread_class: str
    major_min_mm: float
    pitch_diameter_min_mm: float
    pitch_diameter_max_mm: float
    minor_min_mm: float
    minor_max_mm: float
    status: str
    source: str
