"""Forms of bench lists: a file or pasted text, the columns, one row."""

from __future__ import annotations

from typing import Any

from django import forms

from runningfit.core.pieces.bench_list import ColumnMap
from runningfit.core.pieces.bench_list.tables import MAX_FILE_BYTES
from runningfit.core.pieces.understood import Meaning
from runningfit.core.units import LengthUnit
from runningfit.workshop.pieces.bench_rows import EDITABLE
from runningfit.workshop.pieces.models import BenchList
from runningfit.workshop.records.queries import engines_of

LENGTH_MM, LENGTH_INCH = "length:mm", "length:in"
MEANINGS: list[tuple[str, str]] = [
    ("", "kept with the remarks"),
    (Meaning.BAG, "bag"),
    (Meaning.AREA, "area"),
    (Meaning.COUNT, "count"),
    (Meaning.KIND, "kind"),
    (Meaning.SIZE, "size or thread"),
    (Meaning.PITCH, "pitch, threads per inch"),
    (Meaning.SERIES, "thread series"),
    (Meaning.LENGTH, "length"),
    (LENGTH_INCH, "length in inches"),
    (LENGTH_MM, "length in mm"),
    (Meaning.FINISH, "finish"),
    (Meaning.CONDITION, "condition"),
    (Meaning.REMARKS, "remarks"),
    (Meaning.ACROSS_FLATS, "across flats"),
    (Meaning.TORQUE, "torque"),
    (Meaning.DESCRIPTION, "all in one, as a quick line"),
]
_LABELS = {Meaning.SIZE: "Size or thread"}


class ImportForm(forms.Form):
    """A file, or text pasted from anywhere."""

    file = forms.FileField(
        label="The list",
        required=False,
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx,text/csv,text/plain"}),
        help_text="CSV or XLSX, with whatever columns it has. Nothing is counted before you have seen it.",
    )
    pasted = forms.CharField(
        label="Or paste it here",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 5, "spellcheck": "false", "autocomplete": "off"}),
    )

    def clean(self) -> dict[str, Any]:
        """Need one of the two."""
        values = super().clean() or {}
        sent = values.get("file")
        if sent is None and "file" not in self.errors and not str(values.get("pasted") or "").strip():
            self.add_error("file", "Choose a file, or paste the rows below.")
        if sent is not None and sent.size > MAX_FILE_BYTES:
            self.add_error(
                "file",
                f"The file has {sent.size / 1e6:.0f} MB; at most {MAX_FILE_BYTES / 1e6:.0f} MB can be read.",
            )
        return values

    @property
    def sent(self) -> tuple[str, bytes]:
        """Return the name and the bytes of what was sent."""
        file = self.cleaned_data["file"]
        if file is not None:
            return str(file.name), bytes(file.read())
        return "pasted text", str(self.cleaned_data["pasted"]).encode()


class AcceptForm(forms.Form):
    """What the page said would be counted, and the engine that all of the list came off."""

    pieces = forms.IntegerField(min_value=0, required=False)
    origin = forms.TypedChoiceField(label="All of it came off", required=False, empty_value=None)

    def __init__(self, *values: Any, one: BenchList, **named: Any) -> None:
        super().__init__(*values, **named)
        engines = {engine.pk: engine for engine in engines_of(one.job)}
        origin = self.fields["origin"]
        assert isinstance(origin, forms.TypedChoiceField)
        origin.choices = [("", "not known"), *((engine.pk, engine.name) for engine in engines.values())]
        origin.coerce = lambda chosen: engines[int(chosen)]
        origin.initial = one.origin_id or ""
        # The button is drawn anew with each corrected row; what was chosen stays, since it stands beside.
        origin.widget.attrs["form"] = "accept"


class ColumnsForm(forms.Form):
    """What each column of a list tells."""

    def __init__(self, *values: Any, columns: ColumnMap, **named: Any) -> None:
        super().__init__(*values, **named)
        self._columns = columns
        for column in columns.columns:
            now = (
                f"{column.meaning}:{column.unit}"
                if column.meaning is Meaning.LENGTH and column.unit
                else column.meaning
            )
            self.fields[f"column{column.index}"] = forms.ChoiceField(
                label=column.heading or f"column {column.index + 1}",
                choices=MEANINGS,
                required=False,
                initial=now or "",
            )

    @property
    def chosen(self) -> ColumnMap:
        """Return the columns as chosen."""
        columns = self._columns
        for column in self._columns.columns:
            meaning, _, unit = self.cleaned_data[f"column{column.index}"].partition(":")
            columns = columns.remapped(
                column.index, Meaning(meaning) if meaning else None, LengthUnit(unit) if unit else None
            )
        return columns


class RowForm(forms.Form):
    """The texts of one row, to be corrected in place."""

    def __init__(
        self, *values: Any, texts: dict[Meaning, str], first: Meaning | None = None, **named: Any
    ) -> None:
        super().__init__(*values, **named)
        for meaning in EDITABLE:
            self.fields[meaning.value] = forms.CharField(
                initial=texts[meaning],
                label=_LABELS.get(meaning, meaning.value.capitalize()),
                max_length=300,
                required=False,
                widget=forms.TextInput(
                    attrs={"autocomplete": "off"} | ({"autofocus": True} if meaning is first else {})
                ),
            )

    @property
    def texts(self) -> dict[Meaning, str]:
        """Return the texts as typed."""
        return {meaning: self.cleaned_data[meaning.value] for meaning in EDITABLE}
