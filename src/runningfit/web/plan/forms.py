"""Forms of the plan room."""

from __future__ import annotations

from django import forms

from runningfit.core.pieces.finishes import FinishLook
from runningfit.web.records.forms import DateInput


class AllotForm(forms.Form):
    """n pieces of a lot for the place whose page it is."""

    lot = forms.IntegerField(widget=forms.HiddenInput)
    count = forms.IntegerField(label="How many", min_value=1, max_value=100_000)


class OtherLotForm(forms.Form):
    """Any lot by its number, with the reason where it does not fit."""

    number = forms.IntegerField(label="Lot number", min_value=1)
    other_count = forms.IntegerField(label="How many", min_value=1, max_value=100_000)
    why = forms.CharField(label="Why, if it does not fit by the rules", max_length=300, required=False)
    over = forms.BooleanField(label="more than the place needs is meant", required=False)


class FreeForm(forms.Form):
    """A lot to take out of its place in the plan."""

    lot = forms.IntegerField(widget=forms.HiddenInput)


class ToBuyForm(forms.Form):
    """Something to buy in plain words."""

    what = forms.CharField(label="What", max_length=200)
    count = forms.IntegerField(label="How many", min_value=1, max_value=100_000)
    note = forms.CharField(label="Note", max_length=300, required=False)


class QuoteForm(forms.Form):
    """Who sells it, for how much, and what refurbishing the old ones would cost."""

    count = forms.IntegerField(label="How many", min_value=1, max_value=100_000)
    supplier = forms.CharField(label="Supplier", max_length=120, required=False)
    price_each = forms.DecimalField(
        label="Price each, new", min_value=0, max_digits=9, decimal_places=2, required=False
    )
    price_said_on = forms.DateField(label="Price said on", required=False, widget=DateInput())
    refurbish_price_each = forms.DecimalField(
        label="Price each, refurbishing the old", min_value=0, max_digits=9, decimal_places=2, required=False
    )
    note = forms.CharField(label="Note", max_length=300, required=False)


class OrderForm(forms.Form):
    """When it was ordered and when it shall come."""

    ordered_on = forms.DateField(label="Ordered on", required=False, widget=DateInput())
    due_on = forms.DateField(label="Shall come on", required=False, widget=DateInput())


class ReceiveForm(forms.Form):
    """How many came, what was paid, and how they look."""

    came = forms.IntegerField(label="How many came", min_value=1, max_value=100_000)
    paid_each = forms.DecimalField(
        label="Paid for each", min_value=0, max_digits=9, decimal_places=2, required=False
    )
    look = forms.ChoiceField(label="Finish", choices=[(look.value, look.value) for look in FinishLook])
