"""Which grade of shells gives which clearance in each bearing, with the probability that it is right."""

from __future__ import annotations

from collections.abc import Sequence

from runningfit.core.joints.running_fits.fit_limits import FitLimits, LimitsFor
from runningfit.core.joints.running_fits.shells import (
    ShellChoice,
    ShellGrade,
    ShellPlace,
    SizeBand,
    choose_shells,
)
from runningfit.core.measurements.uncertainty.shared import u_in_common
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.joints.fit_pairing import LastRead
from runningfit.workshop.measurements.corrected import CorrectedPoint


def grades_of(fit: RunningFit) -> tuple[ShellGrade, ...]:
    """Return the shells that can be had for a fit."""
    return tuple(
        ShellGrade(str(one["name"]), float(one["low_mm"]), float(one["high_mm"])) for one in fit.shell_grades
    )


def fitted_grades(fit: RunningFit, name: str) -> tuple[ShellGrade, ...]:
    """Return the grades, above and below, that were fitted in a bearing; none where nobody said."""
    known = {one.name: one for one in grades_of(fit)}
    told = fit.fitted_shells.get(name, [])
    return tuple(known[one] for one in told) if told and known.keys() >= set(told) else ()


def grades_for(
    fit: RunningFit, name: str, housing: LastRead, journal: LastRead, limits: Sequence[FitLimits]
) -> tuple[ShellChoice, ...]:
    """Return what each grade gives in one bearing, that nearest to the middle of the limits first.

    Where it is closest counts: the narrowest housing on the widest journal. Without a least and a largest
    clearance for new parts nothing can be chosen, and nothing is returned.

    Raises
    ------
    InvalidInput
        Between housing and journal is no room for a shell.
    """
    bounds = next((one.bounds for one in limits if one.used_for is LimitsFor.NEW), None)
    if bounds is None or bounds.lower is None or bounds.upper is None:
        return ()
    around, within = housing.narrowest, journal.widest
    shared = min(u_in_common(around.shared, within.shared), around.whole.u, within.whole.u)
    place = ShellPlace(f"bearing {name}", _band(around), _band(within), shared)
    found = [choose_shells([place], [grade], bounds).choices[0] for grade in grades_of(fit)]
    middle = (bounds.lower + bounds.upper) / 2
    return tuple(sorted(found, key=lambda one: abs(one.clearance_mm - middle)))


def _band(point: CorrectedPoint) -> SizeBand:
    return SizeBand(point.value, point.value, point.whole.u)
