"""What is doubtful on a sheet: values that stand although they look odd, gaps in what was read, the gauge."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.measurements.sheets.oddities import oddities_of
from runningfit.core.measurements.sheets.proposals import sizes_of
from runningfit.core.measurements.sheets.typed_values import doubt_of
from runningfit.workshop.measurements.gauge_states import gauge_on
from runningfit.workshop.measurements.models import Calibration, Feature
from runningfit.workshop.measurements.queries import SetState, usual_value


@dataclass(frozen=True, slots=True)
class Doubtful:
    """One thing that is doubtful; the point's key where it is one reading, empty where all of a feature."""

    feature: Feature
    point: str
    why: str


def doubtful_of(state: SetState, *, unit: str) -> tuple[Doubtful, ...]:
    """Return what is doubtful about the readings of a set, feature by feature.

    Parameters
    ----------
    unit : str
        The unit in which lengths are said, mm or in.
    """
    found = []
    every = [
        (key, value) for one in state.features for key, point in one.points.items() for value in point.values
    ]
    usual = {point.key: usual_value(state.feature_set, point.key, every) for point in state.points}
    between = sizes_of(state.feature_set.purpose)
    for one in state.features:
        means = {key: point.mean for key, point in one.points.items() if point.mean is not None}
        for key, mean in means.items():
            doubt = doubt_of(mean, usual[key], kind=state.kind, unit=unit, between_mm=between)
            if doubt is not None:
                reasons = [row.why for row in one.points[key].rows if row.why]
                found.append(
                    Doubtful(one.feature, key, doubt.why + (f" Kept: {reasons[-1]}." if reasons else ""))
                )
        found += [
            Doubtful(one.feature, "", said) for said in oddities_of(means, state.points, kind=state.kind)
        ]
    return tuple(found)


def cautions_of_gauge(state: SetState, checks: Sequence[Calibration], day: dt.date) -> tuple[str, ...]:
    """Return what speaks against the gauge of a set on a day; nothing while nothing was read.

    Parameters
    ----------
    checks : sequence of Calibration
        The checks of its gauge, latest first.
    day : date
        When it is read.
    """
    if not state.read_count:
        return ()
    return tuple(one.text for one in gauge_on(state.feature_set.instrument, checks, day).cautions)
