"""Forms of inspections: what shall be tested, and what came of it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from runningfit.web.records.forms import DateInput
from runningfit.workshop.measurements.inspecting import OILWAYS, SaidOfInspection, SaidResult
from runningfit.workshop.measurements.models import GATES, INSPECTIONS, Inspection
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.models import Area, Lot
from runningfit.workshop.records.models import Job

_PHOTOS_OFFERED = 60


class InspectionForm(forms.Form):
    """What shall be tested, where, and what waits for it."""

    kind = forms.ChoiceField(label="Which test", choices=INSPECTIONS, widget=forms.RadioSelect)
    what = forms.CharField(
        label="What is tested", max_length=120, help_text="Such as: crankshaft, all journals and fillets."
    )
    gates = forms.ChoiceField(
        label="What waits until it passed", choices=GATES, required=False, widget=forms.RadioSelect
    )
    area = forms.ModelChoiceField(
        label="Where", queryset=Area.objects.none(), required=False, empty_label="not said"
    )
    lot = forms.ModelChoiceField(
        label="Of which lot", queryset=Lot.objects.none(), required=False, empty_label="none, or not said"
    )
    how_many = forms.IntegerField(
        label="How many in all, where they are counted",
        min_value=1,
        max_value=10_000,
        required=False,
        help_text="Such as all oilways of a block: count them before the first one is opened.",
    )
    note = forms.CharField(label="Note", max_length=300, required=False)

    def __init__(self, job: Job, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name, rows in (
            ("area", Area.objects.filter(job=job, withdrawn=False).order_by("name")),
            ("lot", Lot.objects.filter(job=job, withdrawn=False).order_by("number")),
        ):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows

    def said(self, was: Inspection | None = None) -> SaidOfInspection:
        """Return what was typed, as the verbs take it; the set that it is of stays."""
        values = self.cleaned_data
        return SaidOfInspection(
            kind=values["kind"],
            what=values["what"],
            gates=values["gates"],
            area=values["area"],
            lot=values["lot"],
            feature_set=was.feature_set if was else None,
            count_all=values["how_many"],
            note=values["note"],
        )


def inspection_start(row: Inspection) -> dict[str, Any]:
    """Return what stands in the form of an inspection."""
    return {
        "kind": row.kind,
        "what": row.what,
        "gates": row.gates,
        "area": row.area_id,
        "lot": row.lot_id,
        "how_many": row.count_all,
        "note": row.note,
    }


class ResultForm(forms.Form):
    """What came of a test."""

    result = forms.ChoiceField(
        label="It has", choices=[("passed", "passed"), ("failed", "failed")], widget=forms.RadioSelect
    )
    tested_on = forms.DateField(label="Tested on", widget=DateInput(), initial=timezone.localdate)
    tested_by = forms.CharField(
        label="Tested by", max_length=120, help_text="A person, or the shop that did it."
    )
    how_many = forms.IntegerField(
        label="How many there are in all", min_value=1, max_value=10_000, required=False
    )
    how_many_done = forms.IntegerField(
        label="Opened, cleaned and found clear", min_value=0, max_value=10_000, required=False
    )
    measured = forms.CharField(
        label="What was measured",
        max_length=80,
        required=False,
        help_text="58 HRC; 4 bar for 10 minutes; 11.2 V at 40 A.",
    )
    certificate = forms.CharField(label="Certificate", max_length=120, required=False)
    photo = forms.ModelChoiceField(
        label="Photo of it", queryset=Photo.objects.none(), required=False, empty_label="none"
    )
    note = forms.CharField(label="Note", max_length=300, required=False)
    why = forms.CharField(label="What was done since it failed", max_length=300, required=False)

    def __init__(self, row: Inspection, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        if row.kind != OILWAYS and row.count_all is None:
            del self.fields["how_many"], self.fields["how_many_done"]
        elif row.kind != OILWAYS:
            self.fields["how_many_done"].label = "How many were tested"
        if row.result != "failed":
            del self.fields["why"]
        field = self.fields["photo"]
        assert isinstance(field, forms.ModelChoiceField)
        # A choice is made from the newest; one that was chosen before stays among them.
        newest = Photo.objects.filter(job=row.job_id, withdrawn=False).order_by("-pk")
        offered = list(newest.values_list("pk", flat=True)[:_PHOTOS_OFFERED])
        offered += [row.photo_id] if row.photo_id else []
        field.queryset = Photo.objects.filter(pk__in=offered).select_related("area").order_by("-pk")
        field.label_from_instance = _photo_said  # type: ignore[method-assign, assignment]

    def said(self) -> SaidResult:
        """Return what was typed, as the verb takes it."""
        values = self.cleaned_data
        return SaidResult(
            passed=values["result"] == "passed",
            done_on=values["tested_on"],
            done_by=values["tested_by"],
            measured=values["measured"],
            count_all=values.get("how_many"),
            count_done=values.get("how_many_done"),
            certificate=values["certificate"],
            photo=values["photo"],
            note=values["note"],
        )


def result_start(row: Inspection) -> dict[str, Any]:
    """Return what stands in the form of a result; a failed one is not offered again as it was."""
    if row.result != "passed":
        return {"how_many": row.count_all, "note": row.note, "photo": row.photo_id}
    return {
        "result": row.result,
        "tested_on": row.done_on,
        "tested_by": row.done_by,
        "how_many": row.count_all,
        "how_many_done": row.count_done,
        "measured": row.measured,
        "certificate": row.certificate,
        "photo": row.photo_id,
        "note": row.note,
    }


def _photo_said(photo: Any) -> str:
    words = photo.words or (photo.area.name if photo.area else "")
    return f"photo {photo.pk}{f', {words}' if words else ''}, {timezone.localtime(photo.taken_at):%-d %b}"
