"""Reads of the plan: place by place what fills it and what is missing, and who could fill it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from runningfit.core.errors import NotFound
from runningfit.core.plan.fit import Fit, FitVerdict, fit, kinds_for
from runningfit.workshop.pieces.ledger import Counts, counts_of
from runningfit.workshop.pieces.models import Area, Lot, Place
from runningfit.workshop.pieces.queries import areas_of
from runningfit.workshop.plan.filling import EMPTY, Filling, filling_of_job
from runningfit.workshop.plan.fitting import need_of
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.plan.proposing import NOT_TO_USE, OWN, origin_word
from runningfit.workshop.plan.sorts import free_sorts
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import attach, prepared
from runningfit.workshop.records.queries import loose_stock

WHOLE_PLAN = 120
FIRST_SHORT = 30
MANY_OFFERS = 60
MANY_UNLISTED = 40


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
    found = next(iter(_place(job.pk, place_id)), None)
    if found is None:
        raise NotFound(f"There is no place {place_id} in {job.name}.")
    return found


@prepared
def _place(job_id: int, place_id: int) -> QuerySet[Place]:
    places = Place.objects.select_related("area__job")
    return places.filter(pk=place_id, area__job=job_id, withdrawn=False)


@prepared
def _counts_and_bases(job_id: int) -> QuerySet[Place, tuple[int, int, int, str]]:
    places = Place.objects.filter(area__job=job_id, withdrawn=False).order_by("pk")
    return places.values_list("pk", "area_id", "count", "basis")


def plan_of(job: Job, *, area: Area | None = None) -> Plan:
    """Return the plan of a job place by place, or of one area of it."""
    filling = filling_of_job(job)
    rows = _counts_and_bases(job.pk)
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
        for row in areas_of(job)
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
    lots = _lots_in([place.pk])
    attach(lots, "bag", "origin")
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
    lots = _lots_in(shown)
    attach(lots, "bag")
    counts = counts_of(lots)
    by_place: dict[int | None, list[LotHere]] = defaultdict(list)
    for lot in lots:
        by_place[lot.place_id].append(LotHere(lot, counts[lot.pk]))
    listed = _on_list(shown)
    lines: dict[int, list[PlaceLine]] = defaultdict(list)
    for place in _places(shown):
        line = PlaceLine(
            place, filling.get(place.pk, EMPTY), tuple(by_place[place.pk]), listed.get(place.pk, 0)
        )
        lines[place.area_id].append(line)
    return lines


def _on_list(places: Sequence[int]) -> dict[int, int]:
    listed: dict[int, int] = defaultdict(int)
    for place_id, count in _to_come(places):
        if place_id is not None:
            listed[place_id] += count
    return listed


@prepared
def _to_come(places: Sequence[int]) -> QuerySet[ToBuy, tuple[int | None, int]]:
    rows = ToBuy.objects.filter(place__in=places, withdrawn=False, received_on__isnull=True)
    return rows.values_list("place_id", "count")


@prepared
def _lots_in(places: Sequence[int]) -> QuerySet[Lot]:
    return Lot.objects.filter(place__in=places, withdrawn=False).order_by("number")


@prepared
def _places(places: Sequence[int]) -> QuerySet[Place]:
    return Place.objects.filter(pk__in=places).order_by("pk")


@dataclass(frozen=True, slots=True)
class Unlisted:
    """Places that miss pieces which nobody put on the list to buy: the first of them, and how many in all."""

    shown: tuple[tuple[Place, int], ...]
    total: int


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
    answers: dict[int, Fit] = {}
    for of_job in [job] + ([stock] if stock else []):
        for kind in kinds_for(need.kind):
            for sort in free_sorts(of_job, kind, without=NOT_TO_USE):
                answer = fit(need, sort.spec)
                if answer.verdict is not FitVerdict.NOT:
                    answers |= dict.fromkeys(sort.free, answer)
    kept = _offered(sorted(answers)) if answers else []
    attach(kept, "origin", "bag", "job")
    counts = counts_of(kept)
    offers = [
        Offer(
            lot,
            answers[lot.pk],
            counts[lot.pk],
            origin_word(lot, job),
            place.finish_wanted not in ("unknown", lot.finish_look),
        )
        for lot in kept
        if counts[lot.pk].here or (lot.job_id == job.pk and counts[lot.pk].outside)
    ]
    offers.sort(key=_readiest)
    return offers[:MANY_OFFERS]


@prepared
def _offered(lots: Sequence[int]) -> QuerySet[Lot]:
    return Lot.objects.filter(pk__in=lots)


def _readiest(offer: Offer) -> tuple[bool, bool, bool, str, int]:
    return (
        not offer.fit.fits,
        bool(offer.fit.reasons),
        offer.origin != OWN,
        offer.origin,
        offer.lot.number,
    )


def buying_list(job: Job) -> list[ToBuy]:
    """Return what is to buy, on order or received, the newest last."""
    rows = _to_buy(job.pk)
    attach(rows, "place", "instead_of", "received_as")
    attach([row.place for row in rows if row.place is not None], "area")
    attach([row.received_as for row in rows if row.received_as is not None], "bag")
    return rows


@prepared
def _to_buy(job_id: int) -> QuerySet[ToBuy]:
    rows = ToBuy.objects.filter(job=job_id, withdrawn=False)
    return rows.order_by("received_on", "ordered_on", "pk")


def missing_and_unlisted(job: Job, *, most: int = MANY_UNLISTED) -> Unlisted:
    """Return the places that miss pieces which are not on the list to buy yet, and how many."""
    filling = filling_of_job(job)
    wanted = {pk: count for pk, _, count, _ in _counts_and_bases(job.pk)}
    short = {
        pk: count - filling.get(pk, EMPTY).filled
        for pk, count in wanted.items()
        if count > filling.get(pk, EMPTY).filled
    }
    listed = _on_list(list(short))
    missing = {pk: count - listed.get(pk, 0) for pk, count in short.items() if count > listed.get(pk, 0)}
    shown = _places(sorted(missing)[:most])
    attach(shown, "area")
    return Unlisted(tuple((place, missing[place.pk]) for place in shown), len(missing))
