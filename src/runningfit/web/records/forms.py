"""Forms of the records room."""

from __future__ import annotations

from django import forms

from runningfit.core.pieces.identification import Country


class DateInput(forms.DateInput):
    """A date as the browser asks for it."""

    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class EngineForm(forms.Form):
    """What is known of an engine; its build date is a window."""

    engine_name = forms.CharField(
        label="The engine", max_length=120, help_text="Maker's name and type, as you say it."
    )
    engine_number = forms.CharField(label="Engine number", max_length=60, required=False)
    built_from = forms.DateField(label="Built no earlier than", required=False, widget=DateInput())
    built_to = forms.DateField(label="Built no later than", required=False, widget=DateInput())
    built_basis = forms.CharField(
        label="How we know",
        max_length=200,
        required=False,
        help_text="Casting date, number list, a letter: say which.",
    )
    country = forms.ChoiceField(
        label="Built in",
        choices=[("", "not known"), *((country.value, country.value) for country in Country)],
        required=False,
        help_text="Tells which threads were usual.",
    )


class OpenJobForm(EngineForm):
    """A new job with its subject engine."""

    name = forms.CharField(label="Call this job", max_length=120)
    wanted_by = forms.DateField(label="Wanted by", required=False, widget=DateInput())
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 2}))

    field_order = (
        "name",
        "engine_name",
        "engine_number",
        "built_from",
        "built_to",
        "built_basis",
        "country",
        "wanted_by",
    )


class JobForm(forms.Form):
    """What is said of a job."""

    name = forms.CharField(label="Call this job", max_length=120)
    wanted_by = forms.DateField(label="Wanted by", required=False, widget=DateInput())
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 3}))


class WhoForm(forms.Form):
    """Who is at this device."""

    who = forms.CharField(label="Your name at the bench", max_length=60)


class DoorForm(forms.Form):
    """The passcode of the shop."""

    passcode = forms.CharField(widget=forms.PasswordInput, label="Passcode of the shop", max_length=200)


class ShopForm(forms.Form):
    """What the shop says once for all its jobs."""

    name = forms.CharField(label="Name of the shop", max_length=120, required=False)
    label_address = forms.CharField(
        label="Address that labels carry",
        max_length=200,
        required=False,
        help_text="Stable, reachable from your phones: for example http://bench.local:8017. "
        "Labels already printed keep the address they were printed with.",
    )
    currency = forms.CharField(label="Currency sign", max_length=8)
    unit = forms.ChoiceField(label="Show lengths first in", choices=[("in", "inches"), ("mm", "millimetres")])
