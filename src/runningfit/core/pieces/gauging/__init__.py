"""A measured or gauged bolt or hole held against the limits of its class."""

from runningfit.core.pieces.gauging.check import ThreadCheck, check_thread
from runningfit.core.pieces.gauging.measured import DiameterCheck, Measured, ThreadMeasurement
from runningfit.core.pieces.gauging.plating import (
    grown_mm,
    growth_of_pitch_diameter,
    limits_after_plating,
    room_for_plating_mm,
)
from runningfit.core.pieces.gauging.three_wires import best_wire_mm, pitch_diameter_over_wires

__all__ = [
    "DiameterCheck",
    "Measured",
    "ThreadCheck",
    "ThreadMeasurement",
    "best_wire_mm",
    "check_thread",
    "grown_mm",
    "growth_of_pitch_diameter",
    "limits_after_plating",
    "pitch_diameter_over_wires",
    "room_for_plating_mm",
]
