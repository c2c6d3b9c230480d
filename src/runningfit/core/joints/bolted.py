"""The verdict on a tightened bolt: how it clamps, how near it comes to yielding, how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.joints.grades import Strength
from runningfit.core.joints.preload import (
    UNKNOWN_TOOL,
    Prevailing,
    Tightening,
    preload_spread,
    stress_spread,
)
from runningfit.core.joints.published_scatter import TORQUE_WRENCH, published_scatter
from runningfit.core.joints.spread import HIGH, LOW, Spread
from runningfit.core.joints.stress_area import tensile_area_mm2
from runningfit.core.standards.strength_figures import stress_area
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

# Shigley, 9th edition, p. 442, equations 8-31 and 8-32: of the proof load, for bolts that come off again.
_USUAL_SHARE_OF_PROOF = 0.75
_WORTH_NAMING = 0.05
# The careful end of what joints lose by settling (common practice, no source).
_SETTLES = 0.10

NOT_AGAIN = Caution(
    "The figures are for one tightening of clean, sound threads: friction rises or falls when a bolt is used "
    "again, and a coat wears off."
)
SETTLING = Caution(
    "What the joint loses by settling is not counted: 5 to 10 % is usual, more with gaskets and paint "
    "(common "
    "practice, no source). Tell the clamped length, or tighten again after the first run."
)
SETTLING_TAKEN = Caution(
    "What the joint loses by settling is not known: a tenth of the clamp was taken off, more with gaskets "
    "and paint (common practice, no source). Tell the clamped length, or tighten again after the first run."
)
SETTLING_FROM_MEMORY = Caution(
    "What the joint loses by settling is reckoned by figures from memory (VDI 2230), and not less than a "
    "tenth of the clamp was taken off."
)
PAST_YIELD = Caution(
    "Past its yield a bolt stretches, and the clamp no longer follows the torque: preloads above that are "
    "not "
    "reached, and the bolt may break."
)
MANUAL_FIRST = Caution("The maker's manual comes first: this computation knows neither load nor gasket.")
CRITICAL = Caution(
    "Con-rod, main-cap, flywheel, steering and brake bolts are tightened by the maker's figure and method "
    "only, and never passed on a computation."
)


@dataclass(frozen=True, slots=True)
class Percentiles:
    """A scattered value: its 5th percentile, mean and 95th percentile.

    Parameters
    ----------
    low, mean, high : float
        In the unit of the value.
    """

    low: float
    mean: float
    high: float


def percentiles(spread: Spread) -> Percentiles:
    """Give the three figures of a spread.

    Parameters
    ----------
    spread : Spread
        The distribution.

    Returns
    -------
    Percentiles
        In its unit.
    """
    return Percentiles(spread.percentile(LOW), spread.mean, spread.percentile(HIGH))


@dataclass(frozen=True, slots=True)
class BoltedJoint:
    """A bolt tightened by torque.

    Parameters
    ----------
    tightening : Tightening
        Thread, friction and tool.
    torque_nm : float
        The torque set [N m].
    strength : Strength
        Of the bolt.
    grade_known : bool
        Whether anybody knows its grade.
    wanted_clamp_n : float or None
        The clamp that the joint needs at the least, after settling [N].
    settling_loss_n : float or None
        What settling takes [N]; none where it is not known, and a tenth of the clamp is then taken off.
    prevailing : Prevailing or None
        Torque lost in a self-locking nut.
    scatter_known : bool
        Whether the tool's scatter was given.
    settling_from_memory : bool
        Whether that loss was reckoned by figures from memory; a pass then needs a tenth of the clamp to
        spare all the same.
    """

    tightening: Tightening
    torque_nm: float
    strength: Strength
    grade_known: bool = True
    wanted_clamp_n: float | None = None
    settling_loss_n: float | None = None
    prevailing: Prevailing | None = None
    scatter_known: bool = True
    settling_from_memory: bool = False


@dataclass(frozen=True, slots=True)
class BoltedAnswer:
    """The answer about a tightened bolt.

    Parameters
    ----------
    preload_n : Percentiles
        Preload [N], before settling.
    nut_factor : float
        K at the middle of the friction [-].
    proof_load_n : float
        Proof stress times stress area [N].
    yield_utilisation : Percentiles
        Comparative stress while tightening over yield strength [-].
    probability_yield : float
        That it begins to yield while it is tightened.
    probability_too_little_clamp : float or None
        That less than the wanted clamp is left; none where none was wanted.
    verdict : Verdict
        Sound where both probabilities are at most 0.05, every figure behind it is sourced, and grade, finish
        and lubricant are known.
    """

    preload_n: Percentiles
    nut_factor: float
    proof_load_n: float
    yield_utilisation: Percentiles
    probability_yield: float
    probability_too_little_clamp: float | None
    verdict: Verdict


def _matters_most(joint: BoltedJoint) -> Reason | None:
    """Name the missing fact that would narrow the answer most."""
    band = joint.tightening.friction.band
    middle = band.thread_at(0.5) + band.bearing_at(0.5)
    width = (band.thread_high + band.bearing_high - band.thread_low - band.bearing_low) / 2 / middle
    missing = []
    if width > _WORTH_NAMING:
        missing.append(
            (width, f"the friction ({joint.tightening.friction.said}) moves the preload by ±{width:.0%}")
        )
    if not joint.scatter_known:
        missing.append((UNKNOWN_TOOL, f"the wrench, not tested, moves it by ±{UNKNOWN_TOOL:.0%}"))
    if not joint.grade_known:
        missing.append((1.0, "the grade of the bolt is not known, so it is taken as the weakest"))
    if not missing:
        return None
    return Reason(f"What would help most to know: {max(missing)[1]}.")


def _outcome(joint: BoltedJoint, p_yield: float, p_clamp: float | None) -> Outcome:
    worst = max(p_yield, p_clamp or 0.0)
    if p_yield > 0.5 and not joint.grade_known:
        # The weakest bolt would yield; whether this one is so weak nobody knows.
        return Outcome.NOT_PROVEN
    if worst > 0.5:
        return Outcome.NOT_SOUND
    friction = joint.tightening.friction
    is_known = joint.grade_known and not friction.is_open and not friction.stands_in
    trusted = joint.strength.trusted and friction.trusted
    return Outcome.SOUND if worst <= LOW and trusted and is_known else Outcome.NOT_PROVEN


def _area_reason(joint: BoltedJoint, proof_load_n: float) -> Reason:
    figure = stress_area(joint.tightening.thread)
    source = "" if figure is None else figure.source
    area = tensile_area_mm2(joint.tightening.thread)
    return Reason(f"Stress area {area:.2f} mm²; proof load {proof_load_n / 1000:.1f} kN.", source)


def _sentences(joint: BoltedJoint, answer: BoltedAnswer) -> list[Reason]:
    force, use = answer.preload_n, answer.yield_utilisation
    reasons = [
        Reason(
            f"{joint.torque_nm:.1f} N m clamps with {force.mean / 1000:.1f} kN on average, 9 times in 10 "
            "with "
            f"{force.low / 1000:.1f} to {force.high / 1000:.1f} kN (nut factor {answer.nut_factor:.3f}).",
            "long form of the torque equation, Shigley, 9th edition, p. 438",
        ),
        Reason(
            f"While it is tightened the bolt is stressed to {use.mean:.0%} of its yield on average, to "
            f"{use.high:.0%} 1 time in 20, torsion counted; it yields with probability "
            f"{answer.probability_yield:.3f}.",
            "VDI 2230 part 1 for the torsion (from memory; its printed table is reproduced)",
        ),
    ]
    share = force.mean / answer.proof_load_n
    reasons.append(
        Reason(
            f"That is {share:.0%} of the proof load; {_USUAL_SHARE_OF_PROOF:.0%} is usual for bolts that "
            "come "
            "off again.",
            "Shigley, 9th edition, p. 442, equation 8-31",
        )
    )
    if joint.wanted_clamp_n is not None:
        loss = joint.settling_loss_n or 0.0
        counted = f", {loss / 1000:.1f} kN of settling counted" if loss else ""
        if joint.settling_loss_n is None:
            counted = f", {_SETTLES:.0%} of settling counted"
        reasons.append(
            Reason(
                f"Less than the wanted clamp of {joint.wanted_clamp_n / 1000:.1f} kN is left with "
                "probability "
                f"{answer.probability_too_little_clamp:.3f}{counted}."
            )
        )
    return reasons


def _cautions(joint: BoltedJoint, p_yield: float, p_clamp: float | None) -> tuple[Caution, ...]:
    cautions = []
    if p_yield > LOW:
        cautions.append(Caution("The bolt may yield: do not tighten to this torque as it is."))
        cautions.append(PAST_YIELD)
    if p_clamp is not None and p_clamp > LOW:
        cautions.append(Caution("The joint may be clamped too little: it can work loose or leak."))
    if not joint.strength.trusted:
        cautions.append(
            Caution(
                f"The strength of {joint.strength.said} rests on memory or on sources that contradict "
                "each other: "
                "no pass rests on it. Have one tested, or replace it by a bolt of a known grade."
            )
        )
    if not joint.grade_known:
        cautions.append(Caution("The grade is not known: read the head, or replace the bolt by a known one."))
    if not joint.tightening.friction.trusted:
        cautions.append(
            Caution("The friction of this condition has no source: try the torque on a test bolt.")
        )
    elif joint.tightening.friction.is_open:
        cautions.append(
            Caution(
                f"Not all is known that friction hangs on ({joint.tightening.friction.said}): say finish and "
                "lubricant."
            )
        )
    if joint.wanted_clamp_n is None:
        cautions.append(Caution("No wanted clamp was told: the verdict speaks of yielding only."))
    if joint.settling_loss_n is None:
        cautions.append(SETTLING if joint.wanted_clamp_n is None else SETTLING_TAKEN)
    elif joint.settling_from_memory and joint.wanted_clamp_n is not None:
        cautions.append(SETTLING_FROM_MEMORY)
    return (*cautions, MANUAL_FIRST, CRITICAL, NOT_AGAIN)


def _too_little_clamp(joint: BoltedJoint, forces: Spread) -> float | None:
    """The probability that less than the wanted clamp is left once the joint has settled."""
    if joint.wanted_clamp_n is None:
        return None
    told = forces.below(joint.wanted_clamp_n + (joint.settling_loss_n or 0.0))
    if joint.settling_loss_n is not None and not joint.settling_from_memory:
        return told
    return max(told, forces.below(joint.wanted_clamp_n / (1 - _SETTLES)))


def judge_bolted(joint: BoltedJoint) -> BoltedAnswer:
    """Judge a bolt that is tightened to a torque.

    Parameters
    ----------
    joint : BoltedJoint
        The joint.

    Returns
    -------
    BoltedAnswer
        Preload, utilisation and verdict. The value of the verdict is the high utilisation [-], its
        probability
        that of neither yielding nor clamping too little.

    Raises
    ------
    InvalidInput
        A torque that is nothing or may be lost in the prevailing one, or a pipe thread.
    """
    tightening, strength = joint.tightening, joint.strength
    forces = preload_spread(tightening, joint.torque_nm, joint.prevailing)
    stresses = stress_spread(tightening, joint.torque_nm, joint.prevailing)
    proof_load_n = strength.proof_mpa * tensile_area_mm2(tightening.thread)
    stress = percentiles(stresses)
    use = Percentiles(*(part / strength.yield_mpa for part in (stress.low, stress.mean, stress.high)))
    p_yield = 1 - stresses.below(strength.yield_mpa)
    p_clamp = _too_little_clamp(joint, forces)
    answer = BoltedAnswer(
        percentiles(forces),
        tightening.nut_factor,
        proof_load_n,
        use,
        p_yield,
        p_clamp,
        Verdict(Outcome.NOT_PROVEN),
    )
    missing = _matters_most(joint)
    verdict = Verdict(
        outcome=_outcome(joint, p_yield, p_clamp),
        value=use.high,
        unit="",
        probability=max(0.0, 1 - p_yield - (p_clamp or 0.0)),
        reasons=(
            *_sentences(joint, answer),
            *([missing] if missing else []),
            published_scatter(TORQUE_WRENCH),
            _area_reason(joint, proof_load_n),
            *strength.reasons,
            *tightening.friction.reasons,
        ),
        cautions=_cautions(joint, p_yield, p_clamp),
    )
    return BoltedAnswer(answer.preload_n, answer.nut_factor, proof_load_n, use, p_yield, p_clamp, verdict)
