"""Simulated fits judged as the workshop judges them, and how often what was said of them was true."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field

from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.joints.fit_answers import JudgedFit, PairAnswer
from runningfit.workshop.joints.fit_judging import judge_fit
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.joints.fit_pairing import LastRead, LastReadSet
from runningfit.workshop.measurements.corrected import corrected
from runningfit.workshop.measurements.gauge_states import Cupboard
from runningfit.workshop.measurements.models import Calibration, Feature, FeatureSet, Instrument, Reading
from runningfit.workshop.measurements.queries import FeatureState, SetState, Standing, points_of_set
from simulators.engine_trials import Reliability
from simulators.whole_fits import Fit, Gauge

_NOON = dt.datetime(2026, 3, 2, 12, tzinfo=dt.UTC)
_DAYS_A_MONTH = 30.4375
# Nothing is kept in a database: rows have the numbers that it would have given them.
_OUTSIDE, _INSIDE, _HOLES, _SHAFTS = 1, 2, 1, 2


@dataclass
class Trial:
    """What was said of fits and what was true: of all, of each sort, and of gauges that nobody had tried."""

    all: Reliability = field(default_factory=Reliability)
    sorts: dict[str, Reliability] = field(default_factory=dict)
    untried: Reliability = field(default_factory=Reliability)


def judged_many(fits: Iterable[Fit], *, borrowed: bool = False) -> Trial:
    """Judge fits, with limits of their maker or with borrowed ones, and see what was true."""
    trial = Trial()
    for number, fit in enumerate(fits):
        scores = [trial.all, trial.sorts.setdefault(fit.sort.name, Reliability())]
        if fit.inside.told.repeat is None:
            scores.append(trial.untried)
        said = judged_as_in_the_shop(fit, borrowed=borrowed)
        for pair, judged in zip(fit.pairs, said.pairs, strict=True):
            assert isinstance(judged.answer, PairAnswer), judged.answer
            assert judged.answer.kept is not None
            for score in scores:
                score.add(judged.answer.kept.inside, fit.keeps(pair), number)
    return trial


def judged_as_in_the_shop(fit: Fit, *, borrowed: bool = False) -> JudgedFit:
    """Return a simulated fit judged from its readings, by the rows that the workshop would have kept."""
    outside = _instrument(fit.outside, _OUTSIDE, "micrometer")
    inside = _instrument(fit.inside, _INSIDE, "bore_gauge")
    if fit.set_in_micrometer:
        inside.set_with = outside
        inside.ring_u = None
    checks = {one.pk: [_check(of, one)] for of, one in ((fit.outside, outside), (fit.inside, inside))}
    cupboard = Cupboard({_OUTSIDE: outside, _INSIDE: inside}, checks)
    sort = fit.sort
    flat = sort.name == "end_float"
    holes = _set(_HOLES, FeatureKind.LENGTH if flat else FeatureKind.BORE, sort.hole_metal, sort.hole_points)
    shafts = _set(
        _SHAFTS, FeatureKind.LENGTH if flat else FeatureKind.SHAFT, sort.shaft_metal, sort.shaft_points
    )
    read = {
        one.feature_set.pk: LastReadSet(
            one.feature_set,
            {
                feature.feature.name: LastRead(state, feature, 1)
                for state, feature in zip(one.state.features, one.features, strict=True)
            },
            one.cautions,
        )
        for one in corrected(
            [
                _state(holes, fit, [pair.hole_read for pair in fit.pairs], _INSIDE),
                _state(shafts, fit, [pair.shaft_read for pair in fit.pairs], _OUTSIDE),
            ],
            cupboard,
        )
    }
    low, high = sort.crush or (None, None)
    kept = RunningFit(
        pk=1, kind=sort.name, name=sort.name, hole_set=holes, shaft_set=shafts, new_lower_mm=fit.limits[0],
        new_upper_mm=fit.limits[1],
        basis="practice" if borrowed else "manual", source="page 1", shell_mm=fit.shell_read,
        shell_u_mm=fit.shell_u, crush_low_mm=low, crush_high_mm=high, outer_mm=fit.nominal * 1.6,
        length_mm=20.0, roughness_mm=0.004,
    )  # fmt: skip
    return judge_fit(kept, read[_HOLES], read[_SHAFTS], {})


def _instrument(gauge: Gauge, pk: int, kind: str) -> Instrument:
    told = gauge.told
    return Instrument(
        pk=pk, name=kind, kind=kind, unit="mm", resolution=told.step, repeat_u=told.repeat,
        repeat_dof=None if told.repeat is None else 9.0, ring_u=told.ring_u, drift=told.drift,
    )  # fmt: skip


def _check(gauge: Gauge, instrument: Instrument) -> Calibration:
    on = _NOON.date() - dt.timedelta(days=round(gauge.told.months * _DAYS_A_MONTH))
    return Calibration(
        pk=instrument.pk, instrument=instrument, on=on, way="certificate", error=0.0,
        expanded_u=gauge.told.certificate, coverage_k=2.0,
    )  # fmt: skip


def _set(pk: int, kind: FeatureKind, metal: str, points: int) -> FeatureSet:
    depths = [10.0 * at for at in range(1, points + 1)] if kind.is_round else []
    return FeatureSet(
        pk=pk, kind=kind.value, name="holes" if pk == _HOLES else "shafts", material=metal,
        first_numbers=depths, second_numbers=[0.0] if kind.is_round else [], places=points,
    )  # fmt: skip


def _state(of: FeatureSet, fit: Fit, read: Iterable[tuple[tuple[float, ...], ...]], gauge: int) -> SetState:
    points = points_of_set(of)
    set_at = fit.nominal if gauge == _INSIDE and of.kind == FeatureKind.BORE else None
    features = []
    for number, places in enumerate(read, start=1):
        feature = Feature(pk=100 * of.pk + number, feature_set=of, position=number, name=str(number))
        stands = {
            point.key: Standing(
                [
                    Reading(
                        feature=feature, point=point.key, value=value, step=None, instrument_id=gauge,
                        temperature_c=fit.thermometer_c, at=_NOON, set_at_mm=set_at, who="Ann",
                    )
                    for value in values
                ]
            )
            for point, values in zip(points, places, strict=True)
        }  # fmt: skip
        features.append(FeatureState(feature, stands))
    return SetState(of, points, tuple(features), (), 0)
