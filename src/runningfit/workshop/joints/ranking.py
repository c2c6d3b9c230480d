"""The joints of a whole job in the order in which they are looked at, read as plain values.

A job has thousands of joints of a few hundred sorts, and a page shows fifty: so where a joint stands is
reckoned once for each sort, and only what is shown is judged wholly and read as rows.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from functools import lru_cache
from operator import itemgetter
from typing import Any, NamedTuple

from django.db.models import OuterRef, Q, QuerySet, Subquery

from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.threaded_joint import judge_joint, judge_piece, rank_joint, rank_piece
from runningfit.core.treatments.threaded_joint.answers import Standing
from runningfit.core.treatments.threaded_joint.facts import JointFacts
from runningfit.workshop.joints import gathering
from runningfit.workshop.joints.facts import NOTHING_FOUND, Found, facts_of, is_judged
from runningfit.workshop.joints.models import JointDecision, KnownOfLot, KnownOfPlace, keys_of
from runningfit.workshop.joints.queries import JudgedJoint
from runningfit.workshop.joints.told import LOT_IN_ONE, PlaceTold, Values, known_fields, known_from, lot_told
from runningfit.workshop.pieces.ledger import PRESENT
from runningfit.workshop.pieces.models import Holding, Lot, Place
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import attach, prepared
from runningfit.workshop.records.unchanged import as_long_as_unchanged

# Of the values read of a lot those that tell of its joint come first; then its id, its place, its parent.
_KEY, _PLACE, _PARENT = 2, 3, 4


class Decided(NamedTuple):
    """A decision: the verdict of its moment, and the answers that were on the screen."""

    key: int
    choice: str
    outcome: str
    said: str
    keys: frozenset[str]


class RankedJoint(NamedTuple):
    """Where one joint of a job, or one loose lot, stands; its rows are read only where it is shown.

    Parameters
    ----------
    rank : int
        That of its standing. By the first four they stand in order.
    area : str
        Name of the area of the place; empty for a loose lot.
    place_id, number, lot_id : int
        0 where there is no place, or no lot.
    area_id : int or None
        The area of the place, else of the lot.
    decided : Decided or None
        The last decision that stands.
    """

    rank: int
    area: str
    place_id: int
    number: int
    lot_id: int
    area_id: int | None
    standing: Standing
    facts: JointFacts
    decided: Decided | None


class _Sort(NamedTuple):
    """All that the facts of a joint follow from: joints with the same are one sort."""

    lot: tuple[float | None, str] | None
    place: PlaceTold | None
    known: Values | None
    known_place: Values | None
    found: Found | None
    found_there: Found | None
    mates: tuple[str, ...]


# As many sorts as the core keeps judgements.
@lru_cache(maxsize=16384)
def _standing_of(sort: _Sort) -> tuple[JointFacts, Standing] | None:
    """Return the facts of a sort and where it stands; none where it is not judged at all."""
    lot, place = None if sort.lot is None else lot_told(*sort.lot), sort.place
    if lot is not None and not is_judged(lot.kind, lot.end_a or lot.end_b, lot.kind_said):
        return None
    if lot is None and (place is None or not place.end_a or not Kind(place.kind).has_thread):
        return None
    facts = facts_of(
        lot=lot,
        place=place,
        known=None if sort.known is None else known_from(KnownOfLot, sort.known),
        known_place=None if sort.known_place is None else known_from(KnownOfPlace, sort.known_place),
        found=sort.found or NOTHING_FOUND,
        found_there=sort.found_there or NOTHING_FOUND,
        mates=sort.mates,
    )
    if facts.piece.threads and place is not None:
        return facts, rank_joint(facts)
    return facts, rank_piece(facts.piece)


def ranked_joints(job: Job) -> Sequence[RankedJoint]:
    """Return every joint of a job and every loose lot that is judged, in the order of `judged_joints`."""
    return _ranked(job.pk)


@as_long_as_unchanged
def _ranked(job_id: int) -> Sequence[RankedJoint]:
    read = _read(job_id)
    ranked = []
    filled = set()
    for row in read.lots:
        length_mm, in_one, key, place_id, _, number, area_id, is_here = row
        if not is_here:
            continue
        # What was read is the key as it came: it is taken apart only for a sort that is new.
        told, place = (length_mm, in_one), read.places.get(place_id)
        known, found, mates = read.known.get(key), read.found.get(key), read.mates.get(key, ())
        decided = read.decided.get((key, None if place is None else place_id)) if read.decided else None
        if place is None:
            stands = _standing_of(_Sort(told, None, known, None, found, None, mates))
            area, place_id = "", 0
        else:
            there, found_there = read.known_places.get(place_id), read.found_there.get(place_id)
            stands = _standing_of(_Sort(told, place.told, known, there, found, found_there, mates))
            area, area_id = place.area, place.area_id
        if stands is not None:
            filled.add(place_id)
            facts, standing = stands
            ranked.append(
                RankedJoint(standing.rank, area, place_id, number, key, area_id, standing, facts, decided)
            )
    for place_id, place in read.places.items():
        if place_id not in filled:
            there, found_there = read.known_places.get(place_id), read.found_there.get(place_id)
            stands = _standing_of(_Sort(None, place.told, None, there, None, found_there, ()))
            if stands is not None:
                facts, standing = stands
                ranked.append(
                    RankedJoint(
                        standing.rank, place.area, place_id, 0, 0, place.area_id, standing, facts, None
                    )
                )
    # By rank, area, place and number.
    ranked.sort(key=itemgetter(0, 1, 2, 3))
    return tuple(ranked)


def judged_of(job: Job, ranked: Sequence[RankedJoint]) -> list[JudgedJoint]:
    """Judge ranked joints of a job wholly, in their order, with the rows that a page shows of them."""
    lots = {lot.pk: lot for lot in _lots([one.lot_id for one in ranked if one.lot_id])}
    places = {place.pk: place for place in _places([one.place_id for one in ranked if one.place_id])}
    attach([*places.values(), *lots.values()], "area")
    attach(list(lots.values()), "bag")
    for row in lots.values():
        row.job = job
    counts: dict[int, int] = defaultdict(int)
    for lot_id, count in _present(list(lots)):
        counts[lot_id] += count
    decisions = {row.pk: row for row in _decisions([one.decided.key for one in ranked if one.decided])}
    judged = []
    for one in ranked:
        lot, place = lots.get(one.lot_id), places.get(one.place_id)
        threaded = bool(one.facts.piece.threads) and place is not None
        judged.append(
            JudgedJoint(
                place=place,
                lot=lot,
                count=counts[lot.pk] if lot is not None else place.count if place is not None else 0,
                facts=one.facts,
                judgement=judge_joint(one.facts) if threaded else judge_piece(one.facts.piece),
                decision=decisions.get(one.decided.key) if one.decided else None,
            )
        )
    return judged


class _PlaceRead(NamedTuple):
    area_id: int
    area: str
    told: PlaceTold


class _Read(NamedTuple):
    """What was read of a job; all but the lots by the id of lot or place."""

    lots: list[tuple[Any, ...]]
    places: dict[int, _PlaceRead]
    known: dict[int, Values]
    known_places: dict[int, Values]
    found: dict[int, Found]
    found_there: dict[int, Found]
    mates: dict[int, tuple[str, ...]]
    decided: dict[tuple[int, int | None], Decided]


def _read(job_id: int) -> _Read:
    rows = _lots_told(job_id)
    there: dict[int, list[tuple[Any, ...]]] = defaultdict(list)
    for row in rows:
        if row[_PLACE] is not None:
            there[row[_PLACE]].append(row)
    several = [lots for lots in there.values() if len(lots) > 1]
    places = {
        key: _PlaceRead(area_id, area, PlaceTold._make(values))
        for *values, key, area_id, area in _places_told(job_id)
    }
    of_lots, of_places = Q(lot__job=job_id), Q(place__area__job=job_id)
    bought = _bought(job_id)
    new = gathering.new_among(bought) if bought else set()
    gauged = gathering.gauged_of(of_lots)
    parents = {row[_KEY]: row[_PARENT] for row in rows if row[_PARENT] is not None}
    findings, findings_there = gathering.findings_of(of_lots, of_places)
    return _Read(
        lots=rows,
        places=places,
        known=gathering.known_of([row[_KEY] for row in rows], parents, _known_of_lots, of_lots),
        known_places={key: tuple(values) for *values, key in _known_of_places(job_id)},
        found={
            key: Found(frozenset(findings.get(key, ())), gauged.get(key, ()), key in new)
            for key in {*gauged, *findings, *new}
        },
        found_there={key: Found(frozenset(kinds)) for key, kinds in findings_there.items()},
        mates=gathering.mates_among([(row[_KEY], lot_told(*row[:_KEY])) for row in lots] for lots in several),
        decided={
            (lot_id, place_id): Decided(key, choice, outcome, said, keys_of(lines))
            for key, lot_id, place_id, choice, outcome, said, lines in _decided(job_id)
        },
    )


@prepared
def _lots_told(job_id: int) -> QuerySet[Lot, tuple[Any, ...]]:
    held = Holding.objects.filter(lot=OuterRef("pk"), account__in=PRESENT, count__gt=0)
    return (
        Lot.objects.filter(gathering.judged_kinds(), job=job_id, withdrawn=False)
        .order_by()
        .annotate(
            # Any holding of each lot: asked whether there is one, PostgreSQL would read those of all jobs.
            is_here=Subquery(held.values("pk")[:1])
        )
        .values_list("length_mm", LOT_IN_ONE, "pk", "place_id", "parent_id", "number", "area_id", "is_here")
    )


@prepared
def _bought(job_id: int) -> QuerySet[Holding, int]:
    rows = Holding.objects.filter(lot__job=job_id, account="bought", count__lt=0)
    return rows.values_list("lot_id", flat=True)


@prepared
def _places_told(job_id: int) -> QuerySet[Place, tuple[Any, ...]]:
    rows = Place.objects.filter(area__job=job_id, withdrawn=False).order_by("pk")
    return rows.values_list(*PlaceTold._fields, "pk", "area_id", "area__name")


def _known_of_lots(of_lots: Q) -> dict[int, Values]:
    rows = KnownOfLot.objects.filter(of_lots, withdrawn=False)
    return {key: tuple(values) for *values, key in rows.values_list(*known_fields(KnownOfLot), "lot_id")}


@prepared
def _known_of_places(job_id: int) -> QuerySet[KnownOfPlace, tuple[Any, ...]]:
    rows = KnownOfPlace.objects.filter(place__area__job=job_id, withdrawn=False)
    return rows.values_list(*known_fields(KnownOfPlace), "place_id")


@prepared
def _decided(job_id: int) -> QuerySet[JointDecision, tuple[Any, ...]]:
    rows = JointDecision.objects.filter(lot__job=job_id, withdrawn=False).order_by("pk")
    return rows.values_list("pk", "lot_id", "place_id", "choice", "outcome", "said", "lines")


@prepared
def _lots(keys: list[int]) -> QuerySet[Lot]:
    return Lot.objects.filter(pk__in=keys)


@prepared
def _places(keys: list[int]) -> QuerySet[Place]:
    return Place.objects.filter(pk__in=keys)


@prepared
def _present(lots: list[int]) -> QuerySet[Holding, tuple[int, int]]:
    rows = Holding.objects.filter(lot__in=lots, account__in=PRESENT).exclude(count=0)
    return rows.values_list("lot_id", "count")


@prepared
def _decisions(keys: list[int]) -> QuerySet[JointDecision]:
    return JointDecision.objects.filter(pk__in=keys)
