"""Pistons to bores from two sets of the sheet: each bore where it is narrowest, each piston where widest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.matching.running_pairs import RunningPair, RunningPairs, SizedPart, running_pairs
from runningfit.core.measurements.uncertainty.shared import SharedPart, u_of_sum
from runningfit.core.units import LengthUnit, format_measured
from runningfit.core.verdicts import Caution
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.joints.matching import (
    MatchRow,
    MatchShown,
    Pairing,
    listed,
    percent,
    stamp_of,
)
from runningfit.workshop.measurements.corrected import CorrectedSet, cautions_of
from runningfit.workshop.measurements.latest_sizes import latest_sizes
from runningfit.workshop.measurements.models import FeatureSet
from runningfit.workshop.records.models import Job

_HEADS = ("bore", "piston", "clearance", "from the middle")


@dataclass(frozen=True, slots=True)
class PistonsAsked:
    """Which bores, which pistons, between which clearances, and by which aim; ``typed`` as it was asked."""

    hole_set: FeatureSet
    shaft_set: FeatureSet
    least_mm: float
    most_mm: float
    worst_first: bool = True
    source: str = ""
    typed: Mapping[str, str] | None = None


def fit_to_match(job: Job) -> RunningFit | None:
    """Return the fit of pistons in bores that the job has already; none where nobody made one."""
    fits = RunningFit.objects.filter(job=job, kind="piston", withdrawn=False)
    return fits.select_related("hole_set", "shaft_set").order_by("id").first()


def match_pistons(asked: PistonsAsked, unit: LengthUnit) -> MatchShown:
    """Pair pistons with bores.

    Raises
    ------
    InvalidInput
        A set of which nothing is read, limits upside down, or sizes that cannot run in each other.
    """
    holes, shafts = latest_sizes([asked.hole_set, asked.shaft_set])
    pairs = running_pairs(
        _parts(holes, -1.0),
        _parts(shafts, 1.0),
        least_mm=asked.least_mm,
        most_mm=asked.most_mm,
        shared_u_mm=u_of_sum([(1.0, _shared(holes)), (-1.0, _shared(shafts))]),
        bottleneck=asked.worst_first,
    )
    second = None
    if pairs.second and pairs.second_cost_mm is not None:
        second = Pairing(
            _said(asked, pairs.second, pairs.second_cost_mm, unit),
            _HEADS,
            _rows(pairs.second, pairs.changed, unit),
        )
    return MatchShown(
        "pistons",
        Pairing(_said(asked, pairs.best, pairs.best_cost_mm, unit), _HEADS, _rows(pairs.best, (), unit)),
        second,
        _reasons(asked, pairs, unit),
        (*_unread(holes), *_unread(shafts), *_outside(pairs), *cautions_of([holes, shafts])),
        dict(asked.typed or {}),
    )


def _parts(of: CorrectedSet, side: float) -> list[SizedPart]:
    """Each where it is tightest: a bore at its narrowest place read, a piston at its widest."""
    found = []
    for one in of.features:
        if one.points:
            tight = max(one.points.values(), key=lambda point: side * point.value)
            found.append(SizedPart(one.feature.called, tight.value, tight.own_u))
    if not found:
        name = of.feature_set.name
        raise InvalidInput(name, needs="readings", came="none yet", remedy="Read them on the sheet first.")
    return found


def _shared(of: CorrectedSet) -> tuple[SharedPart, ...]:
    return next(point.shared for one in of.features for point in one.points.values())


def _said(asked: PistonsAsked, pairs: Sequence[RunningPair], cost_mm: float, unit: LengthUnit) -> str:
    ends = [format_measured(end(one.clearance_mm for one in pairs), unit) for end in (min, max)]
    span = " to ".join(dict.fromkeys(ends))
    aim = "the worst lies" if asked.worst_first else "together they lie"
    return f"Clearances {span}; {aim} {format_measured(cost_mm, unit)} from the middle."


def _rows(pairs: Sequence[RunningPair], changed: Sequence[str], unit: LengthUnit) -> tuple[MatchRow, ...]:
    rows = []
    for one in pairs:
        stamp, words = stamp_of(one.probability_within)
        clearance = f"{format_measured(one.clearance_mm, unit)} ± {format_measured(2 * one.u_mm, unit)}"
        cells = (one.hole, one.shaft, clearance, format_measured(one.off_middle_mm, unit))
        rows.append(
            MatchRow(cells, stamp, f"{words}: {percent(one.probability_within)}", one.hole in changed)
        )
    return tuple(rows)


def _reasons(asked: PistonsAsked, pairs: RunningPairs, unit: LengthUnit) -> tuple[str, ...]:
    least, most = (format_measured(one, unit) for one in (asked.least_mm, asked.most_mm))
    middle = format_measured((asked.least_mm + asked.most_mm) / 2, unit)
    told = [
        f"The clearance shall lie between {least} and {most}; the middle is {middle}"
        + (f" ({asked.source})." if asked.source else ". Nobody said where these limits stand."),
        "Each bore counts where it is narrowest, each piston where it is widest: where they touch first.",
    ]
    if pairs.second_cost_mm is None:
        return (*told, "There is no other way to pair them.")
    more = pairs.second_cost_mm - pairs.best_cost_mm
    other = f"The second best gives {listed(pairs.changed)} another partner" + (
        f" and lies {format_measured(more, unit)} further off."
        if more > 0
        else " and is as good by this aim."
    )
    told += ["No other pairing is better: all were weighed by the assignment, proven.", other]
    if pairs.probability_best is not None:
        told.append(
            f"That the best is truly no worse than the second is {percent(pairs.probability_best)} sure, as "
            "far as these readings can tell."
        )
    return tuple(told)


def _outside(pairs: RunningPairs) -> list[Caution]:
    told = [
        Caution(
            f"{one.hole} with {one.shaft} is outside the limits in the best pairing: no partner here fits."
        )
        for one in pairs.best
        if stamp_of(one.probability_within)[0] == "bad"
    ]
    if pairs.left_over:
        told.append(Caution(f"Without a partner: {listed(pairs.left_over)}."))
    return told


def _unread(of: CorrectedSet) -> list[Caution]:
    names = [one.feature.called for one in of.features if not one.points]
    return [Caution(f"{of.feature_set.name}: {listed(names)} not read, so left out.")] if names else []
