"""Forms of the results: how deep the pits of a feature are."""

from __future__ import annotations

from typing import Any

from django import forms

from runningfit.web.typed_text import typed_text
from runningfit.workshop.measurements.typed import TypedNumber, typed_number


class PitsForm(forms.Form):
    """How deep the pits or scores of one feature are, by gauge or by feel."""

    depth = typed_text(
        "Depth of the deepest pit",
        "0 where you looked and found none; empty where nobody looked.",
        figure=True,
    )
    u = typed_text(
        "How sure that is", "A standard uncertainty; by feel a third of the depth or more.", figure=True
    )

    def __init__(self, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self._unit = unit
        for field in self.fields.values():
            field.help_text = f"In {unit}, or with its own unit. {field.help_text}"

    def figure(self, name: str) -> TypedNumber | None:
        """Return a figure as typed.

        Raises
        ------
        InvalidInput
            It cannot be read.
        """
        return typed_number(name, self.cleaned_data[name], unit=self._unit)
