"""Reads of the pieces room that several pages share: a lot, an area, a job's lots area by area."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from runningfit.core.errors import NotFound
from runningfit.workshop.pieces.ledger import Counts, counts_of
from runningfit.workshop.pieces.models import Area, Bag, Finding, Lot, Place
from runningfit.workshop.records.models import Job

A_PAGE = 60


@dataclass(frozen=True, slots=True)
class LotLine:
    """A lot with its counts, as one ruled line shows it."""

    lot: Lot
    counts: Counts

    @property
    def elsewhere(self) -> str:
        """Say in words how many are neither on the bench nor counted as usable, or nothing."""
        words = (
            ("store", "in the store"),
            ("outside", "outside"),
            ("fitted", "fitted"),
            ("missing", "missing"),
            ("scrapped", "scrapped"),
        )
        return ", ".join(
            f"{getattr(self.counts, name)} {said}" for name, said in words if getattr(self.counts, name)
        )


@dataclass(frozen=True, slots=True)
class AreaLines:
    """An area, or none, with how many lots it has and those shown."""

    area: Area | None
    count: int
    lines: tuple[LotLine, ...]


@dataclass(frozen=True, slots=True)
class LotPage:
    """Lots area by area up to a page's length, and where the next page begins (empty on the last)."""

    sections: tuple[AreaLines, ...]
    after: str
    total: int


@dataclass(frozen=True, slots=True)
class AreaCount:
    """An area of a job with what it holds."""

    area: Area
    lots: int
    places: int
    assumed: int
    findings: int


def lot_by_number(job: Job, number: int) -> Lot:
    """Return a lot of the job, withdrawn or not, or raise NotFound saying so."""
    lot = (
        Lot.objects.filter(job=job, number=number)
        .select_related("job", "area", "bag", "place", "place__area", "origin", "parent")
        .first()
    )
    if lot is None:
        raise NotFound(f"There is no lot {number} in the job {job.name}.")
    return lot


def area_by_id(job: Job, area_id: int) -> Area:
    """Return an area of the job, or raise NotFound saying so."""
    area = (
        Area.objects.filter(job=job, pk=area_id, withdrawn=False)
        .select_related("job", "parent", "engine")
        .first()
    )
    if area is None:
        raise NotFound(f"There is no area {area_id} in the job {job.name}.")
    return area


def place_by_id(job: Job, place_id: int) -> Place:
    """Return a place of the job, or raise NotFound saying so."""
    place = (
        Place.objects.filter(area__job=job, pk=place_id, withdrawn=False).select_related("area__job").first()
    )
    if place is None:
        raise NotFound(f"There is no place {place_id} in the job {job.name}.")
    return place


def finding_by_id(job: Job, finding_id: int) -> Finding:
    """Return a finding of the job, or raise NotFound saying so."""
    finding = Finding.objects.filter(job=job, pk=finding_id, withdrawn=False).select_related("job").first()
    if finding is None:
        raise NotFound(f"There is no finding {finding_id} in the job {job.name}.")
    return finding


def areas_of(job: Job) -> QuerySet[Area]:
    """Return the areas of a job by name."""
    return Area.objects.filter(job=job, withdrawn=False).select_related("engine").order_by("name", "pk")


def bags_of(job: Job) -> QuerySet[Bag]:
    """Return the bags of a job by code."""
    return Bag.objects.filter(job=job, withdrawn=False).order_by("code")


def lots_without_place(job: Job, area: Area | None = None) -> bool:
    """Return whether some lot of the job, or of one area, has an area but no place."""
    lots = Lot.objects.filter(job=job, withdrawn=False, place=None, area__isnull=False)
    return (lots.filter(area=area) if area is not None else lots).exists()


def has_places(job: Job) -> bool:
    """Return whether any place of the job is described; without one nobody can tell what is missing."""
    return Place.objects.filter(area__job=job, withdrawn=False).exists()


