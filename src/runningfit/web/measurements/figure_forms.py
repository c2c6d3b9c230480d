"""Forms of the engine figures: its sizes, a degree wheel's readings, what the maker gives."""

from __future__ import annotations

from typing import Any

from django import forms

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.engine_figures.timing import ValveEvent
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.measurements.engine_sizes import SIZES, SaidOfSizes, typed_size
from runningfit.workshop.measurements.figure_models import FIGURES
from runningfit.workshop.measurements.models import EngineSizes
from runningfit.workshop.measurements.timing import UNITS, SaidOfTiming
from runningfit.workshop.measurements.typed import TypedNumber, typed_number

_OFF = {"autocomplete": "off"}


def _size(label: str, hint: str = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=60,
        required=False,
        help_text=hint,
        widget=forms.TextInput(attrs=_OFF),
    )


class SizesForm(forms.Form):
    """The sizes of an engine; each with a ± behind it, or as fine as its last place."""

    stroke = _size("Stroke", "With its doubt where you know it: 90.0 ± 0.05 mm. Else the last place counts.")
    rod = _size("Rod, between centres")
    gasket = _size(
        "Head gasket, tightened", "As thick as it is under the head: crush a bit of solder beside it."
    )
    gasket_bore = _size("Hole of the gasket")
    deck = _size(
        "Deck height",
        "From the piston's edge up to the block's face at the top; with a minus where it is proud.",
    )
    piston = _size("Dish of the piston, ml", "By burette; 0 for a flat one, with a minus for a dome.")
    chamber = _size("Chamber, ml", "Only where the sheet has no chambers by burette.")
    crevice = _size("Beside the top land, ml", "Empty leaves it out.")
    speed = forms.FloatField(label="Highest speed, turns a minute", required=False)
    ratio_wanted = forms.CharField(
        label="Compression ratio wanted", max_length=20, required=False, help_text="Such as 8.5."
    )
    source = forms.CharField(
        label="Where these come from", max_length=120, required=False, help_text="Measured, or manual p. 6."
    )

    def __init__(self, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self._unit = unit

    def said(self) -> SaidOfSizes:
        """Return what was typed, as the verb takes it."""
        values = self.cleaned_data
        sizes = {name: typed_size(name, values[name], self._unit) for name in SIZES}
        ratio = values["ratio_wanted"].strip().removesuffix(":1").strip().replace(",", ".")
        try:
            wanted = float(ratio) if ratio else None
        except ValueError as error:
            raise InvalidInput(
                "ratio wanted", needs="a number such as 8.5", came=values["ratio_wanted"]
            ) from error
        return SaidOfSizes(
            {name: one for name, one in sizes.items() if one}, values["speed"], wanted, values["source"]
        )


def sizes_start(sizes: EngineSizes | None) -> dict[str, Any]:
    """Return what stands in the form: as it was typed."""
    if sizes is None:
        return {}
    wanted = f"{sizes.ratio_wanted:g}" if sizes.ratio_wanted else ""
    return {**sizes.typed, "speed": sizes.speed_rpm, "ratio_wanted": wanted, "source": sizes.source}


_EVENT_FIELDS = {
    ValveEvent.INLET_OPENS: "inlet_opens",
    ValveEvent.INLET_CLOSES: "inlet_closes",
    ValveEvent.EXHAUST_OPENS: "exhaust_opens",
    ValveEvent.EXHAUST_CLOSES: "exhaust_closes",
}


def _wheel(label: str, hint: str = "", *, required: bool = False) -> forms.FloatField:
    return forms.FloatField(
        label=label, min_value=-360, max_value=720, required=required, help_text=hint,
        widget=forms.TextInput(attrs={**_OFF, "inputmode": "decimal"}),
    )  # fmt: skip


class TimingForm(forms.Form):
    """What a degree wheel shows at one cylinder."""

    cylinder = forms.CharField(label="Cylinder", max_length=20)
    before = _wheel(
        "At the stop, turned forwards", "°, on a wheel that counts upwards, 0 to 360.", required=True
    )
    after = _wheel("At the stop, turned backwards", "°; the stop must not move in between.", required=True)
    inlet_opens = _wheel("Inlet opens, as the wheel shows it")
    inlet_closes = _wheel("Inlet closes")
    exhaust_opens = _wheel("Exhaust opens")
    exhaust_closes = _wheel("Exhaust closes")
    sure = forms.FloatField(
        label="The wheel is read to ±, °",
        initial=0.5,
        min_value=0.01,
        max_value=20,
        help_text="Half of its finest mark; evenly likely within.",
    )
    at_lift = _size("All events at a lift of", "As the maker gives it; empty where the valve just moves.")
    inlet_lift = _size("Lift of the inlet cam")
    exhaust_lift = _size("Lift of the exhaust cam")
    rocker_ratio = forms.FloatField(label="Rocker ratio", initial=1.0, help_text="1 where there is none.")
    clearance = _size("Valve clearance")
    lifts = ("at_lift", "inlet_lift", "exhaust_lift", "rocker_ratio", "clearance")

    def __init__(self, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self._unit = unit

    def said(self) -> SaidOfTiming:
        """Return what was typed, as the verb takes it."""
        values = self.cleaned_data
        lengths = {
            name: typed_number(name.replace("_", " "), values[name], unit=self._unit)
            for name in ("at_lift", "inlet_lift", "exhaust_lift", "clearance")
        }
        events = {event: values[name] for event, name in _EVENT_FIELDS.items() if values[name] is not None}
        return SaidOfTiming(
            values["cylinder"],
            values["before"],
            values["after"],
            events,
            values["sure"] / 3**0.5,
            rocker_ratio=values["rocker_ratio"],
            **lengths,
        )


class MakersForm(forms.Form):
    """What the maker gives for a figure, and where."""

    what = forms.ChoiceField(label="Of what", choices=FIGURES)
    lower = _size("At least", "Volumes in ml (or cu in, as 65 cu in), speeds in m/s, angles in degrees.")
    upper = _size("At most")
    source = forms.CharField(
        label="Manual and page", max_length=120, required=False, help_text="Without it nothing can pass."
    )

    def __init__(self, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self._unit = unit

    def side(self, name: str) -> TypedNumber | None:
        """Return one limit in the unit of its figure; none where it was left blank."""
        text = self.cleaned_data[name].strip()
        unit = UNITS[self.cleaned_data["what"]]
        if not text:
            return None
        if unit == "mm":
            return typed_number(name, text, unit=self._unit)
        if unit == "ml":
            return typed_number(name, text, unit="ml", kind=FeatureKind.VOLUME)
        plain = text.removesuffix(":1").removesuffix("m/s").removesuffix("°").strip().replace(",", ".")
        try:
            return TypedNumber(float(plain), f"{plain}{unit if unit == '°' else f' {unit}'}".strip())
        except ValueError as error:
            needs = f"a number{f' in {unit}' if unit else ', such as 8.5'}"
            raise InvalidInput(name, needs=needs, came=text) from error
