"""Forms of measuring a thread: what was measured, what is known of the engine, what is kept of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification import (
    AngleGauge,
    Country,
    TappedMaterial,
    ThreadPrior,
    ThreadReadings,
)
from runningfit.core.pieces.measured_words import GaugeLeaf, read_leaf, read_measured
from runningfit.core.standards import ThreadSeries
from runningfit.core.units import LengthUnit, both_units

Neighbours = tuple[tuple[str, float], ...]
BOLT, HOLE = "bolt", "hole"
ANGLES = [("", "not tried"), ("60", "60°"), ("55", "55°"), ("47.5", "47½°")]
SHOWED_LIGHT = [("60", "60°"), ("55", "55°"), ("47.5", "47½°")]
# Standard uncertainty of a diameter by what it was measured with [mm]: common practice, no source. None
# leaves it to the usual one of a caliper.
WITH: Mapping[str, float | None] = {"caliper": None, "micrometer": 0.005, "rule": 0.25}
# Common practice, no source: a caliper's jaws set on two crests; shared by the turns between them.
_U_OVER_TURNS_MM = 0.03
GAUGE_ENTRY = {
    "autocomplete": "off",
    "spellcheck": "false",
    "inputmode": "decimal",
    "enterkeyhint": "next",
    # Nothing to read; a style sheet can tell an empty entry by it.
    "placeholder": " ",
}
# Common practice, no source: by how much a series counts more where a person says it is usual.
_MORE_USUAL = 4.0
# What is taken where these say nothing.
_USUAL = {"side": BOLT, "gauge": "caliper", "turns": "10"}
_PIPES = {ThreadSeries.G: "G, pipe", ThreadSeries.R: "R, taper pipe", ThreadSeries.NPT: "NPT, taper pipe"}
# Where a refused value belongs, by the name the core gives it.
_FIELD_OF = {
    "major diameter": "major",
    "minor diameter": "minor",
    "pitch diameter": "pitch_diameter",
    "width across flats": "across_flats",
    "pitch": "turns_length",
    "pitch gauge": "leaf",
    "threads per inch": "leaf",
    "pitch of the leaf": "leaf",
    "years of building": "built_from",
}


def _measured(label: str, hint: str = "") -> forms.CharField:
    entry = forms.TextInput(GAUGE_ENTRY)
    return forms.CharField(label=label, max_length=40, required=False, help_text=hint, widget=entry)


class MeasuredForm(forms.Form):
    """A thread in the order in which one measures it; every field may stay empty."""

    side = forms.ChoiceField(
        label="What is it?",
        choices=[(BOLT, "bolt, stud"), (HOLE, "nut, hole")],
        required=False,
        widget=forms.RadioSelect,
        initial=BOLT,
    )
    major = _measured("Outside diameter")
    leaf = _measured("Gauge leaf that fits", "24, or 1.25")
    turns_length = _measured("Over ten turns", "Crest to crest")
    angle = forms.ChoiceField(
        label="Angle gauge that fits", choices=ANGLES, required=False, widget=forms.RadioSelect, initial=""
    )
    minor = _measured("Inside diameter", "Of the bore; of a bolt, at the roots")
    across_flats = _measured("Across flats", "Head, or nut")
    pitch_diameter = _measured("Over wires, reckoned", "The pitch diameter")
    turns = forms.IntegerField(
        label="How many turns that was", min_value=1, max_value=40, required=False, initial=10
    )
    light = forms.MultipleChoiceField(
        label="Tried, and showed light",
        choices=SHOWED_LIGHT,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    tapers = forms.ChoiceField(
        label="Diameter at both ends of the thread",
        choices=[("", "not looked"), ("no", "the same"), ("yes", "it tapers")],
        required=False,
        widget=forms.RadioSelect,
        initial="",
    )
    gauge = forms.ChoiceField(
        label="Diameters taken with",
        choices=[("caliper", "a caliper"), ("micrometer", "a micrometer"), ("rule", "a rule")],
        required=False,
        widget=forms.RadioSelect,
        initial="caliper",
    )
    country = forms.ChoiceField(
        label="Built in",
        choices=[("", "not known"), *((country.value, country.value) for country in Country)],
        required=False,
    )
    built_from = forms.IntegerField(label="From the year", required=False)
    built_to = forms.IntegerField(label="To the year", required=False)
    material = forms.ChoiceField(
        label="Tapped in",
        choices=[("", "not known"), *((metal.value, metal.value) for metal in TappedMaterial)],
        required=False,
    )
    usual_here = forms.MultipleChoiceField(
        label=f"More usual here: counts {_MORE_USUAL:g} times",
        choices=[(series.value, _PIPES.get(series, series.value)) for series in ThreadSeries],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    beside = forms.BooleanField(label="Let the lots of the same area speak too", required=False)

    def __init__(
        self, *args: Any, unit: LengthUnit, neighbours: Neighbours = (), beside: bool = False, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.unit = unit
        self.neighbours = neighbours
        self.read_as: dict[str, str] = {}
        self._mm: dict[str, float] = {}
        self._leaf: GaugeLeaf | None = None
        self.readings: ThreadReadings | None = None
        self.prior = ThreadPrior()
        if self.is_bound:
            self.data = self._with_usual(self.data)
        if neighbours:
            self.fields["beside"].initial = beside
        else:
            del self.fields["beside"]

    @staticmethod
    def _with_usual(sent: Any) -> Any:
        """Fill in what is taken where nothing was said, so that the page shows it."""
        data = sent.copy()
        for name, usual in _USUAL.items():
            if not data.get(name):
                data[name] = usual
        return data

    @property
    def anything(self) -> bool:
        """Return whether anything was measured."""
        return self.readings is not None

    @property
    def sent(self) -> list[tuple[str, str]]:
        """Return what was typed, field by field, to be sent along with what is kept."""
        data = self.data
        values = data.lists() if hasattr(data, "lists") else data.items()
        return [
            (name, str(value))
            for name, held in values
            if name in self.fields
            for value in (held if isinstance(held, list) else [held])
            if value
        ]

    @property
    def typed(self) -> dict[str, str]:
        """Return what was typed, by the name of the field."""
        typed: dict[str, str] = {}
        for name, value in self.sent:
            typed[name] = f"{typed[name]}, {value}" if name in typed else value
        return typed

    def clean(self) -> dict[str, Any]:
        """Read every value in the unit it was typed in, then all of them as one thread."""
        values = super().clean() or {}
        for name in ("major", "minor", "pitch_diameter"):
            self._read_size(name, values.get(name, ""))
        self._read_size("across_flats", values.get("across_flats", ""), low=2.0, high=80.0)
        turns = values.get("turns") or 10
        self._read_size("turns_length", values.get("turns_length", ""), low=0.2 * turns, high=6.5 * turns)
        self._read_leaf(values.get("leaf", ""))
        if not self.errors:
            self._understand(values, turns)
        return values

    def _read_size(self, name: str, typed: str, *, low: float = 0.7, high: float = 45.0) -> None:
        if not typed:
            return
        try:
            size = read_measured(typed, default_unit=self.unit, low_mm=low, high_mm=high)
        except InvalidInput as error:
            self.add_error(name, str(error))
            return
        self._mm[name] = size.mm
        self.read_as[name] = both_units(size.mm, size.unit)

    def _read_leaf(self, typed: str) -> None:
        if not typed:
            return
        try:
            self._leaf = read_leaf(typed)
        except InvalidInput as error:
            self.add_error("leaf", str(error))
            return
        self.read_as["leaf"] = self._leaf.said

    def _understand(self, values: dict[str, Any], turns: int) -> None:
        gauges = [AngleGauge(float(values["angle"]))] if values.get("angle") else []
        gauges += [AngleGauge(float(angle), fits=False) for angle in values.get("light") or []]
        try:
            self.prior = self._known(values)
            if not (self._mm or self._leaf or gauges or values.get("tapers")):
                return
            self.readings = self._put_together(values, turns, tuple(gauges))
        except InvalidInput as error:
            name = _FIELD_OF.get(error.argument)
            self.add_error(name if name in self.fields else None, str(error))

    def _put_together(
        self, values: dict[str, Any], turns: int, gauges: tuple[AngleGauge, ...]
    ) -> ThreadReadings:
        u_mm = WITH[values.get("gauge") or "caliper"]
        length = self._mm.get("turns_length")
        if length is not None:
            self.read_as["turns_length"] += f", a pitch of {length / turns:.4g} mm"
        leaf = self._leaf
        return ThreadReadings(
            internal=values.get("side") == HOLE,
            major_mm=self._mm.get("major"),
            minor_mm=self._mm.get("minor"),
            pitch_diameter_mm=self._mm.get("pitch_diameter"),
            leaf_tpi=leaf.tpi if leaf else None,
            leaf_mm=leaf.pitch_mm if leaf and leaf.tpi is None else None,
            pitch_mm=length / turns if length is not None else None,
            across_flats_mm=self._mm.get("across_flats"),
            angle_gauges=gauges,
            tapers={"yes": True, "no": False}.get(values.get("tapers", "")),
            u_major_mm=u_mm if "major" in self._mm else None,
            u_minor_mm=u_mm if "minor" in self._mm else None,
            u_pitch_diameter_mm=u_mm if "pitch_diameter" in self._mm else None,
            u_pitch_mm=_U_OVER_TURNS_MM / turns if length is not None else None,
        )

    def _known(self, values: dict[str, Any]) -> ThreadPrior:
        return ThreadPrior(
            country=Country(values["country"]) if values.get("country") else None,
            built_from=values.get("built_from"),
            built_to=values.get("built_to"),
            neighbours=self.neighbours if values.get("beside") else (),
            tapped_material=TappedMaterial(values["material"]) if values.get("material") else None,
            series_weights=tuple(
                (ThreadSeries(series), _MORE_USUAL) for series in values.get("usual_here") or ()
            ),
        )
