"""Forms of machining: what can be had, which step, the order, what came back."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.treatments.machining.clean_up import CleanUp
from runningfit.web.pieces.lot_forms import KnownWords
from runningfit.web.records.forms import DateInput
from runningfit.web.typed_text import typed_text
from runningfit.workshop.measurements.models import FeatureSet
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.outside_work.queries import outside_shops
from runningfit.workshop.treatments.machining_choice import LEFT_MM, MachiningChoice
from runningfit.workshop.treatments.machining_orders import OrderedSet
from runningfit.workshop.treatments.machining_said import SaidOfMachining
from runningfit.workshop.treatments.models import AXES, MachiningPlan

_PIECES = ["cylinder block", "cylinder head", "crankshaft", "camshaft", "connecting rods"]
_USUAL_PIECE = {
    "bores": "cylinder block",
    "main_housings": "cylinder block",
    "mains": "crankshaft",
    "crankpins": "crankshaft",
    "big_ends": "connecting rods",
    "guides": "cylinder head",
}


class Amount(forms.DecimalField):
    """Money; what is none is named with what it needs and what came."""

    def clean(self, value: Any) -> Decimal | None:
        """Read an amount that a bill can have."""
        try:
            amount: Decimal | None = super().clean(value)
        except forms.ValidationError as error:
            raise forms.ValidationError(
                f"{self.label} needs an amount from 0, such as 420 or 420.50; {value} came. "
                "Leave the commas and the sign of the money out."
            ) from error
        return amount


class Day(forms.DateField):
    """A day; what is none is named with what it needs and what came."""

    def to_python(self, value: Any) -> dt.date | None:
        """Read a day."""
        try:
            return super().to_python(value)
        except forms.ValidationError as error:
            today = timezone.localdate()
            raise forms.ValidationError(
                f"{self.label} needs a day, such as {today:%Y-%m-%d}; {value} came."
            ) from error


def _money(label: str, hint: str = "") -> Amount:
    return Amount(label=label, min_value=0, max_digits=12, decimal_places=2, required=False, help_text=hint)


class PlanForm(forms.Form):
    """Which steps can be had and at what price, what must be left, how it is finished."""

    steps = typed_text("Oversizes that can be had", "On diameter: 0.25, 0.50, 0.75, 1.00 mm.", most=120)
    parts = typed_text(
        "Parts for one, at each", "Piston and rings: one price for all, or one for each.", most=120
    )
    price_each = _money("Cutting one")
    price_visit = _money("Setting up once", "Each time that it goes.")
    last_resort = typed_text("Where no step is enough", "A liner, another block.", most=80)
    price_last_resort = _money("Its price, for one")
    hone = typed_text("Stock for honing", "On diameter, once the surface is clean: 0.05 mm.")
    axis = forms.ChoiceField(label="It is bored", choices=AXES, widget=forms.RadioSelect, initial="unknown")
    own_step_each = forms.BooleanField(label="Each may have a step of its own", required=False)
    parts_before = forms.BooleanField(
        label="Parts are bought before it is cut, and not taken back", required=False
    )
    price_reading = _money(
        "Price of finding the old axis", "Of reading the radius to both sides from an unworn rim."
    )
    offsets = typed_text(
        "Worn middles off the old axis",
        "Where that was read, by name: 3: 0.04 ± 0.01 mm; 1: 0.02 mm. The side too where it is known: "
        "3: 0.04 mm at 90°.",
        most=300,
    )
    one_sided = typed_text(
        "One-sided wear of such engines",
        "Where your shop has read it before: how much more one side was worn, as a share of the wear, and "
        "how that spreads: 40 ± 15 %.",
        most=40,
    )
    centring = typed_text(
        "The tool may stand off its axis by", "Plus or minus; ask the machine shop: 0.02 mm."
    )
    most_step = typed_text("The maker's largest step")
    wall = typed_text("Wall where it is thinnest", "As measured: 4.2 ± 0.2 mm.")
    wall_left = typed_text("Wall that must be left")
    hard_layer = typed_text("Hardened layer, as made", "0.40 ± 0.05 mm.")
    hard_left = typed_text("Layer that must be left")
    finished_clearance = typed_text("Wanted clearance", "A bore then goes to its new piston plus this.")
    tolerance = typed_text("Finished size may be off by", "Plus or minus: 0.010 mm.")
    surface = typed_text("Surface", "60° cross-hatch, Ra 0.4 to 0.8 µm.", most=120)
    keep = typed_text("What to keep", "The stamped numbers, the matching marks.", most=300)
    measure_after = typed_text("What to measure after", "Each at three depths in two directions.", most=300)
    source = typed_text("Where these stand", "Manual and page.", most=120)

    groups = (
        ("", ("steps", "parts", "price_each", "price_visit")),
        ("If no step is enough", ("last_resort", "price_last_resort")),
        ("How it is cut, and to what size", (
            "axis", "hone", "tolerance", "finished_clearance", "most_step", "own_step_each", "parts_before",
            "offsets", "one_sided", "centring", "price_reading",
        )),
        ("What must be left", ("wall", "wall_left", "hard_layer", "hard_left")),
        ("What the shop is told", ("surface", "keep", "measure_after", "source")),
    )  # fmt: skip

    def __init__(self, one: FeatureSet, data: Any = None, *, unit: str, plan: MachiningPlan | None) -> None:
        super().__init__(data, initial=_as_said(plan))
        self._unit = unit
        bore = FeatureKind(one.kind) is FeatureKind.BORE
        for name in ("hard_layer", "hard_left") if bore else ("wall", "wall_left", "finished_clearance"):
            del self.fields[name]
        if not bore:
            for name, label, hint in (
                ("steps", "Undersizes that can be had", "On diameter: 0.25, 0.50 mm."),
                ("parts", "Parts for one, at each", "Its shells: one price for all, or one for each."),
                ("hone", "Stock for polishing", "On diameter, once the surface is clean: 0.02 mm."),
                ("axis", "It is ground", ""),
                ("surface", "Surface", "Ground and polished, Ra 0.2 µm or less."),
                ("last_resort", "Where no step is enough", "Built up, another crankshaft."),
            ):
                self.fields[name].label, self.fields[name].help_text = label, hint

    @property
    def drawn_parts(self) -> list[tuple[str, tuple[str, ...], bool]]:
        """The parts of the form, each with whether something stands or is wrong in it."""
        known = [
            (title, tuple(name for name in names if name in self.fields)) for title, names in self.groups
        ]
        return [(title, names, any(self._stands(name) for name in names)) for title, names in known]

    def _stands(self, name: str) -> bool:
        value = self[name].value()
        return bool(self[name].errors) or (bool(value) and value != self.fields[name].initial)

    def said(self) -> SaidOfMachining:
        """Return what was typed, as the verb takes it."""
        return SaidOfMachining(unit=self._unit, **self.cleaned_data)


class DecideForm(forms.Form):
    """The step, one for all or one for each, and why where it goes against the computation."""

    why = forms.CharField(
        label="Why, if it needs saying",
        max_length=300,
        required=False,
        widget=forms.TextInput(attrs={"placeholder": "why, if it needs saying", "autocomplete": "off"}),
    )

    def __init__(self, choice: MachiningChoice, data: Any = None) -> None:
        super().__init__(data, auto_id="decide_%s")
        self._choice = choice
        plan = choice.plan
        self._steps = [one.step_mm for one in choice.found.steps] if isinstance(choice.found, CleanUp) else []
        offered = [(f"{step:g}", choice.step_words(step)) for step in self._steps]
        if not choice.recommended:
            offered.insert(0, ("", "choose"))
        self.own = bool(plan and plan.own_step_each)
        if self.own:
            offered.append((f"{LEFT_MM:g}", "leave it as it is"))
        names = [(f"step-{one.pk}", one) for one in choice.features] if self.own else [("step", None)]
        self.names = tuple(name for name, _one in names)
        for name, one in names:
            computed = (
                choice.recommended.get(str((one or choice.features[0]).pk)) if choice.features else None
            )
            if one and str(one.pk) in choice.finished:
                computed = LEFT_MM
            self.fields[name] = forms.ChoiceField(
                label=one.called if one else "Step",
                choices=offered,
                initial="" if computed is None else f"{computed:g}",
                error_messages={"required": "Tap the step that it shall be machined to."},
            )

    @property
    def steps(self) -> dict[int, float]:
        """The step of each feature, by its key [mm]."""
        known = {f"{step:g}": step for step in (LEFT_MM, *self._steps)}
        return {
            one.pk: known[self.cleaned_data[f"step-{one.pk}" if self.own else "step"]]
            for one in self._choice.features
        }


class OrderForm(forms.Form):
    """To whom it goes, on which consignment, when and for how much."""

    consignment = forms.ChoiceField(
        label="Goes with",
        required=False,
        error_messages={
            "invalid_choice": "Goes with needs a consignment that has not gone yet; %(value)s came. "
            "Choose again."
        },
    )
    shop_name = forms.CharField(label="Machine shop", max_length=120, required=False)
    piece = forms.CharField(
        label="What carries them",
        max_length=120,
        required=False,
        help_text="It is kept as a lot of one, so that it can go and be counted back.",
    )
    due_on = Day(label="Promised for", required=False, widget=DateInput())
    quoted = _money("Quoted for all of it")
    why = typed_text("Why before the test", most=300)

    def __init__(
        self, choice: MachiningChoice, data: Any = None, *, drafts: list[Consignment], has_lot: bool,
        waits: bool,
    ) -> None:  # fmt: skip
        one = choice.feature_set
        super().__init__(data, initial={"piece": _USUAL_PIECE.get(one.purpose, "")})
        to = self.fields["consignment"]
        assert isinstance(to, forms.ChoiceField)
        to.choices = [("", "a new consignment")] + [
            (str(row.number), f"consignment {row.number}, {row.shop.name}") for row in drafts
        ]
        self._drafts = {str(row.number): row for row in drafts}
        self.fields["shop_name"].widget = KnownWords([shop.name for shop in outside_shops()], "known-shops")
        self.fields["piece"].widget = KnownWords(_PIECES, "known-pieces")
        if not drafts:
            del self.fields["consignment"]
        if has_lot:
            del self.fields["piece"]
        if not waits:
            del self.fields["why"]

    def clean(self) -> dict[str, Any]:
        """Refuse a consignment that has gone since the page was made: nothing else is ordered on instead."""
        values = super().clean() or {}
        chosen = self.data.get("consignment", "")
        if chosen and chosen not in self._drafts and "consignment" not in self.errors:
            self.add_error(
                "consignment" if "consignment" in self.fields else None,
                f"Goes with needs a consignment that has not gone yet; {chosen} came. Choose again.",
            )
        return values

    @property
    def order(self) -> dict[str, Any]:
        """What the verb takes."""
        values = {name: value for name, value in self.cleaned_data.items() if name != "why"}
        chosen = values.pop("consignment", "")
        return {**values, "consignment": self._drafts.get(chosen)}


class BackForm(forms.Form):
    """The day it was done, which show marks still, what the shop wrote."""

    done_on = Day(label="Done on", widget=DateInput())
    marks_left = forms.MultipleChoiceField(
        label="Dark places or pits left on", required=False, widget=forms.CheckboxSelectMultiple
    )
    came_with = typed_text("The shop's figures and words", most=300)

    before, after = ("done_on",), ("came_with",)

    def __init__(self, ordered: OrderedSet, data: Any = None) -> None:
        rows = [one.operation for one in ordered.operations]
        super().__init__(
            data,
            prefix=f"set-{ordered.feature_set.pk}-{ordered.round}",
            initial={
                "done_on": rows[0].done_on or timezone.localdate(),
                "came_with": rows[0].came_with,
                "marks_left": [str(row.pk) for row in rows if row.marks_left],
            },
        )
        field = self.fields["marks_left"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(str(row.pk), row.feature.called) for row in rows]


def _as_said(plan: MachiningPlan | None) -> dict[str, Any]:
    """Return a plan as its form shows it: what was typed, as it was typed."""
    if plan is None:
        return {}
    names = [name for name in PlanForm.base_fields if hasattr(plan, name) and name not in ("steps", "parts")]
    return {**{name: getattr(plan, name) for name in names}, **plan.typed}
