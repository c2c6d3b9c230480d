"""The verdict on a measured or gauged bolt or hole: within its class, worn by so much, or not proven."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.gauging.measured import (
    SURE,
    DiameterCheck,
    Limits,
    ThreadMeasurement,
    diameters_against,
)
from runningfit.core.pieces.gauging.plating import limits_after_plating
from runningfit.core.standards import Thread
from runningfit.core.standards.limits import external_limits, internal_limits
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

_SIGMAS = 1.645
# Common practice, no source: so far outside, in pitches, the reading is of another thread or a slip.
_ANOTHER_THREAD = 0.35


@dataclass(frozen=True, slots=True)
class ThreadCheck:
    """The answer: a verdict, and each diameter beside its limits.

    Parameters
    ----------
    thread_class : str
        The class it was held against.
    limits : ExternalLimits or InternalLimits
        The limits used; after plating where it is plated.
    diameters : tuple of DiameterCheck
        What was measured.
    verdict : Verdict
        Sound: within its class. The value is how far the worst diameter lies outside [mm].
    """

    thread_class: str
    limits: Limits
    diameters: tuple[DiameterCheck, ...]
    verdict: Verdict


def _range_said(check: DiameterCheck) -> str:
    if check.low_mm is None:
        return f"at most {check.high_mm:.3f} mm"
    if check.high_mm is None:
        return f"at least {check.low_mm:.3f} mm"
    return f"{check.low_mm:.3f} to {check.high_mm:.3f} mm"


def _worn(internal: bool, outside_mm: float) -> bool:
    """Whether a diameter lies outside on the side to which wear takes it."""
    return outside_mm > 0 if internal else outside_mm < 0


def _reason(check: DiameterCheck, internal: bool, source: str) -> Reason:
    measured, outside = check.measured, check.outside_mm
    reading = (
        f"The {check.name} is {measured.mm:.3f} mm (u {measured.u_mm:g}); allowed are {_range_said(check)}"
    )
    if check.is_within:
        said = f"{reading}: within, with probability {check.p_within:.3f}."
    elif check.is_outside and _worn(internal, outside):
        said = f"{reading}: worn, or made so, by {abs(outside):.3f} mm beyond the limit."
    elif check.is_outside:
        word = "small" if internal else "large"
        said = f"{reading}: too {word} by {abs(outside):.3f} mm; dirt, a burr, damage or a coat does that."
    else:
        said = f"{reading}: not told apart (within with probability {check.p_within:.2f}); {_needed(check)}."
    return Reason(said, source)


def _needed(check: DiameterCheck) -> str:
    """Say how well it would have to be measured."""
    edges = [edge for edge in (check.low_mm, check.high_mm) if edge is not None]
    nearest = min(abs(check.measured.mm - edge) for edge in edges)
    if nearest / _SIGMAS < 0.001:
        return "it lies on the limit, so only a gauge can tell"
    return f"it needs an uncertainty of {nearest / _SIGMAS:.3f} mm or less"


def _gauge_reasons(measurement: ThreadMeasurement) -> list[Reason]:
    on, kind = ("in", "plug") if measurement.internal else ("on", "ring")
    reasons = []
    if measurement.go is True:
        reasons.append(Reason(f"The GO {kind} went all the way {on}."))
    elif measurement.go is False:
        small = (
            "small, dirty, damaged or plated" if measurement.internal else "large, dirty, damaged or plated"
        )
        reasons.append(Reason(f"The GO {kind} did not go {on}: the thread is too {small}."))
    if measurement.no_go is False:
        reasons.append(Reason(f"The NO-GO {kind} did not go {on}."))
    elif measurement.no_go is True:
        worn = "large" if measurement.internal else "small"
        reasons.append(
            Reason(f"The NO-GO {kind} went {on}: the pitch diameter is too {worn}; worn or made so.")
        )
    return reasons


def _contradiction(measurement: ThreadMeasurement, diameters: tuple[DiameterCheck, ...]) -> Reason | None:
    """A gauge that says one thing and a measured pitch diameter that surely says another."""
    flank = next((check for check in diameters if check.name == "pitch diameter"), None)
    if flank is None:
        return None
    worn = flank.p_above if measurement.internal else flank.p_below
    tight = flank.p_below if measurement.internal else flank.p_above
    said = [
        gauge
        for gauge, contrary in (
            ("NO-GO", measurement.no_go is False and worn >= SURE),
            ("NO-GO", measurement.no_go is True and max(tight, flank.p_within) >= SURE),
            ("GO", measurement.go is True and tight >= SURE),
        )
        if contrary
    ]
    if not said:
        return None
    return Reason(
        f"The {said[0]} gauge and the measured pitch diameter contradict each other: "
        "check gauge, wires and thread for dirt, and try both again."
    )


@dataclass(frozen=True, slots=True)
class _Findings:
    """What speaks for and against, before the verdict."""

    measurement: ThreadMeasurement
    diameters: tuple[DiameterCheck, ...]
    contradiction: Reason | None

    @property
    def refused(self) -> bool:
        """Whether a gauge or a diameter surely says no."""
        measurement = self.measurement
        by_gauge = measurement.go is False or measurement.no_go is True
        return by_gauge or any(check.is_outside for check in self.diameters)

    @property
    def gauged(self) -> bool:
        """Whether both gauges say yes."""
        return self.measurement.go is True and self.measurement.no_go is False

    def named(self, name: str) -> DiameterCheck | None:
        """The check of one diameter, if it was measured."""
        return next((check for check in self.diameters if check.name == name), None)

    @property
    def crest(self) -> str:
        """The diameter that no gauge of the flanks checks: the crest's."""
        return "minor diameter" if self.measurement.internal else "major diameter"

    @property
    def measured_within(self) -> bool:
        """Whether pitch and crest diameter are measured and surely within."""
        wanted = [self.named("pitch diameter"), self.named(self.crest)]
        return all(check is not None and check.is_within for check in wanted)

    @property
    def outcome(self) -> Outcome:
        """What it all comes to."""
        if self.contradiction is not None:
            return Outcome.NOT_PROVEN
        if self.refused:
            return Outcome.NOT_SOUND
        undecided = any(not check.is_within for check in self.diameters)
        if not undecided and (self.gauged or self.measured_within):
            return Outcome.SOUND
        return Outcome.NOT_PROVEN

    @property
    def probability(self) -> float | None:
        """The probability of the outcome, from the diameters alone."""
        if self.outcome is Outcome.NOT_SOUND:
            outside = [max(check.p_below, check.p_above) for check in self.diameters if check.is_outside]
            return max(outside, default=None)
        if self.outcome is Outcome.SOUND and self.diameters:
            within = 1.0
            for check in self.diameters:
                within *= check.p_within
            return within
        return None


