"""Forms of the build room."""

from __future__ import annotations

from django import forms


class WhyForm(forms.Form):
    """The reason for fitting a piece whose thread is in doubt."""

    why = forms.CharField(label="Why, if a thread is not proven or defective", max_length=300, required=False)
