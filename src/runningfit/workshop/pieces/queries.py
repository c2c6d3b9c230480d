"""Reads of the pieces room that several pages share: a lot, an area, a job's lots area by area."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from runningfit.core.errors import NotFound
from runningfit.workshop.pieces.ledger import Counts, counts_of
from runningfit.workshop.pieces.models import Area, Bag, Finding, Lot, Place
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import Limit, attach, prepared

A_PAGE = 60
FINDINGS_SHOWN = 200
_DOUBTED = Q(thread_state__in=("not_proven", "defective"))


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
    """Lots area by area up to a page's length, where the next page begins, and every area with its lots.

    Parameters
    ----------
    after : str
        Where the next page begins; empty on the last.
    areas : tuple of (Area, int)
        Every area of the job, with how many of the lots asked for it has.
    """

    sections: tuple[AreaLines, ...]
    after: str
    total: int
    areas: tuple[tuple[Area, int], ...]


@dataclass(frozen=True, slots=True)
class AreaCount:
    """An area of a job with what it holds."""

    area: Area
    lots: int
    places: int
    assumed: int
    findings: int


@prepared
def _lot(job_id: int, number: int) -> QuerySet[Lot]:
    lots = Lot.objects.select_related("job", "area", "bag", "place", "place__area", "origin", "parent")
    return lots.filter(job=job_id, number=number)


@prepared
def _area(job_id: int, area_id: int) -> QuerySet[Area]:
    areas = Area.objects.select_related("job", "parent", "engine")
    return areas.filter(job=job_id, pk=area_id, withdrawn=False)


@prepared
def _areas(job_id: int) -> QuerySet[Area]:
    areas = Area.objects.select_related("engine")
    return areas.filter(job=job_id, withdrawn=False).order_by("name", "pk")


@prepared
def _place(job_id: int, place_id: int) -> QuerySet[Place]:
    places = Place.objects.select_related("area__job")
    return places.filter(area__job=job_id, pk=place_id, withdrawn=False)


@prepared
def _some_place(job_id: int) -> QuerySet[Place, int]:
    return Place.objects.filter(area__job=job_id, withdrawn=False).values_list("pk", flat=True)[:1]


def lot_by_number(job: Job, number: int) -> Lot:
    """Return a lot of the job, withdrawn or not, or raise NotFound saying so."""
    lot = next(iter(_lot(job.pk, number)), None)
    if lot is None:
        raise NotFound(f"There is no lot {number} in the job {job.name}.")
    return lot


def area_by_id(job: Job, area_id: int) -> Area:
    """Return an area of the job, or raise NotFound saying so."""
    area = next(iter(_area(job.pk, area_id)), None)
    if area is None:
        raise NotFound(f"There is no area {area_id} in the job {job.name}.")
    return area


def place_by_id(job: Job, place_id: int) -> Place:
    """Return a place of the job, or raise NotFound saying so."""
    place = next(iter(_place(job.pk, place_id)), None)
    if place is None:
        raise NotFound(f"There is no place {place_id} in the job {job.name}.")
    return place


def finding_by_id(job: Job, finding_id: int) -> Finding:
    """Return a finding of the job, or raise NotFound saying so."""
    finding = Finding.objects.filter(job=job, pk=finding_id, withdrawn=False).select_related("job").first()
    if finding is None:
        raise NotFound(f"There is no finding {finding_id} in the job {job.name}.")
    return finding


def areas_of(job: Job) -> list[Area]:
    """Return the areas of a job by name."""
    return _areas(job.pk)


def bags_of(job: Job) -> QuerySet[Bag]:
    """Return the bags of a job by code."""
    return Bag.objects.filter(job=job, withdrawn=False).order_by("code")


def lots_without_place(job: Job, area: Area | None = None) -> bool:
    """Return whether some lot of the job, or of one area, has an area but no place."""
    return bool(_without_place(job.pk, area.pk if area else None))


@prepared
def _without_place(job_id: int, area: int | None) -> QuerySet[Lot, int]:
    lots = _narrowed(job_id, area, None).filter(place__isnull=True, area__isnull=False)
    return lots.values_list("pk", flat=True)[:1]


def has_places(job: Job) -> bool:
    """Return whether any place of the job is described; without one nobody can tell what is missing."""
    return bool(_some_place(job.pk))


def findings_of(
    job: Job, *, settled: bool = False, area: Area | None = None, most: int = FINDINGS_SHOWN
) -> list[Finding]:
    """Return the findings of a job, or of one area, that are open or settled, the newest first."""
    return _findings(job.pk, settled, area.pk if area else None, Limit(most))


@prepared
def _findings(job_id: int, settled: bool, area: int | None, most: Limit) -> QuerySet[Finding]:
    rows = Finding.objects.filter(job=job_id, withdrawn=False, settled=settled)
    if area is not None:
        rows = rows.filter(area=area)
    return rows.select_related("area", "place", "lot").order_by("-pk")[:most]


def findings_at(*, lot: Lot | None = None, place: Place | None = None) -> list[Finding]:
    """Return the findings of a lot or of a place, the newest first."""
    return _findings_at(lot.pk if lot else None, place.pk if place else None)


@prepared
def _findings_at(lot: int | None, place: int | None) -> QuerySet[Finding]:
    rows = Finding.objects.filter(withdrawn=False).select_related("area", "place", "lot").order_by("-pk")
    return rows.filter(place=place) if lot is None else rows.filter(lot=lot)


def splits_of(lot: Lot) -> list[Lot]:
    """Return the lots that were split off a lot, by number."""
    return _splits(lot.pk)


@prepared
def _splits(lot: int) -> QuerySet[Lot]:
    return Lot.objects.filter(parent=lot, withdrawn=False).select_related("bag").order_by("number")


def lots_in_place(place: Place) -> list[Lot]:
    """Return the lots that are allotted to a place, by number."""
    return _in_place(place.pk)


@prepared
def _in_place(place: int) -> QuerySet[Lot]:
    return Lot.objects.filter(place=place, withdrawn=False).select_related("bag").order_by("number")


def open_findings_count(job: Job) -> int:
    """Return how many findings of a job nobody settled."""
    return sum(count for _, count in _findings_by_area(job.pk))


def area_counts(job: Job) -> list[AreaCount]:
    """Return every area of a job with how many lots, places and open findings it has."""
    lots = dict(_lots_by_area(job.pk, None, None))
    open_ones = dict(_findings_by_area(job.pk))
    places: dict[int, int] = defaultdict(int)
    assumed: dict[int, int] = defaultdict(int)
    for area_id, basis, count in _places_by_area(job.pk):
        places[area_id] += count
        assumed[area_id] += count if basis == "assumed" else 0
    return [
        AreaCount(
            area,
            lots.get(area.pk, 0),
            places.get(area.pk, 0),
            assumed.get(area.pk, 0),
            open_ones.get(area.pk, 0),
        )
        for area in areas_of(job)
    ]


@prepared
def _lots_by_area(job_id: int, area: int | None, bag: int | None) -> QuerySet[Lot, tuple[int | None, int]]:
    return _narrowed(job_id, area, bag).order_by().values_list("area_id").annotate(Count("pk"))


@prepared
def _findings_by_area(job_id: int) -> QuerySet[Finding, tuple[int | None, int]]:
    findings = Finding.objects.filter(job=job_id, withdrawn=False, settled=False)
    return findings.order_by().values_list("area_id").annotate(Count("pk"))


@prepared
def _places_by_area(job_id: int) -> QuerySet[Place, tuple[int, str, int]]:
    places = Place.objects.filter(area__job=job_id, withdrawn=False)
    return places.order_by().values_list("area_id", "basis").annotate(Count("pk"))


def _narrowed(job_id: int, area: int | None, bag: int | None) -> QuerySet[Lot]:
    lots = Lot.objects.filter(job=job_id, withdrawn=False)
    if area is not None:
        lots = lots.filter(area=area)
    return lots if bag is None else lots.filter(bag=bag)


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
    narrowed = (job.pk, area.pk if area else None, bag.pk if bag else None)
    held: dict[int | None, int] = dict(_lots_by_area(*narrowed))
    known: dict[int | None, Area] = {row.pk: row for row in areas_of(job)}
    order = [key for key in [None, *known] if held.get(key)]
    start, number = _place_of(after)
    if after and start in order:
        order = order[order.index(start) :]
    shown: list[Lot] = []
    needed = _enough(order, held, length)
    if needed:
        # The first and the last may be shown in part; those between are shown whole, so read at once.
        first, between, last = needed[0], needed[1:-1], needed[1:][-1:]
        begin = number if after and first == start else 0
        shown = _lots_after(*narrowed, first, begin, Limit(length + 1))
        if len(shown) <= length:
            whole = _lots_of_areas(*narrowed, [key for key in between if key is not None])
            shown += sorted(whole, key=lambda lot: between.index(lot.area_id))
        for key in last if len(shown) <= length else ():
            shown += _lots_after(*narrowed, key, 0, Limit(length + 1))
    page = shown[:length]
    sections = []
    lines = lines_of(page)
    for key in dict.fromkeys(lot.area_id for lot in page):
        mine = tuple(line for line in lines if line.lot.area_id == key)
        sections.append(AreaLines(known.get(key), held.get(key, 0), mine))
    areas = tuple((row, held.get(row.pk, 0)) for row in known.values())
    end = f"{page[-1].area_id or 0}.{page[-1].number}" if len(shown) > length else ""
    return LotPage(tuple(sections), end, sum(held.values()), areas)


@prepared
def _lots_of_areas(job_id: int, area: int | None, bag: int | None, areas: Sequence[int]) -> QuerySet[Lot]:
    lots = _narrowed(job_id, area, bag).filter(area__in=areas)
    return lots.select_related("bag").order_by("number")


@prepared
def _lots_after(
    job_id: int, area: int | None, bag: int | None, of_area: int | None, number: int, most: Limit
) -> QuerySet[Lot]:
    lots = _narrowed(job_id, area, bag).filter(number__gt=number)
    lots = lots.filter(area__isnull=True) if of_area is None else lots.filter(area=of_area)
    return lots.select_related("bag").order_by("number")[:most]


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


def _place_of(after: str) -> tuple[int | None, int]:
    area, _dot, number = after.partition(".")
    if not (area.isdecimal() and number.isdigit()):
        return None, 0
    return int(area) or None, int(number)


def not_proven(job: Job) -> tuple[list[Lot], list[Place]]:
    """Return the lots and the places of a job whose threads are not proven or defective."""
    places = _doubted_places(job.pk)
    attach(places, "area")
    return _doubted_lots(job.pk), places


@prepared
def _doubted_lots(job_id: int) -> QuerySet[Lot]:
    return Lot.objects.filter(_DOUBTED, job=job_id, withdrawn=False).order_by("number")


@prepared
def _doubted_places(job_id: int) -> QuerySet[Place]:
    return Place.objects.filter(_DOUBTED, area__job=job_id, withdrawn=False).order_by("pk")
