"""Which standard thread was measured, how sure that is, and what to measure next."""

from runningfit.core.pieces.identification.many import IdentifiedMany, identify_many
from runningfit.core.pieces.identification.naming import Candidate, Identification, identify
from runningfit.core.pieces.identification.next_measurement import Means, NextMeasurement
from runningfit.core.pieces.identification.prior import Country, TappedMaterial, ThreadPrior
from runningfit.core.pieces.identification.readings import AngleGauge, ThreadReadings
from runningfit.core.pieces.identification.wrong_unit import WrongUnit, wrong_units

__all__ = [
    "AngleGauge",
    "Candidate",
    "Country",
    "Identification",
    "IdentifiedMany",
    "Means",
    "NextMeasurement",
    "TappedMaterial",
    "ThreadPrior",
    "ThreadReadings",
    "WrongUnit",
    "identify",
    "identify_many",
    "wrong_units",
]
