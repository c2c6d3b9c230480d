"""Where lots are on the way out and back: not decided, to go, to do here, out, done."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass

from django.db.models import BooleanField, Count, Exists, ExpressionWrapper, F, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from runningfit.core.treatments import all_treatments
from runningfit.workshop.outside_work.models import ConsignmentLine
from runningfit.workshop.pieces.models import Holding, Lot
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import attach, prepared

OUTSIDE_TREATMENTS = tuple(one.key for one in all_treatments() if one.goes_outside)
# Leaving a lot as it is needs no work, so such a lot is done with the decision.
HERE_TREATMENTS = tuple(one.key for one in all_treatments() if not one.goes_outside and one.key != "leave")
STATES = ("undecided", "to_go", "here", "out", "done")
LOTS_PAGE = 60


@dataclass(frozen=True, slots=True)
class LotsPage:
    """Lots of a job in one state, by number, and the number after which the next page begins."""

    lots: tuple[Lot, ...]
    after: int | None


def in_state(lots: QuerySet[Lot], state: str) -> QuerySet[Lot]:
    """Narrow lots to one state of the way out and back.

    Parameters
    ----------
    state : str
        undecided (nobody said what is to be done), to_go (for an outside shop), here (to be done here), out,
        or done (back, done here, or left as it is).
    """
    facts = _facts()
    here, out, back = Q(facts["here"]), Q(facts["out"]), Q(facts["back"])
    conditions = {
        "undecided": here & ~out & Q(treatment="") & ~back,
        "to_go": here & ~out & Q(treatment__in=OUTSIDE_TREATMENTS),
        "here": here & ~out & Q(treatment__in=HERE_TREATMENTS),
        "out": out,
        "done": here & ~out & (Q(treatment="leave") | (Q(treatment="") & back)),
    }
    return lots.filter(conditions[state])


def state_counts(job: Job) -> dict[str, int]:
    """Return how many lots of a job are in each state.

    The database counts the lots that are here by their treatment alone; the few that were ever put on a
    consignment are then looked at one by one.
    """
    counts: dict[str, int] = defaultdict(int)
    for treatment, look, count in _here_by_treatment(job.pk):
        counts[_state(treatment, here=True, out=False, back=bool(look))] += count
    ever: dict[int, list[bool]] = {}
    said: dict[int, tuple[str, bool, bool]] = {}
    for lot_id, treatment, look, here, sent_on, sent, back, lost in _ever_on_a_consignment(job.pk):
        said[lot_id] = treatment, bool(look), here
        out_or_back = ever.setdefault(lot_id, [False, False])
        out_or_back[0] |= sent_on is not None and sent > (back or 0) + lost
        out_or_back[1] |= back is not None
    for lot_id, (treatment, received, here) in said.items():
        out, back = ever[lot_id]
        counts[_state(treatment, here=here, out=False, back=received)] -= 1
        counts[_state(treatment, here=here, out=out, back=back or received)] += 1
    return {state: counts[state] for state in STATES}


@prepared
def _here_by_treatment(job_id: int) -> QuerySet[Lot, tuple[str, str, int]]:
    lots = Lot.objects.filter(_facts()["here"], job=job_id, withdrawn=False)
    return lots.order_by().values_list("treatment", "finish_received_look").annotate(Count("pk"))


@prepared
def _ever_on_a_consignment(
    job_id: int,
) -> QuerySet[ConsignmentLine, tuple[int, str, str, bool, dt.date | None, int, int | None, int]]:
    here = Exists(Holding.objects.filter(lot=OuterRef("lot"), account__in=("bench", "store"), count__gt=0))
    return (
        ConsignmentLine.objects.filter(lot__job=job_id, lot__withdrawn=False, withdrawn=False)
        .order_by()
        .values_list(
            "lot_id",
            "lot__treatment",
            "lot__finish_received_look",
            here,
            "consignment__sent_on",
            "count",
            "back_count",
            "lost_count",
        )
    )


def _state(treatment: str, *, here: bool, out: bool, back: bool) -> str:
    if out or not here:
        return "out" if out else ""
    if treatment in OUTSIDE_TREATMENTS or treatment in HERE_TREATMENTS:
        return "to_go" if treatment in OUTSIDE_TREATMENTS else "here"
    return "done" if back or treatment else "undecided"


def _facts() -> dict[str, Exists | ExpressionWrapper[Q]]:
    """Return what decides on a lot's state: pieces here, pieces out, back from a treatment."""
    lines = ConsignmentLine.objects.filter(lot=OuterRef("pk"), withdrawn=False)
    out = lines.filter(
        consignment__sent_on__isnull=False, count__gt=Coalesce(F("back_count"), 0) + F("lost_count")
    )
    back = Q(Exists(lines.filter(back_count__isnull=False))) | ~Q(finish_received_look="")
    return {
        "here": Exists(
            Holding.objects.filter(lot=OuterRef("pk"), account__in=("bench", "store"), count__gt=0)
        ),
        "out": Exists(out),
        "back": ExpressionWrapper(back, output_field=BooleanField()),
    }


def lots_in_state(
    job: Job,
    state: str,
    *,
    treatment: str = "",
    words: str = "",
    after: int | None = None,
    page: int = LOTS_PAGE,
) -> LotsPage:
    """Return one page of a job's lots in a state, by number.

    Parameters
    ----------
    treatment : str
        Only lots asked this treatment.
    words : str
        Only lots that carry all these words.
    after : int or None
        Only lots with a number above this one.
    """
    if not words and not treatment and page == LOTS_PAGE:
        rows = _FIRST_OF[state](job.pk, after or 0)
    else:
        lots = _lots_from(state, job.pk, after or 0)
        if treatment:
            lots = lots.filter(treatment=treatment)
        for word in words.lower().split()[:8]:
            lots = lots.filter(
                Q(words__contains=word) | Q(area__name__icontains=word) | Q(bag__code__iexact=word)
            )
        rows = list(lots[: page + 1])
    attach(rows[:page], "bag", "area")
    return LotsPage(tuple(rows[:page]), rows[page - 1].number if len(rows) > page else None)


def _lots_from(state: str, job_id: int, after: int) -> QuerySet[Lot]:
    lots = Lot.objects.filter(job=job_id, withdrawn=False, number__gt=after)
    return in_state(lots, state).order_by("number")


def _first_of(state: str) -> Callable[[int, int], list[Lot]]:
    """Return what reads the lots in a state that a page shows, and the one that tells that more follow."""

    @prepared
    def first(job_id: int, after: int) -> QuerySet[Lot]:
        return _lots_from(state, job_id, after)[: LOTS_PAGE + 1]

    return first


_FIRST_OF = {state: _first_of(state) for state in STATES}
