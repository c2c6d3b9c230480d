"""Forms of the build room."""

from __future__ import annotations

from django import forms


class WhyForm(forms.Form):
    """The reason for fitting a piece whose thread, or a test before it, is in doubt."""

    why = forms.CharField(
        label="Why, if a test has not passed or a thread is in doubt", max_length=300, required=False
    )
