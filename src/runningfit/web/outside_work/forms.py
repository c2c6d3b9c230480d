"""Forms of outside work: treatments, consignments, calls, shops, closing a discrepancy."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from runningfit.core.pieces.finishes import FinishLook, FinishProcess
from runningfit.core.treatments import all_treatments
from runningfit.web.pieces.lot_forms import KnownWords
from runningfit.web.records.forms import DateInput
from runningfit.workshop.outside_work.models import Discrepancy
from runningfit.workshop.outside_work.outcomes import OUTCOMES
from runningfit.workshop.outside_work.queries import outside_shops
from runningfit.workshop.pieces.done_work import BAKED
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.models import Lot

LOOK_CHOICES = [(look.value, look.value) for look in FinishLook if look is not FinishLook.UNKNOWN]
BARE, OTHERWISE = "bare", "otherwise"
# A process is known from somebody or from a test, never from a colour.
HOW_KNOWN = ["the plater's paper", "asked by phone", "a test of it"]


class LotsForm(forms.Form):
    """Lots that were ticked."""

    lot = forms.ModelMultipleChoiceField(
        queryset=Lot.objects.filter(withdrawn=False).select_related("job", "bag", "area"),
        error_messages={"required": "Tick the lots first."},
    )


class TreatForm(LotsForm):
    """What is to be done with the lots that were ticked."""

    treatment = forms.ChoiceField(label="What is to be done?", required=False)
    why = forms.CharField(label="Why, if it needs saying", max_length=300, required=False)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        here = [(one.key, one.label) for one in all_treatments() if not one.goes_outside]
        away = [(one.key, one.label) for one in all_treatments() if one.goes_outside]
        field = self.fields["treatment"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [
            ("", "not decided: choose"),
            ("usually done outside", away),
            ("usually done here", here),
        ]


class DoneForm(LotsForm):
    """What was done here, and how the pieces look now."""

    look = forms.ChoiceField(
        label="They look", required=False, choices=[("", "as asked, or as before"), *LOOK_CHOICES]
    )
    process = forms.ChoiceField(
        label="By",
        required=False,
        choices=[("", "as asked")] + [(one.value, one.said) for one in FinishProcess],
    )


class FinishForm(LotsForm):
    """Which finish the ticked lots wear, and how anybody knows."""

    process = forms.ChoiceField(
        label="Which finish is it?",
        widget=forms.RadioSelect,
        choices=[*((one.value, one.said) for one in FinishProcess), (BARE, "none: bare metal")],
        error_messages={"required": "Say which finish it is: the colour does not tell."},
    )
    look = forms.ChoiceField(
        label="It looks", required=False, choices=[("", "as it was counted"), *LOOK_CHOICES]
    )
    how = forms.ChoiceField(
        label="How is that known?",
        widget=forms.RadioSelect,
        choices=[*((one, one) for one in HOW_KNOWN), (OTHERWISE, "otherwise: say it below")],
        error_messages={"required": "Say how it is known: nobody can see a process."},
    )
    said = forms.CharField(
        label="Who said it, which test", max_length=240, required=False, widget=forms.TextInput()
    )

    def __init__(self, lots: Sequence[Lot], data: Any = None) -> None:
        super().__init__(data)
        field = self.fields["lot"]
        assert isinstance(field, forms.ModelMultipleChoiceField)
        field.queryset = Lot.objects.filter(pk__in=[lot.pk for lot in lots]).select_related("job")

    def clean(self) -> dict[str, Any]:
        """Need to know how it is known."""
        values: dict[str, Any] = super().clean() or {}
        if values.get("how") == OTHERWISE and not values.get("said", "").strip():
            self.add_error("said", "Say how it is known: nobody can see a process.")
        return values

    def facts(self) -> dict[str, Any]:
        """Return what is confirmed, as the verb takes it."""
        values = self.cleaned_data
        bare = values["process"] == BARE
        how = "" if values["how"] == OTHERWISE else values["how"]
        return {
            "lots": list(values["lot"]),
            "process": "" if bare else values["process"],
            "look": FinishLook.NONE.value if bare else values["look"],
            "why": ": ".join(part for part in (how, values["said"].strip()) if part),
        }


class MakeUpForm(LotsForm):
    """A new consignment: where it goes, when it is due, how many of each lot."""

    lot = forms.ModelMultipleChoiceField(
        queryset=Lot.objects.filter(withdrawn=False).select_related("job", "bag", "area"), required=False
    )
    shop_name = forms.CharField(label="To which shop?", max_length=120)
    due_on = forms.DateField(label="Promised for", required=False, widget=DateInput())
    asked = forms.CharField(
        label="What is asked, beside the treatments",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    must_not = forms.CharField(
        label="What must not be done, beside the usual",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, lots: list[Lot], *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        known = list(outside_shops().values_list("name", flat=True))
        self.fields["shop_name"].widget = KnownWords(known, "known-shops")
        self.lots = lots
        for lot in lots:
            here = count_of(lot).here
            self.fields[f"count-{lot.pk}"] = forms.IntegerField(
                label=f"How many of lot {lot.number}",
                min_value=1,
                max_value=max(here, 1),
                initial=here,
                widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
            )

    def rows(self) -> list[tuple[Lot, forms.BoundField]]:
        """Return each lot with the field of its count."""
        return [(lot, self[f"count-{lot.pk}"]) for lot in self.lots]

    def counts(self) -> list[tuple[Lot, int]]:
        """Return the lots, each with how many of it go."""
        return [(lot, self.cleaned_data[f"count-{lot.pk}"]) for lot in self.lots]


class SendForm(forms.Form):
    """The day it went, and for when it is promised."""

    sent_on = forms.DateField(label="Went on", widget=DateInput())
    due_on = forms.DateField(label="Promised for", required=False, widget=DateInput())


class SaidForm(forms.Form):
    """What is asked, what must not be done, and the money."""

    due_on = forms.DateField(label="Promised for", required=False, widget=DateInput())
    quoted = forms.DecimalField(label="Quoted", min_value=0, max_digits=12, decimal_places=2, required=False)
    paid = forms.DecimalField(label="Paid", min_value=0, max_digits=12, decimal_places=2, required=False)
    asked = forms.CharField(
        label="What is asked, beside the treatments",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    must_not = forms.CharField(
        label="What must not be done, beside the usual",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    note = forms.CharField(label="Note", max_length=300, required=False)


class AnywayForm(forms.Form):
    """Why a lot goes although its verdict says that it must not."""

    why = forms.CharField(
        label="It goes all the same, because",
        max_length=300,
        error_messages={"required": "Say why it goes all the same: the note and the record keep it."},
    )

    def __init__(self, data: Any = None, *, line_id: int) -> None:
        super().__init__(data, auto_id=f"id_%s_{line_id}")
        self.line_id = line_id


class LineForm(forms.Form):
    """What must not be done with one lot, and its price."""

    must_not = forms.CharField(label="What must not be done with these", max_length=300, required=False)
    price = forms.DecimalField(
        label="Price for these", min_value=0, max_digits=12, decimal_places=2, required=False
    )


class CallForm(forms.Form):
    """A call, while it is still in the ear."""

    said = forms.CharField(
        label="What was said",
        max_length=500,
        required=False,
        widget=forms.TextInput(attrs={"autofocus": True, "autocomplete": "off"}),
    )
    spoke_to = forms.CharField(label="By whom", max_length=80, required=False)
    new_due_on = forms.DateField(label="New date", required=False, widget=DateInput())
    price = forms.DecimalField(label="Price", min_value=0, max_digits=12, decimal_places=2, required=False)


class ShopForm(forms.Form):
    """An outside shop."""

    name = forms.CharField(label="Name", max_length=120)
    trade = forms.CharField(label="Trade", max_length=80, required=False)
    phone = forms.CharField(label="Phone", max_length=60, required=False)
    address = forms.CharField(label="Address", max_length=300, required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)


class BakedForm(forms.Form):
    """Whether the bake was done, and how that is known."""

    baked = forms.ChoiceField(
        label="Was it baked as asked?",
        choices=[(key, words.capitalize()) for key, words in BAKED.items()],
        required=False,
        widget=forms.RadioSelect,
    )
    why = forms.CharField(
        label="How you know", max_length=300, help_text="Such as: the certificate, asked by phone."
    )


class CloseForm(forms.Form):
    """How a discrepancy ended, and why."""

    outcome = forms.ChoiceField(label="How did it end?", widget=forms.RadioSelect)
    why = forms.CharField(label="Why", max_length=300)

    def __init__(self, discrepancy: Discrepancy, data: Any = None) -> None:
        super().__init__(data)
        field = self.fields["outcome"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(one.key, one.label) for one in OUTCOMES[discrepancy.kind]]
