"""All that the joints of a job, or of some lots, are put together from, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from django.db.models import Q, QuerySet, prefetch_related_objects

from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.pieces.kinds import Kind
from runningfit.workshop.joints.facts import (
    HARD_KINDS,
    NOTHING_FOUND,
    SPRING_WORDS,
    THREADED_KINDS,
    Found,
    Gauged,
    candidates,
    is_judged,
)
from runningfit.workshop.joints.models import JointDecision, KnownOfLot, KnownOfPlace
from runningfit.workshop.joints.told import LotRow
from runningfit.workshop.pieces.ledger import PRESENT
from runningfit.workshop.pieces.models import SOURCES, Finding, Holding, Lot, Place
from runningfit.workshop.pieces.thread_models import ThreadGauging
from runningfit.workshop.records.models import Job

_R = TypeVar("_R")
A_BATCH = 500
# Long texts and lists that say nothing of a joint; of a whole job they are most of what is read.
_NOT_ASKED = ("words", "questions", "remarks")
_TELLING = ("cracked", "broken", "thread_defective")


@dataclass(slots=True)
class Gathered:
    """Rows by the id of their lot or place; what nobody said is not there."""

    lots: list[Lot]
    places: dict[int, Place]
    counts: dict[int, int] = field(default_factory=dict)
    known: dict[int, KnownOfLot] = field(default_factory=dict)
    known_places: dict[int, KnownOfPlace] = field(default_factory=dict)
    found: dict[int, Found] = field(default_factory=dict)
    found_there: dict[int, Found] = field(default_factory=dict)
    decisions: dict[tuple[int, int | None], JointDecision] = field(default_factory=dict)
    mates: dict[int, tuple[str, ...]] = field(default_factory=dict)


def of_job(job: Job) -> Gathered:
    """Gather what a whole job's joints are put together from: every place, every lot that is judged."""
    lots = _lots_of(job, judged_kinds())
    places = Place.objects.filter(area__job=job, withdrawn=False).select_related("area").order_by("pk")
    gathered = Gathered(lots, {place.pk: place for place in places})
    parents = Lot.objects.filter(job=job, parent__isnull=False).values_list("pk", "parent_id")
    _fill(gathered, Q(lot__job=job), Q(place__area__job=job), dict(parents))
    gathered.mates = _mates_of(lots)
    return gathered


def of_places(job: Job, places: Sequence[Place]) -> Gathered:
    """Gather what the joints of some places of a job are put together from."""
    prefetch_related_objects(list(places), "area")
    if not places:
        return Gathered([], {})
    return of_lots(_lots_of(job, judged_kinds() & Q(place__in=[place.pk for place in places])), places)


def judged_kinds() -> Q:
    """The kinds of lots that are judged, or nearly: `is_judged` looks at what a database cannot."""
    kinds = Q(kind__in=HARD_KINDS) | (Q(kind__in=THREADED_KINDS) & ~Q(end_a="", end_b=""))
    kinds |= Q(kind=Kind.OTHER.value) & ~Q(end_a="")
    for word in SPRING_WORDS:
        kinds |= Q(kind=Kind.OTHER.value, kind_said__icontains=word)
    return kinds


def _lots_of(job: Job, asked: Q) -> list[Lot]:
    rows: QuerySet[Lot] = Lot.objects.filter(asked, job=job, withdrawn=False).defer(*_NOT_ASKED)
    lots = list(rows.order_by("number"))
    for lot in lots:
        lot.job = job
    return lots


def of_lots(lots: Sequence[Lot], places: Sequence[Place] = ()) -> Gathered:
    """Gather what the joints of some lots are put together from, and of places that may have no lot."""
    own = {lot.place_id for lot in lots if lot.place_id is not None} - {place.pk for place in places}
    found = Place.objects.filter(pk__in=own).select_related("area") if own else ()
    gathered = Gathered(list(lots), {place.pk: place for place in (*places, *found)})
    keys = [lot.pk for lot in lots]
    _fill(
        gathered,
        Q(lot__in=keys),
        Q(place__in=list(gathered.places)),
        {lot.pk: lot.parent_id for lot in lots if lot.parent_id is not None},
    )
    gathered.mates = _mates_of(_beside(gathered))
    return gathered


