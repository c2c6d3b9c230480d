"""What tally sheets say: as they stand, open and closed, and what each is for."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, Max, Min, Q, QuerySet

from runningfit.core.errors import NotFound
from runningfit.core.pieces.kinds import Kind, label
from runningfit.core.pieces.tally import TallyChoice, TallyReading, read_press
from runningfit.core.units import LengthUnit
from runningfit.workshop.pieces.models import Lot, TallyPress, TallySheet
from runningfit.workshop.records.models import Change, Job


@dataclass(frozen=True, slots=True)
class TallyLine:
    """The pieces of one length on a sheet, with the shortest and longest measured."""

    length_mm: float
    said: str
    count: int
    shortest_mm: float
    longest_mm: float


@dataclass(frozen=True, slots=True)
class TallyQuestion:
    """A press that waits for an answer."""

    press: TallyPress
    reading: TallyReading


@dataclass(frozen=True, slots=True)
class TallyState:
    """A sheet as it stands: its lines by length, its questions, its last press and its total."""

    lines: tuple[TallyLine, ...]
    questions: tuple[TallyQuestion, ...]
    last: TallyPress | None
    total: int


def state_of(sheet: TallySheet) -> TallyState:
    """Return a sheet as it stands."""
    presses = TallyPress.objects.filter(sheet=sheet, taken_back=False)
    grouped = (
        presses.exclude(length_mm=None)
        .values_list("length_mm", "length_nominal")
        .annotate(Count("pk"), Min("measured_mm"), Max("measured_mm"))
        .order_by("length_mm")
    )
    lines = tuple(TallyLine(*values) for values in grouped)
    questions = tuple(
        TallyQuestion(row, _read_again(sheet, row)) for row in presses.filter(length_mm=None).order_by("pk")
    )
    last = presses.order_by("-pk").first()
    return TallyState(lines, questions, last, sum(line.count for line in lines) + len(questions))


def open_sheets(job: Job) -> list[tuple[TallySheet, int]]:
    """Return the sheets of a job that are open, the newest first, each with how many were pressed."""
    sheets = (
        TallySheet.objects.filter(job=job, withdrawn=False, closed_at=None)
        .select_related("area", "bag", "origin")
        .annotate(pressed=Count("presses", filter=Q(presses__taken_back=False)))
        .order_by("-pk")
    )
    return [(sheet, sheet.pressed) for sheet in sheets]


def closed_sheets(job: Job) -> QuerySet[TallySheet]:
    """Return the sheets of a job that became lots, the newest first."""
    return TallySheet.objects.filter(job=job, withdrawn=False, closed_at__isnull=False).order_by("-closed_at")


def sheet_by_id(job: Job, sheet_id: int) -> TallySheet:
    """Return a sheet of a job, or raise NotFound saying so."""
    sheets = TallySheet.objects.select_related("job", "area", "bag", "origin")
    sheet = sheets.filter(job=job, pk=sheet_id, withdrawn=False).first()
    if sheet is None:
        raise NotFound(f"There is no tally sheet {sheet_id} in this job.")
    return sheet


def lots_of(sheet: TallySheet) -> list[Lot]:
    """Return the lots that a closed sheet became."""
    closing = (
        Change.objects.filter(model="TallySheet", object_id=sheet.pk, kind=Change.CHANGED)
        .filter(record__verb="close_tally_sheet", record__reversed_by=None)
        .values_list("record_id", flat=True)
    )
    made = Change.objects.filter(record__in=closing, model="Lot", kind=Change.CREATED).values("object_id")
    return list(Lot.objects.filter(pk__in=made).order_by("number"))


def marks_of(sheet: TallySheet, count: int = 2) -> str:
    """Say in one line what a sheet is for."""
    ends = " and ".join(end.replace("|", " or ") for end in (sheet.end_a, sheet.end_b) if end)
    looks = sheet.finish_look if sheet.finish_look != "unknown" else ""
    return ", ".join(
        part for part in (f"{label_of(sheet, count)} {ends or sheet.size_said}".strip(), looks) if part
    )


def label_of(sheet: TallySheet, count: int = 2) -> str:
    """Return the word for the pieces of a sheet without a number."""
    return label(Kind(sheet.kind), count).removeprefix(f"{count} ")


def choices_of(sheet: TallySheet, row: TallyPress) -> tuple[TallyChoice, ...]:
    """Return the lengths that a press may count as."""
    reading = _read_again(sheet, row)
    return reading.choices or ((reading.length,) if reading.length else ())


def _read_again(sheet: TallySheet, row: TallyPress) -> TallyReading:
    return read_press(row.typed, unit=LengthUnit(sheet.unit), series=LengthUnit(sheet.series))