def _unmeasured(findings: _Findings) -> list[Reason]:
    """What is not known, and what that means."""
    measurement, reasons = findings.measurement, []
    flank, crest = findings.named("pitch diameter"), findings.named(findings.crest)
    if flank is None and not findings.gauged:
        said = "The pitch diameter was not measured"
        if crest is not None and crest.is_within:
            said += f": a good {findings.crest} says nothing of it, and wear and strength are in the flanks"
        way = "a NO-GO plug gauge" if measurement.internal else "three wires or a NO-GO ring gauge"
        reasons.append(Reason(f"{said}; {way} would tell."))
    if flank is not None and flank.is_within and measurement.go is None:
        reasons.append(
            Reason(
                "GO and NO-GO are implied, not proven: errors of pitch and angle make a thread tighter than "
                "its pitch diameter says."
            )
        )
    return reasons


def _cautions(findings: _Findings, pitch_mm: float) -> tuple[Caution, ...]:
    cautions = []
    far = [check for check in findings.diameters if abs(check.outside_mm) > _ANOTHER_THREAD * pitch_mm]
    if far:
        cautions.append(
            Caution(f"The {far[0].name} is so far off that it may be another thread: name the thread first.")
        )
    if findings.gauged and findings.named(findings.crest) is None:
        cautions.append(Caution(f"Thread gauges do not check the {findings.crest}: measure it too."))
    if not findings.measurement.plated:
        cautions.append(Caution("The limits are those before plating."))
    if findings.outcome is Outcome.SOUND:
        cautions.append(Caution("Within its limits is no word about cracks, stretch or strength."))
    return tuple(cautions)


def _limits_for(thread: Thread, measurement: ThreadMeasurement, thread_class: str | None) -> Limits:
    if measurement.internal:
        return internal_limits(thread, thread_class)
    limits = external_limits(thread, thread_class)
    return limits_after_plating(thread, limits) if measurement.plated else limits


def check_thread(
    thread: Thread, measurement: ThreadMeasurement, thread_class: str | None = None
) -> ThreadCheck:
    """Hold a measured or gauged bolt or hole against the limits of its class.

    Parameters
    ----------
    thread : Thread
        What it should be; a parallel thread.
    measurement : ThreadMeasurement
        What was measured, each diameter with its uncertainty, and what the gauges did.
    thread_class : str or None
        The class; none is the usual one of its series.

    Returns
    -------
    ThreadCheck
        Sound where both gauges say yes, or pitch and crest diameter are within with 95 % probability each,
        and nothing else speaks against it; not sound where a gauge says no or a diameter is outside with
        95 %; otherwise not proven, with what would tell.

    Raises
    ------
    InvalidInput
        Nothing measured, a value or uncertainty that cannot be, inches typed as millimetres, a taper thread,
        or a class that the series has not.

    Notes
    -----
    Probabilities are those of a normal error about the reading, without a prior on the piece.
    """
    taken = (measurement.major, measurement.pitch_diameter, measurement.minor)
    if all(one is None for one in (*taken, measurement.go, measurement.no_go)):
        raise InvalidInput(
            "measurement", needs="a diameter or a gauge result", came="", remedy="Measure the pitch diameter."
        )
    limits = _limits_for(thread, measurement, thread_class)
    diameters = diameters_against(thread, measurement, limits)
    findings = _Findings(measurement, diameters, _contradiction(measurement, diameters))
    worst = max(diameters, key=lambda check: abs(check.outside_mm), default=None)
    reasons = [
        *([findings.contradiction] if findings.contradiction else []),
        *_gauge_reasons(measurement),
        *(_reason(check, measurement.internal, limits.source) for check in diameters),
        *_unmeasured(findings),
    ]
    verdict = Verdict(
        outcome=findings.outcome,
        value=None if worst is None else worst.outside_mm,
        unit="mm" if worst is not None else "",
        uncertainty=None if worst is None else worst.measured.u_mm,
        probability=findings.probability,
        reasons=tuple(reasons),
        cautions=_cautions(findings, thread.pitch_mm),
    )
    return ThreadCheck(limits.thread_class, limits, diameters, verdict)
