"""How much, and when: spent, committed, offered, not yet quoted, the latest day, and what blocks."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, QuerySet, Sum

from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine
from runningfit.workshop.outside_work.queries import open_count
from runningfit.workshop.pieces.ledger import PRESENT
from runningfit.workshop.pieces.models import Holding, Place
from runningfit.workshop.pieces.queries import open_findings_count
from runningfit.workshop.plan.filling import EMPTY, filling_of_job
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import prepared

_PENNY = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Amount:
    """One amount of a job: what for, how much, when it is due, and how that was reckoned."""

    what: str
    amount: Decimal | None
    due_on: dt.date | None = None
    said: str = ""
    consignment: Consignment | None = None
    to_buy: ToBuy | None = None


@dataclass(frozen=True, slots=True)
class Block:
    """Something that keeps the job from being finished, by the step where it is cleared up."""

    said: str
    step: str


@dataclass(frozen=True, slots=True)
class HowMuch:
    """Money and time of a job on one page.

    Parameters
    ----------
    spent, committed, offered, unquoted : tuple of Amount
        Paid; ordered, or sent at a quoted price; quoted and not yet ordered or sent; without any price.
    latest : date or None
        The latest day on which something shall come back or arrive.
    undated : int
        How many consignments and orders are awaited without any day.
    overdue : int
        How many are past their day.
    blocks : tuple of Block
        What is still open.
    """

    spent: tuple[Amount, ...]
    committed: tuple[Amount, ...]
    offered: tuple[Amount, ...]
    unquoted: tuple[Amount, ...]
    latest: dt.date | None
    undated: int
    overdue: int
    blocks: tuple[Block, ...]

    @property
    def totals(self) -> dict[str, Decimal]:
        """Return the sum of each list that has amounts."""
        lists = {"spent": self.spent, "committed": self.committed, "offered": self.offered}
        return {
            name: sum((row.amount or Decimal(0) for row in rows), Decimal(0)) for name, rows in lists.items()
        }


def how_much(*, job: Job, today: dt.date) -> HowMuch:
    """Return money and time of a job; a consignment of several jobs is shared among them, and says how."""
    lists: dict[str, list[Amount]] = defaultdict(list)
    awaited: list[dt.date | None] = []
    for consignment, amount, said in _consigned(job):
        out = consignment.sent_on is not None and consignment.closed_on is None
        if out:
            awaited.append(consignment.due_on)
        state = "spent" if consignment.paid is not None else "committed" if consignment.sent_on else "offered"
        lists["unquoted" if amount is None else state].append(
            Amount(
                f"consignment {consignment.number}, {consignment.shop.name}",
                amount,
                consignment.due_on if out else None,
                said,
                consignment=consignment,
            )
        )
    for row in _to_buy(job.pk):
        ordered = row.ordered_on is not None and row.received_on is None
        if ordered:
            awaited.append(row.due_on)
        state = "spent" if row.received_on else "committed" if ordered else "offered"
        amount = None if row.price_each is None else row.price_each * row.count
        said = f"from {row.supplier}" if row.supplier else ""
        lists["unquoted" if amount is None else state].append(
            Amount(f"{row.count} {row.in_words}", amount, row.due_on if ordered else None, said, to_buy=row)
        )
    days = [day for day in awaited if day is not None]
    return HowMuch(
        spent=tuple(lists["spent"]),
        committed=tuple(lists["committed"]),
        offered=tuple(lists["offered"]),
        unquoted=tuple(lists["unquoted"]),
        latest=max(days, default=None),
        undated=len(awaited) - len(days),
        overdue=sum(1 for day in days if day < today),
        blocks=tuple(_blocks(job)),
    )


def _consigned(job: Job) -> Iterator[tuple[Consignment, Decimal | None, str]]:
    """Yield each consignment that carries lots of the job, with the job's share of its price."""
    lines: dict[int, list[tuple[int, int, Decimal | None]]] = defaultdict(list)
    for consignment_id, job_id, count, price in _lines(job.pk):
        lines[consignment_id].append((job_id, count, price))
    for consignment in _consignments(list(lines)):
        whole = consignment.quoted if consignment.paid is None else consignment.paid
        yield consignment, *_share(job, whole, lines[consignment.pk])


