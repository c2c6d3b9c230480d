"""Forms of the reading sheet: what there is to measure, one set, one limit, a sheet of limits."""

from __future__ import annotations

from typing import Any

from django import forms

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern, Quantity
from runningfit.core.measurements.sheets.proposals import EngineLayout, usual_sets
from runningfit.web.measurements.read_with import unit_words
from runningfit.web.measurements.values_said import limit_quantity
from runningfit.web.pieces.list_forms import ImportForm
from runningfit.web.pieces.lot_forms import KnownWords
from runningfit.workshop.measurements.gauges import gauges
from runningfit.workshop.measurements.models import BASES, LIMITED, STATES, FeatureSet, Instrument
from runningfit.workshop.measurements.sets import SaidLimit, SaidOfSet
from runningfit.workshop.measurements.typed import typed_list, typed_number
from runningfit.workshop.pieces.models import Area
from runningfit.workshop.pieces.queries import areas_of, lot_by_number
from runningfit.workshop.records.models import Job

_OFF = {"autocomplete": "off", "spellcheck": "false"}
_MATERIALS = ["cast iron", "steel", "aluminium", "bronze", "brass"]
_LARGEST = EngineLayout(cylinders=1, main_bearings=1, valves_each=1)


class BeginForm(forms.Form):
    """How many of each the engine has, and which of the usual sets are measured."""

    cylinders = forms.IntegerField(label="Cylinders", min_value=1, max_value=16, initial=4)
    main_bearings = forms.IntegerField(label="Main bearings", min_value=1, max_value=17, initial=5)
    valves_each = forms.IntegerField(label="Valves of each cylinder", min_value=0, max_value=5, initial=2)
    bore_length = forms.CharField(
        label="Length of a bore that the rings sweep",
        max_length=20,
        initial="120 mm",
        widget=forms.TextInput(attrs=_OFF),
        help_text="A rule in the bore will do; the readings are spread over it.",
    )
    keys = forms.MultipleChoiceField(
        label="What to measure",
        choices=[(one.key, one.name) for one in usual_sets(_LARGEST)],
        error_messages={"required": "Tick what there is to measure."},
    )

    # What the page draws below the numbers.
    below = ("bore_length",)

    def __init__(self, *args: Any, unit: str, there: frozenset[str] = frozenset(), **options: Any) -> None:
        super().__init__(*args, **options)
        self._unit = unit
        self.offered = [one for one in usual_sets(_LARGEST) if one.key not in there]

    @property
    def ticks(self) -> list[tuple[Any, bool]]:
        """The sets that are offered, each with whether it is ticked."""
        chosen = set(self["keys"].value() or ()) if self.is_bound else None
        return [(one, one.usual if chosen is None else one.key in chosen) for one in self.offered]

    def clean(self) -> dict[str, Any]:
        """Read the length, and leave out what an engine without valves has not."""
        values = super().clean() or {}
        try:
            length = typed_number("bore_length", values.get("bore_length", ""), unit=self._unit)
            if not self.errors and length is not None:
                values["layout"] = EngineLayout(
                    cylinders=values["cylinders"],
                    main_bearings=values["main_bearings"],
                    valves_each=values["valves_each"],
                    bore_length_mm=length.value,
                )
                has = {one.key for one in usual_sets(values["layout"])}
                values["keys"] = [key for key in values["keys"] if key in has]
        except InvalidInput as error:
            self.add_error("bore_length", str(error))
        return values


