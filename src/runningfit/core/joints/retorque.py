"""The torque for another finish or lubricant, or for a wanted preload; none where none is safe."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.bolted import Percentiles
from runningfit.core.joints.conditions import Condition, members
from runningfit.core.joints.friction import friction_of
from runningfit.core.joints.grades import Strength
from runningfit.core.joints.preload import Tightening, preload_spread, stress_spread, tightening_of
from runningfit.core.joints.spread import HIGH, LOW, ratio_percentile
from runningfit.core.joints.tightening import arm_mm, geometry_of
from runningfit.core.joints.torque_cautions import torque_cautions
from runningfit.core.standards import Thread
from runningfit.core.verdicts import Outcome, Reason, Verdict

_MUCH = 0.10


@dataclass(frozen=True, slots=True)
class TorqueAnswer:
    """A torque to set, or none.

    Parameters
    ----------
    torque_nm : Percentiles or None
        The figure to set as `mean`; `low` and `high` are the 5th and 95th percentile of the torque that would
        make the very preload aimed at [N m]. None where no torque is safe.
    ratio_if_unchanged : Percentiles or None
        Preload in the new condition over that in the old one where the old torque is kept; `mean` holds the
        median. None where there is no old torque.
    verdict : Verdict
        Sound where a torque is given that rests on sources alone.
    """

    torque_nm: Percentiles | None
    ratio_if_unchanged: Percentiles | None
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class _PerTorque:
    """What one newton metre does in a condition: everything is proportional to the torque."""

    preload: Percentiles
    stress_high: float


# The joints of a job are of few kinds, and each is looked at for many torques.
@lru_cache(maxsize=4096)
def _per_torque(tightening: Tightening) -> _PerTorque:
    forces = preload_spread(tightening, 1.0)
    return _PerTorque(
        Percentiles(forces.percentile(LOW), forces.mean, forces.percentile(HIGH)),
        stress_spread(tightening, 1.0).percentile(HIGH),
    )


def _torque_range(mean_nm: float, per: _PerTorque, prevailing_nm: float = 0.0) -> Percentiles:
    """The torque to set, and the percentiles of the torque that makes the preload aimed at."""
    aimed = (mean_nm - prevailing_nm) * per.preload.mean
    return Percentiles(
        aimed / per.preload.high + prevailing_nm, mean_nm, aimed / per.preload.low + prevailing_nm
    )


def _arm_ends(tightening: Tightening) -> tuple[float, float]:
    band = tightening.friction.band
    geometry = tightening.geometry
    return (
        arm_mm(geometry, band.thread_low, band.bearing_low),
        arm_mm(geometry, band.thread_high, band.bearing_high),
    )


def torque_for(
    tightening: Tightening, preload_n: float, strength: Strength, *, grade_known: bool = True
) -> TorqueAnswer:
    """Give the torque that clamps with a preload on average.

    Parameters
    ----------
    tightening : Tightening
        The joint.
    preload_n : float
        Preload wanted on average [N].
    strength : Strength
        Of the bolt.
    grade_known : bool
        Whether anybody knows its grade; otherwise the strength is that of the weakest.

    Returns
    -------
    TorqueAnswer
        No torque where the bolt would be stressed past yield more than 1 time in 20.

    Raises
    ------
    InvalidInput
        The preload is nothing, or a pipe thread.
    """
    if preload_n <= 0:
        raise InvalidInput("preload", needs="more than nothing", came=f"{preload_n:g} N")
    per = _per_torque(tightening)
    torque_nm = preload_n / per.preload.mean
    low, high = torque_nm * per.preload.low, torque_nm * per.preload.high
    use = torque_nm * per.stress_high / strength.yield_mpa
    is_safe = use <= 1
    most = strength.yield_mpa / per.stress_high
    reasons = [
        Reason(
            f"{torque_nm:.1f} N m clamps with {preload_n / 1000:.1f} kN on average, 9 times in 10 with "
            f"{low / 1000:.1f} to {high / 1000:.1f} kN (nut factor {tightening.nut_factor:.3f}).",
            "long form of the torque equation, Shigley, 9th edition, p. 438",
        ),
        Reason(
            f"1 time in 20 the bolt would be stressed to {use:.0%} of its yield or more, torsion counted; "
            "the "
            f"largest torque that keeps it below is {most:.1f} N m.",
            "VDI 2230 part 1 for the torsion (from memory; its printed table is reproduced)",
        ),
        Reason(
            f"To be 95 % sure of {preload_n / 1000:.1f} kN at the least it would take "
            f"{preload_n / per.preload.low:.1f} N m."
        ),
    ]
    if not is_safe:
        reasons.insert(
            0,
            Reason(
                f"No torque is given: that preload would take {strength.said} past its yield more than 1 "
                "time in "
                "20. Take less preload, a stronger bolt, or a lubricant whose friction is known better."
            ),
        )
    friction = tightening.friction
    trusted = strength.trusted and friction.trusted and not friction.stands_in and not friction.is_open
    outcome = (
        (Outcome.SOUND if trusted and grade_known else Outcome.NOT_PROVEN) if is_safe else Outcome.NOT_SOUND
    )
    verdict = Verdict(
        outcome,
        value=use,
        reasons=(*reasons, *strength.reasons, *tightening.friction.reasons),
        cautions=torque_cautions(tightening.friction, strength=strength if grade_known else None),
    )
    return TorqueAnswer(_torque_range(torque_nm, per) if is_safe else None, None, verdict)


@dataclass(frozen=True, slots=True)
class FinishChange:
    """A torque that was given for one condition, and the condition in which the bolt is now.

    Parameters
    ----------
    thread : Thread
        The thread.
    torque_nm : float
        The torque given [N m].
    old, new : Condition
        The condition that the torque was made for, and the one found.
    strength : Strength or None
        Of the bolt; none where its grade is not known.
    bearing_diameter_mm : float or None
        Mean friction diameter under the head [mm].
    scatter : float or None
        The tool's 95 % half-width [-].
    prevailing_nm : float
        Torque that a self-locking nut or insert takes before anything clamps [N m], part of every figure.
    """

    thread: Thread
    torque_nm: float
    old: Condition
    new: Condition
    strength: Strength | None = None
    bearing_diameter_mm: float | None = None
    scatter: float | None = None
    prevailing_nm: float = 0.0

    @property
    def clamping_nm(self) -> float:
        """What of the torque given clamps [N m]."""
        return self.torque_nm - self.prevailing_nm

    def tightening(self, condition: Condition) -> Tightening:
        """The joint in a condition.

        Parameters
        ----------
        condition : Condition
            Finish and lubricant.

        Returns
        -------
        Tightening
            The joint.
        """
        return tightening_of(
            self.thread,
            friction_of(condition, geometry_of(self.thread)),
            bearing_diameter_mm=self.bearing_diameter_mm,
            scatter=self.scatter,
        )


@dataclass(frozen=True, slots=True)
class _Window:
    """Between which torques the clamp is enough and the bolt safe [N m], and why."""

    least_nm: float
    most_nm: float
    reasons: tuple[Reason, ...]


def _window(change: FinishChange, new: _PerTorque) -> _Window:
    """The least torque that clamps as the old one surely did, and the most that is safe.

    An old condition that is not known may have been any single one: the clamp to reach is then the largest
    of their sure clamps, the stress not to pass the least of theirs.
    """
    singles = [_per_torque(change.tightening(one)) for one in members(change.old)]
    wanted = max(one.preload.low for one in singles) * change.clamping_nm
    least = wanted / new.preload.low + change.prevailing_nm
    where = f"in its own condition ({change.old.said})"
    if len(singles) > 1:
        where = f"in the most slippery of the conditions it may have been made for ({change.old.said})"
    reasons = [
        Reason(
            f"As it was given, {where}, {change.torque_nm:.1f} N m clamps with at least "
            f"{wanted / 1000:.1f} kN 19 times in 20: now that takes {least:.1f} N m or more."
        )
    ]
    if change.strength is None:
        allowed = min(one.stress_high for one in singles) * change.clamping_nm
        most = allowed / new.stress_high + change.prevailing_nm
        reasons.append(
            Reason(
                "The grade is not known, so the bolt is loaded no more than the old torque already loaded "
                "it: "
                f"{allowed:.0f} MPa, torsion counted, that is {most:.1f} N m or less "
                "now."
            )
        )
    else:
        allowed = change.strength.yield_mpa
        most = allowed / new.stress_high + change.prevailing_nm
        reasons.append(
            Reason(
                f"{change.strength.said} yields at {allowed:.0f} MPa: it stays below 19 times in 20 up to "
                f"{most:.1f} N m.",
                "VDI 2230 part 1 for the torsion (from memory; its printed table is reproduced)",
            )
        )
    if change.prevailing_nm:
        reasons.append(
            Reason(
                f"{change.prevailing_nm:.1f} N m of every figure only turn the self-locking thread; the "
                "maker's figure is taken to count them in (common practice, no source)."
            )
        )
    return _Window(least, most, tuple(reasons))


def kept_reason(ratio: Percentiles, torque_nm: float) -> Reason:
    """Say what happens if the old torque is simply kept.

    Parameters
    ----------
    ratio : Percentiles
        Preload now over preload before, `mean` holding the median [-].
    torque_nm : float
        The old torque [N m].

    Returns
    -------
    Reason
        With the danger.
    """
    said = (
        f"clamps {ratio.low:.2f} to {ratio.high:.2f} times as much as before, {ratio.mean:.2f} in the middle"
    )
    if ratio.mean > 1 + _MUCH:
        danger = "the bolt may be overstretched or the thread pulled out"
    elif ratio.mean < 1 - _MUCH:
        danger = "the joint may work loose or leak"
    else:
        danger = "about as before, but it may be either way"
    return Reason(f"If the old {torque_nm:.1f} N m is simply kept it {said}: {danger}.")


def _why_none(new: Condition) -> Reason:
    """Say why a condition gets no torque that has no figures of its own."""
    if new.finish is None and not new.unfigured:
        return Reason(
            f"No torque is given: which finish the bolt has now is not confirmed ({new.said}). Find out what "
            "was received and with which lubricant it goes in."
        )
    return Reason(
        f"No torque is given: no friction of {new.said} was found, and that of other finishes would be a "
        "guess. Measure the bolt's stretch, or try the torque on a test bolt."
    )


def retorque(change: FinishChange) -> TorqueAnswer:
    """Give the torque for the condition in which a bolt is now.

    Parameters
    ----------
    change : FinishChange
        The torque given, the condition it was made for, and the one found.

    Returns
    -------
    TorqueAnswer
        The torque that clamps on average as the old one did, moved as far as it must be so that 19 times in
        20 the bolt stays below its yield and clamps as much as the old torque did at its 5th percentile. No
        torque where both cannot hold, nor where the finish it has now is not known or has no figures.

    Raises
    ------
    InvalidInput
        A torque that is nothing, or a pipe thread.
    """
    if change.torque_nm <= 0:
        raise InvalidInput("torque", needs="more than nothing", came=f"{change.torque_nm:g} N m")
    if not 0 <= change.prevailing_nm < change.torque_nm:
        raise InvalidInput(
            "prevailing torque",
            needs=f"less than the torque of {change.torque_nm:g} N m, and not less than nothing",
            came=f"{change.prevailing_nm:g} N m",
            remedy="Turn the nut on by itself and read the wrench again.",
        )
    before, after = change.tightening(change.old), change.tightening(change.new)
    old, new = _per_torque(before), _per_torque(after)
    window = _window(change, new)
    over, under = _arm_ends(before), _arm_ends(after)
    ratio = Percentiles(*(ratio_percentile(over, under, share) for share in (LOW, 0.5, HIGH)))
    alike_nm = change.clamping_nm * old.preload.mean / new.preload.mean + change.prevailing_nm
    is_safe = window.least_nm <= window.most_nm * (1 + 1e-9)
    is_known = not after.friction.stands_in
    reasons = [kept_reason(ratio, change.torque_nm), *(window.reasons if is_known else ())]
    torque = None
    if not is_known:
        reasons.insert(0, _why_none(change.new))
    elif is_safe:
        torque = _torque_range(min(max(alike_nm, window.least_nm), window.most_nm), new, change.prevailing_nm)
        reasons.insert(
            0,
            Reason(
                f"{change.new.said}: {torque.mean:.1f} N m in place of {change.torque_nm:.1f} N m; "
                "anything from "
                f"{window.least_nm:.1f} to {window.most_nm:.1f} N m holds both."
            ),
        )
    else:
        helps = (
            "the grade of the bolt"
            if change.strength is None
            else "a lubricant whose friction is known better"
        )
        reasons.insert(
            0,
            Reason(
                f"No torque is given: {window.least_nm:.1f} N m is the least that clamps enough and "
                f"{window.most_nm:.1f} N m the most that is safe. Find {helps}, or measure the bolt's "
                "stretch."
            ),
        )
    trusted = change.strength is not None and change.strength.trusted
    trusted = trusted and before.friction.trusted and after.friction.trusted
    # The old condition may be open: it is taken at its careful ends. The new one is what is tightened.
    is_sure = trusted and is_known and not after.friction.is_open
    outcome = Outcome.SOUND if is_sure else Outcome.NOT_PROVEN
    verdict = Verdict(
        outcome if is_safe or not is_known else Outcome.NOT_SOUND,
        value=None if torque is None else torque.mean,
        unit="" if torque is None else "N m",
        reasons=(
            *reasons,
            *(change.strength.reasons if change.strength is not None else ()),
            *before.friction.reasons,
            *after.friction.reasons,
        ),
        cautions=torque_cautions(before.friction, after.friction, strength=change.strength),
    )
    return TorqueAnswer(torque, ratio, verdict)
