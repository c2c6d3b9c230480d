"""What plating does to one thread, bolt or hole: its sizes after it, and whether it still goes together."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.normal import SIGMAS_5_TO_95
from runningfit.core.pieces.gauging.measured import Limits, Measured
from runningfit.core.pieces.gauging.plating import growth_of_pitch_diameter, room_for_plating_mm
from runningfit.core.standards import Thread
from runningfit.core.standards.limits import ExternalLimits, external_limits, internal_limits
from runningfit.core.treatments.plating.chances import Spread, probability_below, probability_smaller
from runningfit.core.treatments.plating.coats import NO_COAT, Coat, checked_coat
from runningfit.core.units.lengths import MM_PER_INCH
from runningfit.core.verdicts import Verdict

# A coat of more than this part of the height of the thread no longer follows its form, it fills it
# (common practice, no source).
_FILLS = 0.25
# A pitch diameter further off than this part of the pitch is another thread, or read in another unit.
_ANOTHER_THREAD = 0.35
_FINEST_MM = 1e-7


@dataclass(frozen=True, slots=True)
class ThreadHistory:
    """What is known of a thread before it is plated, and what is done to it first.

    Parameters
    ----------
    pitch_diameter : Measured or None
        Its pitch diameter as it is now, old plating included; none where it was not measured, and the thread
        is then taken as made somewhere within its class.
    stripped : Coat
        The old plating that is stripped first; it counts where the pitch diameter was measured over it.
    lost : Coat
        Metal lost on each surface to rust, acid and blasting.
    """

    pitch_diameter: Measured | None = None
    stripped: Coat = NO_COAT
    lost: Coat = NO_COAT


@dataclass(frozen=True, slots=True)
class Growth:
    """By how much plating changes the three diameters [mm]; a hole becomes smaller.

    Parameters
    ----------
    major_mm, pitch_diameter_mm, minor_mm : float
        Change of each diameter [mm].
    """

    major_mm: float
    pitch_diameter_mm: float
    minor_mm: float


@dataclass(frozen=True, slots=True)
class PlatedThread:
    """One thread after plating.

    Parameters
    ----------
    thread : Thread
        Which thread.
    internal : bool
        Whether it is a nut or hole.
    limits : ExternalLimits or InternalLimits
        The limits of its class before plating.
    growth : Growth
        By how much the mean of the coat changes its diameters.
    bare : Spread
        Pitch diameter of the bare metal.
    pitch_diameter, crest : Spread
        After plating: pitch diameter; major diameter of a bolt, minor diameter of a hole.
    go_limit_mm : float
        What the GO gauge allows after plating: the basic pitch diameter [mm].
    probability_go : float
        Probability that it passes the GO gauge after plating.
    probability_engagement : float
        Probability that the bare metal still keeps the other limit of its class, so that the flanks engage
        as they should; the coat carries nothing.
    max_thickness_new_mm : float
        Thickest coat on a new part of greatest material [mm].
    max_thickness_as_is_mm : float
        Thickest even coat with which this very part still passes, as probably as is wanted [mm].
    wanted : float
        That probability.
    """

    thread: Thread
    internal: bool
    limits: Limits
    growth: Growth
    bare: Spread
    pitch_diameter: Spread
    crest: Spread
    go_limit_mm: float
    probability_go: float
    probability_engagement: float
    max_thickness_new_mm: float
    max_thickness_as_is_mm: float
    wanted: float


@dataclass(frozen=True, slots=True)
class PlatingJudgement:
    """A thread after plating, with the verdict.

    Parameters
    ----------
    plated : PlatedThread
        The thread.
    verdict : Verdict
        Whether it still goes together, with reasons and cautions.
    """

    plated: PlatedThread
    verdict: Verdict


def limits_of(thread: Thread, thread_class: str | None, *, internal: bool) -> Limits:
    """Look up the limits of the side that is plated.

    Parameters
    ----------
    thread : Thread
        A parallel thread.
    thread_class : str or None
        Its class; none is the usual one.
    internal : bool
        Whether it is a nut or hole.

    Returns
    -------
    ExternalLimits or InternalLimits
        Before plating.
    """
    return internal_limits(thread, thread_class) if internal else external_limits(thread, thread_class)


def height_mm(thread: Thread) -> float:
    """Give the height of a thread.

    Parameters
    ----------
    thread : Thread
        Any standard thread.

    Returns
    -------
    float
        Half of major less internal minor diameter [mm].
    """
    return (thread.major_mm - thread.minor_internal_mm) / 2


def _checked(thread: Thread, coat: Coat, argument: str) -> Coat:
    checked_coat(coat, argument=argument)
    most = _FILLS * height_mm(thread)
    if coat.high_mm > most:
        raise InvalidInput(
            argument,
            needs=f"at most {1000 * most:.0f} µm, a quarter of the height of {thread.designation}",
            came=f"{1000 * coat.high_mm:.4g} µm",
            remedy="Check the unit: a thicker coat fills the thread and must be cut again.",
        )
    return coat


def _checked_measurement(thread: Thread, measured: Measured) -> Measured:
    if not (isfinite(measured.mm) and measured.mm > 0):
        raise InvalidInput(
            "pitch diameter", needs="more than nothing [mm]", came=measured.mm, remedy="Measure it again."
        )
    if not (isfinite(measured.u_mm) and 0 < measured.u_mm < measured.mm):
        raise InvalidInput(
            "uncertainty of the pitch diameter",
            needs="more than nothing and less than the diameter [mm]",
            came=measured.u_mm,
            remedy="Over wires a micrometer has about 0.005 mm (common practice, no source).",
        )
    if abs(measured.mm - thread.pitch_diameter_mm) > _ANOTHER_THREAD * thread.pitch_mm:
        inches = abs(measured.mm * MM_PER_INCH - thread.pitch_diameter_mm) < _ANOTHER_THREAD * thread.pitch_mm
        raise InvalidInput(
            "pitch diameter",
            needs=f"about {thread.pitch_diameter_mm:.3f} mm on {thread.designation}",
            came=measured.mm,
            remedy="That looks like inches." if inches else "Name the thread first: it may be another one.",
        )
    return measured


def _bare(limits: Limits, history: ThreadHistory, growth: float, sign: int) -> Spread:
    """Pitch diameter of the bare metal: old plating off, lost metal off."""
    lost = sign * growth * history.lost.mean_mm
    u_lost = growth * (history.lost.high_mm - history.lost.low_mm) / SIGMAS_5_TO_95
    if history.pitch_diameter is None:
        made = Spread(limits.pitch_diameter_min_mm, limits.pitch_diameter_max_mm)
        return made.moved(-lost, u_lost)
    measured = history.pitch_diameter
    stripped = sign * growth * history.stripped.mean_mm
    u_stripped = growth * (history.stripped.high_mm - history.stripped.low_mm) / SIGMAS_5_TO_95
    u = sqrt(measured.u_mm**2 + u_stripped**2)
    return Spread(measured.mm, measured.mm, u).moved(-stripped - lost, u_lost)


def _probability_go(bare: Spread, coat: Coat, growth: float, go_mm: float, sign: int) -> float:
    after = bare.moved(sign * growth * coat.thickest_mm, growth * coat.u_thickest_mm)
    below = probability_below(after, go_mm)
    return below if sign > 0 else 1 - probability_below(after, go_mm - _FINEST_MM)


def _thickest(bare: Spread, growth: float, go_mm: float, sign: int, wanted: float, most_mm: float) -> float:
    """The thickest even coat with which the GO gauge passes as probably as is wanted, by halving."""

    def passes(thickness_mm: float) -> bool:
        even = Coat(thickness_mm, thickness_mm)
        return _probability_go(bare, even, growth, go_mm, sign) >= wanted

    low, high = 0.0, most_mm
    if not passes(low):
        return 0.0
    while high - low > _FINEST_MM:
        middle = (low + high) / 2
        low, high = (middle, high) if passes(middle) else (low, middle)
    return low


def _crest(limits: Limits, lost_mm: float, coat: Coat) -> Spread:
    """Major diameter of a bolt or minor diameter of a hole, made within its class."""
    if isinstance(limits, ExternalLimits):
        made, sign = Spread(limits.major_min_mm, limits.major_max_mm), 1
    else:
        made, sign = Spread(limits.minor_min_mm, limits.minor_max_mm), -1
    return made.moved(sign * 2 * (coat.thickest_mm - lost_mm), 2 * coat.u_thickest_mm)


def plate_thread(
    thread: Thread,
    coat: Coat,
    thread_class: str | None = None,
    *,
    internal: bool = False,
    history: ThreadHistory | None = None,
    wanted: float = 0.95,
) -> PlatedThread:
    """Reckon what a coat does to a thread.

    Parameters
    ----------
    thread : Thread
        A parallel thread of 60, 55 or 47.5°.
    coat : Coat
        The new plating.
    thread_class : str or None
        Its class; none is the usual one.
    internal : bool
        Whether it is a nut or hole, which plating makes smaller.
    history : ThreadHistory or None
        What was measured, what is stripped and what is lost first; none for a new part.
    wanted : float
        How probable it must be that the very part passes, for the thickest coat.

    Returns
    -------
    PlatedThread
        Sizes and probabilities.

    Raises
    ------
    InvalidInput
        A coat that fills the thread, a pitch diameter of another thread, a class that it has not, a taper.

    Notes
    -----
    The pitch diameter grows by 2 t / sin(a/2), major and minor diameter by 2 t (ASME B1.1-2019 section 7).
    The GO gauge after plating is that of the basic size, beyond which no mating thread of any class lies
    (ASME B1.1 for 2A and ISO 965-1 for g have the same rule, from memory). Unmeasured parts are evenly spread
    over their class; measured ones lie normally about the reading; the coat's range is that of its 5th and
    95th percentile.
    """
    if not 0 < wanted < 1:
        raise InvalidInput("probability", needs="more than 0 and less than 1", came=wanted, remedy="")
    known = history or ThreadHistory()
    limits = limits_of(thread, thread_class, internal=internal)
    _checked(thread, coat, "thickness")
    _checked(thread, known.stripped, "stripped plating")
    _checked(thread, known.lost, "lost metal")
    if known.pitch_diameter is not None:
        _checked_measurement(thread, known.pitch_diameter)
    sign = -1 if internal else 1
    growth, go_mm = growth_of_pitch_diameter(thread.form), thread.pitch_diameter_mm
    bare = _bare(limits, known, growth, sign)
    if isinstance(limits, ExternalLimits):
        room = room_for_plating_mm(thread, limits)
    else:
        room = max(0.0, limits.pitch_diameter_min_mm - go_mm) / growth
    if internal:
        engaged = probability_below(bare, limits.pitch_diameter_max_mm)
    else:
        engaged = 1 - probability_below(bare, limits.pitch_diameter_min_mm - _FINEST_MM)
    return PlatedThread(
        thread=thread,
        internal=internal,
        limits=limits,
        growth=Growth(sign * 2 * coat.mean_mm, sign * growth * coat.mean_mm, sign * 2 * coat.mean_mm),
        bare=bare,
        pitch_diameter=bare.moved(sign * growth * coat.thickest_mm, growth * coat.u_thickest_mm),
        crest=_crest(limits, known.lost.mean_mm, coat),
        go_limit_mm=go_mm,
        probability_go=_probability_go(bare, coat, growth, go_mm, sign),
        probability_engagement=engaged,
        max_thickness_new_mm=room,
        max_thickness_as_is_mm=_thickest(bare, growth, go_mm, sign, wanted, _FILLS * height_mm(thread)),
        wanted=wanted,
    )


def probability_assembles(bolt: PlatedThread, nut: PlatedThread) -> float:
    """Give the probability that a bolt goes into a nut or hole, each as it is after its own treatment.

    Parameters
    ----------
    bolt, nut : PlatedThread
        The two threads; a side that is left as it is has no coat.

    Returns
    -------
    float
        Probability that the pitch diameter of the bolt is no larger than that of the nut.

    Raises
    ------
    InvalidInput
        Two bolts, two nuts, or threads of different names.
    """
    if bolt.internal or not nut.internal:
        raise InvalidInput("joint", needs="a bolt and a nut or hole", came="two of a kind", remedy="")
    if bolt.thread.designation != nut.thread.designation:
        raise InvalidInput(
            "joint",
            needs="one thread on both sides",
            came=f"{bolt.thread.designation} and {nut.thread.designation}",
            remedy="They may start together and jam: name both threads again.",
        )
    return probability_smaller(bolt.pitch_diameter, nut.pitch_diameter)
