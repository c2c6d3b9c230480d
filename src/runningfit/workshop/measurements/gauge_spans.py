"""Which sizes a gauge spans: whether it can read a size at all, and which gauges of the shop can."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.measurements.sheets.shown_values import UNITS_OF
from runningfit.core.units import LengthUnit, format_measured
from runningfit.workshop.measurements.gauges import gauges
from runningfit.workshop.measurements.models import FeatureSet, Instrument

# What is worn or oversize lies a little beside its nominal size: so far beside its span a gauge is offered
# (common practice, no source).
_BESIDE_MM = 1.0


@dataclass(frozen=True, slots=True)
class GaugesFor:
    """The gauges in use that can read a set, and of the others of its unit why they cannot."""

    can: tuple[Instrument, ...]
    cannot: tuple[str, ...]


def why_not_spanned(gauge: Instrument, size_mm: float | None, *, beside_mm: float = 0.0) -> str:
    """Say why a gauge cannot read a size; empty where it can, or where nobody said what it spans.

    Parameters
    ----------
    size_mm : float or None
        The size that is read; none where nobody knows it [mm].
    beside_mm : float
        How far beside its span the size may lie [mm].
    """
    least, most = gauge.span_least_mm, gauge.span_most_mm
    if size_mm is None or (least is None and most is None):
        return ""
    if (least is None or size_mm >= least - beside_mm) and (most is None or size_mm <= most + beside_mm):
        return ""
    unit = LengthUnit(gauge.unit) if gauge.unit in set(LengthUnit) else LengthUnit.MM
    return f"{gauge.name} spans {span_said(gauge)}, and this is {format_measured(size_mm, unit)}"


def span_said(gauge: Instrument) -> str:
    """Say what a gauge spans, as it was typed; empty where nobody said."""
    least, most = (gauge.typed.get(name, "") for name in ("span_least", "span_most"))
    if least and most:
        return f"{least} to {most}"
    return f"{least} and more" if least else f"up to {most}" if most else ""


def gauges_for(feature_set: FeatureSet) -> GaugesFor:
    """Return which gauges in use can read a set; that with which it is read now is always among them."""
    kind = FeatureKind(feature_set.kind)
    size_mm = nominal_mm(feature_set)
    can, cannot = [], []
    for one in gauges():
        if one.unit not in UNITS_OF[kind.quantity]:
            continue
        why = why_not_spanned(one, size_mm, beside_mm=_BESIDE_MM)
        if why and one.pk != feature_set.instrument_id:
            cannot.append(why)
        else:
            can.append(one)
    return GaugesFor(tuple(can), tuple(cannot))


def nominal_mm(feature_set: FeatureSet) -> float | None:
    """Return the size that a gauge for a set must span [mm]; none where it is no size, or nobody knows."""
    return feature_set.nominal if FeatureKind(feature_set.kind).is_size else None


def need_spanned(gauge: Instrument | None, size_mm: float | None) -> None:
    """Refuse a gauge that cannot read a size.

    Parameters
    ----------
    size_mm : float or None
        The size that is read; none where nobody knows it [mm].

    Raises
    ------
    InvalidInput
        Named ``instrument``: the size lies outside what the gauge spans.
    """
    why = why_not_spanned(gauge, size_mm, beside_mm=_BESIDE_MM) if gauge else ""
    if gauge and why:
        raise InvalidInput(
            "instrument", needs="a gauge that spans the size", came=why,
            remedy="Take another, or say at the gauge what it spans.",
        )  # fmt: skip
