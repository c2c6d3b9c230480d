"""Forms of the reading sheet: what there is to measure, one set, one limit, a sheet of limits."""

from __future__ import annotations

from typing import Any

from django import forms

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern, Quantity
from runningfit.core.measurements.sheets.proposals import EngineLayout, usual_sets
from runningfit.core.measurements.sheets.shown_values import UNITS_OF
from runningfit.web.measurements.read_with import unit_words
from runningfit.web.measurements.values_said import limit_quantity
from runningfit.web.pieces.list_forms import ImportForm
from runningfit.web.pieces.lot_forms import KnownWords
from runningfit.web.typed_text import typed_text
from runningfit.workshop.measurements.gauge_spans import gauges_for
from runningfit.workshop.measurements.models import BASES, LIMITED, STATES, FeatureSet, Instrument
from runningfit.workshop.measurements.sets import SaidLimit, SaidOfSet
from runningfit.workshop.measurements.typed import typed_list, typed_number, typed_rate
from runningfit.workshop.pieces.models import Area
from runningfit.workshop.pieces.queries import areas_of, lot_by_number
from runningfit.workshop.records.models import Job

_MATERIALS = ["cast iron", "steel", "aluminium", "bronze", "brass"]
_LARGEST = EngineLayout(cylinders=1, main_bearings=1, valves_each=1)


class BeginForm(forms.Form):
    """How many of each the engine has, and which of the usual sets are measured."""

    cylinders = forms.IntegerField(label="Cylinders", min_value=1, max_value=16, initial=4)
    main_bearings = forms.IntegerField(label="Main bearings", min_value=1, max_value=17, initial=5)
    valves_each = forms.IntegerField(label="Valves of each cylinder", min_value=0, max_value=5, initial=2)
    bore_length = typed_text(
        "Length of a bore that the rings sweep",
        "A rule in the bore will do; the readings are spread over it.",
        most=20,
        required=True,
        initial="120 mm",
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

    name = typed_text("What they are", "cam journals, rocker shafts", most=80, required=True)
    kind = forms.ChoiceField(
        label="What sort of thing", choices=[(one.value, one.said) for one in FeatureKind]
    )
    features = typed_text(
        "Each of them", "Numbers or names with commas between.", most=400, required=True, initial="1, 2, 3, 4"
    )
    nominal = typed_text(
        "Nominal size", "As the manual gives it, with its unit. A reading far from it is asked about."
    )
    depths = typed_text(
        "Depths, heights or rows",
        "In mm: along a bore or journal, 10, 60, 110; heights of a spring; rows of a face.",
        most=200,
    )
    angles = typed_text(
        "Directions or columns",
        "In degrees across a bore or journal: 0, 90 (0 along the crank); columns of a face, in mm.",
        most=200,
    )
    places = forms.IntegerField(
        label="Places of each", min_value=1, max_value=200, initial=1,
        help_text="For a length, a gap, a weight, a volume.",
    )  # fmt: skip
    instrument = forms.ModelChoiceField(
        label="Gauge", queryset=Instrument.objects.none(), required=False, empty_label="not said"
    )
    set_at = typed_text(
        "A comparing gauge is set to",
        "Such as 79.400 mm, where it shows only the difference. Empty where it shows the size.",
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
    lower = typed_text("At least")
    upper = typed_text("At most")
    at = typed_text("At the height", "Of a spring only: the height at which it is pressed.")
    basis = forms.ChoiceField(label="Where it comes from", choices=BASES)
    source = typed_text("Page, or whose figure it is", most=120)

    def __init__(self, kind: FeatureKind, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self._kind, self._unit = kind, unit
        self.fields["lower"].help_text = (
            f"In {unit_words(unit)}, or with its own unit." if kind.quantity is Quantity.LENGTH else ""
        )
        if kind is not FeatureKind.LOAD:
            del self.fields["at"]
            what = self.fields["what"]
            assert isinstance(what, forms.ChoiceField)
            what.choices = [one for one in LIMITED if one[0] != "rate"]

    def said(self) -> SaidLimit:
        """Return the limit as typed.

        Raises
        ------
        InvalidInput
            A figure cannot be read.
        """
        values = self.cleaned_data
        at = typed_number("at", values.get("at", ""), unit=self._unit)
        if values["what"] == "rate":
            least, most = (typed_rate(name, values[name]) for name in ("lower", "upper"))
            return SaidLimit("rate", values["state"], least, most, values["basis"], values["source"], at)
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
            at=at,
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
    set_at = typed_text("It compares; set to", "Empty where the gauge shows the size itself.")
    temperature = typed_text("The piece is at, °C", "Empty where nobody took it.", most=8, figure=True)

    def __init__(self, one: FeatureSet, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        offered, units = gauges_for(one), UNITS_OF[FeatureKind(one.kind).quantity]
        _choose_from(
            self.fields["instrument"],
            Instrument.objects.filter(pk__in=[gauge.pk for gauge in offered.can]).order_by("name"),
        )
        if offered.cannot:
            self.fields["instrument"].help_text = f"Not offered: {'; '.join(offered.cannot)}."
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
