"""Reads of building: can each area be built now, and the kit of one area."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Q, QuerySet

from runningfit.core.errors import NotFound
from runningfit.core.plan.fit import Fit, FitVerdict
from runningfit.core.plan.kit import KitNeed, KitPieces, Readiness, readiness
from runningfit.core.treatments import all_treatments
from runningfit.workshop.measurements.inspecting import gates_of_areas
from runningfit.workshop.pieces.ledger import Counts, counts_of
from runningfit.workshop.pieces.models import Area, Holding, Lot, Place
from runningfit.workshop.pieces.queries import areas_of
from runningfit.workshop.plan.fitting import (
    SPEC_FIELDS,
    SpecValues,
    kept_fit,
    need_from,
    need_of,
    spec_from,
    spec_of,
)
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import attach, prepared

# A lot's treatment stands until it is said to be done, here or by counting back; leaving it needs nothing.
_TREATMENTS = {one.key: one.label for one in all_treatments() if one.key != "leave"}
# Which of here, outside and fitted a custody counts as.
_HELD_AS = {"bench": 0, "store": 0, "outside": 1, "fitted": 2}


@dataclass(frozen=True, slots=True)
class AreaState:
    """One area and whether it can be built now."""

    area: Area
    places: int
    state: Readiness


@dataclass(frozen=True, slots=True)
class KitLot:
    """A lot in the kit of an area: its counts, and what stands against it."""

    lot: Lot
    counts: Counts
    fit: Fit
    due: str
    to_fit: int


@dataclass(frozen=True, slots=True)
class KitPlace:
    """One place in the kit of an area with the lots that fill it."""

    place: Place
    lots: tuple[KitLot, ...]

    @property
    def fitted(self) -> int:
        """Return how many are fitted."""
        return sum(row.counts.fitted for row in self.lots)

    @property
    def missing(self) -> int:
        """Return how many sound pieces it still needs."""
        sound = (row.counts.usable for row in self.lots if row.lot.thread_state != "defective")
        return max(0, self.place.count - sum(sound))


@dataclass(frozen=True, slots=True)
class Kit:
    """The kit of one area: its places, their lots, and whether it can be built now."""

    area: Area
    places: tuple[KitPlace, ...]
    state: Readiness

    @property
    def in_doubt(self) -> bool:
        """Return whether a test is open, or the thread of a piece or a hole defective or not proven."""
        states = [row.place.thread_state for row in self.places]
        states += [row.lot.thread_state for place in self.places for row in place.lots]
        return bool(self.state.waits) or any(state in ("defective", "not_proven") for state in states)


@prepared
def _area(job_id: int, area_id: int) -> QuerySet[Area]:
    return Area.objects.select_related("job").filter(pk=area_id, job=job_id, withdrawn=False)


@prepared
def _places_of(area_id: int) -> QuerySet[Place]:
    return Place.objects.filter(area=area_id, withdrawn=False).order_by("pk")


@prepared
def _lots_of(area_id: int) -> QuerySet[Lot]:
    return Lot.objects.filter(place__area=area_id, withdrawn=False).order_by("number")


def area_by_id(job: Job, area_id: int) -> Area:
    """Return an area of a job, or raise NotFound saying so."""
    area = next(iter(_area(job.pk, area_id)), None)
    if area is None:
        raise NotFound(f"There is no area {area_id} in {job.name}.")
    return area


def areas_to_build(job: Job) -> list[AreaState]:
    """Return every area of a job with whether it can be built now, those that can first."""
    needs: dict[int, list[KitNeed]] = defaultdict(list)
    fields: dict[int, SpecValues] = {}
    for pk, area_id, name, count, state, known_from, *need in _needs(job.pk):
        needs[area_id].append(KitNeed(pk, name, count, state, known_from == "assumed"))
        fields[pk] = need[0], need[1], need[2], need[3], need[4], need[5]
    pieces = _pieces(job, fields)
    areas = areas_of(job)
    gates = gates_of_areas([area.pk for area in areas])
    states = [
        AreaState(
            area,
            len(needs[area.pk]),
            readiness(
                needs[area.pk],
                [lot for need in needs[area.pk] for lot in pieces[need.place]],
                gates.get(area.pk, ()),
            ),
        )
        for area in areas
    ]
    return sorted(states, key=lambda row: (not row.places, row.state.finished, not row.state.ready))


def kit_of(area: Area) -> Kit:
    """Return the kit of an area: each place with its lots, their bags, and what stands against building."""
    places = _places_of(area.pk)
    lots = _lots_of(area.pk)
    attach(lots, "bag", "place")
    counts = counts_of(lots)
    by_place: dict[int | None, list[KitLot]] = defaultdict(list)
    room = {place.pk: place.count for place in places}
    for lot in lots:
        room[lot.place_id or 0] = room.get(lot.place_id or 0, 0) - counts[lot.pk].fitted
    for lot in lots:
        if lot.place is not None and counts[lot.pk].usable:
            to_fit = 0 if lot.thread_state == "defective" else min(counts[lot.pk].here, room[lot.place.pk])
            room[lot.place.pk] -= to_fit
            answer = kept_fit(need_of(lot.place), replace(spec_of(lot), thread_defective=False))
            due = treatment_due(lot.treatment)
            by_place[lot.place_id].append(KitLot(lot, counts[lot.pk], answer, due, max(0, to_fit)))
    rows = tuple(KitPlace(place, tuple(by_place[place.pk])) for place in places)
    state = readiness(
        [KitNeed(p.pk, p.name, p.count, p.thread_state, p.basis == "assumed") for p in places],
        [_kit_pieces(row.place, lot) for row in rows for lot in row.lots],
        gates_of_areas([area.pk]).get(area.pk, ()),
    )
    return Kit(area, rows, state)


def treatment_due(treatment: str) -> str:
    """Return the treatment that is still to be done; nothing where none is asked or it was done."""
    return _TREATMENTS.get(treatment, "")


def _kit_pieces(place: Place, row: KitLot) -> KitPieces:
    bag = f", bag {row.lot.bag.code}" if row.lot.bag else ""
    return KitPieces(
        place=place.pk,
        said=f"lot {row.lot.number}{bag}",
        here=row.counts.here,
        outside=row.counts.outside,
        fitted=row.counts.fitted,
        thread_state=row.lot.thread_state,
        treatment_due=row.due,
        misfit=_misfit(row.fit),
        open_question=next(iter(row.fit.asks), ""),
    )


def _misfit(answer: Fit) -> str:
    return answer.reasons[0] if answer.verdict is FitVerdict.NOT else ""


def _pieces(job: Job, needs: dict[int, SpecValues]) -> dict[int, list[KitPieces]]:
    """Return the pieces allotted in a job by place, one row a lot, counted by the database."""
    held: dict[int, list[int]] = {}
    lots: dict[int, tuple[Any, ...]] = {}
    for lot_id, account, count, *lot in _allotted(job.pk):
        if account in _HELD_AS and lot[0] in needs:
            if lot_id not in held:
                held[lot_id] = [0, 0, 0]
                lots[lot_id] = tuple(lot)
            held[lot_id][_HELD_AS[account]] += count
    by_place: dict[int, list[KitPieces]] = defaultdict(list)
    answers: dict[tuple[SpecValues, SpecValues], tuple[str, str]] = {}
    for lot_id, (here, outside, fitted) in held.items():
        place_id, number, bag, state, treatment, *_ = lots[lot_id]
        pair = needs[place_id], lots[lot_id][5:]
        if pair not in answers:
            answer = kept_fit(need_from(pair[0]), spec_from(pair[1]))
            answers[pair] = _misfit(answer), next(iter(answer.asks), "")
        misfit, ask = answers[pair]
        said = f"lot {number}, bag {bag}" if bag else f"lot {number}"
        due = treatment_due(treatment)
        by_place[place_id].append(KitPieces(place_id, said, here, outside, fitted, state, due, misfit, ask))
    return by_place


@prepared
def _allotted(job_id: int) -> QuerySet[Holding, tuple[Any, ...]]:
    lots = Q(lot__job=job_id, lot__place__isnull=False, lot__withdrawn=False)
    # Asked for by account, the database would look up each account of each lot by itself.
    held = Holding.objects.filter(lots, count__gt=0).order_by("lot__number")
    said = ("place_id", "number", "bag__code", "thread_state", "treatment", *SPEC_FIELDS)
    return held.values_list("lot_id", "account", "count", *(f"lot__{name}" for name in said))


@prepared
def _needs(job_id: int) -> QuerySet[Place, tuple[Any, ...]]:
    places = Place.objects.filter(area__job=job_id, withdrawn=False).order_by("pk")
    return places.values_list("pk", "area_id", "name", "count", "thread_state", "basis", *SPEC_FIELDS)
