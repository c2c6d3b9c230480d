"""The lots of a job by their sort: pieces of one kind, thread and length are judged once, not lot by lot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Aggregate, Count, Exists, Min, OuterRef, Q, QuerySet, TextField
from django.db.models.functions import Cast
from django.db.models.sql.compiler import SQLCompiler

from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.fit import PieceSpec, PlaceNeed
from runningfit.workshop.pieces.ledger import PRESENT
from runningfit.workshop.pieces.models import Holding, Lot, Place
from runningfit.workshop.plan.fitting import SPEC_FIELDS, need_from, spec_from
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import prepared


@dataclass(frozen=True, slots=True)
class Sort:
    """One sort of piece and the lots of it.

    Parameters
    ----------
    spec : PieceSpec
        What the pieces are; a defective thread does not make another sort of them.
    free, allotted : tuple of int
        The ids of the lots without a place, and of those with one.
    """

    spec: PieceSpec
    free: tuple[int, ...]
    allotted: tuple[int, ...]


def sorts_of(job: Job) -> list[Sort]:
    """Return every sort of piece of which any is present, here, outside or fitted."""
    return [
        Sort(spec_from((kind, end_a, end_b, length_mm, basis, size_said)), _read(free), _read(allotted))
        for kind, end_a, end_b, length_mm, basis, size_said, free, allotted in _lots_by_sort(job.pk)
    ]


def needs_of(job: Job) -> Iterator[tuple[PlaceNeed, bool, int]]:
    """Yield the needs of the job's places: each with whether it is known, not assumed, and of how many."""
    for kind, end_a, end_b, length_mm, basis, size_said, known_from, count, _ in _places_by_need(job.pk):
        need = need_from((kind, end_a, end_b, length_mm, basis, size_said))
        yield need, known_from != "assumed", count


def free_sorts(job: Job, kind: Kind, *, without: Sequence[str]) -> list[Sort]:
    """Return the sorts of one kind with their lots that have no place; defective threads are left out.

    Parameters
    ----------
    without : sequence of str
        Treatments; lots that are asked one of them are left out.
    """
    by_treatment: dict[PieceSpec, tuple[int, ...]] = {}
    for kind_said, end_a, end_b, length_mm, basis, size_said, treatment, ids in _free(job.pk, kind.value):
        if treatment not in without:
            spec = spec_from((kind_said, end_a, end_b, length_mm, basis, size_said))
            by_treatment[spec] = by_treatment.get(spec, ()) + _read(ids)
    return [Sort(spec, free, ()) for spec, free in by_treatment.items()]


@prepared
def _free(
    job_id: int, kind: str
) -> QuerySet[Lot, tuple[str, str, str, float | None, str, str, str, str | None]]:
    lots = Lot.objects.filter(job=job_id, kind=kind, place__isnull=True, withdrawn=False)
    sound = lots.exclude(thread_state="defective").order_by()
    return sound.values_list(*SPEC_FIELDS, "treatment").annotate(ids=Ids())


class Ids(Aggregate):
    """The ids of a group's rows in one text, parted by commas."""

    function = "GROUP_CONCAT"
    template = "%(function)s(%(expressions)s, ',')"
    output_field = TextField()

    def __init__(self, **options: Any) -> None:
        super().__init__(Cast("pk", TextField()), **options)

    def as_postgresql(self, compiler: SQLCompiler, connection: BaseDatabaseWrapper) -> tuple[str, Any]:
        """Say it in the words of PostgreSQL."""
        return self.as_sql(compiler, connection, function="STRING_AGG")


@prepared
def _lots_by_sort(
    job_id: int,
) -> QuerySet[Lot, tuple[str, str, str, float | None, str, str, str | None, str | None]]:
    there = Holding.objects.filter(lot=OuterRef("pk"), account__in=PRESENT, count__gt=0)
    return (
        Lot.objects.filter(Exists(there), job=job_id, withdrawn=False)
        .order_by()
        .values_list(*SPEC_FIELDS)
        .annotate(
            free=Ids(filter=Q(place__isnull=True)),
            allotted=Ids(filter=Q(place__isnull=False)),
        )
    )


@prepared
def _places_by_need(
    job_id: int,
) -> QuerySet[Place, tuple[str, str, str, float | None, str, str, str, int, int]]:
    # In the order in which they were described: of two that a piece misses by as much, the first is named.
    places = Place.objects.filter(area__job=job_id, withdrawn=False).values_list(*SPEC_FIELDS, "basis")
    return places.annotate(places=Count("pk"), first=Min("pk")).order_by("first")


def _read(ids: str | None) -> tuple[int, ...]:
    return tuple(map(int, ids.split(","))) if ids else ()
