"""Forms of the matching: which sets go together within which limits; the valves; a size of the drawer."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django import forms

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.web.pieces.list_forms import ImportForm
from runningfit.workshop.joints.drawer import SaidOfShim
from runningfit.workshop.joints.fit_models import DrawerShim, RunningFit
from runningfit.workshop.joints.match_models import ShimSheet
from runningfit.workshop.joints.match_running import PistonsAsked
from runningfit.workshop.joints.match_shims import SaidOfShims, SaidOfValve
from runningfit.workshop.joints.match_weights import WeightsAsked
from runningfit.workshop.measurements.models import FeatureSet
from runningfit.workshop.measurements.queries import SetState
from runningfit.workshop.measurements.typed import TypedNumber, typed_number
from runningfit.workshop.records.models import Job

_OFF = {"autocomplete": "off"}
AIMS = [("worst", "the worst pair as near the middle as can be"), ("sum", "all together as near as can be")]


def _choose(form: forms.Form, name: str, job: Job, kind: FeatureKind) -> None:
    field = form.fields[name]
    assert isinstance(field, forms.ModelChoiceField)
    field.queryset = FeatureSet.objects.filter(job=job, kind=kind.value, withdrawn=False).order_by(
        "position", "id"
    )


def _set_field(label: str) -> forms.ModelChoiceField[FeatureSet]:
    return forms.ModelChoiceField(label=label, queryset=FeatureSet.objects.none(), empty_label=None)


def _needed(name: str, text: str, unit: str, kind: FeatureKind = FeatureKind.GAP) -> TypedNumber:
    found = typed_number(name, text, unit=unit, kind=kind)
    if found is None:
        raise InvalidInput(name, needs="a number", came="")
    return found


class PistonsForm(forms.Form):
    """Which pistons, which bores, and the clearance that they shall have; asked for by address."""

    bores = _set_field("The bores")
    pistons = _set_field("What runs in them")
    least = forms.CharField(label="Least clearance", max_length=30, widget=forms.TextInput(attrs=_OFF))
    most = forms.CharField(label="Largest clearance", max_length=30, widget=forms.TextInput(attrs=_OFF))
    source = forms.CharField(
        label="Where that stands", max_length=120, required=False, help_text="Such as: manual p. 14."
    )
    aim = forms.ChoiceField(label="Best is", choices=AIMS, widget=forms.RadioSelect)

    def __init__(self, job: Job, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self._unit = unit
        _choose(self, "bores", job, FeatureKind.BORE)
        _choose(self, "pistons", job, FeatureKind.SHAFT)

    def said(self) -> PistonsAsked:
        """Return what was asked, as the query takes it."""
        values = self.cleaned_data
        return PistonsAsked(
            values["bores"],
            values["pistons"],
            _needed("least", values["least"], self._unit).value,
            _needed("most", values["most"], self._unit).value,
            values["aim"] == "worst",
            values["source"].strip(),
            {name: str(self.data.get(name, "")) for name in self.fields},
        )


def pistons_start(job: Job, fit: RunningFit | None, unit: str) -> dict[str, Any]:
    """Return what stands in the form at first: the fit of the job where it has one, else its usual sets."""
    start: dict[str, Any] = {"aim": "worst"}
    sets = FeatureSet.objects.filter(job=job, withdrawn=False, purpose__in=("bores", "pistons"))
    start |= {one.purpose: one.pk for one in sets.order_by("-position")}
    if fit is not None:
        start |= {"bores": fit.hole_set_id, "pistons": fit.shaft_set_id, "source": fit.source}
        for name, mm in (("least", fit.new_lower_mm), ("most", fit.new_upper_mm)):
            if mm is not None:
                start[name] = _plain(mm, unit)
    return start


def _plain(mm: float, unit: str) -> str:
    value, places = (mm / 25.4, 5) if unit == "in" else (mm, 4)
    return f"{value:.{places}f}".rstrip("0").rstrip(".") + f" {unit}"


class WeightsForm(forms.Form):
    """Which parts are weighed together, and what may come off each; asked for by address."""

    first = _set_field("One sort")
    other = _set_field("The other sort")
    off_first = forms.CharField(
        label="May come off each of the one", max_length=20, help_text="In grams; 0 where none may.",
        widget=forms.TextInput(attrs=_OFF),
    )  # fmt: skip
    off_other = forms.CharField(
        label="May come off each of the other", max_length=20, widget=forms.TextInput(attrs=_OFF)
    )
    tolerance = forms.CharField(
        label="The pairs may differ by", max_length=20, widget=forms.TextInput(attrs=_OFF)
    )

    def __init__(self, job: Job, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in ("first", "other"):
            _choose(self, name, job, FeatureKind.WEIGHT)

    def clean(self) -> dict[str, Any]:
        """Refuse one set with itself."""
        values = super().clean() or {}
        if values.get("first") is not None and values.get("first") == values.get("other"):
            self.add_error("other", "This is the same set. Choose what goes with it.")
        return values

    def said(self) -> WeightsAsked:
        """Return what was asked, as the query takes it."""
        values = self.cleaned_data
        return WeightsAsked(
            values["first"],
            values["other"],
            _grams("off first", values["off_first"]),
            _grams("off other", values["off_other"]),
            _grams("tolerance", values["tolerance"]),
            {name: str(self.data.get(name, "")) for name in self.fields},
        )


def weights_start(job: Job) -> dict[str, Any]:
    """Return what stands in the form at first: pistons with rods, where both are weighed."""
    sets = FeatureSet.objects.filter(job=job, withdrawn=False, kind=FeatureKind.WEIGHT.value)
    rows = list(sets.order_by("position", "id"))
    by_purpose = {one.purpose: one.pk for one in rows}
    first = by_purpose.get("piston_weights") or (rows[0].pk if rows else None)
    other = by_purpose.get("rod_weights") or next((one.pk for one in rows if one.pk != first), None)
    return {"first": first, "other": other, "off_first": "0", "off_other": "0", "tolerance": "1"}


def _grams(name: str, text: str) -> float:
    if re.fullmatch(r"\s*0+([.,]0*)?\s*(g|oz)?\s*", text):
        return 0.0
    return _needed(name, text, "g", FeatureKind.WEIGHT).value


class ShimsForm(forms.Form):
    """The valves with what is under them, the limits, and the shims that are sold."""

    sold = ("first", "last", "step")

    valves = forms.CharField(
        label="The valves, one a line",
        max_length=8000,
        widget=forms.Textarea(attrs={"rows": 9, "autocomplete": "off"}),
        help_text="Its name; its clearance; the shim under it, with semicolons between: 1 in; 0.24; 2.60. "
        "Limits of its own may follow, as exhaust valves often have: 1 ex; 0.31; 2.50; 0.30; 0.35.",
    )
    least = forms.CharField(
        label="Least clearance", max_length=30, required=False, widget=forms.TextInput(attrs=_OFF)
    )
    most = forms.CharField(
        label="Largest clearance", max_length=30, required=False, widget=forms.TextInput(attrs=_OFF)
    )
    source = forms.CharField(label="Where that stands", max_length=120, required=False)
    u = forms.CharField(
        label="How sure a clearance is",
        max_length=30,
        required=False,
        widget=forms.TextInput(attrs=_OFF),
        help_text="As a standard uncertainty: feeler gauges in steps of 0.05 mm give 0.015 mm.",
    )
    first = forms.CharField(label="Thinnest shim sold", max_length=30, required=False)
    last = forms.CharField(label="Thickest shim sold", max_length=30, required=False)
    step = forms.CharField(
        label="In steps of", max_length=30, required=False, help_text="Empty: steps of 0.05 mm are taken."
    )

    def __init__(self, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self._unit = unit

    def clean(self) -> dict[str, Any]:
        """Ask for all three figures of what is sold, or none."""
        values = super().clean() or {}
        told = [name for name in self.sold if values.get(name, "").strip()]
        if len(told) in (1, 2):
            self.add_error(
                next(name for name in self.sold if name not in told),
                "Thinnest, thickest and step go together: type all three, or none.",
            )
        return values

    def said(self) -> SaidOfShims:
        """Return what was typed, as the verb takes it; a line that cannot be read is named."""
        values, unit = self.cleaned_data, self._unit
        singles = {
            name: typed_number(name, values[name], unit=unit)
            for name in ("least", "most", "u", "first", "last", "step")
        }
        typed = {name: one.typed for name, one in singles.items() if one}
        typed |= {"valves": values["valves"], "unit": unit}
        return SaidOfShims(_valves(values["valves"], unit), **singles, source=values["source"], typed=typed)


def _valves(text: str, unit: str) -> list[SaidOfValve]:
    found = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        cells = [cell.strip() for cell in re.split(r"[;\t]", line)]
        if len(cells) == 1:
            cells = [cell.strip() for cell in re.split(r",\s+|,(?=\S*[.])", line)]
        if len(cells) not in (3, 5) or not all(cells):
            raise InvalidInput(
                "valves", needs=f"a name, a clearance and a shim with semicolons between in line {number}",
                came=line.strip(), remedy="Two limits of its own may follow.",
            )  # fmt: skip
        try:
            numbers = [_needed("valves", cell, unit) for cell in cells[1:]]
        except InvalidInput as error:
            raise InvalidInput(
                "valves", needs=f"{error.needs} in line {number}", came=error.came, remedy=error.remedy
            ) from error
        found.append(SaidOfValve(cells[0], *numbers))
    return found


def shims_start(sheet: ShimSheet | None, lash: SetState | None, unit: str) -> dict[str, Any]:
    """Return what stands in the form: as kept, or the clearances of the sheet with the shims to be added."""
    if sheet is not None:
        same = sheet.typed.get("unit", unit) == unit
        valves = sheet.typed.get("valves", "") if same else _again(sheet, unit)
        return {**sheet.typed, "valves": valves, "source": sheet.source}
    if lash is None:
        return {}
    lines = []
    for one in lash.features:
        means = [point.mean for point in one.points.values() if point.mean is not None]
        lines.append(f"{one.feature.name}; {_plain(means[0], unit) if means else ''}; ")
    return {"valves": "\n".join(lines)}


def _again(sheet: ShimSheet, unit: str) -> str:
    """The lines as they would be typed in the unit of the shop now."""
    names = ("clearance_mm", "shim_mm", "least_mm", "most_mm")
    return "\n".join(
        "; ".join([row["name"], *(_plain(row[name], unit) for name in names if name in row)])
        for row in sheet.rows
    )


class DrawerSheetForm(ImportForm):
    """A sheet of the drawer: a CSV file, or text pasted from anywhere."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["file"].label = "The sheet"
        self.fields["file"].help_text = "CSV."
        self.fields["file"].widget.attrs["accept"] = ".csv,.txt,text/csv,text/plain"


class DrawerForm(forms.Form):
    """A size in the drawer."""

    size = forms.CharField(
        label="Thickness", max_length=30, widget=forms.TextInput(attrs=_OFF), help_text="Such as 2.60 mm."
    )
    count = forms.IntegerField(label="How many are there", min_value=0, max_value=10_000)
    mark = forms.CharField(label="Marked", max_length=40, required=False)
    price = forms.DecimalField(label="Another costs", required=False, max_digits=9, decimal_places=2)

    def said(self, unit: str) -> SaidOfShim:
        """Return what was typed, as the verbs take it."""
        values: Mapping[str, Any] = self.cleaned_data
        size = _needed("size", values["size"], unit, FeatureKind.LENGTH)
        return SaidOfShim(size, values["count"], values["mark"], values["price"])


def drawer_start(shim: DrawerShim) -> dict[str, Any]:
    """Return what is known of a size of the drawer."""
    return {"size": shim.size_typed, "count": shim.count, "mark": shim.mark, "price": shim.price}
