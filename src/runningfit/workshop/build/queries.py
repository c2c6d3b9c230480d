"""Reads of building: can each area be built now, and the kit of one area."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace

from runningfit.core.errors import NotFound
from runningfit.core.plan.fit import Fit, FitVerdict, PieceSpec, PlaceNeed, fit
from runningfit.core.plan.kit import KitNeed, KitPieces, Readiness, readiness
from runningfit.core.treatments import all_treatments
from runningfit.workshop.pieces.ledger import PRESENT, Counts, counts_of
from runningfit.workshop.pieces.models import Area, Holding, Lot, Place
from runningfit.workshop.plan.fitting import SPEC_FIELDS, need_from, need_of, spec_from, spec_of
from runningfit.workshop.records.models import Job

# A lot's treatment stands until it is said to be done, here or by counting back; leaving it needs nothing.
_TREATMENTS = {one.key: one.label for one in all_treatments() if one.key != "leave"}


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
        """Return whether the thread of a piece or of a hole is defective or not proven."""
        states = [row.place.thread_state for row in self.places]
        states += [row.lot.thread_state for place in self.places for row in place.lots]
        return any(state in ("defective", "not_proven") for state in states)


def area_by_id(job: Job, area_id: int) -> Area:
    """Return an area of a job, or raise NotFound saying so."""
    area = Area.objects.select_related("job").filter(pk=area_id, job=job, withdrawn=False).first()
    if area is None:
        raise NotFound(f"There is no area {area_id} in {job.name}.")
    return area


def areas_to_build(job: Job) -> list[AreaState]:
    """Return every area of a job with whether it can be built now, those that can first."""
    needs: dict[int, list[KitNeed]] = defaultdict(list)
    fields: dict[int, PlaceNeed] = {}
    places = Place.objects.filter(area__job=job, withdrawn=False).order_by("pk")
    for pk, area_id, name, count, state, basis, *values in places.values_list(
        "pk", "area_id", "name", "count", "thread_state", "basis", *SPEC_FIELDS
    ):
        needs[area_id].append(KitNeed(pk, name, count, state, basis == "assumed"))
        fields[pk] = need_from((values[0], values[1], values[2], values[3], values[4], values[5]))
    pieces = _pieces(job, fields)
    areas = Area.objects.filter(job=job, withdrawn=False).order_by("name", "pk")
    states = [
        AreaState(
            area,
            len(needs[area.pk]),
            readiness(needs[area.pk], [lot for need in needs[area.pk] for lot in pieces[need.place]]),
        )
        for area in areas
    ]
    return sorted(states, key=lambda row: (not row.places, row.state.finished, not row.state.ready))


def kit_of(area: Area) -> Kit:
    """Return the kit of an area: each place with its lots, their bags, and what stands against building."""
    places = list(Place.objects.filter(area=area, withdrawn=False).order_by("pk"))
    lots = list(
        Lot.objects.filter(place__area=area, withdrawn=False)
        .select_related("bag", "place")
        .order_by("number")
    )
    counts = counts_of(lots)
    by_place: dict[int | None, list[KitLot]] = defaultdict(list)
    room = {place.pk: place.count for place in places}
    for lot in lots:
        room[lot.place_id or 0] = room.get(lot.place_id or 0, 0) - counts[lot.pk].fitted
    for lot in lots:
        if lot.place is not None and counts[lot.pk].usable:
            to_fit = 0 if lot.thread_state == "defective" else min(counts[lot.pk].here, room[lot.place.pk])
            room[lot.place.pk] -= to_fit
            answer = fit(need_of(lot.place), replace(spec_of(lot), thread_defective=False))
            due = treatment_due(lot.treatment)
            by_place[lot.place_id].append(KitLot(lot, counts[lot.pk], answer, due, max(0, to_fit)))
    rows = tuple(KitPlace(place, tuple(by_place[place.pk])) for place in places)
    state = readiness(
        [KitNeed(p.pk, p.name, p.count, p.thread_state, p.basis == "assumed") for p in places],
        [_kit_pieces(row.place, lot) for row in rows for lot in row.lots],
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


def _pieces(job: Job, needs: dict[int, PlaceNeed]) -> dict[int, list[KitPieces]]:
    """Return the pieces allotted in a job by place, one row a lot, counted by the database."""
    rows = (
        Holding.objects.filter(
            lot__job=job, lot__place__isnull=False, lot__withdrawn=False, account__in=PRESENT, count__gt=0
        )
        .order_by("lot__number")
        .values_list(
            "lot_id",
            "account",
            "count",
            "lot__place_id",
            "lot__number",
            "lot__bag__code",
            "lot__thread_state",
            "lot__treatment",
            *(f"lot__{name}" for name in SPEC_FIELDS),
        )
    )
    counts: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    said: dict[int, KitPieces] = {}
    answers: dict[tuple[PlaceNeed, PieceSpec], Fit] = {}
    for lot_id, account, count, place_id, number, bag, state, treatment, *values in rows:
        counts[lot_id]["here" if account in ("bench", "store") else account] += count
        if lot_id in said or place_id not in needs:
            continue
        spec = spec_from((values[0], values[1], values[2], values[3], values[4], values[5]))
        pair = needs[place_id], spec
        if pair not in answers:
            answers[pair] = fit(*pair)
        said[lot_id] = KitPieces(
            place=place_id,
            said=f"lot {number}" + (f", bag {bag}" if bag else ""),
            thread_state=state,
            treatment_due=treatment_due(treatment),
            misfit=_misfit(answers[pair]),
            open_question=next(iter(answers[pair].asks), ""),
        )
    by_place: dict[int, list[KitPieces]] = defaultdict(list)
    for lot_id, pieces in said.items():
        held = counts[lot_id]
        by_place[pieces.place].append(
            replace(pieces, here=held["here"], outside=held["outside"], fitted=held["fitted"])
        )
    return by_place
