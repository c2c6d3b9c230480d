"""What each job is short of, has out and has lost; reckoned again only for jobs that a record touched."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q, Sum
from django.utils import timezone

from runningfit.workshop.pieces.models import Holding, Lot, Place
from runningfit.workshop.plan.filling import EMPTY, filling_of, holdings_by_place
from runningfit.workshop.records.models import Change, Record

# A record bears the time at which its transaction began; none takes longer than this to be seen.
_LATEST_SEEN = dt.timedelta(minutes=2)
_FEW_RECORDS = 200


@dataclass(frozen=True, slots=True)
class Standing:
    """How a job stands: places that are short, pieces they miss, pieces outside, pieces lost."""

    short_places: int = 0
    short: int = 0
    outside: int = 0
    lost: int = 0


class Standings:
    """What was reckoned last for each job; it follows from the books, so every worker may keep its own."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: dict[int, Standing] = {}
        self._seen: set[tuple[int, dt.datetime]] = set()
        self._since: dt.datetime | None = None

    def of_jobs(self, jobs: Sequence[int]) -> dict[int, Standing]:
        """Return how these jobs stand by the job's id."""
        with self._lock:
            now = timezone.now()
            for job_id in self._touched():
                self._kept.pop(job_id, None)
            stale = [job_id for job_id in jobs if job_id not in self._kept]
            if stale:
                self._kept |= reckon(stale)
            self._since = now
            return {job_id: self._kept[job_id] for job_id in jobs}

    def _touched(self) -> set[int]:
        """Return the jobs that a record not seen before touched."""
        since = (self._since or timezone.now()) - _LATEST_SEEN
        recent = set(Record.objects.filter(at__gt=since).values_list("pk", "at"))
        fresh, self._seen = {pk for pk, _ in recent - self._seen}, recent
        if len(fresh) > _FEW_RECORDS:
            return set(self._kept)
        if not fresh:
            return set()
        changes = Change.objects.filter(record__in=fresh)
        lots = changes.filter(model="Lot").values("object_id")
        places = changes.filter(model="Place").values("object_id")
        jobs = [
            Record.objects.filter(pk__in=fresh, job__isnull=False).values_list("job_id", flat=True),
            Lot.objects.filter(pk__in=lots).values_list("job_id", flat=True).distinct(),
            Place.objects.filter(pk__in=places).values_list("area__job_id", flat=True).distinct(),
        ]
        return {job_id for rows in jobs for job_id in rows if job_id is not None}


def reckon(jobs: Sequence[int]) -> dict[int, Standing]:
    """Reckon afresh how jobs stand."""
    filling = filling_of(holdings_by_place(Q(lot__job__in=jobs)))
    sums = {job_id: {"short_places": 0, "short": 0, "outside": 0, "missing": 0} for job_id in jobs}
    rows = Place.objects.filter(area__job__in=jobs, withdrawn=False).values_list(
        "area__job_id", "pk", "count"
    )
    for job_id, place_id, count in rows:
        missing = count - filling.get(place_id, EMPTY).filled
        if missing > 0:
            sums[job_id]["short_places"] += 1
            sums[job_id]["short"] += missing
    held = Holding.objects.filter(lot__job__in=jobs, lot__withdrawn=False, account__in=("outside", "missing"))
    for job_id, account, count in (
        held.order_by().values_list("lot__job_id", "account").annotate(Sum("count"))
    ):
        sums[job_id][account] = count
    return {
        job_id: Standing(found["short_places"], found["short"], found["outside"], found["missing"])
        for job_id, found in sums.items()
    }
