"""The form of a count-back: one row for each sort that is outside, and quick words for strangers."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django import forms

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.pieces.kinds import Kind, label
from runningfit.core.pieces.quick_line import read_quick_line
from runningfit.core.plan.count_back import Counted, Expected, Sort
from runningfit.web.outside_work.forms import LOOK_CHOICES
from runningfit.workshop.outside_work.expecting import Outside
from runningfit.workshop.outside_work.photo_count import PhotoCount, count_by_photo
from runningfit.workshop.outside_work.telling import is_bake_asked
from runningfit.workshop.photos.hardware_models import PhotoPiece
from runningfit.workshop.pieces.done_work import BAKED

_NUMBER = {"inputmode": "numeric", "autocomplete": "off"}
MOST_STRANGERS = 50


@dataclass
class Row:
    """One sort that is outside with one look asked: how many, and in which bags."""

    key: str
    sort: Sort
    lines: list[Expected] = field(default_factory=list)

    @property
    def count(self) -> int:
        """Return how many are expected; those found short before are only hoped for."""
        return sum(one.count for one in self.lines if not one.waiting)

    @property
    def hoped(self) -> int:
        """Return how many were found short before."""
        return sum(one.count for one in self.lines if one.waiting)

    @property
    def bags(self) -> str:
        """Return the bags it went in."""
        return ", ".join(dict.fromkeys(one.bag for one in self.lines if one.bag))

    @property
    def lots(self) -> str:
        """Return the lots it is of."""
        return ", ".join(dict.fromkeys(one.name for one in self.lines))

    @property
    def asked(self) -> FinishLook:
        """Return the look that they should have, or unknown."""
        return self.lines[0].finish or FinishLook.UNKNOWN

    @property
    def words(self) -> str:
        """Return thread and length, as a heading of its kind is above it."""
        return self.sort.said(2).partition(label(self.sort.kind, 2))[2].strip() or self.sort.said(2)

    @property
    def kind_word(self) -> str:
        """Return the kind, in the plural."""
        return label(self.sort.kind, 2).partition(" ")[2]


class CountingForm(forms.Form):
    """What is counted of a bag or a bucket; the same form goes from counting to keeping."""

    state = forms.CharField(widget=forms.HiddenInput)
    finished = forms.ChoiceField(
        label="Is that everything?",
        choices=[("yes", "that was everything: what is missing is short"), ("no", "more is to come")],
        widget=forms.RadioSelect,
        initial="yes",
    )
    others = forms.CharField(
        label="Anything else in it? One line for each",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 2, "placeholder": "1 hex bolt 5/16-24 x 1 1/4, clear"}),
    )
    damaged_said = forms.CharField(
        label="What is wrong with the damaged ones?", max_length=120, required=False
    )

    baked = forms.ChoiceField(
        label="You asked for a bake. Was it done?",
        choices=list(BAKED.items()),
        required=False,
        help_text="Until somebody says so, no torque is given for what needed it.",
    )

    def __init__(self, outside: Outside, data: Any = None, *, photo: Sequence[PhotoPiece] = ()) -> None:
        super().__init__(data, initial={"state": outside.state, "finished": "yes"})
        self.outside = outside
        if not any(is_bake_asked(outside.lines[abs(one.line)]) for one in outside.expected):
            del self.fields["baked"]
        self.rows = _rows(outside.expected)
        for row in self.rows:
            self.fields[f"n-{row.key}"] = forms.IntegerField(
                label=f"Counted: {row.sort.said(2).partition(' ')[2]}",
                required=False,
                min_value=0,
                max_value=100_000,
                widget=forms.NumberInput(attrs={**_NUMBER, "data-count": str(row.count)}),
            )
            self.fields[f"d-{row.key}"] = forms.IntegerField(
                label="of these damaged", required=False, min_value=0, max_value=100_000,
                widget=forms.NumberInput(attrs=_NUMBER),
            )  # fmt: skip
            asked = "" if row.asked is FinishLook.UNKNOWN else f", {row.asked.value}"
            self.fields[f"l-{row.key}"] = forms.ChoiceField(
                label="they look",
                required=False,
                choices=[("", f"as asked{asked}" if asked else "as asked"), *LOOK_CHOICES],
            )
        self.seen = count_by_photo(photo, [(row.sort, row.count + row.hoped) for row in self.rows])
        if photo:
            self._propose(self.seen)

    def _propose(self, seen: PhotoCount) -> None:
        """Fill in what a photo counts, for the person to look through and keep."""
        for row, count in zip(self.rows, seen.counts, strict=True):
            self.fields[f"n-{row.key}"].initial = count
        self.fields["others"].initial = "\n".join(seen.strangers)

    def grid(self) -> list[dict[str, Any]]:
        """Return the rows by kind, each with its fields and whether more of it was said than a number."""
        kinds: dict[Kind, list[dict[str, Any]]] = {}
        for row in self.rows:
            said = {name: self[f"{name}-{row.key}"] for name in ("n", "d", "l")}
            more = any(said[name].value() or said[name].errors for name in ("d", "l"))
            kinds.setdefault(row.sort.kind, []).append({"row": row, "more": more, **said})
        return [{"kind": rows[0]["row"].kind_word, "rows": rows} for rows in kinds.values()]

    def counted(self) -> list[Counted]:
        """Return the groups as counted, strangers in quick words last.

        Raises
        ------
        InvalidInput
            A line of quick words cannot be counted.
        """
        groups = [
            Counted(
                key=index,
                sort=row.sort,
                count=self.cleaned_data[f"n-{row.key}"] or 0,
                damaged=self.cleaned_data[f"d-{row.key}"] or 0,
                look=FinishLook(self.cleaned_data[f"l-{row.key}"] or row.asked),
            )
            for index, row in enumerate(self.rows)
        ]
        lines = [line for line in self.cleaned_data["others"].splitlines() if line.strip()]
        if len(lines) > MOST_STRANGERS:
            raise InvalidInput("others", needs=f"at most {MOST_STRANGERS} lines", came=len(lines))
        return groups + [_stranger(len(groups) + index, line) for index, line in enumerate(lines)]

    def as_photographed(self) -> list[Counted]:
        """Return the groups as photos count them, strangers last.

        Raises
        ------
        InvalidInput
            A stranger cannot be counted in the words that there are for it.
        """
        groups = [
            Counted(index, row.sort, count, 0, row.asked)
            for index, (row, count) in enumerate(zip(self.rows, self.seen.counts, strict=True))
        ]
        return groups + [
            _stranger(len(groups) + index, line) for index, line in enumerate(self.seen.strangers)
        ]

    def as_asked(self) -> list[Counted]:
        """Return the groups as if everything that is expected were here as it was asked."""
        return [
            Counted(index, row.sort, row.count, 0, row.asked)
            if not any(one.defect for one in row.lines)
            else Counted(
                index, row.sort, row.count, sum(one.count for one in row.lines if one.defect), row.asked
            )
            for index, row in enumerate(self.rows)
            if row.count
        ]

    def fixed(self) -> dict[int, int]:
        """Return by line what a person says came back to it, where the proposal asked."""
        said: dict[int, int] = {}
        for name, value in self.data.items():
            line = name.removeprefix("f-")
            if name.startswith("f-") and line.lstrip("-").isdecimal() and str(value).isdecimal():
                said[int(line)] = int(str(value))
        return {line: count for line, count in said.items() if line in self.outside.by_line}

    def typed(self) -> list[tuple[str, str]]:
        """Return every value as typed, for the page that only carries it on."""
        names = [
            "state",
            "finished",
            "others",
            "baked",
            *(name for name in self.fields if name[:2] in ("n-", "d-", "l-")),
        ]
        return [(name, str(self.data[name])) for name in names if self.data.get(name)]


def _rows(expected: Sequence[Expected]) -> list[Row]:
    rows: dict[str, Row] = {}
    for one in expected:
        key = hashlib.sha256(repr((one.sort.identity, one.finish)).encode()).hexdigest()[:12]
        rows.setdefault(key, Row(key, one.sort)).lines.append(one)
    order = list(Kind)
    return sorted(
        rows.values(),
        key=lambda row: (
            order.index(row.sort.kind),
            row.sort.end_a,
            row.sort.size_said,
            row.sort.length_mm or 0.0,
        ),
    )


def _stranger(key: int, line: str) -> Counted:
    read = read_quick_line(line)
    if read.count is None or read.kind is None:
        raise InvalidInput(
            "others", needs="how many and what, such as 1 hex bolt 5/16-24 x 1 1/4", came=line.strip()
        )
    ends = [end.candidates for end in read.ends] + [(), ()]
    sort = Sort(
        kind=read.kind,
        end_a=ends[0],
        end_b=ends[1],
        size_said=read.size_said or "",
        length_mm=read.length_mm,
        length_said=read.length_nominal or "",
    )
    process = read.finish_process.value if read.finish_process else ""
    damaged = sum(defect.count or 0 for defect in read.defects)
    return Counted(key, sort, read.count, min(damaged, read.count), read.finish_look, process)
