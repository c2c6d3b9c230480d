"""Lots whose thread asks for a person: open ones, and those that disagree with their neighbours."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from django.db.models import Count, Q, QuerySet

from runningfit.core.pieces.identification import ThreadPrior, ThreadReadings, identify
from runningfit.core.pieces.kinds import Kind
from runningfit.core.pieces.thread_families import Stranger, ThreadFamily, family_of, stranger_among
from runningfit.core.standards import Thread, ThreadSeries, thread
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.thread_models import ThreadNaming
from runningfit.workshop.records.models import Job

# Candidates this close in diameter are one size.
_ALIKE_MM = 0.05
A_PAGE = 25
MOST_STRANGERS = 20
_OPEN = Q(end_a__contains="|") | Q(end_b__contains="|")


@dataclass(frozen=True, slots=True)
class StrangerLot:
    """A lot whose family of threads differs from its neighbours', with the reason and the odds."""

    lot: Lot
    stranger: Stranger


@dataclass(frozen=True, slots=True)
class NextMeasurement:
    """What to measure next of an open thread of a lot, and at which end."""

    end: str
    words: str


def open_thread_lots(job: Job, *, after: int = 0) -> QuerySet[Lot]:
    """Return the lots of a job whose thread is open, by number, those behind a number."""
    lots = Lot.objects.filter(_OPEN, job=job, withdrawn=False, number__gt=after)
    return lots.select_related("area", "bag").order_by("number")


def strangers_in_areas(job: Job) -> list[StrangerLot]:
    """Return the lots of a job that disagree with their neighbours, the longest odds first.

    Neighbours are the other lots of the same area; each counts once, however many pieces it has.
    """
    threaded = Lot.objects.filter(job=job, withdrawn=False, area__isnull=False).exclude(end_a="")
    alike = threaded.order_by().values_list("area_id", "end_a", "end_b").annotate(Count("pk"))
    counts: dict[int, Counter[ThreadFamily]] = defaultdict(Counter)
    told: list[tuple[int, str, str, ThreadFamily]] = []
    for area, end_a, end_b, lots in alike:
        family = _family(_ends(end_a, end_b))
        if family is not None:
            counts[area][family] += lots
            told.append((area, end_a, end_b, family))
    leading = {area: max(beside, key=lambda one: beside[one]) for area, beside in counts.items()}
    found: dict[tuple[int, str, str], Stranger] = {}
    for area, end_a, end_b, family in told:
        if family is not leading[area]:
            others = counts[area] - Counter({family: 1})
            stranger = stranger_among(_ends(end_a, end_b).split("|"), others)
            if stranger is not None:
                found[area, end_a, end_b] = stranger
    return _lots_of(threaded, found) if found else []


def _ends(end_a: str, end_b: str) -> str:
    return f"{end_a}|{end_b}" if end_b and end_b != end_a else end_a


@lru_cache(maxsize=4096)
def _family(ends: str) -> ThreadFamily | None:
    return family_of(ends.split("|"))


def _lots_of(threaded: QuerySet[Lot], found: Mapping[tuple[int, str, str], Stranger]) -> list[StrangerLot]:
    """Return the lots that were found to be strangers, the longest odds first, as many as a page shows."""
    areas, ends = {area for area, _a, _b in found}, {end_a for _area, end_a, _b in found}
    rows = threaded.filter(area_id__in=areas, end_a__in=ends).order_by("number")
    told = [
        (lot_id, found[area, end_a, end_b])
        for lot_id, area, end_a, end_b in rows.values_list("pk", "area_id", "end_a", "end_b")
        if (area, end_a, end_b) in found
    ]
    first = sorted(told, key=lambda one: -one[1].odds)[:MOST_STRANGERS]
    lots = Lot.objects.select_related("area", "bag").in_bulk([lot_id for lot_id, _stranger in first])
    return [StrangerLot(lots[lot_id], stranger) for lot_id, stranger in first]


def next_measurements(lots: Sequence[Lot]) -> list[NextMeasurement]:
    """Return for each lot with an open thread what would tell its candidates apart.

    Where the open end was measured, the advice is that of its last naming; else it is reckoned from the
    candidates themselves, as if what they have in common had been measured.
    """
    said: dict[tuple[int, str], str] = {}
    measured = ThreadNaming.objects.filter(lot__in=lots, withdrawn=False, kept_as="").order_by("id")
    for lot_id, end, words in measured.values_list("lot_id", "end", "tell_apart"):
        said[lot_id, end] = words
    found = []
    for lot in lots:
        end = "end_a" if "|" in lot.end_a else "end_b"
        words = said.get((lot.pk, end)) or between(getattr(lot, end), internal=not _outside(lot))
        found.append(NextMeasurement(end, words))
    return found


@lru_cache(maxsize=512)
def between(ends: str, *, internal: bool) -> str:
    """Say what would tell the candidates of an open end apart, of which nothing was measured yet."""
    threads = [thread(name) for name in ends.split("|") if name]
    majors = [one.major_mm for one in threads]
    leaves = {one.tpi for one in threads}
    alike = max(majors) - min(majors) <= _ALIKE_MM
    if not alike and len(leaves) > 1:
        return "the outside diameter and the pitch"
    readings = ThreadReadings(
        internal=internal,
        major_mm=sum(majors) / len(majors) if alike else None,
        leaf_tpi=leaves.pop() if len(leaves) == 1 else None,
    )
    return identify(readings, ThreadPrior(series_weights=_only(threads))).tell_apart


def _outside(lot: Lot) -> bool:
    return Kind(lot.kind).is_externally_threaded or Kind(lot.kind) is Kind.OTHER


def _only(threads: Sequence[Thread]) -> tuple[tuple[ThreadSeries, float], ...]:
    """Rule every series out that no candidate is of."""
    possible = {one.series for one in threads}
    return tuple((series, 0.0) for series in ThreadSeries if series not in possible)
