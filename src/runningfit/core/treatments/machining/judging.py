"""Bores and journals against their wear limits: sound, not sound, or not proven and what would prove it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import isfinite
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.conformity.chances import check_wanted_share
from runningfit.core.measurements.conformity.decision import USUAL_WANTED, percent
from runningfit.core.measurements.conformity.next_readings import ToProve, to_prove
from runningfit.core.treatments.machining.readings import JournalReadings, ReadForm, Readings, form_of
from runningfit.core.treatments.machining.said_forms import form_said, where_within
from runningfit.core.treatments.machining.streams import DRAWS, shared_errors, streams_of
from runningfit.core.treatments.machining.surfaces import (
    DrawnSurface,
    Straying,
    draw_alike,
    worn_alike,
)
from runningfit.core.treatments.machining.wear_forms import Wearing
from runningfit.core.units import SaidLength, SentencePart
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


_TOO_SMALL, _TOO_LARGE = "too small", "too large"
# What wear cannot have made of a bore, and of a journal.
_UNWORN = {1: _TOO_SMALL, -1: _TOO_LARGE}
# Of worn parts whose readings leave it open one in four is not what it is taken for, or was never within: how
# the others of its engine read has told the rest (common practice, no source; 1,600 simulated engines agree).
_MADE_BEYOND = 0.25


@dataclass(frozen=True, slots=True)
class WearLimits:
    """How far a bore or journal may be worn, by its maker.

    Parameters
    ----------
    diameter_mm : Bounds or None
        The smallest and the largest diameter [mm].
    out_of_round_mm, taper_mm : float or None
        The largest difference within one depth, and between both ends [mm].
    source : str
        Where they stand, such as "shop manual, page 31".
    made_beyond : float
        How probable it is, before any reading, that a worn one was made beyond the limit from which wear
        moves it away [-]; a half where that is not known, as of one just cut to size.
    """

    diameter_mm: Bounds | None = None
    out_of_round_mm: float | None = None
    taper_mm: float | None = None
    source: str = ""
    made_beyond: float = _MADE_BEYOND

    def __post_init__(self) -> None:
        told = [one for one in (self.out_of_round_mm, self.taper_mm) if one is not None]
        if self.diameter_mm is None and not told:
            raise InvalidInput(
                "limits", needs="a diameter, an out-of-round or a taper", came="none",
                remedy="Take the wear limits from the manual; those of a new part are others.",
            )  # fmt: skip
        if not all(isfinite(one) and one > 0 for one in told):
            raise InvalidInput(
                "limits", needs="out-of-round and taper of more than nothing",
                came=" and ".join(f"{one:g} mm" for one in told),
            )  # fmt: skip
        if not 0 < self.made_beyond <= 0.5:
            raise InvalidInput(
                "made beyond", needs="more than 0, and at most 0.5", came=f"{self.made_beyond:g}"
            )


# Service tables of other makers allow 0.025 to 0.10 mm (bores) and 0.010 mm (journals), some tighter.
USUAL_BORE_LIMITS = WearLimits(
    None, 0.05, 0.05, "service tables of other makers, 0.025 to 0.10 mm; not of this engine"
)
USUAL_JOURNAL_LIMITS = WearLimits(
    None, 0.010, 0.010, "service tables of other makers, mostly 0.010 mm; not of this engine"
)


@dataclass(frozen=True, slots=True)
class Judged:
    """A bore or journal against its wear limits.

    Parameters
    ----------
    name : str
        The bore or journal.
    form : ReadForm
        Its form as read.
    probability_within : float
        How probable it is that all of its surface keeps all limits [-].
    broken_with : tuple of (str, float)
        How probable it is that each limit alone is broken [-]: too small, too large, out-of-round, taper.
    to_prove : ToProve or None
        Where it is not proven, what would prove it.
    verdict : Verdict
        What it comes to.
    """

    name: str
    form: ReadForm
    probability_within: float
    broken_with: tuple[tuple[str, float], ...]
    to_prove: ToProve | None
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class JudgedAll:
    """All bores, or all journals, that one gauge measured.

    Parameters
    ----------
    each : tuple of Judged
        One by one, in the order given.
    probability_within : float
        How probable it is that all of them keep their limits [-]; what the gauge errs by it errs by in all.
    outcome : Outcome
        Sound where that is proven of all together, not sound where one at least is proven to be outside.
    """

    each: tuple[Judged, ...]
    probability_within: float
    outcome: Outcome


def judge_wear(
    readings: Sequence[Readings],
    limits: WearLimits,
    *,
    wanted: float = USUAL_WANTED,
    straying: Straying | None = None,
) -> JudgedAll:
    """Judge the bores, or the journals, of an engine against their wear limits.

    Parameters
    ----------
    readings : sequence of BoreReadings or of JournalReadings
        Those that one gauge measured, each with a name of its own.
    limits : WearLimits
        The limits of all.
    wanted : float
        How probable within, or outside, must be to be proven [-].
    straying : Straying or None
        How surfaces stray from one size, before they are read; none for what is usual of such surfaces.

    Returns
    -------
    JudgedAll
        Each with its form, probability and verdict.

    Raises
    ------
    InvalidInput
        No readings, names that are not different, a shared uncertainty that is not the same for all, or a
        probability that cannot be asked for.

    Notes
    -----
    The probability is the share of drawn surfaces (see `draw_surfaces`) that keep the limits everywhere, at
    read places and between them, each less one draw of what the gauge shares (JCGM 106:2012, 7; JCGM
    101:2008, 7; clause numbers from memory). Draws in which more than must be were made beyond the limit
    that wear leads away from weigh less, by the odds of that (Bayes' rule). Not sound is shown by one limit
    alone: a gauge that is merely too coarse shows nothing.
    """
    import numpy as np

    check_wanted_share(wanted)
    streams = streams_of(readings)
    shared_errors(readings)
    against: dict[str, _Against] = {}
    for group in worn_alike(readings):
        names = [one.name for one in group]
        drawn = _against(group, tuple(streams[name] for name in names), limits, straying)
        against.update(zip(names, drawn, strict=True))
    weights = _weights(readings, against, limits.made_beyond)
    all_within = np.ones(DRAWS, dtype=bool)
    each = []
    for one in readings:
        found = against[one.name]
        within = ~np.logical_or.reduce([whether for _, whether in found.broken])
        all_within &= within
        broken_with = tuple((what, float(weights @ whether)) for what, whether in found.broken)
        each.append(_judged(one, limits, float(weights @ within), broken_with, found, wanted))
    together = float(weights @ all_within)
    outcomes = {one.verdict.outcome for one in each}
    outcome = Outcome.NOT_PROVEN
    if Outcome.NOT_SOUND in outcomes:
        outcome = Outcome.NOT_SOUND
    elif together >= wanted:
        outcome = Outcome.SOUND
    return JudgedAll(tuple(each), together, outcome)


@dataclass(frozen=True, slots=True, eq=False)
class _Against:
    """Which of the drawn surfaces break which limit, and how far they stray."""

    broken: tuple[tuple[str, NDArray[np.bool_]], ...]
    straying_mm: float
    unread_mm: float


@lru_cache(maxsize=1024)
def _against(
    group: tuple[Readings, ...], streams: tuple[int, ...], limits: WearLimits, straying: Straying | None
) -> tuple[_Against, ...]:
    """One change of a set of many must not judge all others anew."""
    shared = shared_errors(group)
    return tuple(
        _Against(tuple(_broken(drawn, limits, shared)), drawn.straying_mm, drawn.unread_mm)
        for drawn in draw_alike(group, streams, straying)
    )


def _weights(readings: Sequence[Readings], against: Mapping[str, _Against], made_beyond: float) -> Floats:
    """How much each draw counts, in sum one: bores are seldom made too small, and wear only widens them."""
    import numpy as np

    beyond = np.zeros(DRAWS)
    for one in readings:
        if one.wearing is not Wearing.HELD:
            found = against[one.name].broken
            beyond += sum(whether for what, whether in found if what == _UNWORN[one.outward])
    # Those that surely are beyond tell nothing of the others.
    weights = np.where(beyond > beyond.min(), made_beyond / (1 - made_beyond), 1.0)
    counted: Floats = weights / weights.sum()
    return counted


def _broken(drawn: DrawnSurface, limits: WearLimits, shared: Floats) -> list[tuple[str, NDArray[np.bool_]]]:
    """For each limit, which of the drawn surfaces break it."""
    found = []
    if limits.diameter_mm is not None:
        low, high = limits.diameter_mm.ends
        if limits.diameter_mm.lower is not None:
            found.append((_TOO_SMALL, drawn.smallest_mm - shared < low))
        if limits.diameter_mm.upper is not None:
            found.append((_TOO_LARGE, drawn.largest_mm - shared > high))
    if limits.out_of_round_mm is not None:
        found.append(("out of round", drawn.out_of_round_mm > limits.out_of_round_mm))
    if limits.taper_mm is not None:
        found.append(("tapered", abs(drawn.taper_mm) > limits.taper_mm))
    return found


def _judged(
    readings: Readings,
    limits: WearLimits,
    within: float,
    broken_with: tuple[tuple[str, float], ...],
    drawn: _Against,
    wanted: float,
) -> Judged:
    form = form_of(readings)
    outcome = Outcome.NOT_PROVEN
    if within >= wanted:
        outcome = Outcome.SOUND
    elif max(chance for _, chance in broken_with) >= wanted:
        outcome = Outcome.NOT_SOUND
    more = None
    if outcome is Outcome.NOT_PROVEN and limits.diameter_mm is not None:
        nearest = _nearest(form, limits.diameter_mm)
        more = to_prove(
            nearest, readings.u_reading_mm, readings.u_shared_mm, limits.diameter_mm, wanted=wanted, unit="mm"
        )
    verdict = Verdict(
        outcome,
        form.max_mm.value if readings.outward > 0 else form.min_mm.value,
        "mm",
        form.max_mm.u if readings.outward > 0 else form.min_mm.u,
        1 - within if outcome is Outcome.NOT_SOUND else within,
        _reasons(readings, form, limits, within, broken_with, drawn, more),
        _cautions(form, limits, outcome),
    )
    return Judged(readings.name, form, within, broken_with, more, verdict)


def _nearest(form: ReadForm, bounds: Bounds) -> float:
    """The end of the readings that lies farther out, or nearer to its limit."""
    low, high = bounds.ends
    return form.max_mm.value if form.max_mm.value - high > low - form.min_mm.value else form.min_mm.value


def _reasons(
    readings: Readings,
    form: ReadForm,
    limits: WearLimits,
    within: float,
    broken_with: tuple[tuple[str, float], ...],
    drawn: _Against,
    more: ToProve | None,
) -> tuple[Reason, ...]:
    kind = "Journal" if isinstance(readings, JournalReadings) else "Bore"
    each = "; ".join(f"{what} with {percent(chance)}" for what, chance in broken_with)
    unread, form_as = (SaidLength(one, 0, form=".2g") for one in (drawn.unread_mm, drawn.straying_mm))
    reasons = [
        Reason.of(f"{kind} {readings.name}: ", *form_said(readings, form)),
        Reason.of(
            *("Within ", *_limits_said(limits), f" with {percent(within)}"),
            f" ({each})." if len(broken_with) > 1 else ".",
            _made_said(readings, limits, broken_with),
            source=limits.source or "limits as given",
        ),
        Reason.of(
            *(
                "Between the places read the surface may stray: by ",
                unread,
                " on average beyond the largest ",
            ),
            *("reading, from readings that spread as a form of ", form_as, " does. "),
            *where_within(readings),
            source="common practice, no source; draws as JCGM 101:2008, 7, clause number from memory",
        ),
    ]
    if more is not None:
        reasons.append(
            Reason.of(
                *("To prove it at the place nearest its limit: ", *(more.parts or (more.advice,))),
                source="JCGM 106:2012, 8.3.2, clause number from memory",
            )
        )
    return tuple(reasons)


def _made_said(readings: Readings, limits: WearLimits, broken_with: tuple[tuple[str, float], ...]) -> str:
    """What was taken of the size as made, where it tells in the answer."""
    tells = dict(broken_with).get(_UNWORN[readings.outward], 0.0) > 0.001
    if not tells or readings.wearing is Wearing.HELD or limits.made_beyond == 0.5:
        return ""
    return (
        f" Wear makes nothing {_UNWORN[readings.outward]}: that it was made so is taken to be one case of "
        f"{1 / limits.made_beyond:.0f} (common practice, no source)."
    )


def _limits_said(limits: WearLimits) -> tuple[SentencePart, ...]:
    said: list[tuple[SentencePart, ...]] = []
    if limits.diameter_mm is not None:
        low, high = (
            None if end is None else SaidLength(end, 0, form=".7g")
            for end in (limits.diameter_mm.lower, limits.diameter_mm.upper)
        )
        if low is not None and high is not None:
            said.append((replace(low, bare=True), " to ", high))
        elif high is not None:
            said.append(("at most ", high))
        elif low is not None:
            said.append(("at least ", low))
    for what, most_mm in (("out-of-round", limits.out_of_round_mm), ("taper", limits.taper_mm)):
        if most_mm is not None:
            said.append((f"{what} at most ", SaidLength(most_mm, 0, form=".4g")))
    return tuple(part for place, each in enumerate(said) for part in (*((", ",) if place else ()), *each))


def _cautions(form: ReadForm, limits: WearLimits, outcome: Outcome) -> tuple[Caution, ...]:
    found = list(form.cautions)
    if limits in (USUAL_BORE_LIMITS, USUAL_JOURNAL_LIMITS):
        found.insert(0, Caution("These limits are other makers', not this engine's: find its manual."))
    if outcome is Outcome.NOT_PROVEN:
        found.insert(0, Caution("Not proven is not a pass: measure again, or with a better gauge."))
    return tuple(found)
