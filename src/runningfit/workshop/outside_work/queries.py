"""Reads of outside work: what is still outside, what is to go, consignments and their discrepancies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Exists, OuterRef, QuerySet, Sum
from django.db.models.functions import Coalesce

from runningfit.core.errors import NotFound
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine, Discrepancy, OutsideShop
from runningfit.workshop.outside_work.states import in_state
from runningfit.workshop.pieces.models import Bag, Holding, Lot, Movement
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import attach, prepared

PAGE = 100


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
    rows = _lines(consignment.pk)
    attach(rows, "lot", "bag")
    attach([row.lot for row in rows], "job", "origin", "area", "bag")
    for row in rows:
        row.consignment = consignment
    return rows


@prepared
def _lines(consignment: int) -> QuerySet[ConsignmentLine]:
    lines = ConsignmentLine.objects.filter(consignment=consignment, withdrawn=False)
    return lines.order_by("lot__job", "bag__code", "pk")


def lines_of_lot(lot: Lot) -> list[ConsignmentLine]:
    """Return the lines of consignments on which a lot stands or stood, the oldest first."""
    return _lines_of_lot(lot.pk)


@prepared
def _lines_of_lot(lot: int) -> QuerySet[ConsignmentLine]:
    lines = ConsignmentLine.objects.filter(lot=lot, withdrawn=False)
    return lines.select_related("consignment__shop").order_by("pk")


def out_with(*, lot: Lot | None = None, bag: Bag | None = None) -> list[Consignment]:
    """Return the consignments on which a lot, or lots of a bag, are out."""
    return _out_with(lot.pk if lot else None, bag.pk if bag else None)


@prepared
def _out_with(lot: int | None, bag: int | None) -> QuerySet[Consignment]:
    lines = ConsignmentLine.objects.filter(withdrawn=False)
    lines = lines.filter(lot=lot) if lot is not None else lines.filter(lot__bag=bag)
    gone = Consignment.objects.filter(sent_on__isnull=False, closed_on__isnull=True, withdrawn=False)
    return gone.filter(pk__in=lines.values("consignment_id")).order_by("number")


def out_of(job: Job) -> list[Consignment]:
    """Return the consignments on which lots of a job are out, the oldest first."""
    return _out_of(job.pk)


@prepared
def _out_of(job: int) -> QuerySet[Consignment]:
    lines = ConsignmentLine.objects.filter(withdrawn=False, lot__job=job)
    gone = Consignment.objects.filter(sent_on__isnull=False, closed_on__isnull=True, withdrawn=False)
    return gone.filter(pk__in=lines.values("consignment_id")).order_by("number")


@prepared
def _consignment(number: int) -> QuerySet[Consignment]:
    return Consignment.objects.filter(number=number, withdrawn=False).select_related("shop")


def consignment_by_number(number: int) -> Consignment:
    """Return a consignment, or raise NotFound saying so."""
    found = next(iter(_consignment(number)), None)
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
    found = _consignments(job.pk if job is not None else None, closed, before)
    open_by = dict(_open_by_consignment())
    sums = {
        pk: (sent, back, lost, lots) for pk, sent, back, lost, lots in _line_sums([row.pk for row in found])
    }
    return [
        ConsignmentSum(row, sent, back, lost, lots, open_by.get(row.pk, 0))
        for row in found
        for sent, back, lost, lots in [sums.get(row.pk, (0, 0, 0, 0))]
    ]


@prepared
def _consignments(job_id: int | None, closed: bool, before: int | None) -> QuerySet[Consignment]:
    rows = Consignment.objects.filter(withdrawn=False, closed_on__isnull=not closed).select_related("shop")
    if job_id is not None:
        mine = ConsignmentLine.objects.filter(consignment=OuterRef("pk"), withdrawn=False, lot__job=job_id)
        rows = rows.filter(Exists(mine))
    if before is not None:
        rows = rows.filter(number__lt=before)
    rows = rows.order_by("-number")
    return rows[:PAGE] if closed else rows


@prepared
def _open_by_consignment() -> QuerySet[Discrepancy, tuple[int, int]]:
    still_open = Discrepancy.objects.filter(withdrawn=False, closed_at__isnull=True)
    return still_open.order_by().values_list("consignment").annotate(Count("pk"))


@prepared
def _line_sums(consignments: Sequence[int]) -> QuerySet[ConsignmentLine, tuple[int, int, int, int, int]]:
    lines = ConsignmentLine.objects.filter(consignment__in=consignments, withdrawn=False)
    return (
        lines.order_by()
        .values_list("consignment")
        .annotate(
            sent_sum=Sum("count"),
            back_sum=Coalesce(Sum("back_count"), 0),
            lost_sum=Sum("lost_count"),
            lot_count=Count("pk"),
        )
    )


def open_discrepancies(
    *, job: Job | None = None, consignment: Consignment | None = None
) -> list[Discrepancy]:
    """Return the discrepancies that nobody has closed, the oldest first."""
    return _open_ones(job.pk if job else None, consignment.pk if consignment else None)


def closed_discrepancies(
    *, job: Job | None = None, consignment: Consignment | None = None
) -> list[Discrepancy]:
    """Return the discrepancies that were closed last, with their reasons."""
    return _closed_ones(job.pk if job else None, consignment.pk if consignment else None)


def open_count(job: Job) -> int:
    """Return how many discrepancies of a job nobody has closed."""
    return len(_open_ids(job.pk))


@prepared
def _open_ids(job_id: int) -> QuerySet[Discrepancy, int]:
    return _told(job_id, None, closed=False).values_list("pk", flat=True)


@prepared
def _open_ones(job_id: int | None, consignment: int | None) -> QuerySet[Discrepancy]:
    rows = _told(job_id, consignment, closed=False)
    return rows.select_related("consignment", "lot").order_by("pk")


@prepared
def _closed_ones(job_id: int | None, consignment: int | None) -> QuerySet[Discrepancy]:
    rows = _told(job_id, consignment, closed=True)
    return rows.select_related("consignment", "lot").order_by("-closed_at", "-pk")[:PAGE]


def _told(job_id: int | None, consignment: int | None, *, closed: bool) -> QuerySet[Discrepancy]:
    rows = Discrepancy.objects.filter(withdrawn=False, closed_at__isnull=not closed)
    if job_id is not None:
        rows = rows.filter(job=job_id)
    return rows if consignment is None else rows.filter(consignment=consignment)


def ready_count(most: int) -> int:
    """Return how many lots of every job are to go outside and are on no consignment yet, up to so many."""
    return len(lots_ready().select_related(None).order_by().values_list("pk")[:most])


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
    return {row.lot_id: row for row in _drafted([lot.pk for lot in lots])}


@prepared
def _drafted(lots: Sequence[int]) -> QuerySet[ConsignmentLine]:
    return ConsignmentLine.objects.filter(
        lot__in=lots, withdrawn=False, consignment__sent_on__isnull=True, consignment__withdrawn=False
    ).select_related("consignment__shop")


def last_lines_of(lots: Sequence[Lot]) -> dict[int, ConsignmentLine]:
    """Return by the lot's id the line of the consignment that it was sent with last."""
    return {row.lot_id: row for row in _sent([lot.pk for lot in lots])}


@prepared
def _sent(lots: Sequence[int]) -> QuerySet[ConsignmentLine]:
    return (
        ConsignmentLine.objects.filter(lot__in=lots, withdrawn=False, consignment__sent_on__isnull=False)
        .select_related("consignment__shop")
        .order_by("pk")
    )


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
