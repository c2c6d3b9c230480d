"""Forms of the photos room."""

from __future__ import annotations

from typing import Any

from django import forms

from runningfit.core.errors import InvalidInput, NotFound
from runningfit.workshop.photos.pictured import Pictured
from runningfit.workshop.pieces.bags import bag_by_code
from runningfit.workshop.pieces.models import Finding, Lot
from runningfit.workshop.pieces.queries import findings_of
from runningfit.workshop.records.models import Job

NEW_BAG = "+"


class SnapForm(forms.Form):
    """Which area and which bag the photos show: one tap each, or typed where they are new."""

    area = forms.CharField(required=False, max_length=80)
    other_area = forms.CharField(label="Another area", required=False, max_length=80)
    bag = forms.CharField(required=False, max_length=12)
    other_bag = forms.CharField(label="Another bag", required=False, max_length=12)
    words = forms.CharField(label="Words, if any", required=False, max_length=300)
    lot = forms.IntegerField(required=False, min_value=1)
    finding = forms.IntegerField(required=False, min_value=1)

    def clean(self) -> dict[str, Any]:
        """Let what was typed win over what was tapped."""
        values: dict[str, Any] = super().clean() or {}
        for name in ("area", "bag"):
            values[name] = values.get(f"other_{name}") or values.get(name) or ""
        return values


class AttachForm(forms.Form):
    """What a photo shows that is already in the books."""

    lot = forms.IntegerField(label="Lot number", required=False, min_value=1)
    bag = forms.CharField(label="Bag", required=False, max_length=12)
    finding = forms.ChoiceField(label="Finding", required=False)
    words = forms.CharField(label="Words", required=False, max_length=300)

    def __init__(self, job: Job, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.job = job
        self.findings = {str(finding.pk): finding for finding in findings_of(job)}
        field = self.fields["finding"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", "none"), *((pk, _in_words(one)) for pk, one in self.findings.items())]

    def pictured(self) -> Pictured:
        """Return what was said.

        Raises
        ------
        InvalidInput
            The job has no such lot or bag.
        """
        values = self.cleaned_data
        lot = None
        if values["lot"]:
            lot = Lot.objects.filter(job=self.job, number=values["lot"], withdrawn=False).first()
            if lot is None:
                raise InvalidInput("lot", needs="the number of a lot of this job", came=values["lot"])
        bag = None
        if values["bag"]:
            try:
                bag = bag_by_code(self.job, values["bag"])
            except NotFound as error:
                raise InvalidInput("bag", needs="a bag of this job", came=values["bag"]) from error
        return Pictured(lot=lot, bag=bag, finding=self.findings.get(values["finding"]), words=values["words"])


def _in_words(finding: Finding) -> str:
    where = finding.area or finding.place or finding.lot or finding.note[:40]
    return f"{finding.get_what_display()}: {where}"
