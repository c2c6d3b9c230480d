"""One feature of each kind: its figures with what they may be off by, held against each group of limits."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import inf, sqrt

from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.conformity.next_readings import to_prove
from runningfit.core.measurements.form.flatness import Flatness, flatness
from runningfit.core.measurements.form.points import Height
from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.measurements.form.vee_block import runout
from runningfit.core.measurements.sheets.features import FeatureKind, SheetPoint
from runningfit.core.measurements.springs import Spring, SpringReading, spring_of
from runningfit.core.measurements.uncertainty.measured import coverage_factor
from runningfit.core.treatments.machining.judging import Judged, WearLimits, judge_wear
from runningfit.core.treatments.machining.readings import (
    BoreReadings,
    JournalReadings,
    ReadForm,
    Readings,
    form_of,
)
from runningfit.core.treatments.machining.wear_forms import Wearing
from runningfit.core.verdicts import Caution, Outcome
from runningfit.workshop.measurements.corrected import CorrectedFeature, CorrectedPoint
from runningfit.workshop.measurements.held_limits import (
    NEW,
    Allowed,
    Held,
    LimitGroup,
    Proof,
    Value,
    hold,
    proof_of,
    softened,
)
from runningfit.workshop.measurements.models import FeatureSet

# What wears those of the usual sets that rings or bearings do not wear (common practice, no source).
_WEARING = {
    "guides": Wearing.GUIDE,
    "stems": Wearing.STEM,
    "main_housings": Wearing.HELD,
    "big_ends": Wearing.HELD,
}
_LEAST_CYLINDER_MM = 30.0
# The vees that nearly every shop has; which were used is not asked.
_VEE_DEG = 90.0
_NORMAL = 1.959964
_VEES = Caution(f"The V-blocks are taken as {_VEE_DEG:g}° ones.")
_STRAIGHT_EDGE = Caution(
    "Gaps under a straight edge that was laid anew each time are not all over one plane: the largest gap "
    "read stands beside the flatness."
)


@dataclass(frozen=True, slots=True)
class Figure:
    """Something that the readings come to, such as the taper; its standard uncertainty where it has one."""

    name: str
    value: float
    u: float | None
    unit: str


@dataclass(frozen=True, slots=True)
class Found:
    """What one feature comes to: figures, the limits it was held against, the points that are worst."""

    figures: tuple[Figure, ...] = ()
    held: tuple[Held, ...] = ()
    worst: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()


def found_of(
    kind: FeatureKind,
    points: Sequence[SheetPoint],
    one: CorrectedFeature,
    groups: Sequence[LimitGroup],
) -> Found:
    """Return what a feature comes to, from those of its points that are read.

    Parameters
    ----------
    points : sequence of SheetPoint
        Those that are read.
    groups : sequence of LimitGroup
        The limits, those that decide first.

    Raises
    ------
    InvalidInput
        The readings cannot be what they are said to be, or are too few for what is asked.
    """
    judge: Callable[..., Found] = _plain
    if kind.is_round and len(points) > 1:
        judge = _round
    elif kind is FeatureKind.FACE:
        judge = _face
    elif kind is FeatureKind.RUNOUT:
        judge = _runout
    elif kind is FeatureKind.LOAD:
        judge = _load
    return judge(kind, points, one, groups)


def already_outside(
    kind: FeatureKind,
    points: Sequence[SheetPoint],
    one: CorrectedFeature,
    groups: Sequence[LimitGroup],
) -> tuple[Held, ...]:
    """Return what one reading alone already shows to be outside, whatever is read besides."""
    if kind in (FeatureKind.FACE, FeatureKind.RUNOUT):
        return ()
    is_load = kind is FeatureKind.LOAD
    sizes = _load_at(points, one, groups) if is_load else _plain(kind, points, one, groups)
    return tuple(held for held in sizes.held if held.verdict.outcome is Outcome.NOT_SOUND)


def _unit(kind: FeatureKind) -> str:
    return kind.quantity.unit


def _plain(
    kind: FeatureKind, points: Sequence[SheetPoint], one: CorrectedFeature, groups: Sequence[LimitGroup]
) -> Found:
    """Sizes at places, each of which must lie within."""
    values = [Value.of(point.said, one.points[point.key]) for point in points]
    held = tuple(
        hold(group, [(value, limit) for limit in group.of("size") for value in values], _unit(kind))
        for group in groups
        if group.of("size")
    )
    low = min(points, key=lambda point: one.points[point.key].value)
    high = max(points, key=lambda point: one.points[point.key].value)
    figures = [_of_point("largest" if len(points) > 1 else "read", one.points[high.key], _unit(kind))]
    if len(points) > 1:
        figures.append(_of_point("smallest", one.points[low.key], _unit(kind)))
    upward = held and (held[0].verdict.value or 0.0) >= one.points[high.key].value
    worst = () if len(points) == 1 else ((high if upward or not held else low).key,)
    return Found(tuple(figures), held, worst)


def _of_point(name: str, point: CorrectedPoint, unit: str) -> Figure:
    return Figure(name, point.value, point.whole.u, unit)


def _round(
    kind: FeatureKind, points: Sequence[SheetPoint], one: CorrectedFeature, groups: Sequence[LimitGroup]
) -> Found:
    """Diameters over depths and directions, with what may lie between them."""
    readings = readings_of(kind, points, one)
    form = _form(readings)
    figures = [
        Figure("largest", form.max_mm.value, form.max_mm.u, "mm"),
        Figure("smallest", form.min_mm.value, form.min_mm.u, "mm"),
    ]
    if len({(point.angle_deg or 0.0) % 180.0 for point in points}) > 1:
        figures.append(Figure("out_of_round", form.out_of_round_mm.value, form.out_of_round_mm.u, "mm"))
    if len({point.depth_mm for point in points}) > 1:
        figures.append(Figure("taper", form.taper_mm.value, form.taper_mm.u, "mm"))
    if form.barrel_mm is not None:
        figures.append(Figure("barrel", form.barrel_mm.value, form.barrel_mm.u, "mm"))
    held = [_round_held(readings, group) for group in groups if group.of("size", "out_of_round", "taper")]
    worst = next(
        point.key
        for point in points
        if point.depth_mm == form.worst.depth_mm and (point.angle_deg or 0.0) % 180.0 == form.worst.angle_deg
    )
    return Found(tuple(figures), tuple(held), (worst,), form.cautions)


@lru_cache(maxsize=4096)
def _form(readings: Readings) -> ReadForm:
    return form_of(readings)


def readings_of(kind: FeatureKind, points: Sequence[SheetPoint], one: CorrectedFeature) -> Readings:
    """Return a bore or journal as the core reads it.

    A scatter of few degrees of freedom is widened until its interval of 95 % is that of Student's t. What
    points share is the most that one of them does.
    """
    diameters: list[Diameter] = []
    u_one = u_shared = 0.0
    for point in points:
        corrected = one.points[point.key]
        place = Diameter(point.depth_mm or 0.0, point.angle_deg or 0.0, corrected.value)
        diameters += [place] * corrected.count
        u_one = max(u_one, corrected.own_u * sqrt(corrected.count) * _widened(corrected.own_dof))
        u_shared = max(u_shared, corrected.shared_u)
    sort = BoreReadings if kind is FeatureKind.BORE else JournalReadings
    wearing = _wearing(kind, one.feature.feature_set)
    return sort(one.feature.name, tuple(diameters), u_one, u_shared, wearing=wearing)


def _wearing(kind: FeatureKind, feature_set: FeatureSet) -> Wearing:
    """Return what wears the features of a set; a bore that nobody said more of is a bush if it is small."""
    if feature_set.purpose in _WEARING:
        return _WEARING[feature_set.purpose]
    if kind is FeatureKind.SHAFT:
        return Wearing.JOURNAL
    small = feature_set.purpose == "" and (feature_set.nominal or inf) < _LEAST_CYLINDER_MM
    return Wearing.GUIDE if small else Wearing.RINGS


@lru_cache(maxsize=256)
def _widened(dof: float) -> float:
    return 1.0 if dof == inf else coverage_factor(0.95, dof) / _NORMAL


def wear_limits_of(group: LimitGroup) -> WearLimits:
    """Return the limits of a bore or journal as the core takes them."""

    def most(what: str) -> float | None:
        found = group.of(what)
        return found[0].bounds.upper if found else None

    sizes = group.of("size")
    sources = dict.fromkeys(one.source for one in group.of("size", "out_of_round", "taper"))
    found = WearLimits(
        sizes[0].bounds if sizes else None, most("out_of_round"), most("taper"), "; ".join(sources)
    )
    # What is held against the limits of new parts may have been cut just now, to either side of them.
    return replace(found, made_beyond=0.5) if group.state == NEW else found


def _round_held(readings: Readings, group: LimitGroup) -> Held:
    limits = wear_limits_of(group)
    judged = _judged(readings, limits)
    verdict = judged.verdict
    proof = None
    if verdict.outcome is Outcome.NOT_PROVEN:
        proof = _proof_of_round(judged, limits)
    return softened(Held(group, verdict, judged.probability_within, judged.broken_with, proof))


@lru_cache(maxsize=4096)
def _judged(readings: Readings, limits: WearLimits) -> Judged:
    """Drawing surfaces takes a hundredth of a second: one change must not draw all others anew."""
    return judge_wear([readings], limits).each[0]


_MORE_PLACES = Proof(
    "The places read keep it; what lies between them is not shown. Read more directions and more depths."
)


def _proof_of_round(judged: Judged, limits: WearLimits) -> Proof:
    what = max(judged.broken_with, key=lambda each: each[1])[0]
    if what in ("too small", "too large"):
        more = judged.to_prove
    else:
        figure = judged.form.out_of_round_mm if what == "out of round" else judged.form.taper_mm
        limit = limits.out_of_round_mm if what == "out of round" else limits.taper_mm
        bounds = Bounds(None, limit)
        more = to_prove(abs(figure.value), figure.u, 0.0, bounds, unit="mm") if figure.u else None
    if more is None or more.readings == 1:
        return _MORE_PLACES
    return proof_of(more, what, 1)


def _face(
    _kind: FeatureKind, points: Sequence[SheetPoint], one: CorrectedFeature, groups: Sequence[LimitGroup]
) -> Found:
    """Heights over a grid, with the narrowest pair of planes and the plane of least squares.

    The zone hangs on up to four points, whose shares, ups and downs alike, are one in sum: its uncertainty is
    at most √2 of one reading's. What all readings share drops out.
    """
    heights = tuple(
        Height(point.x_mm or 0.0, point.y_mm or 0.0, one.points[point.key].value) for point in points
    )
    flat = _flatness(heights)
    u = sqrt(2) * max(one.points[point.key].own_u for point in points)
    dof = min(one.points[point.key].own_dof for point in points)
    value = Value("flatness", flat.minimum_zone_mm, u, dof, 0.0)
    held = tuple(
        hold(group, [(value, limit) for limit in group.of("flatness", "size")], "mm", [_STRAIGHT_EDGE])
        for group in groups
        if group.of("flatness", "size")
    )
    largest = max(one.points.values(), key=lambda point: point.value)
    figures = (
        Figure("flatness", flat.minimum_zone_mm, u, "mm"),
        Figure("flatness_least_squares", flat.least_squares_mm, u, "mm"),
        _of_point("largest", largest, "mm"),
    )
    worst = tuple(points[index].key for index in (*flat.highest, *flat.lowest))
    return Found(figures, held, worst, (_STRAIGHT_EDGE,))


@lru_cache(maxsize=256)
def _flatness(heights: tuple[Height, ...]) -> Flatness:
    return flatness(heights)


def _runout(
    _kind: FeatureKind, points: Sequence[SheetPoint], one: CorrectedFeature, groups: Sequence[LimitGroup]
) -> Found:
    """An indicator's readings over a turn; where it was set to nought drops out."""
    read = [one.points[point.key] for point in points]
    u = max(each.own_u for each in read)
    angles, values = [point.angle_deg or 0.0 for point in points], [each.value for each in read]
    found = runout(angles, values, _VEE_DEG, u)
    value = Value("run-out", found.total_mm, sqrt(2) * u, min(each.own_dof for each in read), 0.0)
    cautions = (*found.cautions, _VEES)
    held = tuple(
        hold(group, [(value, limit) for limit in group.of("size")], "mm", cautions)
        for group in groups
        if group.of("size")
    )
    figures = (
        Figure("run_out", found.total_mm, sqrt(2) * u, "mm"),
        Figure("bend", found.bow_mm, found.u_bow_mm, "mm"),
        Figure("bend_towards", found.towards_deg, None, "°"),
    )
    high = max(points, key=lambda point: one.points[point.key].value)
    low = min(points, key=lambda point: one.points[point.key].value)
    return Found(figures, held, (high.key, low.key), cautions)