def _beside(gathered: Gathered) -> list[Lot]:
    """Return every lot of the places: the mates of the lots asked for may be among them."""
    places = Lot.objects.filter(place__in=list(gathered.places), withdrawn=False)
    return list(places) if gathered.places else []


def _fill(gathered: Gathered, of_lots: Q, of_places: Q, parents: Mapping[int, int]) -> None:
    gathered.counts, bought = _counted(of_lots)
    gathered.known = known_of([lot.pk for lot in gathered.lots], parents, _read_known, of_lots)
    gathered.known_places = {
        row.place_id: row for row in KnownOfPlace.objects.filter(of_places, withdrawn=False)
    }
    gauged = gauged_of(of_lots)
    findings, there = findings_of(of_lots, of_places)
    for lot in gathered.lots:
        if lot.pk in gauged or lot.pk in findings or lot.pk in bought:
            gathered.found[lot.pk] = Found(
                frozenset(findings.get(lot.pk, ())), gauged.get(lot.pk, ()), lot.pk in bought
            )
    gathered.found_there = {key: Found(frozenset(kinds)) for key, kinds in there.items()}
    for decision in JointDecision.objects.filter(of_lots, withdrawn=False).order_by("pk"):
        gathered.decisions[decision.lot_id, decision.place_id] = decision


def _counted(of_lots: Q) -> tuple[dict[int, int], set[int]]:
    """Return how many usable pieces each lot has, and the lots of which every piece was bought as itself."""
    counts: dict[int, int] = defaultdict(int)
    bought: dict[int, int] = {}
    other_source: set[int] = set()
    holdings = Holding.objects.filter(of_lots, lot__withdrawn=False).exclude(count=0).order_by()
    for lot_id, account, count in holdings.values_list("lot_id", "account", "count"):
        if account in PRESENT:
            counts[lot_id] += count
        elif account == "bought":
            bought[lot_id] = -count
        elif account in SOURCES:
            other_source.add(lot_id)
    # Pieces that were joined into it came in by another lot: then more are here than were bought.
    new = {key for key, count in bought.items() if key not in other_source and counts[key] <= count}
    return counts, new


def new_among(bought: Sequence[int]) -> set[int]:
    """Return the lots, of some that were bought, of which every piece was bought as itself."""
    new: set[int] = set()
    for start in range(0, len(bought), A_BATCH):
        new |= _counted(Q(lot__in=bought[start : start + A_BATCH]))[1]
    return new


def known_of(
    keys: Iterable[int], parents: Mapping[int, int], read: Callable[[Q], dict[int, _R]], of_lots: Q
) -> dict[int, _R]:
    """Return what is known of each lot: its own, or that of the nearest lot it was split off from.

    Parameters
    ----------
    keys : iterable of int
        The lots.
    parents : mapping
        Of the lots that were split off, from which.
    read : callable
        Reads what is known of lots, by the lot's id.
    of_lots : Q
        The lots among which nearly all of it is.
    """
    rows = read(of_lots)
    line = dict(parents)
    # Lots that came from another job, or whose parents were not asked for: their line is followed upwards.
    missing = set(line.values()) - set(line)
    asked: set[int] = set()
    while missing:
        above_them = sorted(missing)
        asked |= missing
        for start in range(0, len(above_them), A_BATCH):
            part = above_them[start : start + A_BATCH]
            rows |= read(Q(lot__in=part))
            above = Lot.objects.filter(pk__in=part, parent__isnull=False)
            line |= {pk: parent for pk, parent in above.values_list("pk", "parent_id") if parent is not None}
        missing = {line[key] for key in above_them if key in line} - set(line) - asked
    known: dict[int, _R] = {}
    for key in keys if rows else ():
        at: int | None = key
        while at is not None and at not in rows:
            at = line.get(at)
        if at is not None:
            known[key] = rows[at]
    return known


