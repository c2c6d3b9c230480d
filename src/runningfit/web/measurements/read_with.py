"""What a sheet is read with: the gauge of the set; its unit and the warmth as chosen in this browser."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from runningfit.core.measurements.sheets.features import FeatureKind, Quantity
from runningfit.core.measurements.sheets.shown_values import UNITS_OF
from runningfit.workshop.measurements.models import FeatureSet, Instrument
from runningfit.workshop.records.queries import the_shop

_WARMTH = "piece-at"


@dataclass(frozen=True, slots=True)
class ReadWith:
    """With what a set is read now; the temperature as typed, empty where nobody took it."""

    instrument: Instrument | None
    unit: str
    set_at_mm: float | None
    set_at: str
    temperature: str

    @property
    def words(self) -> str:
        """Say it in a line."""
        parts = [
            str(self.instrument) if self.instrument else "gauge not said",
            f"reads {unit_words(self.unit)}",
        ]
        if self.set_at_mm is not None:
            parts.append(f"compares with {self.set_at or f'{self.set_at_mm:g} mm'}")
        if self.temperature:
            parts.append(f"piece at {self.temperature} °C")
        return " · ".join(parts)

    @property
    def unit_words(self) -> str:
        """The unit in words."""
        return unit_words(self.unit)

    @property
    def set_at_plain(self) -> str:
        """The setting as the page's queue keeps it [mm]."""
        return "" if self.set_at_mm is None else repr(self.set_at_mm)

    @property
    def temperature_c(self) -> float | None:
        """How warm the piece is [°C]."""
        return float(self.temperature) if self.temperature else None

    @property
    def initial(self) -> dict[str, Any]:
        """What the form that changes it shows."""
        return {
            "instrument": self.instrument.pk if self.instrument else None,
            "unit": self.unit,
            "set_at": self.set_at,
            "temperature": self.temperature,
        }


def unit_words(unit: str) -> str:
    """Say a unit: inches, or as it is written."""
    return "inches" if unit == "in" else unit


def units_for(one: FeatureSet) -> tuple[str, ...]:
    """Return the units that a gauge for a set may stand on."""
    return UNITS_OF[FeatureKind(one.kind).quantity]


def read_with(request: HttpRequest, one: FeatureSet) -> ReadWith:
    """Return with what a set is read in this browser today."""
    units = units_for(one)
    usual = one.instrument.unit if one.instrument else the_shop().unit
    unit = request.session.get(_unit_key(one), usual)
    warmth = request.session.get(_WARMTH) or ["", ""]
    today = timezone.localdate().isoformat()
    is_length = FeatureKind(one.kind).quantity is Quantity.LENGTH
    return ReadWith(
        instrument=one.instrument,
        unit=unit if unit in units else units[0],
        set_at_mm=one.set_at_mm if is_length else None,
        set_at=one.typed.get("set_at", ""),
        # A piece is as warm as it was only today; tomorrow it is asked for anew.
        temperature=warmth[0] if warmth[1] == today else "",
    )


def remember(request: HttpRequest, one: FeatureSet, *, unit: str, temperature: str) -> None:
    """Keep in this browser's session on which unit the gauge stands, and how warm the piece is today."""
    request.session[_unit_key(one)] = unit
    request.session[_WARMTH] = [temperature, timezone.localdate().isoformat()]


def _unit_key(one: FeatureSet) -> str:
    return f"gauge-unit-{one.instrument_id or 0}-{FeatureKind(one.kind).quantity}"
