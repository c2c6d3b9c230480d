"""One thread named by its readings: candidates with probabilities, twins, and what would tell them apart."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification.identities import twin_groups
from runningfit.core.pieces.identification.likelihood import Dimension, band_of, measured
from runningfit.core.pieces.identification.next_measurement import NextMeasurement, next_measurements
from runningfit.core.pieces.identification.posterior import Posterior, posterior
from runningfit.core.pieces.identification.prior import ThreadPrior
from runningfit.core.pieces.identification.readings import ThreadReadings
from runningfit.core.pieces.identification.wrong_unit import is_suspect, wrong_unit
from runningfit.core.standards import Thread
from runningfit.core.standards.limits import external_classes, internal_classes
from runningfit.core.verdicts import Reason

# Less probable candidates are not listed.
LEAST_LISTED = 0.0005
_SURE = 0.99
_TWIN_AT_LEAST = 0.005
_PROBABLY_NONE = 0.5
_HAIR_MM = 0.005


@dataclass(frozen=True, slots=True)
class Candidate:
    """One thread that the readings leave open.

    Parameters
    ----------
    designation : str
        Its most usual name.
    probability : float
        0 to 1.
    thread : Thread
        Its basic dimensions.
    other_names : tuple of str
        Designations of the same geometry in other series.
    """

    designation: str
    probability: float
    thread: Thread
    other_names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Identification:
    """What a thread is, and how sure that is.

    Parameters
    ----------
    candidates : tuple of Candidate
        The most probable first; the least probable are left out.
    none_of_these : float
        Probability that it is a thread of no standard here.
    twins : tuple of tuple of str
        Groups of candidates that what was measured cannot tell apart.
    next_measurements : tuple of NextMeasurement
        What could be measured next, the most telling first.
    tell_apart : str
        The best of them in words, or that nothing more is needed.
    prior : str
        What was held likely before.
    reasons : tuple of Reason
        Why the first candidate fits, and what to mind.
    """

    candidates: tuple[Candidate, ...]
    none_of_these: float
    twins: tuple[tuple[str, ...], ...]
    next_measurements: tuple[NextMeasurement, ...]
    tell_apart: str
    prior: str
    reasons: tuple[Reason, ...]


def identify(readings: ThreadReadings, prior: ThreadPrior | None = None) -> Identification:
    """Name a thread by what was measured of it.

    Parameters
    ----------
    readings : ThreadReadings
        What was measured.
    prior : ThreadPrior or None
        What was known before; none is the default one.

    Returns
    -------
    Identification
        With the probabilities of the candidates and of none of them.

    Raises
    ------
    InvalidInput
        The diameters make sense only in the other unit.
    """
    known = prior or ThreadPrior()
    weights = known.weights()
    found = posterior(readings, weights, known.none_of_these)
    unit = None
    if is_suspect(readings, found.none_of_these):
        unit = wrong_unit(readings, weights, known.none_of_these, found.evidence)
    if unit is not None and unit.is_asked:
        raise InvalidInput(
            "diameter", needs="the size of a thread", came=f"{readings.size_mm:g} mm", remedy=unit.question
        )
    candidates = tuple(
        Candidate(
            one.identity.thread.designation, one.probability, one.identity.thread, one.identity.other_names
        )
        for one in found.weighed
        if one.probability >= LEAST_LISTED
    )
    twins = twin_groups(
        [one.thread for one in candidates if one.probability >= _TWIN_AT_LEAST],
        angle_tried=bool(readings.angle_gauges),
    )
    following = next_measurements(readings, found)
    reasons = [*_why(readings, candidates), *_names_reason(candidates)]
    if unit is not None and unit.is_mentioned:
        reasons.insert(0, Reason(unit.question))
    return Identification(
        candidates,
        found.none_of_these,
        twins,
        following,
        _tell_apart(found, following, twins),
        known.said(),
        tuple(reasons),
    )


def _tell_apart(
    found: Posterior, following: tuple[NextMeasurement, ...], twins: tuple[tuple[str, ...], ...]
) -> str:
    if not following:
        return "No standard thread is near: measure the diameter and the pitch again, and check the units."
    best = following[0]
    if found.weighed and found.weighed[0].probability >= _SURE:
        return f"Nothing more is needed. To be surer: {best.said}."
    if best.bits < 0.01:
        alike = f" {' and '.join(twins[0])} differ only in the form of crest and root." if twins else ""
        return f"Nothing at hand tells more.{alike}"
    first = "This is probably no standard thread. " if found.none_of_these > _PROBABLY_NONE else ""
    return f"{first}{best.said[0].upper()}{best.said[1:]}."


def _why(readings: ThreadReadings, candidates: tuple[Candidate, ...]) -> Iterator[Reason]:
    if not candidates:
        yield Reason("No standard thread comes near what was measured.")
        return
    thread = candidates[0].thread
    classes = internal_classes(thread) if readings.internal else external_classes(thread)
    usual = classes[0] if classes else ""
    for dimension, reading in measured(readings).items():
        made = band_of(thread, dimension, internal=readings.internal)
        low, high, _ = max(made.limits_mm, key=lambda one: one[2])
        name = thread.designation + (f" {usual}" if usual and dimension is not Dimension.FLATS else "")
        yield Reason(
            f"{dimension.value[0].upper()}{dimension.value[1:]} {reading.value_mm:.3g} mm: {name} has "
            f"{low:.2f} to {high:.2f} mm{_aside(reading.value_mm, low, high, wears_down=made.wears_down)}.",
            thread.source,
        )
    pitch = f"{thread.pitch_mm:.4g} mm" + (f", {thread.tpi:g} threads per inch" if thread.tpi else "")
    if readings.pitch_mm is not None:
        yield Reason(f"Pitch {readings.pitch_mm:.4g} mm: {thread.designation} has {pitch}.", thread.source)
    leaf = readings.leaf_pitch_mm
    if leaf is not None:
        shown = f"{readings.leaf_tpi:g} tpi" if readings.leaf_tpi is not None else f"{leaf:g} mm"
        yield Reason(f"The leaf of {shown}: {thread.designation} has {pitch}.", thread.source)


def _aside(value_mm: float, low_mm: float, high_mm: float, *, wears_down: bool) -> str:
    """Say how far a reading lies outside the limits, and what that may be."""
    if low_mm <= value_mm <= high_mm:
        return ""
    below = value_mm < low_mm
    by = low_mm - value_mm if below else value_mm - high_mm
    if by < _HAIR_MM:
        return ""
    cause = "wear" if below is wears_down else "plating or another class"
    return f"; {by:.2f} mm {'below' if below else 'above'}, as {cause} would leave it"


def _names_reason(candidates: tuple[Candidate, ...]) -> Iterator[Reason]:
    for one in candidates[:2]:
        if one.other_names:
            yield Reason(f"{one.designation} is also called {', '.join(one.other_names)}.")
        if one.thread.caution:
            yield Reason(f"{one.designation}: {one.thread.caution}")
