"""The form that holds a measured or gauged thread against the limits of a class."""

from __future__ import annotations

from typing import Any

from django import forms

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.designations import read_thread
from runningfit.core.pieces.gauging import (
    Measured,
    ThreadMeasurement,
    best_wire_mm,
    pitch_diameter_over_wires,
)
from runningfit.core.pieces.measured_words import read_measured
from runningfit.core.standards import Thread, thread
from runningfit.core.standards.limits import external_classes, internal_classes
from runningfit.core.units import LengthUnit, both_units, format_length
from runningfit.web.pieces.naming_forms import BOLT, GAUGE_ENTRY, HOLE

GOES, STOPS = "goes", "stops"
# Standard uncertainty of a diameter by what took it [mm]: common practice, no source. Wires add their own.
_U_MM = {"caliper": 0.02, "micrometer": 0.005}
_U_WIRES_MM = 0.004
_FIELD_OF = {
    "major diameter": "major",
    "minor diameter": "minor",
    "pitch diameter": "pitch_diameter",
    "class": "thread_class",
    "wire": "wire",
}


def _gauge(label: str, goes: str, stops: str) -> forms.ChoiceField:
    choices = [("", "not tried"), (GOES, goes), (STOPS, stops)]
    return forms.ChoiceField(
        label=label, choices=choices, required=False, widget=forms.RadioSelect, initial=""
    )


def _diameter(label: str, hint: str = "") -> forms.CharField:
    entry = forms.TextInput(GAUGE_ENTRY)
    return forms.CharField(label=label, max_length=40, required=False, help_text=hint, widget=entry)


