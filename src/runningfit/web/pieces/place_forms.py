"""Forms of areas and places: where pieces belong, and how that is known."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django import forms

from runningfit.core.errors import InvalidInput
from runningfit.core.units import LengthUnit
from runningfit.web.pieces.choices import kind_choices, look_choices
from runningfit.workshop.pieces.models import BASES, Area, Place
from runningfit.workshop.pieces.place_reading import PlaceWords, read_place
from runningfit.workshop.pieces.places import PlaceFacts
from runningfit.workshop.pieces.spec_reading import thread_typed
from runningfit.workshop.records.models import Engine, Job

_OFF = {"autocomplete": "off", "spellcheck": "false"}


class AreaForm(forms.Form):
    """An area: its name, what it is a part of, the engine it is of."""

    name = forms.CharField(label="Area", max_length=80, widget=forms.TextInput(attrs=_OFF))
    parent = forms.ModelChoiceField(
        label="Part of", queryset=Area.objects.none(), required=False, empty_label="the engine itself"
    )
    engine = forms.ModelChoiceField(
        label="Of which engine", queryset=Engine.objects.none(), required=False, empty_label="not said"
    )

    def __init__(self, job: Job, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name, rows in (
            ("parent", Area.objects.filter(job=job, withdrawn=False).order_by("name")),
            ("engine", job.engines.filter(withdrawn=False).order_by("-role", "pk")),
        ):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows


class PlaceForm(forms.Form):
    """A place: n equal positions, what they need, the hole, and where that knowledge comes from."""

    name = forms.CharField(
        label="The place",
        max_length=120,
        widget=forms.TextInput(attrs=_OFF),
        help_text="Cover to case, upper row.",
    )
    count = forms.IntegerField(label="How many positions?", min_value=1, max_value=100_000)
    basis = forms.ChoiceField(label="How do you know?", choices=BASES, widget=forms.RadioSelect)
    basis_said = forms.CharField(
        label="Which list or page", max_length=200, required=False, help_text="Parts list 1958, page 14."
    )
    kind = forms.ChoiceField(label="What goes there?", choices=kind_choices())
    thread = forms.CharField(
        label="Thread or size", max_length=120, required=False, widget=forms.TextInput(attrs=_OFF)
    )
    length = forms.CharField(
        label="Length", max_length=60, required=False, widget=forms.TextInput(attrs=_OFF)
    )
    finish = forms.ChoiceField(label="Finish wanted", choices=look_choices(), initial="unknown")
    visible = forms.BooleanField(label="Seen on the finished engine", required=False)
    torque = forms.CharField(
        label="Torque",
        max_length=60,
        required=False,
        widget=forms.TextInput(attrs=_OFF),
        help_text="25 lbf ft, 34 N m.",
    )
    hole_material = forms.CharField(
        label="The hole is in", max_length=40, required=False, help_text="Cast iron, aluminium, steel."
    )
    hole_blind = forms.ChoiceField(
        label="The hole is",
        choices=[("", "not said"), ("blind", "blind"), ("through", "through")],
        required=False,
    )
    hole_depth = forms.CharField(label="Depth of the hole", max_length=60, required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)

    def facts(self, unit: LengthUnit, place: Place | None = None) -> PlaceFacts:
        """Read what is typed; a thread or length left alone is not read again.

        Raises
        ------
        InvalidInput
            A value cannot be read; it is named.
        """
        words = PlaceWords(**self.cleaned_data)
        if place is None or {"kind", "thread", "length"} & set(self.changed_data):
            return read_place(words, default_unit=unit)
        kept = read_place(PlaceWords(**(self.cleaned_data | {"thread": "", "length": ""})), default_unit=unit)
        return replace(
            kept,
            end_a=tuple(place.end_a.split("|")) if place.end_a else (),
            end_b=tuple(place.end_b.split("|")) if place.end_b else (),
            size_said=place.size_said,
            length_mm=place.length_mm,
            length_nominal=place.length_nominal,
            length_typed=place.length_typed,
            length_basis=place.length_basis,
        )


class BasisForm(forms.Form):
    """Where the knowledge of a place comes from now, and how many positions there are."""

    basis = forms.ChoiceField(
        label="Now known from", choices=[pair for pair in BASES if pair[0] != "assumed"]
    )
    basis_said = forms.CharField(label="Which list or page", max_length=200, required=False)
    count = forms.IntegerField(label="Positions", min_value=1, max_value=100_000)


class ProofForm(forms.Form):
    """How a doubted thread was proven."""

    why = forms.CharField(
        label="How was it proven?", max_length=300, help_text="Gauge goes in by hand all the way."
    )


class PlaceListForm(forms.Form):
    """A list of places, as a file or as text, and where it comes from."""

    file = forms.FileField(label="A CSV or XLSX file", required=False)
    text = forms.CharField(
        label="Or the rows themselves",
        required=False,
        max_length=400_000,
        widget=forms.Textarea(
            attrs={"rows": 8, **_OFF, "placeholder": "area; place; count; kind; thread; length"}
        ),
        help_text="A heading row first: area, place, count; then as far as you have them kind, thread, "
        "length, finish, visible, torque, hole material, blind or through, depth, note.",
    )
    basis = forms.ChoiceField(label="How is all this known?", choices=BASES, initial="parts_list")
    basis_said = forms.CharField(
        label="Which list or page", max_length=200, required=False, help_text="Parts list 1958, page 14."
    )

    def sent(self) -> tuple[bytes, str]:
        """Return the bytes of the list and a name for it.

        Raises
        ------
        InvalidInput
            Neither a file nor text came.
        """
        upload = self.cleaned_data["file"]
        if upload is not None:
            return upload.read(), upload.name
        text = self.cleaned_data["text"]
        if not text.strip():
            raise InvalidInput(
                "text", needs="a file or some rows", came="", remedy="Choose a file, or paste rows."
            )
        return text.encode("utf-8"), "the rows typed"

    def with_text(self, text: str) -> PlaceListForm:
        """Return the form as sent, with this text in the place of the file or the rows."""
        return PlaceListForm(
            {name: self.cleaned_data[name] for name in ("basis", "basis_said")} | {"text": text}
        )


def place_start(place: Place) -> dict[str, Any]:
    """Return what the form of a place shows first: what is kept of it, as typed where that is known."""
    return {
        "name": place.name,
        "count": place.count,
        "basis": place.basis,
        "basis_said": place.basis_said,
        "kind": place.kind,
        "thread": thread_typed(place.end_a, place.end_b, place.size_said),
        "length": place.length_typed or place.length_nominal,
        "finish": place.finish_wanted,
        "visible": place.visible,
        "torque": place.torque_typed,
        "hole_material": place.hole_material,
        "hole_blind": place.hole_blind,
        "hole_depth": "" if place.hole_depth_mm is None else f"{place.hole_depth_mm:g} mm",
        "note": place.note,
    }
