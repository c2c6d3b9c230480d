"""Forms of photographed hardware: the shot, a piece, what goes into the books, mats, two photos."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django import forms
from django.utils import timezone

from runningfit.core.pieces.kinds import Kind
from runningfit.core.pieces.lot_lengths import length_unit_of
from runningfit.core.units import LengthUnit
from runningfit.web.photos.forms import NEW_BAG
from runningfit.web.pieces.choices import kind_choices, look_choices
from runningfit.workshop.photos.accepting import Chosen, Into
from runningfit.workshop.photos.grouping import PieceGroup, is_unmeasured
from runningfit.workshop.photos.hardware_models import PAPERS, PhotoPiece, PhotoRun, PrintedMat
from runningfit.workshop.pieces.models import Place
from runningfit.workshop.pieces.spec_reading import Spec, read_spec, thread_typed
from runningfit.workshop.plan.places_for import PlaceThatFits
from runningfit.workshop.records.models import Engine

_OFF = {"autocomplete": "off", "spellcheck": "false"}
_NUMBER = {"inputmode": "numeric", "autocomplete": "off"}
NO_MAT = ""
LEFT_OPEN = "open"
SAME, OTHERS = "same", "others"
_MOST_THREADS = 5
# So many groups have a picture beside them; of more, a phone would have to draw the photo too often.
MOST_DRAWN = 24
# So many pieces of a group are named by their numbers.
MOST_NUMBERED = 9


class MatChoice(forms.Form):
    """By which printed mat a photo is measured."""

    mat = forms.ChoiceField(label="The mat", required=False)

    def __init__(self, kept: Sequence[PrintedMat], *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.kept = {str(one.pk): one for one in kept}
        field = self.fields["mat"]
        assert isinstance(field, forms.ChoiceField)
        none = (NO_MAT, "a print that nobody measured")
        field.choices = [*((key, mat_words(one)) for key, one in self.kept.items()), none]
        if kept:
            field.initial = str(kept[0].pk)

    def chosen_mat(self) -> PrintedMat | None:
        """Return the mat that was chosen, or None for a print that nobody measured."""
        return self.kept.get(self.cleaned_data["mat"])


class ShotForm(MatChoice):
    """A shot of hardware: the mat, the bag that the pieces came out of, the failed shot that it replaces."""

    bag = forms.CharField(
        label="Out of the bag",
        max_length=14,
        required=False,
        help_text="Empty if the pieces lie loose.",
        widget=forms.TextInput(attrs={**_OFF, "list": "bags", "autocapitalize": "characters"}),
    )
    instead = forms.IntegerField(required=False, min_value=1, widget=forms.HiddenInput)
    mat_and_bag = ("mat", "bag")

    @property
    def by_what(self) -> str:
        """Say by which mat, and out of which bag, the photo will be."""
        mat = self.kept.get(str(self["mat"].value() or ""))
        bag = str(self["bag"].value() or "").strip()
        said = f"Measured by {mat_words(mat)}" if mat else "Measured as if the print had its full size"
        return f"{said}{f'; out of bag {bag}' if bag else ''}."


class PieceForm(forms.Form):
    """What a piece is: one tap for a thread that was proposed, or typed as the trade writes it."""

    kind = forms.ChoiceField(label="It is a", choices=kind_choices())
    thread_tap = forms.ChoiceField(label="Thread", required=False, widget=forms.RadioSelect)
    thread = forms.CharField(
        label="or another thread, or size",
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs=_OFF),
        help_text="5/16-24, M8, 2BA; two ends of a stud with a stroke between. What is typed here wins.",
    )
    length = forms.CharField(
        label="Length",
        max_length=60,
        required=False,
        widget=forms.TextInput(attrs=_OFF),
        help_text="1 3/8, 35 mm. Empty if it has none.",
    )
    look = forms.ChoiceField(label="It looks", choices=look_choices())
    all_alike = forms.BooleanField(label="all alike", required=False)

    def __init__(self, piece: PhotoPiece, alike: Sequence[PhotoPiece], data: Any = None) -> None:
        super().__init__(data, initial=_start(piece))
        self.piece = piece
        self.numbers = [one.number for one in alike]
        taps = self.fields["thread_tap"]
        assert isinstance(taps, forms.ChoiceField)
        taps.choices = _thread_taps(piece)
        if len(taps.choices) < 2:
            del self.fields["thread_tap"]
            self.fields["thread"].label = "Thread or size"
        if alike:
            count = len(alike)
            self.fields["all_alike"].label = (
                f"Say the same of the {count} others that are taken for the very same"
                if count > 1
                else "Say the same of the other one that is taken for the very same"
            )
        else:
            del self.fields["all_alike"]

    def spec(self, unit: LengthUnit) -> Spec:
        """Read kind, thread and length.

        Raises
        ------
        InvalidInput
            A thread or a length cannot be read.
        """
        values = self.cleaned_data
        typed, tapped = values["thread"].strip(), values.get("thread_tap") or ""
        left_open = not typed and tapped == LEFT_OPEN
        thread = typed or ("" if left_open else tapped)
        candidates = tuple(self.piece.end_a.split("|"))
        if left_open:
            unit = length_unit_of(candidates) or unit
        spec = read_spec(
            kind=values["kind"], thread=thread, length=values["length"], words="", default_unit=unit
        )
        if not (left_open and Kind(spec.kind).has_thread):
            return spec
        return replace(spec, end_a=candidates, end_b=())

    def concerned(self) -> list[int]:
        """Return the numbers of the pieces that it is said of."""
        return [self.piece.number, *(self.numbers if self.cleaned_data.get("all_alike") else [])]


class JoinForm(forms.Form):
    """The piece that something is part of."""

    into = forms.IntegerField(
        label="It is part of piece", min_value=1, max_value=100_000, widget=forms.NumberInput(attrs=_NUMBER)
    )


class SeveralForm(forms.Form):
    """How many pieces something is."""

    count = forms.IntegerField(
        label="It is so many pieces",
        min_value=2,
        max_value=20,
        initial=2,
        widget=forms.NumberInput(attrs=_NUMBER),
    )


@dataclass(frozen=True, slots=True)
class GroupLine:
    """A group of pieces as a line of the form: its fields, and the places that it fits."""

    group: PieceGroup
    keep: forms.BoundField
    count: forms.BoundField
    place: forms.BoundField
    drawn: bool = True

    @property
    def errors(self) -> list[str]:
        """What is wrong with what was typed in it."""
        return [*self.count.errors, *self.place.errors]

    @property
    def numbered(self) -> list[PhotoPiece]:
        """The pieces that are named by their numbers, the unsure ones first; the picture has all of them."""
        unsure = {one.number for one in self.group.unsure}
        return sorted(self.group.pieces, key=lambda one: one.number not in unsure)[:MOST_NUMBERED]

    @property
    def others(self) -> int:
        """How many more there are."""
        return max(0, len(self.group.pieces) - MOST_NUMBERED)

    @property
    def to_confirm(self) -> str:
        """The numbers of the unsure pieces that can be left as they were proposed, if they were measured."""
        return ",".join(str(one.number) for one in self.group.unsure if not is_unmeasured(one))


class AcceptForm(forms.Form):
    """What goes into the books: a tick and a count for each group, and where all of it goes."""

    state = forms.CharField(widget=forms.HiddenInput)
    bag = forms.CharField(required=False, max_length=14)
    other_bag = forms.CharField(label="or another", required=False, max_length=14)
    area = forms.CharField(
        label="Area", required=False, max_length=80, widget=forms.TextInput(attrs={**_OFF, "list": "areas"})
    )
    origin = forms.ModelChoiceField(
        label="Off which engine", queryset=Engine.objects.none(), required=False, empty_label="not said"
    )
    twice = forms.ChoiceField(
        label="Are these in the books already?",
        choices=[
            (SAME, "They are the same ones: count nothing"),
            (OTHERS, "They are other pieces: count them too"),
        ],
        required=False,
        widget=forms.RadioSelect,
    )
    area_and_origin = ("area", "origin")

    def __init__(
        self,
        run: PhotoRun,
        groups: Sequence[PieceGroup],
        fits: Sequence[Sequence[PlaceThatFits]],
        *args: Any,
        **options: Any,
    ) -> None:
        super().__init__(*args, **options)
        self.groups = list(groups)
        self._places: dict[str, Place] = {str(one.place.pk): one.place for fitting in fits for one in fitting}
        engines = Engine.objects.filter(job=run.job_id, withdrawn=False).order_by("-role", "pk")
        origin = self.fields["origin"]
        assert isinstance(origin, forms.ModelChoiceField)
        origin.queryset = engines
        for group, fitting in zip(self.groups, fits, strict=True):
            self._add(group, fitting)

    def lines(self) -> list[GroupLine]:
        """Return the groups with their fields, the unsure ones first; so many of them are drawn."""
        return [
            GroupLine(one, self[f"k-{one.key}"], self[f"n-{one.key}"], self[f"p-{one.key}"], at < MOST_DRAWN)
            for at, one in enumerate(sorted(self.groups, key=lambda one: not one.unsure))
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for a count where a group is ticked."""
        values: dict[str, Any] = super().clean() or {}
        for group in self.groups:
            name = f"n-{group.key}"
            if values.get(f"k-{group.key}") and name not in self.errors and not values.get(name):
                self.add_error(name, "Say how many, or take the tick away.")
        return values

    def chosen(self) -> list[Chosen]:
        """Return the groups that are ticked, each with its count and its place."""
        values = self.cleaned_data
        return [
            Chosen(one.key, values[f"n-{one.key}"], self._places.get(values[f"p-{one.key}"]))
            for one in self.groups
            if values[f"k-{one.key}"]
        ]

    def into(self) -> Into:
        """Return where they go; a bag that was typed wins over one that was tapped."""
        values = self.cleaned_data
        tapped = values["other_bag"].strip() or values["bag"]
        return Into(
            bag="" if tapped == NEW_BAG else tapped,
            new_bag=tapped == NEW_BAG,
            area=values["area"],
            origin=values["origin"],
        )

    def _add(self, group: PieceGroup, fitting: Sequence[PlaceThatFits]) -> None:
        named = f"{len(group.pieces)} as pieces {', '.join(str(one.number) for one in group.pieces[:6])}"
        self.fields[f"k-{group.key}"] = forms.BooleanField(
            label=f"keep {named}", required=False, initial=not group.unmeasured
        )
        self.fields[f"n-{group.key}"] = forms.IntegerField(
            label=f"how many: {named}",
            required=False,
            min_value=1,
            max_value=100_000,
            initial=len(group.pieces),
            widget=forms.NumberInput(attrs=_NUMBER),
        )
        self.fields[f"p-{group.key}"] = forms.ChoiceField(
            label="belongs to",
            required=False,
            choices=[("", "no place yet"), *((str(one.place.pk), place_words(one)) for one in fitting)],
        )


