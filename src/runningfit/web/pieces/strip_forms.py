"""The form of the quick line, with the answers to what is asked of it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.understood import UnderstoodLine
from runningfit.web.pieces.choices import kind_choices
from runningfit.workshop.pieces.answers import Answers, answered
from runningfit.workshop.pieces.understanding import understand_line
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.queries import engines_of


class QuickForm(forms.Form):
    """One line as people say it; it is kept when the very words were shown as understood before."""

    line = forms.CharField(
        label="Say what came off",
        max_length=500,
        widget=forms.TextInput(attrs={"autocomplete": "off", "enterkeyhint": "done", "spellcheck": "false"}),
    )
    shown = forms.CharField(required=False, widget=forms.HiddenInput)
    origin = forms.ModelChoiceField(
        label="off", queryset=Engine.objects.none(), required=False, empty_label="engine not said"
    )
    count = forms.IntegerField(label="How many?", min_value=1, max_value=100_000, required=False)
    kind = forms.ChoiceField(label="What are they?", choices=kind_choices("not said"), required=False)
    end0 = forms.CharField(required=False)
    end1 = forms.CharField(required=False)
    length = forms.CharField(required=False)

    def __init__(self, job: Job, data: QueryDict | None = None, **options: Any) -> None:
        super().__init__(data, **options)
        self.job = job
        self.engines = engines_of(job)
        origin = self.fields["origin"]
        assert isinstance(origin, forms.ModelChoiceField)
        origin.queryset = Engine.objects.filter(job=job, withdrawn=False)
        origin.choices = [("", "engine not said"), *((engine.pk, str(engine)) for engine in self.engines)]
        self.as_understood: UnderstoodLine | None = None
        self.as_asked: UnderstoodLine | None = None

    def clean_line(self) -> str:
        """Return the line as one line: it grows on the page, and what is pasted may hold line breaks."""
        return " ".join(str(self.cleaned_data["line"]).split())

    def clean(self) -> dict[str, Any]:
        """Understand the line, and put the answers into it."""
        values: dict[str, Any] = super().clean() or {}
        if values.get("line"):
            try:
                line = understand_line(job=self.job, text=values["line"])
                counted = Answers(
                    count=values.get("count") if line.count is None else None, kind=values.get("kind") or ""
                )
                # What is tapped to answer stays on the page until the line is kept, so it is answered last.
                self.as_asked = answered(line, counted)
                self.as_understood = answered(self.as_asked, self._tapped(self.as_asked, values))
            except InvalidInput as error:
                self.add_error("line", str(error))
        return values

    @property
    def was_shown(self) -> bool:
        """Return whether these very words were shown as understood."""
        return (
            bool(self.cleaned_data.get("shown")) and self.cleaned_data["shown"] == self.cleaned_data["line"]
        )

    def _tapped(self, line: UnderstoodLine, values: dict[str, Any]) -> Answers:
        ends = {
            number: chosen
            for number, end in enumerate(line.ends)
            if (chosen := values.get(f"end{number}") or self._twin(line, number, values)) in end.candidates
        }
        offered = {one for asked in line.questions for one in asked.readings}
        length = values.get("length") or ""
        return Answers(ends=ends, length=length if length in offered else "")

    @staticmethod
    def _twin(line: UnderstoodLine, number: int, values: dict[str, Any]) -> str:
        if number == 1 and line.ends[0].candidates == line.ends[1].candidates:
            return str(values.get("end0") or "")
        return ""
