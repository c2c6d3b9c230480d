"""Reads of outside work: what is still outside, what is to go, consignments and their discrepancies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import BooleanField, Count, Exists, ExpressionWrapper, F, OuterRef, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from runningfit.core.errors import NotFound
from runningfit.core.treatments import all_treatments
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine, Discrepancy, OutsideShop
from runningfit.workshop.pieces.models import Bag, Holding, Lot, Movement
from runningfit.workshop.records.models import Job

OUTSIDE_TREATMENTS = tuple(one.key for one in all_treatments() if one.goes_outside)
# Leaving a lot as it is needs no work, so such a lot is done with the decision.
HERE_TREATMENTS = tuple(one.key for one in all_treatments() if not one.goes_outside and one.key != "leave")
STATES = ("undecided", "to_go", "here", "out", "done")
PAGE = 100
LOTS_PAGE = 60


@dataclass(frozen=True, slots=True)
class LotsPage:
    """Lots of a job in one state, by number, and the number after which the next page begins."""

    lots: tuple[Lot, ...]
    after: int | None


@dataclass(frozen=True, slots=True)
class ConsignmentSum:
    """A consignment with its pieces: sent, back, written off, and how many discrepancies are open."""

    consignment: Consignment
    sent: int
    back: int
    lost: int
    lots: int
    open: int

    @property
    def outside(self) -> int:
        """Return the pieces that are still outside."""
        return self.sent - self.back - self.lost if self.consignment.sent_on else 0


def outstanding(line: ConsignmentLine) -> int:
    """Return how many pieces of a line are still outside; those written off are not."""
    if line.consignment.sent_on is None or line.withdrawn:
        return 0
    return line.count - (line.back_count or 0) - line.lost_count


def lines_of(consignment: Consignment) -> list[ConsignmentLine]:
    """Return the standing lines of a consignment with their lots and bags, by bag."""
    # Two hundred lots share few jobs, engines and areas: these are read once each, not once a line.
    rows = list(
        ConsignmentLine.objects.filter(consignment=consignment, withdrawn=False)
        .select_related("lot__bag", "bag")
        .prefetch_related("lot__job", "lot__origin", "lot__area")
        .order_by("lot__job", "bag__code", "pk")
    )
    for row in rows:
        row.consignment = consignment
    return rows


def out_with(*, lot: Lot | None = None, bag: Bag | None = None) -> list[Consignment]:
    """Return the consignments on which a lot, or lots of a bag, are out."""
    lines = ConsignmentLine.objects.filter(withdrawn=False)
    lines = lines.filter(lot=lot) if lot is not None else lines.filter(lot__bag=bag)
    gone = Consignment.objects.filter(sent_on__isnull=False, closed_on__isnull=True, withdrawn=False)
    return list(gone.filter(pk__in=lines.values("consignment_id")).order_by("number"))


def consignment_by_number(number: int) -> Consignment:
    """Return a consignment, or raise NotFound saying so."""
    found = Consignment.objects.filter(number=number, withdrawn=False).select_related("shop").first()
    if found is None:
        raise NotFound(f"There is no consignment {number} in this data folder.")
    return found


def discrepancy_by_id(discrepancy_id: int) -> Discrepancy:
    """Return a discrepancy, or raise NotFound saying so."""
    found = (
        Discrepancy.objects.filter(pk=discrepancy_id, withdrawn=False)
        .select_related("consignment", "line__consignment", "line__lot__job", "lot__job", "job")
        .first()
    )
    if found is None:
        raise NotFound(f"There is no discrepancy {discrepancy_id} in this data folder.")
    return found


def outside_shops() -> QuerySet[OutsideShop]:
    """Return the outside shops, by name."""
    return OutsideShop.objects.filter(withdrawn=False).order_by("name", "pk")


def shop_by_id(shop_id: int) -> OutsideShop:
    """Return an outside shop, or raise NotFound saying so."""
    found = OutsideShop.objects.filter(pk=shop_id, withdrawn=False).first()
    if found is None:
        raise NotFound(f"There is no outside shop {shop_id} in this data folder.")
    return found


def consignments(
    *, job: Job | None = None, closed: bool = False, before: int | None = None
) -> list[ConsignmentSum]:
    """Return consignments with their sums, the newest first.

    Parameters
    ----------
    job : Job or None
        Only those that carry a lot of this job.
    closed : bool
        Those that are accounted for, a page at a time; else all that are not.
    before : int or None
        Only numbers below this one.
    """
    rows = Consignment.objects.filter(withdrawn=False, closed_on__isnull=not closed).select_related("shop")
    standing = Q(lines__withdrawn=False)
    if job is not None:
        rows = rows.filter(
            Exists(ConsignmentLine.objects.filter(consignment=OuterRef("pk"), withdrawn=False, lot__job=job))
        )
    if before is not None:
        rows = rows.filter(number__lt=before)
    rows = rows.order_by("-number")
    if closed:
        rows = rows[:PAGE]
    open_by = dict(
        Discrepancy.objects.filter(withdrawn=False, closed_at__isnull=True)
        .values_list("consignment")
        .annotate(Count("pk"))
    )
    return [
        ConsignmentSum(row, row.sent_sum, row.back_sum, row.lost_sum, row.lot_count, open_by.get(row.pk, 0))
        for row in rows.annotate(
            sent_sum=Coalesce(Sum("lines__count", filter=standing), 0),
            back_sum=Coalesce(Sum("lines__back_count", filter=standing), 0),
            lost_sum=Coalesce(Sum("lines__lost_count", filter=standing), 0),
            lot_count=Count("lines", filter=standing),
        )
    ]


def open_discrepancies(
    *, job: Job | None = None, consignment: Consignment | None = None
) -> QuerySet[Discrepancy]:
    """Return the discrepancies that nobody has closed, the oldest first."""
    rows = Discrepancy.objects.filter(withdrawn=False, closed_at__isnull=True)
    if job is not None:
        rows = rows.filter(job=job)
    if consignment is not None:
        rows = rows.filter(consignment=consignment)
    return rows.select_related("consignment__shop", "line__lot", "lot", "job").order_by("pk")


def closed_discrepancies(
    *, job: Job | None = None, consignment: Consignment | None = None
) -> QuerySet[Discrepancy]:
    """Return the discrepancies that were closed last, with their reasons."""
    rows = Discrepancy.objects.filter(withdrawn=False, closed_at__isnull=False)
    if job is not None:
        rows = rows.filter(job=job)
    if consignment is not None:
        rows = rows.filter(consignment=consignment)
    return rows.select_related("consignment__shop", "lot", "job").order_by("-closed_at", "-pk")[:PAGE]


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
    """Return how many lots of a job are in each state, looking at each lot once."""
    counts = dict.fromkeys(STATES, 0)
    facts = _facts()
    rows = (
        Lot.objects.filter(job=job, withdrawn=False)
        .annotate(here=facts["here"], out=facts["out"], back=facts["back"])
        .values_list("treatment", "here", "out", "back")
        .annotate(Count("pk"))
        .order_by()
    )
    for treatment, here, out, back, count in rows:
        state = _state(treatment, here=here, out=out, back=back)
        if state:
            counts[state] += count
    return counts


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
    lots = in_state(Lot.objects.filter(job=job, withdrawn=False), state)
    if treatment:
        lots = lots.filter(treatment=treatment)
    for word in words.lower().split()[:8]:
        lots = lots.filter(
            Q(words__contains=word) | Q(area__name__icontains=word) | Q(bag__code__iexact=word)
        )
    if after is not None:
        lots = lots.filter(number__gt=after)
    rows = list(lots.select_related("bag", "area", "origin").order_by("number")[: page + 1])
    return LotsPage(tuple(rows[:page]), rows[page - 1].number if len(rows) > page else None)


def lots_ready() -> QuerySet[Lot]:
    """Return lots of every job that are to go outside and are on no consignment yet."""
    drafted = ConsignmentLine.objects.filter(
        lot=OuterRef("pk"), withdrawn=False, consignment__sent_on__isnull=True, consignment__withdrawn=False
    )
    lots = Lot.objects.filter(withdrawn=False, job__withdrawn=False, job__closed_on__isnull=True)
    lots = in_state(lots, "to_go").exclude(Exists(drafted)).select_related("job", "bag", "area")
    return lots.order_by("job", "treatment", "number")


def drafts_of(lots: Sequence[Lot]) -> dict[int, ConsignmentLine]:
    """Return by the lot's id the line of a consignment that is made up but not sent."""
    rows = ConsignmentLine.objects.filter(
        lot__in=lots, withdrawn=False, consignment__sent_on__isnull=True, consignment__withdrawn=False
    ).select_related("consignment__shop")
    return {row.lot_id: row for row in rows}


def last_lines_of(lots: Sequence[Lot]) -> dict[int, ConsignmentLine]:
    """Return by the lot's id the line of the consignment that it was sent with last."""
    rows = (
        ConsignmentLine.objects.filter(lot__in=lots, withdrawn=False, consignment__sent_on__isnull=False)
        .select_related("consignment__shop")
        .order_by("pk")
    )
    return {row.lot_id: row for row in rows}


def lots_outside(line: ConsignmentLine) -> list[tuple[Lot, int]]:
    """Return the lots that hold the line's pieces outside, and how many; a lot may split or join there."""
    ids = [line.lot_id]
    for lot_id in ids:
        ids += (
            Movement.objects.filter(from_lot=lot_id, from_account="outside", to_account="outside")
            .exclude(to_lot__in=ids)
            .order_by("pk")
            .values_list("to_lot", flat=True)
            .distinct()
        )
    holdings = Holding.objects.filter(lot__in=ids, account="outside", count__gt=0)
    held = dict(holdings.values_list("lot_id", "count"))
    lots = Lot.objects.select_related("job", "bag").in_bulk(list(held))
    return [(lots[lot_id], held[lot_id]) for lot_id in ids if lot_id in held]