class SetForm(forms.Form):
    """A set of like features: what they are, where each is read, with what."""

    name = forms.CharField(
        label="What they are",
        max_length=80,
        widget=forms.TextInput(attrs=_OFF),
        help_text="cam journals, rocker shafts",
    )
    kind = forms.ChoiceField(
        label="What sort of thing", choices=[(one.value, one.said) for one in FeatureKind]
    )
    features = forms.CharField(
        label="Each of them",
        max_length=400,
        initial="1, 2, 3, 4",
        widget=forms.TextInput(attrs=_OFF),
        help_text="Numbers or names with commas between.",
    )
    nominal = forms.CharField(
        label="Nominal size",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs=_OFF),
        help_text="As the manual gives it, with its unit. A reading far from it is asked about.",
    )
    depths = forms.CharField(
        label="Depths, heights or rows",
        max_length=200,
        required=False,
        widget=forms.TextInput(attrs=_OFF),
        help_text="In mm: along a bore or journal, 10, 60, 110; heights of a spring; rows of a face.",
    )
    angles = forms.CharField(
        label="Directions or columns",
        max_length=200,
        required=False,
        widget=forms.TextInput(attrs=_OFF),
        help_text="In degrees across a bore or journal: 0, 90 (0 along the crank); columns of a face, in mm.",
    )
    places = forms.IntegerField(
        label="Places of each", min_value=1, max_value=200, initial=1,
        help_text="For a length, a gap, a weight, a volume.",
    )  # fmt: skip
    instrument = forms.ModelChoiceField(
        label="Gauge", queryset=Instrument.objects.none(), required=False, empty_label="not said"
    )
    set_at = forms.CharField(
        label="A comparing gauge is set to",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs=_OFF),
        help_text="Such as 79.400 mm, where it shows only the difference. Empty where it shows the size.",
    )
    material = forms.CharField(
        label="Material", max_length=40, required=False, widget=KnownWords(_MATERIALS, "known-materials")
    )
    area = forms.ModelChoiceField(
        label="Area", queryset=Area.objects.none(), required=False, empty_label="not said"
    )
    lot = forms.IntegerField(label="Lot that carries them, by its number", min_value=1, required=False)
    how = forms.CharField(label="How to read them", max_length=300, required=False)

    def __init__(self, job: Job, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self._job, self._unit = job, unit
        _choose_from(self.fields["instrument"], Instrument.objects.filter(withdrawn=False).order_by("name"))
        _choose_from(
            self.fields["area"],
            Area.objects.filter(pk__in=[one.pk for one in areas_of(job)]).order_by("name"),
        )

    def said(self, purpose: str = "") -> SaidOfSet:
        """Return what was said of the set.

        Raises
        ------
        InvalidInput
            A figure or a list of points cannot be read, or there is no such lot.
        """
        values = self.cleaned_data
        kind = FeatureKind(values["kind"])
        unit = self._unit if kind.quantity is Quantity.LENGTH else kind.quantity.unit
        is_face = kind is FeatureKind.FACE
        return SaidOfSet(
            name=values["name"],
            kind=kind,
            features=tuple(one.strip() for one in values["features"].split(",") if one.strip()),
            pattern=Pattern(
                typed_list("depths", values["depths"], unit="mm"),
                typed_list("angles", values["angles"], unit="mm" if is_face else ""),
                values["places"],
            ),
            purpose=purpose,
            nominal=typed_number("nominal", values["nominal"], unit=unit, kind=kind),
            instrument=values["instrument"],
            set_at=typed_number("set_at", values["set_at"], unit=self._unit, kind=FeatureKind.LENGTH),
            material=values["material"],
            how=values["how"],
            area=values["area"],
            lot=lot_by_number(self._job, values["lot"]) if values["lot"] else None,
        )


def as_typed(one: FeatureSet, names: list[str]) -> dict[str, Any]:
    """Return what stands of a set, as its form shows it."""
    return {
        "name": one.name,
        "kind": one.kind,
        "features": ", ".join(names),
        "nominal": one.typed.get("nominal", ""),
        "depths": ", ".join(f"{value:g}" for value in one.first_numbers),
        "angles": ", ".join(f"{value:g}" for value in one.second_numbers),
        "places": one.places,
        "instrument": one.instrument_id,
        "set_at": one.typed.get("set_at", ""),
        "material": one.material,
        "area": one.area_id,
        "lot": one.lot.number if one.lot else None,
        "how": one.how,
    }


class LimitForm(forms.Form):
    """One limit of a set, as the manual gives it."""

    what = forms.ChoiceField(label="Of what", choices=LIMITED)
    state = forms.ChoiceField(label="Which limit", choices=STATES, initial="wear")
    lower = forms.CharField(
        label="At least", max_length=40, required=False, widget=forms.TextInput(attrs=_OFF)
    )
    upper = forms.CharField(
        label="At most", max_length=40, required=False, widget=forms.TextInput(attrs=_OFF)
    )
    at = forms.CharField(
        label="At the height",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs=_OFF),
        help_text="Of a spring only: the height at which it is pressed.",
    )
    basis = forms.ChoiceField(label="Where it comes from", choices=BASES)
    source = forms.CharField(
        label="Page, or whose figure it is",
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs=_OFF),
    )

    def __init__(self, kind: FeatureKind, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self._kind, self._unit = kind, unit
        self.fields["lower"].help_text = (
            f"In {unit_words(unit)}, or with its own unit." if kind.quantity is Quantity.LENGTH else ""
        )
        if kind is not FeatureKind.LOAD:
            del self.fields["at"]

    def said(self) -> SaidLimit:
        """Return the limit as typed.

        Raises
        ------
        InvalidInput
            A figure cannot be read.
        """
        values = self.cleaned_data
        quantity = limit_quantity(values["what"], self._kind)
        is_length = quantity is Quantity.LENGTH
        kind = self._kind if values["what"] == "size" or not is_length else FeatureKind.GAP
        unit = self._unit if is_length else quantity.unit
        lower, upper = (typed_number(name, values[name], unit=unit, kind=kind) for name in ("lower", "upper"))
        return SaidLimit(
            what=values["what"],
            state=values["state"],
            lower=lower,
            upper=upper,
            basis=values["basis"],
            source=values["source"],
            at=typed_number("at", values.get("at", ""), unit=self._unit),
        )


class LimitSheetForm(ImportForm):
    """A sheet of limits: a file, or text pasted from anywhere."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["file"].label = "The sheet"
        self.fields[
            "file"
        ].help_text = "CSV or XLSX. Nothing is kept before you have seen how it is understood."
        self.fields["pasted"].widget.attrs["rows"] = 8


class ReadWithForm(forms.Form):
    """What is chosen once for a sheet: the gauge, its unit, its setting, how warm the piece is."""

    instrument = forms.ModelChoiceField(
        label="Gauge", queryset=Instrument.objects.none(), required=False, empty_label="not said"
    )
    unit = forms.ChoiceField(label="It stands on")
    set_at = forms.CharField(
        label="It compares; set to",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs=_OFF),
        help_text="Empty where the gauge shows the size itself.",
    )
    temperature = forms.CharField(
        label="The piece is at, °C",
        max_length=8,
        required=False,
        widget=forms.TextInput(attrs={**_OFF, "inputmode": "decimal"}),
        help_text="Empty where nobody took it.",
    )

    def __init__(self, *args: Any, units: tuple[str, ...], **options: Any) -> None:
        super().__init__(*args, **options)
        _choose_from(
            self.fields["instrument"],
            Instrument.objects.filter(pk__in=[one.pk for one in gauges()]).order_by("name"),
        )
        unit = self.fields["unit"]
        assert isinstance(unit, forms.ChoiceField)
        unit.choices = [(one, one) for one in units]
        if "mm" not in units:
            del self.fields["set_at"]

    def clean_temperature(self) -> str:
        """Need a number of degrees that a bench has, or nothing."""
        text = (
            str(self.cleaned_data["temperature"])
            .removesuffix("C")
            .removesuffix("°")
            .strip()
            .replace(",", ".")
        )
        if text:
            try:
                value = float(text)
            except ValueError:
                raise forms.ValidationError(f"Type degrees Celsius, such as 18; {text} came.") from None
            if not -40 <= value <= 120:
                raise forms.ValidationError(f"A bench has -40 to 120 °C; {text} came.")
        return text


def _choose_from(field: forms.Field, rows: Any) -> None:
    assert isinstance(field, forms.ModelChoiceField)
    field.queryset = rows
