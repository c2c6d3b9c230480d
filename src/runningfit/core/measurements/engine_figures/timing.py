"""Valve lift, and valve timing from a degree wheel, with top dead centre by a positive stop."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import hypot, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.measured import Measured

_TURN_DEG, _HALF_DEG = 360.0, 180.0


class ValveEvent(StrEnum):
    """The four events of a valve train, as manuals shorten them."""

    INLET_OPENS = "IVO"
    INLET_CLOSES = "IVC"
    EXHAUST_OPENS = "EVO"
    EXHAUST_CLOSES = "EVC"


_SAID = {
    ValveEvent.INLET_OPENS: "before top dead centre",
    ValveEvent.INLET_CLOSES: "after bottom dead centre",
    ValveEvent.EXHAUST_OPENS: "before bottom dead centre",
    ValveEvent.EXHAUST_CLOSES: "after top dead centre",
}


@dataclass(frozen=True, slots=True)
class EventAngle:
    """When a valve opens or closes.

    Parameters
    ----------
    event : ValveEvent
        Which of the four.
    angle_deg : Measured
        Crank degrees before or after the dead centre that manuals give it from [°].
    """

    event: ValveEvent
    angle_deg: Measured

    @property
    def said(self) -> str:
        """From which dead centre the angle counts."""
        return _SAID[self.event]


@dataclass(frozen=True, slots=True)
class Timing:
    """The timing of one cylinder's valves.

    Parameters
    ----------
    top_deg : Measured
        What the wheel shows at top dead centre [°].
    events : tuple of EventAngle
        Each event that was read.
    inlet_open_deg, exhaust_open_deg, overlap_deg : Measured or None
        How long each valve is open and how long both are [° of crank]; none where an event is missing. What
        top dead centre errs by cancels in them.
    inlet_centre_deg, exhaust_centre_deg : Measured or None
        The middle of each opening after, and before, the top dead centre of the overlap [° of crank].
    lobe_separation_deg : Measured or None
        The mean of both, which top dead centre cancels in [° of cam].
    """

    top_deg: Measured
    events: tuple[EventAngle, ...]
    inlet_open_deg: Measured | None
    exhaust_open_deg: Measured | None
    overlap_deg: Measured | None
    inlet_centre_deg: Measured | None
    exhaust_centre_deg: Measured | None
    lobe_separation_deg: Measured | None


def top_dead_centre_deg(before_deg: float, after_deg: float, u_deg: float) -> Measured:
    """Find top dead centre between the two readings of a positive stop.

    Parameters
    ----------
    before_deg, after_deg : float
        What the wheel shows where the piston meets the stop, turned one way and the other [°].
    u_deg : float
        The standard uncertainty of one reading [°].

    Returns
    -------
    Measured
        What the wheel shows at top dead centre [°], 0 to 360.

    Raises
    ------
    InvalidInput
        Readings that lie together, or half a turn apart, so that no middle is meant; or no uncertainty.

    Notes
    -----
    The middle of the shorter way between both; u / √2. The stop must not move between the readings, and both
    must be read on a wheel that counts one way, 0 to 360.
    """
    _check_u(u_deg)
    across = (after_deg - before_deg) % _TURN_DEG
    short = across if across <= _HALF_DEG else across - _TURN_DEG
    if not 2 <= abs(short) <= 170:
        raise InvalidInput(
            "stop readings", needs="two readings 2 to 170 degrees apart",
            came=f"{before_deg:g} and {after_deg:g}",
            remedy="Set the stop so that it holds the piston some millimetres below the top.",
        )  # fmt: skip
    return Measured((before_deg + short / 2) % _TURN_DEG, u_deg / sqrt(2))


def valve_timing(top_deg: Measured, readings_deg: dict[ValveEvent, float], u_deg: float) -> Timing:
    """Turn readings of a degree wheel into valve timing.

    Parameters
    ----------
    top_deg : Measured
        What the wheel shows at top dead centre [°].
    readings_deg : dict of ValveEvent to float
        What it shows at each event, at one stated lift [°]; it counts upwards as the engine turns.
    u_deg : float
        The standard uncertainty of one reading [°].

    Returns
    -------
    Timing
        Events as manuals give them, openings, overlap and centres.

    Raises
    ------
    InvalidInput
        No readings, no uncertainty, or an event that lies nowhere near where valves open and close.

    Notes
    -----
    Inlet open IVO + 180 + IVC, exhaust open EVO + 180 + EVC, overlap IVO + EVC; centres half the opening less
    IVO, and less EVC. What top dead centre errs by is shared by all events: it cancels in openings, overlap
    and lobe separation, and counts fully in events and centres.
    """
    _check_u(u_deg)
    if not readings_deg:
        raise InvalidInput("readings", needs="at least one event", came="none")
    after_top = {event: (value - top_deg.value) % _TURN_DEG for event, value in readings_deg.items()}
    angles = {event: _as_given(event, angle) for event, angle in after_top.items()}
    for event, angle in angles.items():
        if not -60 <= angle <= 130:
            raise InvalidInput(
                f"reading of {event}", needs=f"an angle near its place, -60 to 130 degrees {_SAID[event]}",
                came=f"{angle:.4g} degrees",
                remedy="Is the wheel turned the other way, or the piston half a turn off its top?",
            )  # fmt: skip
    # Beside its own reading, each event has what top dead centre errs by; the cam's own turn is left out.
    event_u = hypot(u_deg, top_deg.u)
    events = tuple(EventAngle(event, Measured(angle, event_u)) for event, angle in angles.items())
    pair_u = sqrt(2) * u_deg

    def both(first: ValveEvent, second: ValveEvent, more_deg: float) -> Measured | None:
        if first not in angles or second not in angles:
            return None
        return Measured(angles[first] + angles[second] + more_deg, pair_u)

    inlet = both(ValveEvent.INLET_OPENS, ValveEvent.INLET_CLOSES, _HALF_DEG)
    exhaust = both(ValveEvent.EXHAUST_OPENS, ValveEvent.EXHAUST_CLOSES, _HALF_DEG)
    centre_u = hypot(u_deg / sqrt(2), top_deg.u)
    inlet_centre = exhaust_centre = separation = None
    if inlet is not None:
        inlet_centre = Measured(inlet.value / 2 - angles[ValveEvent.INLET_OPENS], centre_u)
    if exhaust is not None:
        exhaust_centre = Measured(exhaust.value / 2 - angles[ValveEvent.EXHAUST_CLOSES], centre_u)
    if inlet_centre is not None and exhaust_centre is not None:
        # Four readings, a quarter of each: u / 2 of crank, and the mean of both centres is in degrees of cam.
        separation = Measured((inlet_centre.value + exhaust_centre.value) / 2, u_deg / 2)
    return Timing(
        top_deg,
        events,
        inlet,
        exhaust,
        both(ValveEvent.INLET_OPENS, ValveEvent.EXHAUST_CLOSES, 0.0),
        inlet_centre,
        exhaust_centre,
        separation,
    )


def valve_lift_mm(cam_lift_mm: Measured, rocker_ratio: Measured, clearance_mm: Measured) -> Measured:
    """Give the lift of a valve from that of its cam.

    Parameters
    ----------
    cam_lift_mm : Measured
        The lift of the cam [mm].
    rocker_ratio : Measured
        How much the rocker moves the valve for each millimetre of the cam [-]; 1 where there is none.
    clearance_mm : Measured
        The clearance at the valve [mm].

    Returns
    -------
    Measured
        The lift at the valve [mm].

    Raises
    ------
    InvalidInput
        The clearance takes all of the lift, or the ratio cannot be.

    Notes
    -----
    Cam lift times rocker ratio, less the clearance; what pushrods and rockers give way is left out.
    """
    if not 0.5 <= rocker_ratio.value <= 3:
        raise InvalidInput("rocker ratio", needs="0.5 to 3", came=f"{rocker_ratio.value:g}")
    lift = cam_lift_mm.value * rocker_ratio.value - clearance_mm.value
    if lift <= 0 or clearance_mm.value < 0:
        raise InvalidInput(
            "valve clearance", needs="0 or more and less than the lift", came=f"{clearance_mm.value:g} mm"
        )
    u_mm = hypot(rocker_ratio.value * cam_lift_mm.u, cam_lift_mm.value * rocker_ratio.u, clearance_mm.u)
    return Measured(lift, u_mm)


def _as_given(event: ValveEvent, after_top_deg: float) -> float:
    """Degrees before or after the dead centre of an event, from those after the top."""
    if event in (ValveEvent.INLET_OPENS, ValveEvent.EXHAUST_CLOSES):
        after = (after_top_deg + _HALF_DEG) % _TURN_DEG - _HALF_DEG
        return -after if event is ValveEvent.INLET_OPENS else after
    after_bottom = after_top_deg - _HALF_DEG
    return after_bottom if event is ValveEvent.INLET_CLOSES else -after_bottom


def _check_u(u_deg: float) -> None:
    if not 0 < u_deg < 30:
        raise InvalidInput(
            "uncertainty", needs="more than 0 and less than 30 degrees", came=f"{u_deg:g}",
            remedy="A wheel read to one degree has 0.3.",
        )  # fmt: skip