class GaugingForm(forms.Form):
    """One bolt or hole, its class, and what was measured or gauged of it; every field may stay empty."""

    named = forms.CharField(
        label="Thread",
        max_length=60,
        required=False,
        widget=forms.TextInput(
            {"autocomplete": "off", "spellcheck": "false", "placeholder": "5/16 UNF, M8, 2BA"}
        ),
    )
    side = forms.ChoiceField(
        label="What is it?",
        choices=[(BOLT, "bolt, stud"), (HOLE, "nut, hole")],
        required=False,
        widget=forms.RadioSelect,
        initial=BOLT,
    )
    thread_class = forms.CharField(label="Class", required=False, widget=forms.Select)
    go = _gauge("GO gauge", "goes", "does not go")
    no_go = _gauge("NO-GO gauge, beyond two turns", "goes", "stops")
    over_wires = _diameter("Over three wires", "The measure outside the wires")
    wire = _diameter("Wire", "Its own diameter")
    pitch_diameter = _diameter("Pitch diameter", "By a thread micrometer, or reckoned")
    major = _diameter("Outside diameter")
    minor = _diameter("Inside diameter", "Of the hole, or at the roots")
    gauge = forms.ChoiceField(
        label="Taken with",
        choices=[("micrometer", "a micrometer"), ("caliper", "a caliper")],
        required=False,
        widget=forms.RadioSelect,
        initial="micrometer",
    )
    plated = forms.BooleanField(label="It is plated", required=False)

    def __init__(self, *args: Any, unit: LengthUnit, **options: Any) -> None:
        super().__init__(*args, **options)
        self.unit = unit
        self.read_as: dict[str, str] = {}
        self.wire_hint = ""
        self.thread: Thread | None = None
        self.measurement: ThreadMeasurement | None = None
        self._mm: dict[str, float] = {}
        self._offer_classes(str(self.initial.get("named", "")))

    @property
    def sent(self) -> list[tuple[str, str]]:
        """Return what was typed, field by field, to be sent along with what is kept."""
        return [(name, str(self.data[name])) for name in self.fields if self.data.get(name)]

    @property
    def typed(self) -> dict[str, str]:
        """Return what was typed, by the name of the field."""
        return dict(self.sent)

    def clean_named(self) -> str:
        """Read the thread in any spelling; it must be one."""
        typed: str = self.cleaned_data["named"].strip()
        if not typed:
            return ""
        try:
            names = read_thread(typed, pipe=True).candidates
        except InvalidInput as error:
            raise forms.ValidationError(str(error)) from error
        if len(names) != 1:
            raise forms.ValidationError(f"Which of these: {', '.join(names)}?")
        self.thread = thread(names[0])
        self._offer_classes(names[0])
        return names[0]

    def clean(self) -> dict[str, Any]:
        """Read every value in the unit it was typed in, then all of them as one measurement."""
        values = super().clean() or {}
        for name, low in (
            ("major", 0.7),
            ("pitch_diameter", 0.7),
            ("minor", 0.5),
            ("over_wires", 0.8),
            ("wire", 0.1),
        ):
            self._read_size(name, values.get(name, ""), low, high=6.0 if name == "wire" else 50.0)
        if self.errors or self.thread is None:
            return values
        try:
            self._put_together(values, self.thread)
        except InvalidInput as error:
            self.add_error(_FIELD_OF.get(error.argument), str(error))
        return values

    @property
    def chosen_class(self) -> str | None:
        """Return the class chosen where the thread has it on that side; None means its usual one."""
        chosen: str = self.cleaned_data.get("thread_class") or ""
        return chosen if self.thread and chosen in _classes(self.thread, self._is_hole) else None

    @property
    def _is_hole(self) -> bool:
        return (self.data.get("side") or self.initial.get("side")) == HOLE

    def _offer_classes(self, designation: str) -> None:
        """Offer the classes of the thread on its side, the usual one first; none for a taper."""
        classes = _classes(thread(designation), self._is_hole) if designation else ()
        words = [(one, f"{one}, the usual one" if not order else one) for order, one in enumerate(classes)]
        field = self.fields["thread_class"]
        assert isinstance(field.widget, forms.Select)
        field.widget.choices = words or [("", "name the thread first")]

    def _read_size(self, name: str, typed: str, low: float, high: float) -> None:
        if not typed:
            return
        try:
            size = read_measured(typed, default_unit=self.unit, low_mm=low, high_mm=high)
        except InvalidInput as error:
            self.add_error(name, str(error))
            return
        self._mm[name] = size.mm
        self.read_as[name] = both_units(size.mm, size.unit)

    def _put_together(self, values: dict[str, Any], one: Thread) -> None:
        u_mm = _U_MM[values.get("gauge") or "micrometer"]
        if not one.taper:
            self.wire_hint = f"The best wire is {format_length(best_wire_mm(one), LengthUnit.MM)}."
        flank = self._measured("pitch_diameter", u_mm)
        if "over_wires" in self._mm:
            flank = self._over_wires(one, u_mm)
        gauges = {"": None, GOES: True, STOPS: False}
        measurement = ThreadMeasurement(
            internal=self._is_hole,
            major=self._measured("major", u_mm),
            pitch_diameter=flank,
            minor=self._measured("minor", u_mm),
            go=gauges[values.get("go", "")],
            no_go=gauges[values.get("no_go", "")],
            plated=bool(values.get("plated")),
        )
        taken = (measurement.major, flank, measurement.minor, measurement.go, measurement.no_go)
        if any(value is not None for value in taken):
            self.measurement = measurement

    def _measured(self, name: str, u_mm: float) -> Measured | None:
        return Measured(self._mm[name], u_mm) if name in self._mm else None

    def _over_wires(self, one: Thread, u_mm: float) -> Measured:
        wire = self._mm.get("wire")
        if wire is None:
            raise InvalidInput("wire", needs="its own diameter", came="", remedy=self.wire_hint)
        mm = pitch_diameter_over_wires(one, self._mm["over_wires"], wire)
        self.read_as["over_wires"] += f", a pitch diameter of {mm:.3f} mm"
        return Measured(mm, (u_mm**2 + _U_WIRES_MM**2) ** 0.5)


def _classes(one: Thread, hole: bool) -> tuple[str, ...]:
    return internal_classes(one) if hole else external_classes(one)
