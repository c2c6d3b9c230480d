"""Verb of the shells that were fitted: which grades lie in a bearing, so that its fit is judged with them."""

from __future__ import annotations

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.joints.fit_shells import grades_of
from runningfit.workshop.measurements.models import Feature
from runningfit.workshop.records.writing import Hand, write


def say_fitted_shells(*, fit: RunningFit, bearing: str, upper: str, lower: str, hand: Hand) -> RunningFit:
    """Say which grades of shells were fitted in a bearing, or that none is fitted yet.

    Parameters
    ----------
    bearing : str
        By its name on the sheet.
    upper, lower : str
        The grade above and below, as the table of the fit names them; both empty where none is fitted.

    Raises
    ------
    InvalidInput
        A bearing or a grade that the fit does not know, or only one of two shells.
    Conflict
        The fit has no shells, or was taken off meanwhile.
    """
    if fit.kind != "bearing":
        raise Conflict(f"{fit.name} has no shells to be fitted.")
    known = [one.name for one in grades_of(fit)]
    for name, grade in (("upper", upper), ("lower", lower)):
        if grade and grade not in known:
            needs = f"one of {', '.join(known)}" if known else "a grade, and none was typed for this fit"
            raise InvalidInput(name, needs=needs, came=grade)
    if bool(upper) != bool(lower):
        missing = "lower" if upper else "upper"
        raise InvalidInput(
            missing, needs="the other shell too", came="", remedy="Say both, or that none is fitted yet."
        )
    names = Feature.objects.filter(feature_set=fit.hole_set_id, withdrawn=False).values_list(
        "name", flat=True
    )
    if bearing not in names:
        raise InvalidInput("bearing", needs=f"one of {', '.join(names)}", came=bearing)
    told = f"shells {upper} and {lower}" if upper else "no shells yet"
    with write(
        verb="change_fit", summary=f"{fit.name} {bearing}: {told} fitted", hand=hand, job=fit.job
    ) as entry:
        held = RunningFit.objects.select_for_update().get(pk=fit.pk)
        if held.withdrawn:
            raise Conflict(f"The fit {held.name} was taken off meanwhile. Look at its history.")
        others = {name: shells for name, shells in held.fitted_shells.items() if name != bearing}
        fitted = {**others, bearing: [upper, lower]} if upper else others
        return entry.change(held, fitted_shells=fitted)
