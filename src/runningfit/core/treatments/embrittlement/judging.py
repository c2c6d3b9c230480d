"""Whether a chain of cleaning and coating can make a piece crack later, and what is to be done about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from runningfit.core.treatments.embrittlement.baking import Bake, strictest_bake
from runningfit.core.treatments.embrittlement.case import Case, Risk
from runningfit.core.treatments.embrittlement.implied import ImpliedHardness
from runningfit.core.treatments.embrittlement.process import ProcessStep
from runningfit.core.treatments.embrittlement.rules import StandardSays, said_by_standards
from runningfit.core.treatments.embrittlement.saying import (
    ALTERNATIVES,
    cautions_of,
    instructions_of,
    reasons_of,
)
from runningfit.core.verdicts import Verdict


@dataclass(frozen=True, slots=True)
class EmbrittlementJudgement:
    """What hydrogen can do to a piece in a chain of steps.

    Parameters
    ----------
    risk : Risk
        Below the threshold, bake, or avoid.
    bake : Bake or None
        The bake, where that is what is asked.
    by_standard : tuple of StandardSays
        Every standard that covers the chain, edition by edition.
    instructions : tuple of str
        What the plater must be told, in the order of the work.
    alternatives : tuple of str
        What can be done instead.
    verdict : Verdict
        The same as a verdict, with its reasons and cautions.
    """

    risk: Risk
    bake: Bake | None
    by_standard: tuple[StandardSays, ...]
    instructions: tuple[str, ...]
    alternatives: tuple[str, ...]
    verdict: Verdict


def judge_embrittlement(
    implied: ImpliedHardness,
    steps: Sequence[ProcessStep],
    *,
    case_hardened: bool = False,
    safety_critical: bool = False,
    process_verified: bool = False,
) -> EmbrittlementJudgement:
    """Judge what hydrogen can do to a piece in a whole chain of steps, by every standard that covers it.

    Parameters
    ----------
    implied : ImpliedHardness
        How hard it is: measured, or implied by grade or kind. Its hard end counts.
    steps : sequence of ProcessStep
        The whole chain in its order, what the shop itself does included.
    case_hardened : bool
        Whether the surface is hardened.
    safety_critical : bool
        Whether it holds a rod, a main cap, a flywheel, steering or a brake; then advice binds as a demand.
    process_verified : bool
        Whether the plater proves its process by test, as ISO 4042:2018 wants where it does not bake.

    Returns
    -------
    EmbrittlementJudgement
        Below the threshold, bake or avoid. Where standards differ the strictest demand is instructed. Springs
        are to be avoided whatever their hardness; a hardness from memory alone is never below the threshold.
    """
    return _judged(implied, tuple(steps), case_hardened, safety_critical, process_verified)


# A job has few sorts of steel and of chains, and many joints of each.
@lru_cache(maxsize=4096)
def _judged(
    implied: ImpliedHardness,
    chain: tuple[ProcessStep, ...],
    case_hardened: bool,
    safety_critical: bool,
    process_verified: bool,
) -> EmbrittlementJudgement:
    standards = said_by_standards(implied, chain, case_hardened=case_hardened)
    case = Case(implied, chain, standards, case_hardened, safety_critical, process_verified)
    risk = case.risk
    bake = strictest_bake(implied, standards, phosphated=case.phosphated) if risk is Risk.BAKE else None
    return EmbrittlementJudgement(
        risk=risk,
        bake=bake,
        by_standard=standards,
        instructions=instructions_of(case, bake),
        alternatives=() if risk is Risk.BELOW_THRESHOLD else ALTERNATIVES,
        verdict=Verdict(
            case.outcome,
            value=implied.readings[0].high,
            unit=str(implied.readings[0].scale),
            reasons=reasons_of(case, bake),
            cautions=cautions_of(case, bake),
        ),
    )
