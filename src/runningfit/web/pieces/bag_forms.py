"""Forms of bags."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Exists, OuterRef, QuerySet

from runningfit.core.errors import InvalidInput
from runningfit.workshop.pieces.bags import BaggedLot
from runningfit.workshop.pieces.ledger import counts_of
from runningfit.workshop.pieces.models import Area, Bag, Holding, Lot
from runningfit.workshop.pieces.queries import areas_of
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import Limit, prepared

# More lots than these are found by number or words; a list of thousands is no choice.
LOTS_IN_REACH = 40


class BagForm(forms.Form):
    """A new bag, or what is said of one."""

    code = forms.CharField(
        label="Code",
        required=False,
        max_length=20,
        help_text="Leave it empty for the next code that is easy to stamp.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )
    area = forms.ModelChoiceField(
        label="Area", queryset=Area.objects.none(), required=False, empty_label="not said"
    )
    note = forms.CharField(label="Note", required=False, max_length=300)

    def __init__(self, job: Job, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        area = self.fields["area"]
        assert isinstance(area, forms.ModelChoiceField)
        area.queryset = Area.objects.filter(job=job, withdrawn=False)
        area.choices = [("", "not said"), *((one.pk, one.name) for one in areas_of(job))]


class CountForm(forms.Form):
    """How many of each lot of a bag are here now."""

    wrong_before = forms.BooleanField(label="Nothing is missing: the first count was wrong", required=False)

    def __init__(self, inside: list[BaggedLot], *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.inside = inside
        for one in inside:
            self.fields[f"lot{one.lot.number}"] = forms.IntegerField(
                label=f"lot {one.lot.number}", min_value=0, max_value=100_000, required=False
            )

    def counted(self) -> list[tuple[Lot, int]]:
        """Return the lots with a count; a field left empty is not counted."""
        said = [(one.lot, self.cleaned_data.get(f"lot{one.lot.number}")) for one in self.inside]
        counted = [(lot, count) for lot, count in said if count is not None]
        if not counted:
            raise InvalidInput("count", needs="a number for at least one lot", came="none")
        return counted


class PackForm(forms.Form):
    """Which lot goes into a bag, and how many of it."""

    lot = forms.IntegerField(label="Lot number", min_value=1, required=False)
    count = forms.IntegerField(
        label="How many",
        min_value=1,
        max_value=100_000,
        required=False,
        help_text="Empty means all that are here.",
    )
    lots = forms.TypedMultipleChoiceField(label="Lots", coerce=int, required=False)

    def __init__(self, bag: Bag, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.bag = bag
        self.loose = loose_lots(bag)
        field = self.fields["lots"]
        assert isinstance(field, forms.TypedMultipleChoiceField)
        field.choices = [(str(lot.number), str(lot.number)) for lot in self.loose]

    def picked(self) -> list[tuple[Lot, int]]:
        """Return what goes in.

        Raises
        ------
        InvalidInput
            The job has no lot of that number, or none of it is here.
        """
        values = self.cleaned_data
        numbers = [*values["lots"], *([values["lot"]] if values["lot"] else [])]
        lots = {
            lot.number: lot
            for lot in Lot.objects.filter(job=self.bag.job, number__in=numbers, withdrawn=False)
        }
        counts = counts_of(list(lots.values()))
        picked: list[tuple[Lot, int]] = []
        for number in dict.fromkeys(numbers):
            if number not in lots:
                raise InvalidInput("lot", needs="the number of a lot of this job", came=number)
            here = counts[lots[number].pk].here
            count = values["count"] if number == values["lot"] and values["count"] else here
            if not count:
                raise InvalidInput("lot", needs="pieces that are here", came=f"lot {number} with none here")
            picked.append((lots[number], count))
        return picked


def loose_lots(bag: Bag) -> list[Lot]:
    """Return lots of a job that are here and in no bag, those of the bag's area, or else the newest."""
    of_area = _loose(bag.job_id, bag.area_id, Limit(LOTS_IN_REACH)) if bag.area_id is not None else []
    return of_area or _loose(bag.job_id, None, Limit(LOTS_IN_REACH))


@prepared
def _loose(job_id: int, area: int | None, most: Limit) -> QuerySet[Lot]:
    here = Holding.objects.filter(lot=OuterRef("pk"), account__in=("bench", "store"), count__gt=0)
    lots = Lot.objects.filter(Exists(here), job=job_id, bag__isnull=True, withdrawn=False)
    return (lots if area is None else lots.filter(area=area)).order_by("-number")[:most]
