"""The form that chooses one of the compared treatments."""

from __future__ import annotations

from typing import Any

from django import forms

from runningfit.core.verdicts import Outcome
from runningfit.workshop.treatments.queries import LotTreatments


class ChooseForm(forms.Form):
    """One treatment, and why where its verdict speaks against it."""

    chosen = forms.ChoiceField(
        label="Treatment", error_messages={"required": "Tap the treatment that you choose."}
    )
    why = forms.CharField(
        label="Why, if it needs saying",
        max_length=300,
        required=False,
        widget=forms.TextInput(attrs={"placeholder": "why, if it needs saying", "autocomplete": "off"}),
    )

    def __init__(self, shown: LotTreatments, data: Any = None) -> None:
        super().__init__(data)
        self._compared = {
            one.compared.candidate.key: one.compared for one in shown.treatments if one.compared.can_be_chosen
        }
        field = self.fields["chosen"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(key, one.candidate.label) for key, one in self._compared.items()]

    def clean(self) -> dict[str, Any]:
        """Ask for a reason where the verdict is not sound."""
        values = super().clean() or {}
        compared = self._compared.get(values.get("chosen", ""))
        if compared is not None and compared.outcome is Outcome.NOT_SOUND and not values.get("why"):
            said = next(one.says for one in compared.effects if one.outcome is Outcome.NOT_SOUND)
            self.add_error("why", f"Not sound with {compared.candidate.label}: {said}. Say why all the same.")
        if compared is not None and self.coat and self.coat not in {one.asked for one in compared.coats}:
            self.add_error("chosen", f"Choose a class of the list for {compared.candidate.label}.")
        return values

    @property
    def coat(self) -> str:
        """Return the class of coat that was chosen with the treatment; empty where none was."""
        return str(self.data.get(f"coat-{self.data.get('chosen', '')}", ""))

    @property
    def treatment(self) -> str:
        """Return the key of the treatment that was chosen."""
        return self._compared[self.cleaned_data["chosen"]].candidate.treatment

    @property
    def ordered_steps(self) -> str:
        """Return what an outside shop shall do beside it."""
        return "bake" if self._compared[self.cleaned_data["chosen"]].candidate.is_baked else ""

    @property
    def needs_a_person(self) -> str:
        """Return what a person must look at with it."""
        return self._compared[self.cleaned_data["chosen"]].needs_a_person
