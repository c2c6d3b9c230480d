"""Pitch diameter from a micrometer over three wires."""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, isfinite, radians, sin, tan

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread, ThreadForm

HALF_ANGLES_DEG: Mapping[ThreadForm, float] = {
    ThreadForm.UNIFIED60: 30.0,
    ThreadForm.WHITWORTH55: 27.5,
    ThreadForm.BA47_5: 23.75,
    ThreadForm.CEI60: 30.0,
    ThreadForm.METRIC60: 30.0,
    ThreadForm.NPT60: 30.0,
}
# Wires thinner or thicker than this part of the best wire touch crest or root (common practice, no source).
_THINNEST, _THICKEST = 0.95, 1.55


def best_wire_mm(thread: Thread) -> float:
    """The wire that touches the flanks at the pitch diameter, where an error of the angle matters least.

    Parameters
    ----------
    thread : Thread
        Any standard thread.

    Returns
    -------
    float
        Its diameter [mm].

    Notes
    -----
    P / (2 cos(a/2)) with a the included angle.
    """
    return thread.pitch_mm / 2 / cos(radians(HALF_ANGLES_DEG[thread.form]))


def pitch_diameter_over_wires(thread: Thread, over_wires_mm: float, wire_mm: float) -> float:
    """Pitch diameter of a bolt from what a micrometer reads over three wires.

    Parameters
    ----------
    thread : Thread
        A parallel thread, for its pitch and angle.
    over_wires_mm : float
        What the micrometer read over the wires [mm].
    wire_mm : float
        Diameter of the wires [mm].

    Returns
    -------
    float
        The pitch diameter [mm], without the small corrections for helix angle and measuring force.

    Raises
    ------
    InvalidInput
        The thread tapers, a value is no length, or such wires do not lie on the flanks.

    Notes
    -----
    d2 = M - w (1 + 1 / sin(a/2)) + P / (2 tan(a/2)): M - 3 w + 0.866 P at 60°, M - 3.166 w + 0.9605 P at 55°.
    """
    if thread.taper:
        raise InvalidInput(
            "thread",
            needs="a parallel one for wires",
            came=thread.designation,
            remedy="Use a taper ring gauge.",
        )
    if not (isfinite(over_wires_mm) and over_wires_mm > 0):
        raise InvalidInput(
            "over wires", needs="a length more than nothing [mm]", came=over_wires_mm, remedy="Measure again."
        )
    best = best_wire_mm(thread)
    if not (isfinite(wire_mm) and _THINNEST * best <= wire_mm <= _THICKEST * best):
        raise InvalidInput(
            "wire",
            needs=f"wires of {_THINNEST * best:.3f} to {_THICKEST * best:.3f} mm on {thread.designation}",
            came=wire_mm,
            remedy=f"The best wire has {best:.3f} mm.",
        )
    half = radians(HALF_ANGLES_DEG[thread.form])
    return over_wires_mm - wire_mm * (1 + 1 / sin(half)) + thread.pitch_mm / 2 / tan(half)