@prepared
def _lines(job_id: int) -> QuerySet[ConsignmentLine, tuple[int, int, int, Decimal | None]]:
    mine = ConsignmentLine.objects.filter(lot__job=job_id, withdrawn=False).values("consignment_id")
    lines = ConsignmentLine.objects.filter(consignment__in=mine, withdrawn=False)
    return lines.values_list("consignment_id", "lot__job_id", "count", "price")


@prepared
def _consignments(consignments: Sequence[int]) -> QuerySet[Consignment]:
    rows = Consignment.objects.filter(pk__in=consignments, withdrawn=False).select_related("shop")
    return rows.order_by("number")


@prepared
def _to_buy(job_id: int) -> QuerySet[ToBuy]:
    return ToBuy.objects.filter(job=job_id, withdrawn=False).order_by("pk")


def _share(
    job: Job, whole: Decimal | None, lines: list[tuple[int, int, Decimal | None]]
) -> tuple[Decimal | None, str]:
    own = [(count, price) for job_id, count, price in lines if job_id == job.pk]
    if whole is None:
        prices = [price for _, price in own if price is not None]
        return (sum(prices, Decimal(0)), "by its lines") if len(prices) == len(own) else (None, "")
    if len(own) == len(lines):
        return whole, ""
    # Several jobs share the van: by the pieces each has on it, since no better measure is known.
    pieces, of_all = sum(count for count, _ in own), sum(count for _, count, _ in lines)
    return (whole * pieces / of_all).quantize(_PENNY), f"its share of {whole}: {pieces} of {of_all} pieces"


def _blocks(job: Job) -> Iterator[Block]:
    """Yield what is still open, each in one line."""
    discrepancies = open_count(job)
    if discrepancies:
        yield Block(f"{_many(discrepancies, 'discrepancy', 'discrepancies')} not closed", "discrepancies")
    places = _places(job.pk)
    filling = filling_of_job(job)
    missing = [max(0, count - filling.get(pk, EMPTY).filled) for pk, count, _ in places]
    if any(missing):
        short = sum(1 for n in missing if n)
        yield Block(f"{_many(sum(missing), 'piece')} missing in {_many(short, 'place')}", "plan")
    away = dict(_away(job.pk))
    if away.get("outside"):
        yield Block(f"{_many(away['outside'], 'piece')} outside", "send")
    if away.get("missing"):
        yield Block(f"{_many(away['missing'], 'piece')} counted as missing", "plan")
    doubted = dict(_doubted(job.pk))
    for state, word in (("not_proven", "not proven"), ("defective", "defective")):
        pieces = doubted.get(state, 0)
        holes = sum(count for _, count, kept in places if kept == state)
        if pieces or holes:
            said = " and ".join(
                text for n, text in ((pieces, _many(pieces, "piece")), (holes, _many(holes, "hole"))) if n
            )
            yield Block(f"{said} with a thread {word}", "build")
    findings = open_findings_count(job)
    if findings:
        yield Block(f"{_many(findings, 'finding')} not settled", "findings")


@prepared
def _places(job_id: int) -> QuerySet[Place, tuple[int, int, str]]:
    places = Place.objects.filter(area__job=job_id, withdrawn=False)
    return places.values_list("pk", "count", "thread_state")


@prepared
def _away(job_id: int) -> QuerySet[Holding, tuple[str, int]]:
    held = Holding.objects.filter(
        lot__job=job_id, lot__withdrawn=False, account__in=("outside", "missing"), count__gt=0
    )
    return held.order_by().values_list("account").annotate(Sum("count"))


@prepared
def _doubted(job_id: int) -> QuerySet[Holding, tuple[str, int]]:
    doubted = Q(lot__job=job_id, lot__withdrawn=False, lot__thread_state__in=("not_proven", "defective"))
    held = Holding.objects.filter(doubted, account__in=PRESENT, count__gt=0)
    return held.order_by().values_list("lot__thread_state").annotate(Sum("count"))


def _many(count: int, one: str, many: str = "") -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"