def _read_known(of_lots: Q) -> dict[int, KnownOfLot]:
    return {row.lot_id: row for row in KnownOfLot.objects.filter(of_lots, withdrawn=False)}


def gauged_of(of_lots: Q) -> dict[int, tuple[Gauged, ...]]:
    """Return the last readings of each end of each lot."""
    gauged: dict[int, dict[str, Gauged]] = defaultdict(dict)
    rows = ThreadGauging.objects.filter(of_lots, withdrawn=False).order_by("pk")
    for lot_id, end, readings in rows.values_list("lot_id", "end", "readings"):
        diameters = {name: _measured(readings.get(name)) for name in ("pitch_diameter", "major")}
        gauged[lot_id][end] = Gauged(end, readings.get("go"), readings.get("no_go"), **diameters)
    return {lot_id: tuple(ends.values()) for lot_id, ends in gauged.items()}


def _measured(reading: dict[str, float] | None) -> Measured | None:
    return None if reading is None else Measured(reading["mm"], reading["u_mm"])


def findings_of(of_lots: Q, of_places: Q) -> tuple[dict[int, set[str]], dict[int, set[str]]]:
    """Return what was found and is not settled: of lots, and of places themselves."""
    of_lot: dict[int, set[str]] = defaultdict(set)
    of_place: dict[int, set[str]] = defaultdict(set)
    rows = Finding.objects.filter(of_lots | of_places, withdrawn=False, settled=False, what__in=_TELLING)
    told: Iterable[tuple[int | None, int | None, str]] = rows.values_list("lot_id", "place_id", "what")
    for lot_id, place_id, what in told:
        # A finding of a lot names the place it came out of as well; it is not one of the place.
        if lot_id is not None:
            of_lot[lot_id].add(what)
        elif place_id is not None:
            of_place[place_id].add(what)
    return of_lot, of_place


def _mates_of(lots: Iterable[Lot]) -> dict[int, tuple[str, ...]]:
    there: dict[int, list[tuple[int, LotRow]]] = defaultdict(list)
    for lot in lots:
        if lot.place_id is not None:
            there[lot.place_id].append((lot.pk, lot))
    return mates_among(there.values())


def mates_among(there: Iterable[Sequence[tuple[int, LotRow]]]) -> dict[int, tuple[str, ...]]:
    """Return of each lot the states of the threads of other lots of its place that screw together with it.

    Parameters
    ----------
    there : iterable
        The lots of each place, with their ids.
    """
    mates = {}
    for lots in there:
        if len(lots) < 2:
            continue
        sides = [(key, *_side(lot), lot.thread_state) for key, lot in lots if _has_thread(lot)]
        for key, lot in lots:
            outside, threads = _side(lot)
            mates[key] = tuple(
                state
                for other, other_outside, other_threads, state in sides
                if other != key and other_outside is not outside and threads & other_threads
            )
    return mates


def _has_thread(lot: LotRow) -> bool:
    return bool(lot.end_a) and Kind(lot.kind).has_thread


def _side(lot: LotRow) -> tuple[bool, frozenset[str]]:
    threads = frozenset((*candidates(lot.end_a), *candidates(lot.end_b)))
    return Kind(lot.kind).is_externally_threaded, threads


def judged_lots_of(gathered: Gathered) -> list[Lot]:
    """Return the lots that are judged and still have usable pieces."""
    return [
        lot
        for lot in gathered.lots
        if gathered.counts.get(lot.pk) and is_judged(lot.kind, lot.end_a or lot.end_b, lot.kind_said)
    ]


def found_of(gathered: Gathered, lot: Lot | None) -> Found:
    """Return what was found of a lot."""
    return NOTHING_FOUND if lot is None else gathered.found.get(lot.pk, NOTHING_FOUND)
