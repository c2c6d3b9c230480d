"""How full each place of a job is, counted by the database."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q, QuerySet, Sum

from runningfit.workshop.pieces.ledger import PRESENT
from runningfit.workshop.pieces.models import Holding, Place
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import prepared


@dataclass(frozen=True, slots=True)
class Filling:
    """How many pieces are allotted to a place, by where they are; defective ones fill nothing."""

    here: int = 0
    outside: int = 0
    fitted: int = 0
    defective: int = 0

    @property
    def filled(self) -> int:
        """Return the pieces that fill it, wherever they are."""
        return self.here + self.outside + self.fitted


EMPTY = Filling()


def filling_of(rows: Iterable[tuple[int | None, str, str, int]]) -> dict[int, Filling]:
    """Return the filling of places by their id; a place without pieces is left out.

    Parameters
    ----------
    rows : iterable of tuple
        Place, account, thread state and sum of the holdings, as ``holdings_by_place`` gives them.
    """
    sums: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for place_id, account, thread_state, count in rows:
        if account not in PRESENT or place_id is None:
            continue
        key = (
            "defective"
            if thread_state == "defective"
            else "here"
            if account in ("bench", "store")
            else account
        )
        sums[place_id][key] += count
    return {place_id: Filling(**counts) for place_id, counts in sums.items()}


def holdings_by_place(lots: Q) -> QuerySet[Holding, tuple[int | None, str, str, int]]:
    """Return what places hold: place, account, thread state, sum.

    Parameters
    ----------
    lots : Q
        Which lots, as a condition on the holding, such as ``Q(lot__place=place)``.
    """
    return (
        # Asked for by account, the database would look up each account of each lot by itself.
        Holding.objects.filter(lots, lot__place__isnull=False, lot__withdrawn=False, count__gt=0)
        .order_by()
        .values_list("lot__place_id", "account", "lot__thread_state")
        .annotate(Sum("count"))
    )


def filling_of_job(job: Job) -> dict[int, Filling]:
    """Return the filling of every place of a job by the place's id."""
    return filling_of(_of_job(job.pk))


@prepared
def _of_job(job_id: int) -> QuerySet[Holding, tuple[int | None, str, str, int]]:
    return holdings_by_place(Q(lot__job=job_id))


def filled(place: Place) -> int:
    """Return how many sound pieces fill one place."""
    return filling_of(holdings_by_place(Q(lot__place=place))).get(place.pk, EMPTY).filled