def open_findings(job: Job) -> QuerySet[Finding]:
    """Return the findings of a job that nobody settled, the newest first."""
    return (
        Finding.objects.filter(job=job, withdrawn=False, settled=False)
        .select_related("area", "place", "lot")
        .order_by("-pk")
    )


def area_counts(job: Job) -> list[AreaCount]:
    """Return every area of a job with how many lots, places and open findings it has."""
    lots = _by_area(Lot.objects.filter(job=job, withdrawn=False))
    places = _by_area(Place.objects.filter(area__job=job, withdrawn=False))
    assumed = _by_area(Place.objects.filter(area__job=job, withdrawn=False, basis="assumed"))
    findings = _by_area(Finding.objects.filter(job=job, withdrawn=False, settled=False))
    return [
        AreaCount(
            area,
            lots.get(area.pk, 0),
            places.get(area.pk, 0),
            assumed.get(area.pk, 0),
            findings.get(area.pk, 0),
        )
        for area in areas_of(job)
    ]


def lines_of(lots: Sequence[Lot]) -> tuple[LotLine, ...]:
    """Return lots with their counts, in two queries whatever their number."""
    counts = counts_of(lots)
    return tuple(LotLine(lot, counts[lot.pk]) for lot in lots)


def lot_page(
    job: Job, *, area: Area | None = None, bag: Bag | None = None, after: str = "", length: int = A_PAGE
) -> LotPage:
    """Return the lots of a job area by area, those without an area first, one page of them.

    Parameters
    ----------
    area, bag
        Only lots of these.
    after : str
        Where the page before ended, as its ``after`` gave it.
    length : int
        How many lots a page shows.
    """
    lots = Lot.objects.filter(job=job, withdrawn=False)
    if area is not None:
        lots = lots.filter(area=area)
    if bag is not None:
        lots = lots.filter(bag=bag)
    held = _by_area(lots)
    known: dict[int | None, Area] = {row.pk: row for row in areas_of(job)}
    order = [key for key in [None, *known] if held.get(key)]
    start, number = _place_of(after)
    if after and start in order:
        order = order[order.index(start) :]
    shown: list[Lot] = []
    for key in _enough(order, held, length):
        rows = (lots.filter(area_id=key) if key else lots.filter(area=None)).order_by("number")
        if after and key == start:
            rows = rows.filter(number__gt=number)
        shown += rows.select_related("bag")[: length + 1 - len(shown)]
        if len(shown) > length:
            break
    page = shown[:length]
    sections = []
    lines = lines_of(page)
    for key in dict.fromkeys(lot.area_id for lot in page):
        mine = tuple(line for line in lines if line.lot.area_id == key)
        sections.append(AreaLines(known.get(key), held.get(key, 0), mine))
    end = f"{page[-1].area_id or 0}.{page[-1].number}" if len(shown) > length else ""
    return LotPage(tuple(sections), end, sum(held.values()))


def _enough(order: list[int | None], held: dict[int | None, int], length: int) -> list[int | None]:
    """Return the areas to read: one more than fills the page, since the first may be half read already."""
    needed: list[int | None] = []
    room = length
    for key in order:
        needed.append(key)
        if len(needed) > 1:
            room -= held[key]
        if room < 0:
            break
    return needed


def _by_area(rows: QuerySet[Lot] | QuerySet[Place] | QuerySet[Finding]) -> dict[int | None, int]:
    return dict(rows.order_by().values_list("area_id").annotate(Count("pk")))


def _place_of(after: str) -> tuple[int | None, int]:
    area, _dot, number = after.partition(".")
    if not (area.isdecimal() and number.isdigit()):
        return None, 0
    return int(area) or None, int(number)


def not_proven(job: Job) -> tuple[list[Lot], list[Place]]:
    """Return the lots and the places of a job whose threads are not proven or defective."""
    doubted = Q(thread_state__in=("not_proven", "defective"))
    return (
        list(Lot.objects.filter(doubted, job=job, withdrawn=False).order_by("number")),
        list(
            Place.objects.filter(doubted, area__job=job, withdrawn=False)
            .select_related("area")
            .order_by("pk")
        ),
    )
