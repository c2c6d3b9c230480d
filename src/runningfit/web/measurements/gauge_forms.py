"""Forms of the instrument cupboard; figures are typed in the unit of the gauge."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.utils import timezone

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Quantity
from runningfit.web.measurements.gauge_saying import plain, quantity_of
from runningfit.web.records.forms import DateInput
from runningfit.workshop.measurements.gauges import SaidOfCalibration, SaidOfGauge, SaidOfRing, gauges
from runningfit.workshop.measurements.models import INSTRUMENT_KINDS, UNITS, Instrument
from runningfit.workshop.measurements.typed import TypedNumber, typed_number

_KINDS = {
    Quantity.LENGTH: FeatureKind.GAP,
    Quantity.VOLUME: FeatureKind.VOLUME,
    Quantity.MASS: FeatureKind.WEIGHT,
    Quantity.FORCE: FeatureKind.LOAD,
}
_NUMBER = re.compile(r"\s*([+-]?)\s*(.*?)\s*", re.S)
_PER_K = 1e-6


def figure(name: str, text: str, unit: str) -> TypedNumber | None:
    """Read a figure of a gauge, nought and negative ones too; none where the field is blank."""
    kind = _KINDS[quantity_of(unit)]
    if kind is FeatureKind.GAP:
        return typed_number(name, text, unit=unit, kind=kind)
    parts = _NUMBER.fullmatch(text)
    sign, rest = (parts[1], parts[2]) if parts else ("", text)
    if re.fullmatch(r"0+([.,]0*)?", rest):
        return TypedNumber(0.0, f"{text.strip()} {unit}")
    found = typed_number(name, rest, unit=unit, kind=kind)
    if found is None:
        return None
    return TypedNumber(-found.value if sign == "-" else found.value, f"{sign}{found.typed}")


def needed(name: str, text: str, unit: str) -> TypedNumber:
    """Read a figure that cannot be left out."""
    found = figure(name, text, unit)
    if found is None:
        raise InvalidInput(name, needs=f"a number, such as 0.01 for 0.01 {unit}", came="")
    return found


class GaugeForm(forms.Form):
    """A gauge: what it is, and everything that stands in its budget."""

    name = forms.CharField(
        label="What you call it", max_length=80, help_text="Such as: micrometer 75 to 100."
    )
    kind = forms.ChoiceField(label="What it is", choices=INSTRUMENT_KINDS)
    unit = forms.ChoiceField(
        label="It reads in", choices=UNITS, help_text="All figures here are typed in this unit."
    )
    step = forms.CharField(
        label="Smallest step it shows", max_length=20, help_text="0.01, or 0.0005 on an inch scale."
    )
    mark = forms.CharField(label="Mark or number on it", max_length=40, required=False)
    span_least = forms.CharField(
        label="Smallest size it reads",
        max_length=20,
        required=False,
        help_text="50 of a micrometer 50 to 75.",
    )
    span_most = forms.CharField(
        label="Largest size it reads",
        max_length=20,
        required=False,
        help_text="It is not offered for a size beside these.",
    )
    scatter = forms.CharField(
        label="Scatter",
        max_length=20,
        required=False,
        help_text="The standard deviation of readings of one place. Better tried than guessed.",
    )
    degrees_of_freedom = forms.FloatField(
        label="Degrees of freedom of that",
        required=False,
        help_text="One less than the readings; empty where the scatter was only guessed.",
    )
    ring_size = forms.CharField(
        label="Ring or block that it is set on",
        max_length=20,
        required=False,
        help_text="Its size, as marked or from its certificate.",
    )
    ring_uncertainty = forms.CharField(
        label="How sure that size is",
        max_length=20,
        required=False,
        help_text="As a standard uncertainty: half of the expanded one on a certificate.",
    )
    ring_expansion = forms.FloatField(
        label="Expansion of the ring, millionths for 1 °C",
        help_text="11.5 for steel, about 5 for hard metal, 9 for ceramic (common practice, no source).",
    )
    set_with = forms.ModelChoiceField(
        label="Or the gauge that it is set in",
        queryset=Instrument.objects.none(),
        required=False,
        empty_label="none: it has a ring, or needs no setting",
        help_text="A bore gauge set in a micrometer errs as that does. Between a bore and a piston read with "
        "that micrometer, the error then cancels.",
    )
    drift = forms.CharField(
        label="Drift",
        max_length=20,
        required=False,
        help_text="How far it may move between two checks, either way.",
    )
    term = forms.IntegerField(label="A check holds for, months", min_value=1, max_value=120)
    expansion = forms.FloatField(label="Expansion of the gauge, millionths for 1 °C")
    note = forms.CharField(label="Note", max_length=300, required=False)

    span = ("span_least", "span_most")

    def __init__(self, *args: Any, but: Instrument | None = None, **options: Any) -> None:
        super().__init__(*args, **options)
        field = self.fields["set_with"]
        assert isinstance(field, forms.ModelChoiceField)
        others = [one.pk for one in gauges() if one.unit in ("mm", "in") and one != but]
        field.queryset = Instrument.objects.filter(pk__in=others).order_by("name", "id")

    def said(self) -> SaidOfGauge:
        """Return what was typed, as the verbs take it."""
        values = self.cleaned_data
        unit = values["unit"]
        return SaidOfGauge(
            name=values["name"],
            kind=values["kind"],
            unit=unit,
            resolution=needed("step", values["step"], unit),
            mark=values["mark"],
            span_least=figure("span least", values["span_least"], unit),
            span_most=figure("span most", values["span_most"], unit),
            repeat_u=figure("scatter", values["scatter"], unit),
            repeat_dof=values["degrees_of_freedom"],
            ring_size=figure("ring size", values["ring_size"], unit),
            ring_u=figure("ring uncertainty", values["ring_uncertainty"], unit),
            ring_expansion_per_k=values["ring_expansion"] * _PER_K,
            set_with=values["set_with"],
            drift=figure("drift", values["drift"], unit),
            term_months=values["term"],
            expansion_per_k=values["expansion"] * _PER_K,
            note=values["note"],
        )


def gauge_start(gauge: Instrument | None) -> dict[str, Any]:
    """Return what stands in the form: of a gauge, or what most gauges are."""
    if gauge is None:
        return {"unit": "mm", "term": 12, "expansion": 11.5, "ring_expansion": 11.5}
    unit = gauge.unit
    return {
        "name": gauge.name,
        "kind": gauge.kind,
        "unit": unit,
        "step": plain(gauge.resolution, unit),
        "mark": gauge.mark,
        "span_least": plain(gauge.span_least_mm, unit) if unit in ("mm", "in") else "",
        "span_most": plain(gauge.span_most_mm, unit) if unit in ("mm", "in") else "",
        "scatter": plain(gauge.repeat_u, unit),
        "degrees_of_freedom": "" if gauge.repeat_dof is None else f"{gauge.repeat_dof:g}",
        "ring_size": plain(gauge.ring_size, unit),
        "ring_uncertainty": plain(gauge.ring_u, unit),
        "ring_expansion": round(gauge.ring_expansion_per_k / _PER_K, 6),
        "set_with": gauge.set_with_id,
        "drift": plain(gauge.drift, unit),
        "term": gauge.term_months,
        "expansion": round(gauge.expansion_per_k / _PER_K, 6),
        "note": gauge.note,
    }


class RingForm(forms.Form):
    """What a gauge read on its ring."""

    on = forms.DateField(label="On", widget=DateInput(), initial=timezone.localdate)
    reading = forms.CharField(
        label="What it read on the ring", max_length=20, help_text="The whole size, not only the dial."
    )
    ring_size = forms.CharField(label="The ring or block", max_length=20)
    readings = forms.IntegerField(label="Mean of how many readings", min_value=1, max_value=200, initial=1)
    temperature = forms.FloatField(
        label="Temperature of the gauge, °C", required=False, help_text="Empty where nobody took it."
    )
    temperature_of_the_ring = forms.FloatField(
        label="Temperature of the ring, °C", required=False, help_text="Empty: as warm as the gauge."
    )
    note = forms.CharField(label="Note", max_length=300, required=False)

    def said(self, unit: str) -> SaidOfRing:
        """Return what was typed, as the verb takes it."""
        values = self.cleaned_data
        return SaidOfRing(
            on=values["on"],
            read=needed("reading", values["reading"], unit),
            ring_size=needed("ring size", values["ring_size"], unit),
            count=values["readings"],
            temperature_c=values["temperature"],
            ring_temperature_c=values["temperature_of_the_ring"],
            note=values["note"],
        )


class CertificateForm(forms.Form):
    """What a calibration shop found."""

    on = forms.DateField(label="On", widget=DateInput(), initial=timezone.localdate)
    error = forms.CharField(
        label="It read too much by",
        max_length=20,
        help_text="With a minus where it read too little; 0 if right.",
    )
    uncertainty = forms.CharField(
        label="Uncertainty on the certificate",
        max_length=20,
        required=False,
        help_text="U, as it stands there.",
    )
    coverage_factor = forms.FloatField(label="The k beside it", initial=2.0)
    certificate = forms.CharField(label="Number of the certificate", max_length=80, required=False)
    temperature = forms.FloatField(label="At, °C", required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)

    def said(self, unit: str) -> SaidOfCalibration:
        """Return what was typed, as the verb takes it."""
        values = self.cleaned_data
        return SaidOfCalibration(
            on=values["on"],
            way="certificate",
            error=needed("error", values["error"], unit),
            expanded_u=figure("uncertainty", values["uncertainty"], unit),
            coverage_k=values["coverage_factor"],
            temperature_c=values["temperature"],
            certificate=values["certificate"],
            note=values["note"],
        )


class ScatterForm(forms.Form):
    """Readings of one place, one under the other."""

    readings = forms.CharField(
        label="Ten readings of one place",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 10, "inputmode": "decimal", "autocomplete": "off"}),
        help_text="One a line; a gauge that types does that by itself.",
    )

    def said(self, unit: str) -> list[TypedNumber]:
        """Return the readings; one that cannot be read is named by its line."""
        found = []
        for number, line in enumerate(self.cleaned_data["readings"].splitlines(), start=1):
            if not line.strip():
                continue
            try:
                found.append(needed("reading", line, unit))
            except InvalidInput as error:
                raise InvalidInput(
                    "readings",
                    needs=f"{error.needs} in line {number}",
                    came=line.strip(),
                    remedy=error.remedy,
                ) from error
        return found
