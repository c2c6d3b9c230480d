"""All that the joints of a job, or of some lots, are put together from, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Q

from runningfit.core.pieces.kinds import Kind
from runningfit.workshop.joints.facts import (
    HARD_KINDS,
    NOTHING_FOUND,
    SPRING_WORDS,
    THREADED_KINDS,
    Found,
    candidates,
    is_judged,
)
from runningfit.workshop.joints.models import JointDecision, KnownOfLot, KnownOfPlace
from runningfit.workshop.pieces.ledger import PRESENT
from runningfit.workshop.pieces.models import SOURCES, Finding, Holding, Lot, Place
from runningfit.workshop.pieces.thread_models import ThreadGauging
from runningfit.workshop.records.models import Job

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
    screwed_together: dict[int, list[tuple[int, bool, frozenset[str], str]]] = field(default_factory=dict)

    def mates_of(self, lot: Lot) -> list[str]:
        """Return the states of the threads of other lots of the place that screw together with this one."""
        if lot.place_id is None:
            return []
        outside, threads = _side(lot)
        return [
            state
            for other, other_outside, other_threads, state in self.screwed_together.get(lot.place_id, ())
            if other != lot.pk and other_outside is not outside and threads & other_threads
        ]


def of_job(job: Job) -> Gathered:
    """Gather what a whole job's joints are put together from: every place, every lot that is judged."""
    kinds = Q(kind__in=HARD_KINDS) | (Q(kind__in=THREADED_KINDS) & ~Q(end_a="", end_b=""))
    kinds |= Q(kind=Kind.OTHER.value) & ~Q(end_a="")
    for word in SPRING_WORDS:
        kinds |= Q(kind=Kind.OTHER.value, kind_said__icontains=word)
    rows = Lot.objects.filter(kinds, job=job, withdrawn=False).defer(*_NOT_ASKED)
    lots = list(rows.order_by("number"))
    for lot in lots:
        lot.job = job
    places = Place.objects.filter(area__job=job, withdrawn=False).select_related("area").order_by("pk")
    gathered = Gathered(lots, {place.pk: place for place in places})
    parents = Lot.objects.filter(job=job, parent__isnull=False).values_list("pk", "parent_id")
    _fill(gathered, Q(lot__job=job), Q(place__area__job=job), dict(parents))
    gathered.screwed_together = _screwed_together(lots)
    return gathered


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
    gathered.screwed_together = _screwed_together(_beside(gathered))
    return gathered


def _beside(gathered: Gathered) -> list[Lot]:
    """Return every lot of the places: the mates of the lots asked for may be among them."""
    places = Lot.objects.filter(place__in=list(gathered.places), withdrawn=False)
    return list(places) if gathered.places else []


def _fill(gathered: Gathered, of_lots: Q, of_places: Q, parents: Mapping[int, int]) -> None:
    gathered.counts, bought = _counted(of_lots)
    gathered.known = _known(gathered.lots, of_lots, parents)
    gathered.known_places = {
        row.place_id: row for row in KnownOfPlace.objects.filter(of_places, withdrawn=False)
    }
    gauged = _gauged(of_lots)
    findings, there = _findings(of_lots, of_places)
    for lot in gathered.lots:
        if lot.pk in gauged or lot.pk in findings or lot.pk in bought:
            gathered.found[lot.pk] = Found(
                frozenset(findings.get(lot.pk, ())), gauged.get(lot.pk, {}), lot.pk in bought
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


def _known(lots: Sequence[Lot], of_lots: Q, parents: Mapping[int, int]) -> dict[int, KnownOfLot]:
    """Return what is known of each lot: its own, or that of the nearest lot it was split off from."""
    rows = {row.lot_id: row for row in KnownOfLot.objects.filter(of_lots, withdrawn=False)}
    line = dict(parents)
    # Lots that came from another job, or whose parents were not asked for: their line is followed upwards.
    missing = set(line.values()) - set(line)
    asked: set[int] = set()
    while missing:
        keys = sorted(missing)
        asked |= missing
        for start in range(0, len(keys), A_BATCH):
            part = keys[start : start + A_BATCH]
            rows |= {row.lot_id: row for row in KnownOfLot.objects.filter(lot__in=part, withdrawn=False)}
            above = Lot.objects.filter(pk__in=part, parent__isnull=False)
            line |= {pk: parent for pk, parent in above.values_list("pk", "parent_id") if parent is not None}
        missing = {line[key] for key in keys if key in line} - set(line) - asked
    if not rows:
        return {}
    known = {}
    for lot in lots:
        at: int | None = lot.pk
        while at is not None and at not in rows:
            at = line.get(at)
        if at is not None:
            known[lot.pk] = rows[at]
    return known


def _gauged(of_lots: Q) -> dict[int, dict[str, dict[str, Any]]]:
    """Return the last readings of each end of each lot."""
    gauged: dict[int, dict[str, dict[str, Any]]] = defaultdict(dict)
    rows = ThreadGauging.objects.filter(of_lots, withdrawn=False).order_by("pk")
    for lot_id, end, readings in rows.values_list("lot_id", "end", "readings"):
        gauged[lot_id][end] = readings
    return gauged


def _findings(of_lots: Q, of_places: Q) -> tuple[dict[int, set[str]], dict[int, set[str]]]:
    """Return what was found and is not settled: of lots, and of places themselves."""
    of_lot: dict[int, set[str]] = defaultdict(set)
    of_place: dict[int, set[str]] = defaultdict(set)
    rows = Finding.objects.filter(of_lots | of_places, withdrawn=False, settled=False, what__in=_TELLING)
    for finding in rows.only("lot_id", "place_id", "what"):
        # A finding of a lot names the place it came out of as well; it is not one of the place.
        if finding.lot_id is not None:
            of_lot[finding.lot_id].add(finding.what)
        elif finding.place_id is not None:
            of_place[finding.place_id].add(finding.what)
    return of_lot, of_place


def _screwed_together(lots: Iterable[Lot]) -> dict[int, list[tuple[int, bool, frozenset[str], str]]]:
    """Return the threads of each place's lots, so that a bad one is told of its mate."""
    together: dict[int, list[tuple[int, bool, frozenset[str], str]]] = defaultdict(list)
    for lot in lots:
        if lot.place_id is not None and lot.end_a and Kind(lot.kind).has_thread:
            together[lot.place_id].append((lot.pk, *_side(lot), lot.thread_state))
    return {key: rows for key, rows in together.items() if len(rows) > 1}


def _side(lot: Lot) -> tuple[bool, frozenset[str]]:
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
