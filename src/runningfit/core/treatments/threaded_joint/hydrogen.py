"""The question of hydrogen: whether what is done to a piece can make it crack later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from runningfit.core.treatments.embrittlement import (
    EmbrittlementJudgement,
    ImpliedHardness,
    ProcessStep,
    Risk,
    judge_embrittlement,
    read_process,
)
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.treatments.threaded_joint.clamping import delivered_another
from runningfit.core.treatments.threaded_joint.facts import JointFacts, PieceFacts
from runningfit.core.treatments.threaded_joint.reading import NOT_STEEL, hardness_said, material_of
from runningfit.core.treatments.threaded_joint.work import chain_of, is_bake_ordered, may_be_plated
from runningfit.core.verdicts import Outcome, Reason

WHAT_IS_ON_IT = "what finish is on it now"
WHETHER_BAKED = "whether it was baked"


@dataclass(frozen=True, slots=True)
class HydrogenAnswer:
    """The answer about hydrogen.

    Parameters
    ----------
    check : Check
        For the page.
    implied : ImpliedHardness
        How hard the piece is or may be.
    judgement : EmbrittlementJudgement
        All of it.
    """

    check: Check
    implied: ImpliedHardness
    judgement: EmbrittlementJudgement


def _up_to(implied: ImpliedHardness) -> str:
    reading = implied.readings[0]
    return f"At {implied.said}" if implied.measured else f"Up to {reading.high:g} {reading.scale}"


def _by_stripping(stripped: EmbrittlementJudgement) -> Check:
    """A coat without hydrogen on a piece that may have to be stripped in acid first."""
    says = "The coat brings no hydrogen; stripping an old plating in acid before it would."
    outcome = Outcome.NOT_PROVEN
    if stripped.bake is not None:
        says = (
            f"The coat brings no hydrogen; if an old plating is stripped in acid, bake {stripped.bake.said}."
        )
        outcome = Outcome.SOUND_AFTER_TREATMENT
    verdict = replace(stripped.verdict, outcome=outcome, reasons=(Reason(says), *stripped.verdict.reasons))
    return Check(Question.HYDROGEN, says, verdict, WHAT_IS_ON_IT)


def _behind(
    piece: PieceFacts,
    implied: ImpliedHardness,
    judged: EmbrittlementJudgement,
    chain: Sequence[ProcessStep],
) -> Check | None:
    """What is left to say where every bath is behind the piece: whether it was baked; else nothing."""
    done = read_process(piece.done_steps) if piece.done_steps.strip() else ()
    to_come = () if piece.is_treated else chain[len(done) :]
    if judged.bake is None or any(step.brings_hydrogen for step in to_come):
        return None
    baked, hard = piece.baked, _up_to(implied)
    if not piece.is_treated:
        last = max((at for at, step in enumerate(done) if step.brings_hydrogen), default=-1)
        baked = "yes" if any(step.does == "bake" for step in done[last:]) else ""
    if baked in {"yes", "certificate"}:
        known = "by its certificate" if baked == "certificate" else "as the shop says"
        return Check(Question.HYDROGEN, f"{hard}: baked, {known}.", judged.verdict)
    says = f"{hard}: it needed a bake, and nobody said whether it had it. Ask the shop that did it."
    outcome, missing = Outcome.NOT_PROVEN, WHETHER_BAKED
    if baked == "no":
        says = (
            f"{hard}: it was not baked, and the hours in which a bake helps are past. "
            "It can crack under load, days later: do not use it."
        )
        outcome, missing = Outcome.NOT_SOUND, ""
    verdict = replace(judged.verdict, outcome=outcome, reasons=(Reason(says), *judged.verdict.reasons))
    return Check(Question.HYDROGEN, says, verdict, missing)


def ask_hydrogen(piece: PieceFacts) -> HydrogenAnswer | None:
    """Ask what hydrogen can do to a piece in all that is done to it.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    HydrogenAnswer or None
        None where it is of no steel, or nothing is done to it.

    Raises
    ------
    InvalidInput
        A fact that cannot be read.
    """
    if material_of(piece) in NOT_STEEL:
        return None
    chain = chain_of(piece)
    if not chain:
        return None
    implied = hardness_said(piece)
    is_critical = piece.role is Role.SAFETY_CRITICAL
    judged = judge_embrittlement(implied, chain, safety_critical=is_critical)
    if judged.verdict.outcome is Outcome.SOUND and may_be_plated(piece):
        stripped = judge_embrittlement(
            implied, (*read_process("strip plating"), *chain), safety_critical=is_critical
        )
        if stripped.risk is not Risk.BELOW_THRESHOLD:
            return HydrogenAnswer(_by_stripping(stripped), implied, judged)
    # An unmarked bolt that might be hard is baked by the note; what is known to be hard somebody must see to.
    is_known_hard = implied.measured or not implied.missing or is_critical
    # What came in place of what was asked for went through no note that could have ordered its bake.
    another = delivered_another(JointFacts(piece))
    unbaked = judged.risk is Risk.BAKE and (is_known_hard or bool(another)) and not is_bake_ordered(piece)
    behind = _behind(piece, implied, judged, chain)
    if behind is not None and judged.risk is Risk.BAKE:
        asked = is_known_hard or bool(another) or bool(piece.ordered_steps.strip())
        check = replace(
            behind,
            says=f"{another}{behind.says}",
            needs_a_person=asked and behind.verdict.outcome is not judged.verdict.outcome,
        )
        return HydrogenAnswer(check, implied, judged)
    if judged.risk is Risk.AVOID:
        says = f"Do not acid-dip or electroplate. {_up_to(implied)} it can crack under load."
        if implied.spring:
            says = f"Never acid-dip or electroplate a spring. {_up_to(implied)} it can crack under load."
    elif judged.bake is not None:
        told = "bake" if unbaked or not is_bake_ordered(piece) else "baked as ordered:"
        says = f"{_up_to(implied)}: {told} {judged.bake.said}."
    elif any(step.brings_hydrogen for step in chain):
        says = f"{_up_to(implied)}: below every threshold that binds."
    else:
        says = "No step brings hydrogen into it."
    if judged.risk is not Risk.BELOW_THRESHOLD:
        says = f"{another}{says}"
    check = Check(
        Question.HYDROGEN,
        says,
        judged.verdict,
        missing="" if judged.risk is Risk.BELOW_THRESHOLD else implied.missing,
        needs_a_person=judged.risk is Risk.AVOID or unbaked,
    )
    return HydrogenAnswer(check, implied, judged)