def _load(
    _kind: FeatureKind, points: Sequence[SheetPoint], one: CorrectedFeature, groups: Sequence[LimitGroup]
) -> Found:
    """Loads of a spring at its heights, its rate and where it stands free."""
    if len(points) < 2:
        return _load_at(points, one, groups)
    line = _line(points, one, points[0].depth_mm or 0.0)
    rate = _rate(points, one, line)
    found = _load_at(points, one, groups, rate)
    figures = (
        *found.figures,
        Figure("rate", rate.value, rate.whole.u, "N/mm"),
        Figure("free_length", line.free_length_mm, None, "mm"),
    )
    return Found(figures, found.held, found.worst, line.cautions)


def _rate(points: Sequence[SheetPoint], one: CorrectedFeature, line: Spring) -> Value:
    rate = line.rate_n_per_mm
    # What a tester errs by may grow with the load: then it is in the rate by the same share.
    share = max(each.shared_u / abs(each.value) for each in (one.points[point.key] for point in points))
    return Value("rate", rate.value, rate.u, max(1.0, rate.dof), rate.value * share, unit="N/mm")


def _load_at(
    points: Sequence[SheetPoint],
    one: CorrectedFeature,
    groups: Sequence[LimitGroup],
    rate: Value | None = None,
) -> Found:
    by_height = {point.depth_mm: Value.of(point.said, one.points[point.key]) for point in points}
    held = []
    for group in groups:
        pairs: list[tuple[Value, Allowed]] = []
        for limit in group.of("size"):
            if limit.at_mm is None:
                pairs += [(value, limit) for value in by_height.values()]
            elif limit.at_mm in by_height:
                pairs.append((by_height[limit.at_mm], limit))
            elif len(points) > 1:
                pairs.append((_between(points, one, limit.at_mm), limit))
        if rate is not None:
            pairs += [(rate, limit) for limit in group.of("rate")]
        if pairs:
            held.append(hold(group, pairs, "N"))
    figures = tuple(
        Figure(f"load at {point.depth_mm:g} mm", each.value, each.whole.u, "N")
        for point in points
        for each in (one.points[point.key],)
    )
    return Found(figures, tuple(held), ())


def _between(points: Sequence[SheetPoint], one: CorrectedFeature, height_mm: float) -> Value:
    """The load at a height that was not read, on the line through those that were."""
    load = _line(points, one, height_mm).load_n
    shared = max(one.points[point.key].shared_u for point in points)
    return Value(f"at {height_mm:g} mm, on the line", load.value, load.u, max(1.0, load.dof), shared)


def _line(points: Sequence[SheetPoint], one: CorrectedFeature, height_mm: float) -> Spring:
    read = tuple(SpringReading(point.depth_mm or 0.0, one.points[point.key].value) for point in points)
    return _spring(read, height_mm, max(one.points[point.key].own_u for point in points))


@lru_cache(maxsize=1024)
def _spring(read: tuple[SpringReading, ...], height_mm: float, u_load_n: float) -> Spring:
    return spring_of(read, height_mm, u_load_n)
