"""Lots that belong nowhere: foreign ones, spare ones, and those that only fit a place that was assumed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from django.db.models import QuerySet

from runningfit.core.plan.belonging import Belonging, Belongs
from runningfit.core.plan.fit import PieceSpec, PlaceNeed
from runningfit.workshop.pieces.ledger import Counts, counts_of
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.plan.sorts import needs_of, sorts_of
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import attach, prepared

SHOWN = 20
A_PAGE = 100
LISTS = ("foreign", "doubtful", "open", "spare")
_LIST_OF = {Belongs.NOWHERE: "foreign", Belongs.DOUBTFULLY: "doubtful", Belongs.OPEN: "open"}


@dataclass(frozen=True, slots=True)
class Stranger:
    """A lot that belongs nowhere, or may, and why."""

    lot: Lot
    counts: Counts
    why: str


@dataclass(frozen=True, slots=True)
class Strangers:
    """The lots of a job by where they belong; each list is cut, its whole length is beside it.

    Parameters
    ----------
    foreign : tuple of Stranger
        They fit no place of any engine of the job.
    doubtful : tuple of Stranger
        They fit only places that were assumed from what came off, so they may be foreign all the same.
    open : tuple of Stranger
        Something must be found out first.
    spare : tuple of Stranger
        They fit a place, and are allotted to none.
    totals : dict of str to int
        How many lots each list has in all.
    described : int
        How many places the job has; with none nobody can tell.
    """

    foreign: tuple[Stranger, ...]
    doubtful: tuple[Stranger, ...]
    open: tuple[Stranger, ...]
    spare: tuple[Stranger, ...]
    totals: dict[str, int]
    described: int


def strangers_of(job: Job, *, only: str = "", after: int = 0) -> Strangers:
    """Return the lots of a job that are foreign, doubtful, still to be told, or spare.

    Parameters
    ----------
    only : str
        One of LISTS to go through that list page by page; empty shows the first of each.
    after : int
        With ``only``, the id of the lot after which the page begins.
    """
    needs: dict[PlaceNeed, bool] = {}
    described = 0
    for need, known, count in needs_of(job):
        needs[need] = needs.get(need, False) or known
        described += count
    belonging = _belonging(tuple(needs.items()))
    sorts = sorts_of(job)
    judged = belonging.judge(sort.spec for sort in sorts)
    listed: dict[str, dict[int, PieceSpec]] = {name: {} for name in LISTS}
    for sort in sorts:
        belongs = judged[sort.spec]
        if belongs in (Belongs.SURELY, Belongs.DOUBTFULLY):
            listed["spare"] |= dict.fromkeys(sort.free, sort.spec)
        if belongs is not Belongs.SURELY:
            listed[_LIST_OF[belongs]] |= dict.fromkeys(sort.free + sort.allotted, sort.spec)
    pages = {
        name: sorted(lot_id for lot_id in lots if lot_id > after)[: A_PAGE if only else SHOWN]
        for name, lots in listed.items()
        if only in ("", name)
    }
    shown = _strangers({lot_id for page in pages.values() for lot_id in page})
    whys = {
        lot_id: belonging.why(listed[name][lot_id])
        for name in ("foreign", "open")
        for lot_id in pages.get(name, ())
    }
    lists = {
        name: tuple(Stranger(*shown[lot_id], whys.get(lot_id, "")) for lot_id in pages.get(name, ()))
        for name in LISTS
    }
    return Strangers(**lists, totals={name: len(lots) for name, lots in listed.items()}, described=described)


@lru_cache(maxsize=8)
def _belonging(needs: tuple[tuple[PlaceNeed, bool], ...]) -> Belonging:
    return Belonging(dict(needs))


def _strangers(lot_ids: set[int]) -> dict[int, tuple[Lot, Counts]]:
    lots = _lots(sorted(lot_ids))
    attach(lots, "bag", "area", "origin", "place")
    counts = counts_of(lots)
    return {lot.pk: (lot, counts[lot.pk]) for lot in lots}


@prepared
def _lots(lot_ids: Sequence[int]) -> QuerySet[Lot]:
    return Lot.objects.filter(pk__in=lot_ids)
