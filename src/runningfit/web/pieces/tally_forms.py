"""Forms of the tally sheet."""

from __future__ import annotations

from django import forms

from runningfit.core.pieces.kinds import label
from runningfit.workshop.pieces.models import LOOKS
from runningfit.workshop.pieces.tally import TALLIED_KINDS
from runningfit.workshop.records.models import Engine, Job


class OpenSheetForm(forms.Form):
    """What is fixed once for a whole sheet."""

    kind = forms.ChoiceField(
        label="What they are",
        choices=[(kind.value, label(kind, 2).removeprefix("2 ").capitalize()) for kind in TALLIED_KINDS],
    )
    thread = forms.CharField(
        label="Thread",
        max_length=60,
        required=False,
        help_text="5/16-24 UNF, M8, 2BA; both ends of a stud with a stroke between. Empty if not known.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    finish_look = forms.ChoiceField(
        label="Finish, as it looks", choices=[(look, look) for look in LOOKS], initial="unknown"
    )
    unit = forms.ChoiceField(
        label="The caliper stands on", choices=[("mm", "millimetres"), ("in", "inches")], initial="mm"
    )
    area = forms.CharField(
        label="Area",
        max_length=80,
        required=False,
        widget=forms.TextInput(attrs={"list": "areas", "autocomplete": "off"}),
    )
    bag = forms.CharField(
        label="Bag",
        max_length=12,
        required=False,
        widget=forms.TextInput(attrs={"list": "bags", "autocomplete": "off"}),
    )
    origin = forms.ModelChoiceField(
        label="Came off", queryset=Engine.objects.none(), required=False, empty_label="not known"
    )

    def __init__(self, *values: object, job: Job, **named: object) -> None:
        super().__init__(*values, **named)  # type: ignore[arg-type]
        engines = job.engines.filter(withdrawn=False).order_by("pk")
        chooser = self.fields["origin"]
        assert isinstance(chooser, forms.ModelChoiceField)
        chooser.queryset = engines
        if not engines:
            del self.fields["origin"]


class PressForm(forms.Form):
    """One press of the caliper's button, or a length typed by hand."""

    typed = forms.CharField(
        label="Next piece",
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "off", "inputmode": "decimal", "enterkeyhint": "next"}),
    )
