"""Forms of a lot: what is said of it, and the acts that split, join, recount, move and mark it."""

from __future__ import annotations

from typing import Any

from django import forms

from runningfit.core.units import LengthUnit
from runningfit.web.pieces.choices import custody_choices, kind_choices, look_choices, process_choices
from runningfit.web.typed_text import AS_TYPED, typed_text
from runningfit.workshop.pieces.inheriting import CONCERNS
from runningfit.workshop.pieces.lots import LotFacts
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.queries import areas_of, bags_of
from runningfit.workshop.pieces.spec_reading import Spec, read_spec, thread_typed
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.queries import engines_of


class KnownWords(forms.TextInput):
    """A text that offers what is known already; anything else may be typed."""

    template_name = "parts/known_words.html"

    def __init__(self, known: list[str], name: str) -> None:
        super().__init__({**AS_TYPED, "list": name})
        self.known = known
        self.name = name

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """Return what the widget's template needs, the known words with it."""
        return {**super().get_context(name, value, attrs), "known": self.known, "list": self.name}


class LotForm(forms.Form):
    """What is said of a lot, typed as the trade writes it."""

    kind = forms.ChoiceField(label="What are they?", choices=kind_choices())
    kind_said = forms.CharField(
        label="In your words",
        max_length=120,
        required=False,
        help_text="For anything the list has no name for.",
    )
    thread = typed_text(
        "Thread or size",
        "5/16-24, 1/4 BSF, M8, 2BA; a stud with two ends: 3/8 UNC / 3/8 UNF. Empty if unknown.",
        most=120,
    )
    length = typed_text("Length", "1 3/8, 34.9 mm, an inch and a half.", most=60)
    finish_look = forms.ChoiceField(label="It looks", choices=look_choices(), initial="unknown")
    finish_process = forms.ChoiceField(
        label="Finish, as somebody said", choices=process_choices(), required=False
    )
    area_name = forms.CharField(label="Area", max_length=80, required=False)
    bag_code = forms.CharField(label="Bag", max_length=14, required=False)
    condition = forms.CharField(label="Condition", max_length=300, required=False)
    defect = forms.CharField(label="Defect of all of them", max_length=120, required=False)
    remarks = forms.CharField(label="Remarks", max_length=500, required=False)

    def __init__(self, job: Job, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        areas = list(dict.fromkeys(area.name for area in areas_of(job)))
        self.fields["area_name"].widget = KnownWords(areas, "known-areas")
        self.fields["bag_code"].widget = KnownWords(
            list(bags_of(job).values_list("code", flat=True)), "known-bags"
        )

    def spec(self, unit: LengthUnit) -> Spec:
        """Read kind, thread and length."""
        values = self.cleaned_data
        return read_spec(
            kind=values["kind"],
            thread=values["thread"],
            length=values["length"],
            words=values["kind_said"],
            default_unit=unit,
        )


class AddLotForm(LotForm):
    """A new lot: its count and the engine it came off, with all the rest."""

    count = forms.IntegerField(label="How many?", min_value=1, max_value=100_000)
    origin = forms.ModelChoiceField(
        label="Off which engine", queryset=Engine.objects.none(), required=False, empty_label="not said"
    )
    field_order = ("count",)

    def __init__(self, job: Job, *args: Any, **options: Any) -> None:
        super().__init__(job, *args, **options)
        origin = self.fields["origin"]
        assert isinstance(origin, forms.ModelChoiceField)
        origin.queryset = job.engines.filter(withdrawn=False).order_by("-role", "pk")
        self.fields["count"].widget.attrs["autofocus"] = True

    def facts(self, unit: LengthUnit) -> LotFacts:
        """Return what is to be kept."""
        values, spec = self.cleaned_data, self.spec(unit)
        return LotFacts(
            count=values["count"],
            kind=spec.kind,
            end_a=spec.end_a,
            end_b=spec.end_b,
            size_said=spec.size_said,
            length_mm=spec.length_mm,
            length_nominal=spec.length_nominal,
            length_typed=spec.length_typed,
            length_basis=spec.length_basis,
            finish_look=values["finish_look"],
            finish_process=values["finish_process"],
            condition=values["condition"],
            defect=values["defect"],
            remarks=values["remarks"],
            kind_said=values["kind_said"],
            origin=values["origin"],
            questions=spec.questions,
        )


def lot_start(lot: Lot) -> dict[str, Any]:
    """Return what the form of a lot shows first: what is kept of it, as it was typed where that is known."""
    return {
        "kind": lot.kind,
        "kind_said": lot.kind_said,
        "thread": thread_typed(lot.end_a, lot.end_b, lot.size_said),
        "length": lot.length_typed or lot.length_nominal,
        "finish_look": lot.finish_look,
        "finish_process": lot.finish_process,
        "area_name": lot.area.name if lot.area else "",
        "bag_code": lot.bag.code if lot.bag else "",
        "condition": lot.condition,
        "defect": lot.defect,
        "remarks": lot.remarks,
    }


def lot_changes(form: LotForm, unit: LengthUnit) -> dict[str, Any]:
    """Return only what was changed in the form; a thread or length left alone is not read again."""
    changed, values = set(form.changed_data), form.cleaned_data
    names = (
        "finish_look",
        "finish_process",
        "condition",
        "defect",
        "remarks",
        "kind_said",
        "area_name",
        "bag_code",
    )
    changes: dict[str, Any] = {name: values[name] for name in names if name in changed}
    if changed & {"kind", "thread", "length"}:
        spec = form.spec(unit)
        changes["kind"] = spec.kind
        if changed & {"kind", "thread"}:
            changes |= {"end_a": spec.end_a, "end_b": spec.end_b, "size_said": spec.size_said}
        if changed & {"kind", "thread", "length"}:
            changes |= {
                "length_mm": spec.length_mm,
                "length_nominal": spec.length_nominal,
                "length_typed": spec.length_typed,
                "length_basis": spec.length_basis,
            }
        changes["questions"] = spec.questions
    return changes


class CountForm(forms.Form):
    """How many pieces an act concerns."""

    count = forms.IntegerField(label="How many?", min_value=1, max_value=100_000)


class SplitForm(CountForm):
    """How many are split off, and how they differ."""

    bag_code = forms.CharField(label="Into the bag", max_length=14, required=False)
    defect = forms.CharField(
        label="Because they are", max_length=120, required=False, help_text="Sheared, worn, bent."
    )
    concerns = forms.ChoiceField(
        label="What was found and gauged of the lot was of", choices=list(CONCERNS.items()), initial="both"
    )

    def __init__(self, *args: Any, is_anything_found: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not is_anything_found:
            # Nothing was found: there is nothing to tell apart.
            del self.fields["concerns"]


class JoinForm(forms.Form):
    """Which lot is joined into this one."""

    number = forms.IntegerField(label="Number of the other lot", min_value=1)


class RecountForm(forms.Form):
    """A fresh count, and what fewer means."""

    counted = forms.IntegerField(label="Counted now", min_value=0, max_value=100_000)
    custody = forms.ChoiceField(label="Those", choices=custody_choices("bench", "store", "outside", "fitted"))
    wrong = forms.BooleanField(label="The first count was simply wrong; none is missing", required=False)


class MoveForm(CountForm):
    """How many pieces go from where to where."""

    from_custody = forms.ChoiceField(
        label="From", choices=custody_choices("bench", "store", "fitted", "missing", "scrapped")
    )
    to_custody = forms.ChoiceField(
        label="To", choices=custody_choices("store", "bench", "fitted", "scrapped", "missing")
    )


class ThreadForm(forms.Form):
    """What the threads are like, of how many."""

    state = forms.ChoiceField(
        label="The thread is",
        choices=[("good", "good"), ("defective", "defective"), ("not_proven", "not proven")],
        widget=forms.RadioSelect,
    )
    count = forms.IntegerField(
        label="Of how many? (empty: all)", min_value=1, max_value=100_000, required=False
    )
    why = forms.CharField(label="How you know", max_length=300, required=False)


class OriginForm(forms.Form):
    """Which engine they came off, or that this is lost."""

    LOST = "lost"
    origin = forms.ChoiceField(label="Came off", required=False)
    said = forms.CharField(
        label="Said of it",
        max_length=200,
        required=False,
        help_text="Where it is lost: between which engines.",
    )

    def __init__(self, job: Job, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.engines = {str(engine.pk): engine for engine in engines_of(job)}
        origin = self.fields["origin"]
        assert isinstance(origin, forms.ChoiceField)
        origin.choices = [
            ("", "not said"),
            *((key, engine.name) for key, engine in self.engines.items()),
            (self.LOST, "which engine: lost"),
        ]
