"""The field of a form for what is typed as the trade writes it: browsers neither complete nor correct it."""

from __future__ import annotations

from django import forms

AS_TYPED = {"autocomplete": "off", "spellcheck": "false"}


def typed_text(
    label: str, hint: str = "", *, most: int = 40, required: bool = False, initial: str | None = None,
    figure: bool = False,
) -> forms.CharField:  # fmt: skip
    """Return a text field.

    Parameters
    ----------
    label : str
        What it asks for.
    hint : str
        What stands below it.
    most : int
        How many letters it takes.
    required : bool
        Whether it must not be empty.
    initial : str or None
        What stands in it at first.
    figure : bool
        Whether a phone offers its figures first.
    """
    attrs = {**AS_TYPED, "inputmode": "decimal"} if figure else AS_TYPED
    return forms.CharField(
        label=label, max_length=most, required=required, initial=initial, help_text=hint,
        widget=forms.TextInput(attrs=attrs),
    )  # fmt: skip
