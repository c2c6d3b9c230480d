"""Forms of findings."""

from __future__ import annotations

from typing import Any

from django import forms

from runningfit.workshop.pieces.models import Area, Finding, Place
from runningfit.workshop.records.models import Job


class FindingForm(forms.Form):
    """What was met: tap what, say where; the rest may stay empty."""

    what = forms.ChoiceField(label="What is it?", choices=Finding.KINDS, widget=forms.RadioSelect)
    area = forms.ModelChoiceField(
        label="Where", queryset=Area.objects.none(), required=False, empty_label="not said"
    )
    place = forms.ModelChoiceField(
        label="Which place",
        queryset=Place.objects.none(),
        required=False,
        empty_label="none of them, or not said",
    )
    lot = forms.IntegerField(label="Lot number", min_value=1, required=False)
    count = forms.IntegerField(label="How many?", min_value=1, max_value=100_000, required=False)
    note = forms.CharField(label="In your words", required=False, max_length=2000)
    tried = forms.CharField(label="What was tried", required=False, max_length=300)

    def __init__(self, job: Job, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name, rows in (
            ("area", Area.objects.filter(job=job, withdrawn=False).order_by("name")),
            ("place", Place.objects.filter(area__job=job, withdrawn=False).order_by("area__name", "name")),
        ):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows


class SettleForm(forms.Form):
    """What became of a finding."""

    why = forms.CharField(
        label="What became of it?", max_length=300, help_text="Drilled out; the thread is whole."
    )
