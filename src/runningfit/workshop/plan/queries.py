"""Reads of the plan: place by place what fills it and what is missing, and who could fill it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from runningfit.core.errors import NotFound
from runningfit.core.plan.fit import SIZE_ONLY, Fit, FitVerdict, kinds_for
from runningfit.workshop.pieces.ledger import Counts, counts_of
from runningfit.workshop.pieces.models import Area, Lot, Place
from runningfit.workshop.plan.filling import EMPTY, Filling, filling_of_job
from runningfit.workshop.plan.fitting import fit_of, need_of
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.plan.proposing import NOT_TO_USE, OWN, origin_word
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import loose_stock

WHOLE_PLAN = 120
FIRST_SHORT = 30
MANY_OFFERS = 60


@dataclass(frozen=True, slots=True)
class LotHere:
    """A lot that fills a place, and its counts."""

    lot: Lot
    counts: Counts


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """One place: what it needs, how full it is, and the lots that fill it."""

    place: Place
    filling: Filling
    lots: tuple[LotHere, ...] = ()
    on_order: int = 0

    @property
    def missing(self) -> int:
        """Return how many pieces it still needs."""
        return max(0, self.place.count - self.filling.filled)

    @property
    def over(self) -> int:
        """Return how many more are allotted than it needs."""
        return max(0, self.filling.filled - self.place.count)

    @property
    def assumed(self) -> bool:
        """Return whether its need is only assumed from what came off."""
        return self.place.basis == "assumed"


@dataclass(frozen=True, slots=True)
class AreaLine:
    """One area of the plan: how many of its places are short, and the places shown."""

    area: Area
    places: int
    short: int
    missing: int
    lines: tuple[PlaceLine, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """What fills which place of a job.

    Parameters
    ----------
    areas : tuple of AreaLine
        Those with something missing first.
    places, short, missing, assumed : int
        All places, those that are short, the pieces missing, and the places that are only assumed.
    whole : bool
        False when only short places are shown, since there are too many for one page.
    """

    areas: tuple[AreaLine, ...]
    places: int
    short: int
    missing: int
    assumed: int
    whole: bool

    @property
    def shown(self) -> int:
        """Return how many places are shown."""
        return sum(len(area.lines) for area in self.areas)


def place_by_id(job: Job, place_id: int) -> Place:
    """Return a place of a job, or raise NotFound saying so."""
    place = Place.objects.select_related("area__job").filter(pk=place_id, area__job=job, withdrawn=False)
    found = place.first()
    if found is None:
        raise NotFound(f"There is no place {place_id} in {job.name}.")
    return found


def plan_of(job: Job, *, area: Area | None = None) -> Plan:
    """Return the plan of a job place by place, or of one area of it."""
    filling = filling_of_job(job)
    rows = list(
        Place.objects.filter(area__job=job, withdrawn=False)
        .order_by("pk")
        .values_list("pk", "area_id", "count", "basis")
    )
    missing = {pk: max(0, count - filling.get(pk, EMPTY).filled) for pk, _, count, _ in rows}
    whole = area is not None or len(rows) <= WHOLE_PLAN
    shown = [pk for pk, area_id, _, _ in rows if area is None or area_id == area.pk]
    if not whole:
        shown = [pk for pk in shown if missing[pk]][:FIRST_SHORT]
    lines = _lines(shown, filling)
    by_area: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for pk, area_id, _, _ in rows:
        by_area[area_id].append((pk, missing[pk]))
    areas = [
        AreaLine(
            area=row,
            places=len(by_area[row.pk]),
            short=sum(1 for _, n in by_area[row.pk] if n),
            missing=sum(n for _, n in by_area[row.pk]),
            lines=tuple(sorted(lines.get(row.pk, ()), key=lambda line: (not line.missing, line.place.pk))),
        )
        for row in Area.objects.filter(job=job, withdrawn=False).order_by("name", "pk")
    ]
    return Plan(
        areas=tuple(sorted(areas, key=lambda line: not line.short)),
        places=len(rows),
        short=sum(1 for n in missing.values() if n),
        missing=sum(missing.values()),
        assumed=sum(1 for *_, basis in rows if basis == "assumed"),
        whole=whole,
    )


def place_line(place: Place) -> PlaceLine:
    """Return what fills one place."""
    lots = list(place.lots.filter(withdrawn=False).select_related("bag", "origin").order_by("number"))
    counts = counts_of(lots)
    here = tuple(LotHere(lot, counts[lot.pk]) for lot in lots)
    sound = [row.counts for row in here if row.lot.thread_state != "defective"]
    filling = Filling(
        here=sum(row.here for row in sound),
        outside=sum(row.outside for row in sound),
        fitted=sum(row.fitted for row in sound),
        defective=sum(row.counts.usable for row in here if row.lot.thread_state == "defective"),
    )
    return PlaceLine(place, filling, here, _on_list([place.pk]).get(place.pk, 0))


def _lines(shown: Sequence[int], filling: dict[int, Filling]) -> dict[int, list[PlaceLine]]:
    lots = list(Lot.objects.filter(place__in=shown, withdrawn=False).select_related("bag").order_by("number"))
    counts = counts_of(lots)
    by_place: dict[int | None, list[LotHere]] = defaultdict(list)
    for lot in lots:
        by_place[lot.place_id].append(LotHere(lot, counts[lot.pk]))
    listed = _on_list(shown)
    lines: dict[int, list[PlaceLine]] = defaultdict(list)
    for place in Place.objects.filter(pk__in=shown):
        line = PlaceLine(
            place, filling.get(place.pk, EMPTY), tuple(by_place[place.pk]), listed.get(place.pk, 0)
        )
        lines[place.area_id].append(line)
    return lines


def _on_list(places: Sequence[int]) -> dict[int, int]:
    listed: dict[int, int] = defaultdict(int)
    rows = ToBuy.objects.filter(place__in=places, withdrawn=False, received_on__isnull=True)
    for place_id, count in rows.values_list("place_id", "count"):
        if place_id is not None:
            listed[place_id] += count
    return listed


@dataclass(frozen=True, slots=True)
class Offer:
    """A lot that fits a place, or may, and how many of it can be had."""

    lot: Lot
    fit: Fit
    counts: Counts
    origin: str
    another_look: bool

    @property
    def to_be_had(self) -> int:
        """Return how many can be allotted: those here, or the whole lot with those outside."""
        if self.lot.place_id is None and not self.counts.fitted and self.origin != "loose stock":
            return self.counts.usable
        return self.counts.here


def offers_for(place: Place) -> list[Offer]:
    """Return the free lots that fit a place or may fit it: of this engine, of donors, of the loose stock."""
    job = place.area.job
    stock = loose_stock()
    need = need_of(place)
    lots = (
        Lot.objects.filter(
            job__in=[job.pk] + ([stock.pk] if stock else []),
            kind__in=[kind.value for kind in kinds_for(need.kind)],
            place__isnull=True,
            withdrawn=False,
        )
        .exclude(treatment__in=NOT_TO_USE)
        .select_related("origin", "bag", "job")
        .order_by("number")
    )
    if need.end_a:
        threads = Q(end_a="")
        for candidate in need.end_a + need.end_b:
            threads |= Q(end_a__contains=candidate) | Q(end_b__contains=candidate)
        if need.kind not in SIZE_ONLY:
            lots = lots.filter(threads)
    answers = [(lot, fit_of(place, lot)) for lot in lots]
    kept = [(lot, fit) for lot, fit in answers if fit.verdict is not FitVerdict.NOT]
    counts = counts_of([lot for lot, _ in kept])
    offers = [
        Offer(
            lot,
            fit,
            counts[lot.pk],
            origin_word(lot, job),
            place.finish_wanted not in ("unknown", lot.finish_look),
        )
        for lot, fit in kept
        if counts[lot.pk].here or (lot.job_id == job.pk and counts[lot.pk].outside)
    ]
    offers.sort(key=_readiest)
    return offers[:MANY_OFFERS]


def _readiest(offer: Offer) -> tuple[bool, bool, bool, str, int]:
    return (
        not offer.fit.fits,
        bool(offer.fit.reasons),
        offer.origin != OWN,
        offer.origin,
        offer.lot.number,
    )


def buying_list(job: Job) -> QuerySet[ToBuy]:
    """Return what is to buy, on order or received, the newest last."""
    return (
        ToBuy.objects.filter(job=job, withdrawn=False)
        .select_related("place__area", "instead_of", "received_as")
        .order_by("received_on", "ordered_on", "pk")
    )


def missing_and_unlisted(job: Job) -> list[tuple[Place, int]]:
    """Return the places that miss pieces which are not on the list to buy yet, and how many."""
    filling = filling_of_job(job)
    wanted = dict(Place.objects.filter(area__job=job, withdrawn=False).values_list("pk", "count"))
    short = {
        pk: count - filling.get(pk, EMPTY).filled
        for pk, count in wanted.items()
        if count > filling.get(pk, EMPTY).filled
    }
    listed = _on_list(list(short))
    places = Place.objects.filter(pk__in=short).select_related("area").order_by("pk")
    rows = [(place, short[place.pk] - listed.get(place.pk, 0)) for place in places]
    return [(place, missing) for place, missing in rows if missing > 0]
