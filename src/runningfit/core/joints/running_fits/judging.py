"""The verdict on a running clearance: within its limits at 20 °C, and still one when everything is hot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from runningfit.core.joints.running_fits.clearance import ClearanceAt, Clearances, RunningFit, clearances
from runningfit.core.joints.running_fits.fit_limits import FitLimits, LimitsFor
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.conformity.chances import Chances, chances, check_wanted_share
from runningfit.core.measurements.conformity.decision import USUAL_WANTED, Decision, percent
from runningfit.core.measurements.conformity.next_readings import to_prove
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.units import SaidLength, SentencePart
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

_OUTCOMES = {
    Decision.INSIDE: Outcome.SOUND,
    Decision.OUTSIDE: Outcome.NOT_SOUND,
    Decision.NOT_PROVEN: Outcome.NOT_PROVEN,
}
_CONFORMITY = "JCGM 106:2012, clauses 7 and 8"


@dataclass(frozen=True, slots=True)
class HeldAgainst:
    """A clearance held against one set of limits.

    Parameters
    ----------
    limits : FitLimits
        The limits.
    decision : Decision
        What is shown.
    inside : float or None
        The probability that it lies within, at the worse end of what metals may do [-]; none where the
        uncertainty of a reading was not told.
    outside : float or None
        The probability that it lies beyond one of them, at the better end [-].
    """

    limits: FitLimits
    decision: Decision
    inside: float | None
    outside: float | None


@dataclass(frozen=True, slots=True)
class ClearanceAnswer:
    """A running clearance, worked out and judged.

    Parameters
    ----------
    clearances : Clearances
        As measured, at 20 °C and hot.
    held : tuple of HeldAgainst
        Against each set of limits, the one that decides first.
    free_when_hot : float or None
        The probability that clearance is left when hot, at the careful end [-]; none where no temperatures or
        no uncertainty was told.
    verdict : Verdict
        What it comes to; its value is the clearance at 20 °C [mm].
    """

    clearances: Clearances
    held: tuple[HeldAgainst, ...]
    free_when_hot: float | None
    verdict: Verdict


def judge_running_fit(
    fit: RunningFit,
    fit_limits: Sequence[FitLimits] = (),
    *,
    renewed: bool = True,
    wanted: float = USUAL_WANTED,
) -> ClearanceAnswer:
    """Judge a running clearance.

    Parameters
    ----------
    fit : RunningFit
        The sizes.
    fit_limits : sequence of FitLimits
        The limits at 20 °C: those for new parts, those of wear, or a sanity band; none is no judgement.
    renewed : bool
        Whether the parts are new or machined, so that the limits for new parts decide; else those of wear.
    wanted : float
        How probable an answer must be to count as shown [-].

    Returns
    -------
    ClearanceAnswer
        Sound only where the maker's limits are kept and, if it was asked, clearance is left when hot; a
        sanity band alone never makes it sound.

    Raises
    ------
    InvalidInput
        Sizes that cannot run in each other, temperatures for some of the parts only, or an uncertainty of
        nothing.

    Notes
    -----
    Probabilities are those of JCGM 106:2012 with a flat prior, taken at the worse end of what unknown metals
    and temperatures may do.
    """
    check_wanted_share(wanted)
    found = clearances(fit)
    kind = LimitsFor.NEW if renewed else LimitsFor.WEAR
    ordered = sorted(fit_limits, key=lambda one: one.used_for is not kind)
    held = tuple(hold_against(found.at_20_c, one, wanted=wanted) for one in ordered)
    reasons, cautions = _said_cold(fit, found), []
    outcome, probability = Outcome.NOT_PROVEN, None
    if held:
        first = held[0]
        outcome = _OUTCOMES[first.decision]
        probability = first.outside if first.decision is Decision.OUTSIDE else first.inside
        reasons += [_reason_of(one, kind) for one in held]
        if outcome is Outcome.SOUND and (first.limits.is_sanity_band or not first.limits.trusted):
            outcome = Outcome.NOT_PROVEN
        if first.limits.used_for is not kind:
            cautions.append(_other_limits(kind))
            # Wear limits prove nothing for new parts, and limits for new parts nothing against used ones.
            if outcome is (Outcome.SOUND if kind is LimitsFor.NEW else Outcome.NOT_SOUND):
                outcome = Outcome.NOT_PROVEN
        if any(one.limits.is_sanity_band for one in held):
            cautions.append(_SANITY)
        cautions += _what_would_prove(fit, found.at_20_c, first, wanted)
    else:
        reasons.append(Reason("No limits were told, so nothing is judged but whether it runs freely."))
    stays = _stays_free(fit, found, held)
    reasons += stays.reasons
    cautions += stays.cautions
    if stays.tight is not None and stays.tight >= wanted:
        outcome, probability = Outcome.NOT_SOUND, stays.tight
    elif found.hot is not None and outcome is Outcome.SOUND:
        if stays.free is None or stays.free < wanted or not stays.trusted:
            outcome = Outcome.NOT_PROVEN
        if stays.free is not None and probability is not None:
            # Within its limits and free when hot: at least this, however both hang together.
            probability = max(0.0, probability + stays.free - 1)
    if found.at_20_c.u_mm is None:
        cautions.append(
            Caution(
                "The uncertainty of a reading was not told, so nothing is proven: tell what the gauge does."
            )
        )
    cautions += [Caution(text) for text in fit.assumptions]
    verdict = Verdict(
        outcome,
        found.at_20_c.middle_mm,
        "mm",
        found.at_20_c.u_mm,
        probability,
        tuple(reasons),
        tuple(cautions),
    )
    return ClearanceAnswer(found, held, stays.free, verdict)


_SANITY = Caution(
    "The limits are another maker's or common practice, not this engine's: keeping them is no pass. Look for "
    "the page of its own manual."
)


def _other_limits(kind: LimitsFor) -> Caution:
    if kind is LimitsFor.NEW:
        return Caution(
            "Only wear limits were told; new or machined parts must keep the limits for new parts."
        )
    return Caution("No wear limit was told, so the limits for new parts were taken, which are stricter.")


def hold_against(
    clearance: ClearanceAt, fit_limits: FitLimits, *, wanted: float = USUAL_WANTED
) -> HeldAgainst:
    """Hold a clearance against limits, at the worse end of what metals and temperatures may do.

    Parameters
    ----------
    clearance : ClearanceAt
        The clearance in one state.
    fit_limits : FitLimits
        The limits.
    wanted : float
        How probable an answer must be to count as shown [-].

    Returns
    -------
    HeldAgainst
        What is shown, and with which probability.

    Raises
    ------
    InvalidInput
        An uncertainty of nothing.

    Notes
    -----
    JCGM 106:2012, clauses 7 and 8, with a flat prior; outside means beyond one of the limits.
    """
    if clearance.u_mm is None:
        return HeldAgainst(fit_limits, Decision.NOT_PROVEN, None, None)
    inside = min(_chance(clearance, end, fit_limits.bounds) for end in (clearance.low_mm, clearance.high_mm))
    # To one side for certain, whatever metals do: too small at the largest, or too large at the smallest.
    below = _chances(clearance, clearance.high_mm, fit_limits.bounds).below
    outside = max(below, _chances(clearance, clearance.low_mm, fit_limits.bounds).above)
    decision = Decision.NOT_PROVEN
    if inside >= wanted:
        decision = Decision.INSIDE
    elif outside >= wanted:
        decision = Decision.OUTSIDE
    return HeldAgainst(fit_limits, decision, inside, outside)


def _chances(clearance: ClearanceAt, value_mm: float, bounds: Bounds) -> Chances:
    return chances(Measured(value_mm, clearance.u_mm or 0.0, clearance.dof), bounds)


def _chance(clearance: ClearanceAt, value_mm: float, bounds: Bounds) -> float:
    return _chances(clearance, value_mm, bounds).inside


def chance_of_room(clearance: ClearanceAt, value_mm: float) -> float:
    """Give the probability that some clearance is left.

    Parameters
    ----------
    clearance : ClearanceAt
        The clearance in one state, with the uncertainty of its readings.
    value_mm : float
        Its estimate, at whichever end is asked about [mm].

    Returns
    -------
    float
        The probability [-].

    Raises
    ------
    InvalidInput
        No uncertainty, or one of nothing.
    """
    return _chance(clearance, value_mm, Bounds(lower=0.0))


def _span(clearance: ClearanceAt) -> tuple[SentencePart, ...]:
    if clearance.high_mm - clearance.low_mm < 5e-5:
        return (SaidLength(clearance.middle_mm, 4),)
    low, high = SaidLength(clearance.low_mm, 4, bare=True), SaidLength(clearance.high_mm, 4)
    return (low, " to ", high, " by metals and temperatures")


def _said_cold(fit: RunningFit, found: Clearances) -> list[Reason]:
    sizes: list[SentencePart] = []
    for place, (factor, one) in enumerate(fit.members):
        counted = f" (counted {-factor:g} times)" if factor < -1 else ""
        sizes += [", " if place else "", f"{one.said} ", SaidLength(one.reading.mm, 4), counted]
    at_20_c = found.at_20_c
    doubt: tuple[SentencePart, ...] = ()
    if at_20_c.u_mm is not None:
        doubt = (", standard uncertainty ", SaidLength(at_20_c.u_mm, 4))
    reasons = [Reason.of(*sizes, ": clearance at 20 °C ", *_span(at_20_c), *doubt, ".", source="as measured")]
    moved: dict[str, list[float]] = {}
    for factor, one in fit.members:
        for part in one.reading.shared:
            moved.setdefault(part.key, []).append(factor * part.u)
    for key, moves in moved.items():
        left_mm, apart_mm = abs(sum(moves)), hypot(*moves)
        if f"{left_mm:.4f}" != f"{apart_mm:.4f}":
            how: tuple[SentencePart, ...] = ("cancels",)
            if left_mm >= 1e-9:
                left, apart = SaidLength(left_mm, 4), SaidLength(apart_mm, 4)
                how = ("counts ", left, ", and not ", apart, ",")
            reasons.append(
                Reason.of(
                    f"What the {key} errs by is in several sizes and ", *how, " in the clearance.",
                    source="JCGM 100:2008, F.1.2.3, from memory",
                )
            )  # fmt: skip
    return reasons


def _reason_of(held: HeldAgainst, kind: LimitsFor) -> Reason:
    bounds, limits = held.limits.bounds, held.limits
    said: tuple[SentencePart, ...]
    if bounds.lower is None:
        said = ("at most ", SaidLength(bounds.upper or 0.0, 4))
    elif bounds.upper is None:
        said = ("at least ", SaidLength(bounds.lower, 4))
    else:
        said = (SaidLength(bounds.lower, 4, bare=True), " to ", SaidLength(bounds.upper, 4))
    what = "Sanity band" if limits.is_sanity_band else "Limits"
    for_what = f"{what} for {'new parts' if limits.used_for is LimitsFor.NEW else 'worn parts'}, "
    given = f" ({limits.said})" if limits.said else ""
    kept = "not judged" if held.inside is None else f"within with {percent(held.inside)}"
    decides = "" if limits.used_for is kind else "; they are not those for these parts"
    return Reason.of(for_what, *said, f"{given}: {kept}{decides}.", source=limits.source)


@dataclass(frozen=True, slots=True)
class _Stays:
    """How probably clearance is left, at the careful end, and how probably none is, at the kind end."""

    free: float | None
    tight: float | None
    trusted: bool
    reasons: tuple[Reason, ...]
    cautions: tuple[Caution, ...] = ()


def _stays_free(fit: RunningFit, found: Clearances, held: Sequence[HeldAgainst]) -> _Stays:
    cold, hot = found.at_20_c, found.hot
    allowed = bool(held) and held[0].decision is Decision.INSIDE
    tight = None if cold.u_mm is None or allowed else 1 - chance_of_room(cold, cold.high_mm)
    said = (
        () if tight is None or tight < 0.5 else (Reason("At 20 °C there is no clearance between the parts."),)
    )
    if hot is None:
        return _Stays(None, tight, True, said)
    metals = list(dict.fromkeys(one.expansion for _, one in fit.members))
    trusted = all(one.trusted for one in metals)
    reasons = tuple(dict.fromkeys(reason for one in metals for reason in one.reasons))
    cautions = []
    unknown = [one.said for _, one in fit.members if not one.expansion.known]
    if unknown:
        cautions.append(
            Caution(
                f"Nobody said what metal {' and '.join(unknown)} is: the hot clearance is therefore wide."
            )
        )
    if not trusted:
        cautions.append(
            Caution("An expansion behind the hot clearance is from memory, so it proves nothing.")
        )
    temperatures = ", ".join(
        f"{one.said} {one.hot_low_c:g}"
        + (f" to {one.hot_high_c:g}" if one.hot_low_c != one.hot_high_c else "")
        for _, one in fit.members
    )
    text = (f"Hot ({temperatures} °C) the clearance is ", *_span(hot))
    if hot.u_mm is None:
        reason = Reason.of(*text, ".", source="d α (t - 20 °C) of each part")
        return _Stays(None, None, trusted, (*said, reason, *reasons), tuple(cautions))
    free = chance_of_room(hot, hot.low_mm)
    tight_hot = 1 - chance_of_room(hot, hot.high_mm)
    kept = Reason.of(
        *text,
        f"; some is left with {percent(free)} at its careful end.",
        source=f"d α (t - 20 °C) of each part; {_CONFORMITY}",
    )
    tight = tight_hot if tight is None else max(tight, tight_hot)
    return _Stays(free, tight, trusted, (*said, kept, *reasons), tuple(cautions))


def _what_would_prove(
    fit: RunningFit, clearance: ClearanceAt, held: HeldAgainst, wanted: float
) -> list[Caution]:
    measured = fit.measured
    if held.decision is not Decision.NOT_PROVEN or measured is None or measured.u == 0:
        return []
    if clearance.high_mm - clearance.low_mm > measured.u:
        return [
            Caution("Not proven is not a pass: read the parts at 20 °C, for what their metals do decides.")
        ]
    needed = to_prove(clearance.middle_mm, 0.0, measured.u, held.limits.bounds, wanted=wanted).gauge_u
    if needed is None:
        return [Caution("Not proven is not a pass: it lies on the limit, and no gauge shows which side.")]
    return [
        Caution.of(
            "Not proven is not a pass: a standard uncertainty of the clearance of ",
            SaidLength(needed, None),
            " would show it, if it stays; now it is ",
            SaidLength(measured.u, None),
            ".",
        )
    ]
