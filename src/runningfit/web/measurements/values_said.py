"""Readings and limits in words, as the pages of the sheet show them."""

from __future__ import annotations

from runningfit.core.measurements.sheets.features import FeatureKind, Quantity
from runningfit.core.measurements.sheets.shown_values import UNITS_OF, ShownValue, in_unit, shown_value
from runningfit.workshop.measurements.models import FeatureLimit, FeatureSet, Reading
from runningfit.workshop.measurements.queries import Standing

# Of what a limit is one of form, whatever is measured.
_FORMS = ("out_of_round", "taper", "flatness")


def stands(point: Standing, kind: FeatureKind, unit: str) -> ShownValue | None:
    """Say what stands at a point, in the unit of the sheet and the other one; None where nothing does."""
    if point.mean is None:
        return None
    steps = [row.step for row in point.rows if row.step]
    return shown_value(point.mean, kind.quantity, unit=unit, step=min(steps) if steps else None)


def stands_in_words(point: Standing, kind: FeatureKind, unit: str) -> str:
    """Say all that is to be said of a point: its value, how often it was read, what gave way."""
    shown = stands(point, kind, unit)
    if shown is None:
        return ""
    said = shown.said + (f" ({shown.other})" if shown.other else "")
    if len(point.rows) > 1:
        said += f" · mean of {len(point.rows)}"
    if point.superseded:
        said += f" · {point.superseded} earlier"
    return said + "".join(f" · {row.why}" for row in point.rows[-1:] if row.why)


def read_by(row: Reading) -> str:
    """Say who read a point and when."""
    return f"{row.at:%-d %b %H:%M}" + (f" by {row.who}" if row.who != "not said" else "")


def limit_quantity(limit_what: str, kind: FeatureKind) -> Quantity:
    """Return what a limit is a value of: a form is a length, whatever the set measures."""
    return Quantity.LENGTH if limit_what in _FORMS else kind.quantity


def limit_words(limit: FeatureLimit, feature_set: FeatureSet, unit: str) -> str:
    """Say what a limit allows, as it was typed where that is known."""
    quantity = limit_quantity(limit.what, FeatureKind(feature_set.kind))

    def side(name: str, value: float | None) -> str:
        if value is None:
            return ""
        if limit.what == "rate":
            return limit.typed.get(name) or f"{value:.4g} N/mm"
        return limit.typed.get(name) or shown_value(value, quantity, unit=unit).said

    lower, upper = side("lower", limit.lower), side("upper", limit.upper)
    if lower and upper:
        return f"{lower} to {upper}"
    return f"at least {lower}" if lower else f"at most {upper}"


def instead_typed(value: float, kind: FeatureKind, unit: str, set_at_mm: float | None) -> str:
    """Write what a reading may have meant as it is typed, from the setting of a comparing gauge."""
    quantity = kind.quantity
    unit = unit if unit in UNITS_OF[quantity] else UNITS_OF[quantity][0]
    typed = round(in_unit(value - (set_at_mm or 0.0), quantity, unit), 6)
    return f"{typed:.6f}".rstrip("0").rstrip(".") + f" {unit}"
