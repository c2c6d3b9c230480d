"""Forms of fits: which of the usual ones, and everything that is known of one, as typed with its unit."""

from __future__ import annotations

from typing import Any

from django import forms

from runningfit.core.joints.running_fits.expansion import known_expansions
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.web.measurements.read_with import unit_words
from runningfit.web.pieces.lot_forms import KnownWords
from runningfit.web.typed_text import AS_TYPED, typed_text
from runningfit.workshop.joints.fit_models import FIT_KINDS, RunningFit
from runningfit.workshop.joints.fit_typed import (
    celsius,
    length_in,
    plain_number,
    typed_force,
    typed_grades,
    typed_plain,
    typed_span,
)
from runningfit.workshop.joints.fits import ProposedFit, SaidOfFit
from runningfit.workshop.measurements.models import BASES, FeatureSet
from runningfit.workshop.measurements.typed import typed_number
from runningfit.workshop.records.models import Job

_FITTING = [one.value for one in (FeatureKind.BORE, FeatureKind.SHAFT, FeatureKind.GAP, FeatureKind.LENGTH)]


class UsualFitsForm(forms.Form):
    """Which of the fits that the sheet suggests are wanted."""

    keys = forms.MultipleChoiceField(
        label="The usual fits", error_messages={"required": "Tick at least one of them."}
    )

    def __init__(self, proposed: list[ProposedFit], *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.proposed = proposed
        field = self.fields["keys"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(one.key, one.name) for one in proposed]


class FitForm(forms.Form):
    """A fit: its two sets, its limits with their page, and what hot clearances, shells and presses need."""

    name = typed_text("What it is", most=80, required=True)
    kind = forms.ChoiceField(label="What sort of fit", choices=FIT_KINDS)
    hole_set = forms.ModelChoiceField(
        label="The part around", queryset=FeatureSet.objects.none(), empty_label=None
    )
    shaft_set = forms.ModelChoiceField(
        label="The part within", queryset=FeatureSet.objects.none(), empty_label=None
    )
    new_lower = typed_text("New, at least", "Clearance on diameter; of a press fit, the interference.")
    new_upper = typed_text("New, at most")
    wear_upper = typed_text("Worn, at most")
    basis = forms.ChoiceField(
        label="Where the limits come from", choices=[("", "not said"), *BASES], required=False
    )
    source = typed_text("Page, or whose figure it is", most=120)
    hole_material = forms.CharField(label="Metal of the part around", max_length=60, required=False)
    hole_hot = typed_text("The part around runs at, °C", "One temperature or two: 110 to 130.")
    shaft_material = forms.CharField(label="Metal of the part within", max_length=60, required=False)
    shaft_hot = typed_text("The part within runs at, °C")
    shell = typed_text("Thickness of one shell", "At its crown, by a ball-ended micrometer.")
    shell_spread = typed_text("Sure to, either way", "Such as 0.002 mm.")
    shell_material = forms.CharField(label="Metal of the shells", max_length=60, required=False)
    shell_grades = forms.CharField(
        label="Or the grades that can be had",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4, **AS_TYPED}),
        help_text="One a line: its name, the least and the largest thickness, as red; 1.828 mm; 1.832 mm.",
    )
    crush = typed_text("Crush widens the housing by", "Empty where nobody knows.")
    read_in = typed_text("Ring gaps were read in a diameter of", "Empty where each was read in its own bore.")
    length = typed_text("Length, or width that carries")
    outer = typed_text(
        "Outside diameter of the outer part", "Of a casting, of the ring that stands around the hole."
    )
    inner_bore = typed_text("Bore of the inner part", "Empty where it is solid.")
    friction = typed_text("Friction", "Such as 0.10 to 0.15.")
    roughness = typed_text(
        "Roughness Rz of both, together", "Such as 0.012 mm. Without it no press fit is proven."
    )
    push = typed_text("It shall hold a force of", "In N, or with its unit.")
    load = typed_text("Load on the bearing", "In N, or with its unit.")
    speed = typed_text("Speed, turns a minute")
    viscosity = typed_text("Viscosity of the oil as it runs, mPa s")

    parts = (
        ("", ("name", "kind", "hole_set", "shaft_set")),
        ("Limits of the clearance", ("new_lower", "new_upper", "wear_upper", "basis", "source")),
        ("Metals, and how hot they run", ("hole_material", "hole_hot", "shaft_material", "shaft_hot")),
        ("Bearing shells", ("shell", "shell_spread", "shell_material", "shell_grades", "crush")),
        ("Piston rings", ("read_in",)),
        ("Press fits", ("outer", "inner_bore", "friction", "roughness", "push")),
        ("Length, and the oil film of a bearing", ("length", "load", "speed", "viscosity")),
    )

    def __init__(self, job: Job, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self._unit = unit
        rows = FeatureSet.objects.filter(job=job, withdrawn=False, kind__in=_FITTING)
        for name in ("hole_set", "shaft_set"):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows.order_by("position", "id")
        for name in ("hole_material", "shaft_material", "shell_material"):
            self.fields[name].widget = KnownWords(list(known_expansions()), f"known-{name}")
            self.fields[name].help_text = "" if name == "shell_material" else "Empty: as on the sheet."
        self.fields["new_upper"].help_text = f"In {unit_words(unit)}, or with its own unit."

    @property
    def drawn_parts(self) -> list[tuple[str, tuple[str, ...], bool]]:
        """The parts of the form, each with whether something stands or is wrong in it."""
        return [
            (title, names, any(self[name].value() or self[name].errors for name in names))
            for title, names in self.parts
        ]

    def said(self) -> SaidOfFit:
        """Return what was typed, as the verbs take it.

        Raises
        ------
        InvalidInput
            A figure cannot be read; named as its field is.
        """
        values = self.cleaned_data
        unit, read = self._unit, length_in(self._unit)
        lengths = {
            name: typed_number(name.replace("_", " "), values[name], unit=unit)
            for name in (
                "new_lower", "new_upper", "wear_upper", "shell", "shell_spread", "read_in", "length", "outer",
                "inner_bore", "roughness",
            )
        }  # fmt: skip
        grades, grades_typed = typed_grades("shell grades", values["shell_grades"], unit=unit)
        return SaidOfFit(
            kind=values["kind"],
            name=values["name"],
            hole_set=values["hole_set"],
            shaft_set=values["shaft_set"],
            basis=values["basis"],
            source=values["source"],
            hole_material=values["hole_material"],
            shaft_material=values["shaft_material"],
            hole_hot=typed_span("hole hot", values["hole_hot"], celsius, unit="°C"),
            shaft_hot=typed_span("shaft hot", values["shaft_hot"], celsius, unit="°C"),
            shell_material=values["shell_material"],
            shell_grades=grades,
            shell_grades_typed=grades_typed,
            crush=typed_span("crush", values["crush"], read, unit=unit),
            friction=typed_span("friction", values["friction"], plain_number),
            push=typed_force("push", values["push"]),
            load=typed_force("load", values["load"]),
            speed=typed_plain("speed", values["speed"], "1/min"),
            viscosity=typed_plain("viscosity", values["viscosity"], "mPa s"),
            **lengths,
        )


class FittedForm(forms.Form):
    """Which grades of shells were fitted in a bearing."""

    upper = forms.ChoiceField(label="The shell above", required=False)
    lower = forms.ChoiceField(label="The shell below", required=False)

    def __init__(self, fit: RunningFit, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        grades = [(str(one["name"]), str(one["name"])) for one in fit.shell_grades]
        for name in ("upper", "lower"):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = [("", "none fitted yet"), *grades]


def fit_start(fit: RunningFit) -> dict[str, Any]:
    """Return what stands of a fit, as its form shows it."""
    return {
        **fit.typed,
        "name": fit.name,
        "kind": fit.kind,
        "hole_set": fit.hole_set_id,
        "shaft_set": fit.shaft_set_id,
        "basis": fit.basis,
        "source": fit.source,
        "hole_material": fit.hole_material,
        "shaft_material": fit.shaft_material,
        "shell_material": fit.shell_material,
    }