class MeasuredMatForm(forms.Form):
    """What the ruler of a printed mat measures, and where the mat lies."""

    scale = forms.CharField(
        label="What its ruler measures",
        max_length=40,
        widget=forms.TextInput(attrs={**_OFF, "placeholder": "197/200"}),
        help_text=(
            "Where a ruler of 200 mm measures 197 mm, 197/200, 197 mm, 98.5 % and 0.985 all say so; where it "
            "measures 200 mm, 200."
        ),
    )
    where = forms.CharField(
        label="Where it lies",
        max_length=80,
        required=False,
        help_text="To tell it from others: on the bench.",
    )


class MatForm(MeasuredMatForm):
    """A printed mat that is kept from now on."""

    paper = forms.ChoiceField(label="Paper", choices=PAPERS, widget=forms.RadioSelect, initial="A4")
    field_order = ("paper",)


class TwoPhotosForm(forms.Form):
    """Two photos of one bag."""

    before = forms.ChoiceField(label="Before")
    after = forms.ChoiceField(label="After")

    def __init__(self, runs: Sequence[PhotoRun], *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.runs = {str(run.pk): run for run in runs}
        for name in ("before", "after"):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = [(key, run_words(run)) for key, run in self.runs.items()]

    def pair(self) -> tuple[PhotoRun, PhotoRun]:
        """Return the two photos that were chosen."""
        return self.runs[self.cleaned_data["before"]], self.runs[self.cleaned_data["after"]]


def mat_words(mat: PrintedMat) -> str:
    """Say a mat in one line."""
    where = f" {mat.where}" if mat.where else ""
    return f"{mat.get_paper_display()}{where}, scale {mat.print_scale:.3f}"


def run_words(run: PhotoRun) -> str:
    """Say a photo in one line."""
    bag = f", {run.bag.code}" if run.bag else ""
    seen = getattr(run, "seen", None)
    pieces = f", {seen} pieces" if seen is not None else ""
    return f"photo {run.pk}{bag}, {timezone.localtime(run.asked_at):%-d %b %H:%M}{pieces}"


def place_words(one: PlaceThatFits) -> str:
    """Say a place that a piece fits in one line."""
    may = "" if one.fit.fits else "may fit: "
    missing = f"{one.missing} of {one.place.count} missing" if one.missing else "full"
    return f"{may}{one.place.name}, {one.place.area.name} ({missing})"


def _start(piece: PhotoPiece) -> dict[str, Any]:
    settled = LEFT_OPEN if "|" in piece.end_a else piece.end_a
    proposed = {name for name, _ in _thread_taps(piece)}
    typed = thread_typed(piece.end_a, piece.end_b, piece.size_said)
    tapped = settled if settled in proposed and piece.end_b in ("", piece.end_a) else ""
    return {
        "kind": piece.kind,
        "thread_tap": tapped,
        "thread": "" if tapped or "|" in piece.end_a else typed,
        "length": piece.length_nominal or (f"{piece.length_mm:g} mm" if piece.length_mm else ""),
        "look": piece.finish_look,
    }


def _thread_taps(piece: PhotoPiece) -> list[tuple[str, str]]:
    threads = piece.proposed.get("threads", [])[:_MOST_THREADS]
    taps = [(name, f"{name}, {100 * chance:.0f} %") for name, chance in threads]
    if "|" in piece.end_a:
        taps.insert(0, (LEFT_OPEN, f"leave it open: {piece.end_a.replace('|', ' or ')}"))
    return [*taps, ("", "none of these")] if taps else []
