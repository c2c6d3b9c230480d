"""Hydrogen embrittlement: which hardened pieces a chain of cleaning and plating can make crack later."""

from runningfit.core.treatments.embrittlement.baking import Bake
from runningfit.core.treatments.embrittlement.case import Risk
from runningfit.core.treatments.embrittlement.hardness import Hardness, HardnessScale, read_hardness
from runningfit.core.treatments.embrittlement.implied import (
    ImpliedHardness,
    of_grade,
    of_kind,
    of_measurement,
)
from runningfit.core.treatments.embrittlement.judging import EmbrittlementJudgement, judge_embrittlement
from runningfit.core.treatments.embrittlement.process import ProcessStep, read_process
from runningfit.core.treatments.embrittlement.rules import Force, Saying, StandardSays

__all__ = [
    "Bake",
    "EmbrittlementJudgement",
    "Force",
    "Hardness",
    "HardnessScale",
    "ImpliedHardness",
    "ProcessStep",
    "Risk",
    "Saying",
    "StandardSays",
    "judge_embrittlement",
    "of_grade",
    "of_kind",
    "of_measurement",
    "read_hardness",
    "read_process",
]
