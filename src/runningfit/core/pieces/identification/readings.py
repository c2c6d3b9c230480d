"""What was measured of a thread, each value with its standard uncertainty."""

from __future__ import annotations

import math
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.units import MM_PER_INCH

GAUGE_ANGLES_DEG = (47.5, 55.0, 60.0)
# Common practice, no source: a workshop caliper on a diameter; on the crests of a few threads; on a hexagon.
USUAL_U_DIAMETER_MM = 0.02
USUAL_U_PITCH_MM = 0.02
USUAL_U_FLATS_MM = 0.05
# Common practice, no source: what the same gauge, zeroed once, adds to all of its readings, whatever is said;
# little to a pitch, which is a difference of two of them.
SHARED_U_DIAMETER_MM = 0.008
SHARED_U_PITCH_MM = 0.002
SHARED_U_FLATS_MM = 0.02
_LARGEST_MM = 400.0


@dataclass(frozen=True, slots=True)
class AngleGauge:
    """A flank angle that was tried with a gauge, and whether it fitted.

    Parameters
    ----------
    angle_deg : float
        The included angle of the gauge [°]: 47.5, 55 or 60.
    fits : bool
        Whether no light showed.
    """

    angle_deg: float
    fits: bool = True


@dataclass(frozen=True, slots=True)
class ThreadReadings:
    """What was measured of one thread; what was not measured stays none, but something must be there.

    Parameters
    ----------
    internal : bool
        Whether it is a nut or a hole, and not a bolt.
    major_mm, minor_mm, pitch_diameter_mm : float or None
        Diameters [mm].
    leaf_tpi, leaf_mm : float or None
        The leaf of a pitch gauge that seems to fit: in threads per inch, or its pitch [mm]; one of them.
    pitch_mm : float or None
        The pitch as measured, such as over ten turns [mm].
    across_flats_mm : float or None
        Width across flats of its head, or of the nut itself [mm].
    angle_gauges : tuple of AngleGauge
        Flank angles that were tried.
    tapers : bool or None
        Whether the thread was seen to taper; none where nobody looked.
    u_major_mm, u_minor_mm, u_pitch_diameter_mm, u_pitch_mm, u_across_flats_mm : float or None
        Standard uncertainty of each [mm]; none takes the usual one of a caliper: 0.02 mm on a diameter and on
        a pitch, 0.05 mm across flats.

    Raises
    ------
    InvalidInput
        Nothing was measured; a value is not a number above 0 and below 400 mm; an uncertainty is not above 0
        and below its value; a pitch is larger than a diameter allows.
    """

    internal: bool = False
    major_mm: float | None = None
    minor_mm: float | None = None
    pitch_diameter_mm: float | None = None
    leaf_tpi: float | None = None
    leaf_mm: float | None = None
    pitch_mm: float | None = None
    across_flats_mm: float | None = None
    angle_gauges: tuple[AngleGauge, ...] = ()
    tapers: bool | None = None
    u_major_mm: float | None = None
    u_minor_mm: float | None = None
    u_pitch_diameter_mm: float | None = None
    u_pitch_mm: float | None = None
    u_across_flats_mm: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no thread can be."""
        _refuse_unusable(self)

    @property
    def leaf_pitch_mm(self) -> float | None:
        """The pitch of the leaf that seems to fit [mm]."""
        return MM_PER_INCH / self.leaf_tpi if self.leaf_tpi is not None else self.leaf_mm

    @property
    def size_mm(self) -> float | None:
        """The diameter that says most of the size [mm]: major, pitch diameter, minor."""
        for value in (self.major_mm, self.pitch_diameter_mm, self.minor_mm):
            if value is not None:
                return value
        return None


def whole_u_mm(u_mm: float | None, usual_mm: float, shared_mm: float) -> float:
    """Add what the gauge shares between its readings to the uncertainty of one of them.

    Parameters
    ----------
    u_mm : float or None
        Standard uncertainty as said [mm]; none takes the usual one.
    usual_mm : float
        The usual one [mm].
    shared_mm : float
        What the gauge adds to all of its readings alike [mm].

    Returns
    -------
    float
        Standard uncertainty [mm].
    """
    said = usual_mm if u_mm is None else u_mm
    return math.sqrt(said * said + shared_mm * shared_mm)


def _refuse_unusable(readings: ThreadReadings) -> None:
    diameters = {
        "major diameter": (readings.major_mm, readings.u_major_mm),
        "minor diameter": (readings.minor_mm, readings.u_minor_mm),
        "pitch diameter": (readings.pitch_diameter_mm, readings.u_pitch_diameter_mm),
    }
    others = {
        "pitch": (readings.pitch_mm, readings.u_pitch_mm),
        "width across flats": (readings.across_flats_mm, readings.u_across_flats_mm),
    }
    for name, (value, u) in (diameters | others).items():
        if value is None:
            if u is not None and not (name == "pitch" and readings.leaf_pitch_mm is not None):
                raise InvalidInput(
                    f"uncertainty of the {name}", needs=f"a {name}", came="", remedy="Measure it."
                )
            continue
        _refuse_number(name, value)
        if u is not None:
            _refuse_uncertainty(name, value, u)
    _refuse_leaf(readings)
    leaf = readings.leaf_pitch_mm
    if leaf is not None and readings.pitch_mm is None and readings.u_pitch_mm is not None:
        _refuse_uncertainty("pitch", leaf, readings.u_pitch_mm)
    for gauge in readings.angle_gauges:
        if gauge.angle_deg not in GAUGE_ANGLES_DEG:
            raise InvalidInput(
                "angle",
                needs="the angle of a thread gauge: 47.5, 55 or 60 degrees",
                came=gauge.angle_deg,
                remedy="Type the gauge that was tried.",
            )
    pitch = readings.pitch_mm if readings.pitch_mm is not None else readings.leaf_pitch_mm
    measured = [value for value, _ in diameters.values() if value is not None]
    if not measured and pitch is None and readings.across_flats_mm is None and not readings.angle_gauges:
        raise InvalidInput(
            "thread", needs="at least one reading", came="", remedy="Measure the diameter and the pitch."
        )
    if pitch is not None and measured and pitch >= max(measured):
        raise InvalidInput(
            "pitch",
            needs=f"less than the diameter of {max(measured):g} mm",
            came=f"{pitch:.4g} mm",
            remedy="Was the diameter meant in inches? Then write in behind it.",
        )
    major, minor = readings.major_mm, readings.minor_mm
    if major is not None and minor is not None and minor >= major:
        raise InvalidInput(
            "minor diameter",
            needs=f"less than the major diameter of {major:g} mm",
            came=f"{minor:g} mm",
            remedy="Measure both again.",
        )


def _refuse_number(name: str, value_mm: float) -> None:
    if not (math.isfinite(value_mm) and 0 < value_mm < _LARGEST_MM):
        raise InvalidInput(
            name,
            needs=f"a number of mm above 0 and below {_LARGEST_MM:g}",
            came=value_mm,
            remedy="Measure it again; check the unit.",
        )


def _refuse_uncertainty(name: str, value_mm: float, u_mm: float) -> None:
    if not (math.isfinite(u_mm) and 0 < u_mm < value_mm):
        raise InvalidInput(
            f"uncertainty of the {name}",
            needs=f"more than 0 and less than the value of {value_mm:g} mm",
            came=u_mm,
            remedy="Give the standard uncertainty in mm, such as 0.02, or leave it out.",
        )


def _refuse_leaf(readings: ThreadReadings) -> None:
    if readings.leaf_tpi is not None and readings.leaf_mm is not None:
        raise InvalidInput(
            "pitch gauge",
            needs="one leaf, in threads per inch or in mm",
            came="both",
            remedy="Say the leaf that fits better.",
        )
    if readings.leaf_tpi is not None and not 1 <= readings.leaf_tpi <= 400:
        raise InvalidInput(
            "threads per inch",
            needs="a number from 1 to 400",
            came=readings.leaf_tpi,
            remedy="Read the number on the leaf again.",
        )
    if readings.leaf_mm is not None:
        _refuse_number("pitch of the leaf", readings.leaf_mm)
