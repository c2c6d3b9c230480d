"""The only conversions: what people write and say, to the fixed units of the core."""

from runningfit.core.units.display import both_units, format_length, format_measured
from runningfit.core.units.lengths import (
    MM_PER_INCH,
    Length,
    LengthQuestion,
    LengthUnit,
    inch_fraction,
    read_length,
    read_offset,
)
from runningfit.core.units.nominal import Neighbours, NominalLength, neighbours, nominal_length
from runningfit.core.units.quantities import (
    Force,
    ForceUnit,
    Pressure,
    PressureUnit,
    Temperature,
    TemperatureUnit,
    Torque,
    TorqueUnit,
    read_force,
    read_pressure,
    read_temperature,
    read_torque,
    torque_in,
)
from runningfit.core.units.rates import Rate, read_rate
from runningfit.core.units.said_lengths import SaidLength, SentencePart, sentence
from runningfit.core.units.spoken import in_figures, plain_signs

__all__ = [
    "MM_PER_INCH",
    "Force",
    "ForceUnit",
    "Length",
    "LengthQuestion",
    "LengthUnit",
    "Neighbours",
    "NominalLength",
    "Pressure",
    "PressureUnit",
    "Rate",
    "SaidLength",
    "SentencePart",
    "Temperature",
    "TemperatureUnit",
    "Torque",
    "TorqueUnit",
    "both_units",
    "format_length",
    "format_measured",
    "in_figures",
    "inch_fraction",
    "neighbours",
    "nominal_length",
    "plain_signs",
    "read_force",
    "read_length",
    "read_offset",
    "read_pressure",
    "read_rate",
    "read_temperature",
    "read_torque",
    "sentence",
    "torque_in",
]
