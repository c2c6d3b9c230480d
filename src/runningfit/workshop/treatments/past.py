"""What treatments cost and how long they took, from the shop's own consignments and orders; never a guess."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Max, Q, QuerySet
from django.utils import timezone

from runningfit.workshop.outside_work.models import ConsignmentLine, CountBack
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.records.prepared import prepared

# Older work tells little of today's price.
_NEWEST = 400
_SAME_SORT = ("kind", "end_a", "end_b", "size_said", "length_mm")


@dataclass(frozen=True, slots=True)
class Past:
    """What one treatment cost and took, as far as this shop's records say.

    Parameters
    ----------
    each : tuple of Decimal
        Price of a piece, each time that it is known, the cheapest first.
    days : tuple of int
        Days from sending, or ordering, until all of it was counted back, each time, the shortest first.
    quoted : bool
        Whether the price is only quoted and nothing was bought yet.
    """

    each: tuple[Decimal, ...] = ()
    days: tuple[int, ...] = ()
    quoted: bool = False


@dataclass(slots=True)
class _Gathered:
    each: list[Decimal] = field(default_factory=list)
    days: list[int] = field(default_factory=list)

    def past(self) -> Past:
        return Past(tuple(sorted(self.each)), tuple(sorted(self.days)))


@dataclass(frozen=True, slots=True)
class _Line:
    consignment: int
    treatment: str
    count: int
    price: Decimal | None
    bill: Decimal | None
    sent_on: dt.date
    is_back: bool


def past_of_treatments() -> dict[str, Past]:
    """Return by the treatment's key what it cost and how long it took, from the newest consignments.

    A bill is shared over the pieces only where all of them had one treatment.
    """
    lines = [
        _Line(*row[:5], sent_on=row[5], is_back=row[6] is not None)
        for row in _sent_lines()
        if row[5] is not None
    ]
    back = dict(_last_counted(sorted({line.consignment for line in lines if line.is_back})))
    gathered: Mapping[str, _Gathered] = defaultdict(_Gathered)
    by_consignment: Mapping[int, list[_Line]] = defaultdict(list)
    for line in lines:
        by_consignment[line.consignment].append(line)
        if line.price is not None:
            gathered[line.treatment].each.append(line.price / line.count)
    for consignment, its in by_consignment.items():
        treatments = {line.treatment for line in its}
        counted = back.get(consignment)
        if counted is not None:
            for key in treatments:
                gathered[key].days.append(_days(its[0].sent_on, timezone.localdate(counted)))
        if len(treatments) == 1 and its[0].bill is not None and all(line.price is None for line in its):
            gathered[its[0].treatment].each.append(its[0].bill / sum(line.count for line in its))
    return {key: one.past() for key, one in gathered.items()}


def past_of_buying(lot: Lot) -> Past:
    """Return what new ones of a lot's sort cost, and how long orders took until they came."""
    rows = list(_bought_like(lot))
    mine = [row for row in rows if row.instead_of_id == lot.pk and row.price_each is not None]
    priced = mine or [row for row in rows if row.price_each is not None]
    return Past(
        tuple(sorted({row.price_each for row in priced if row.price_each is not None})),
        tuple(
            sorted(
                _days(row.ordered_on, row.received_on)
                for row in rows
                if row.ordered_on is not None and row.received_on is not None
            )
        ),
        quoted=bool(priced) and all(row.received_on is None for row in priced),
    )


def past_of_refurbishing(rows: Iterable[ToBuy]) -> Past:
    """Return what refurbishing the lot was said to cost beside buying new ones."""
    said = sorted({row.refurbish_price_each for row in rows if row.refurbish_price_each is not None})
    return Past(tuple(said), quoted=bool(said))


def competing_with(lot: Lot) -> list[ToBuy]:
    """Return what stands on the list to buy instead of a lot."""
    return list(ToBuy.objects.filter(instead_of=lot, withdrawn=False).order_by("-pk"))


def _days(first: dt.date, last: dt.date) -> int:
    return max(0, (last - first).days)


@prepared
def _sent_lines() -> QuerySet[
    ConsignmentLine, tuple[int, str, int, Decimal | None, Decimal | None, dt.date | None, int | None]
]:
    return (
        ConsignmentLine.objects.filter(
            withdrawn=False, consignment__withdrawn=False, consignment__sent_on__isnull=False
        )
        .order_by("-pk")
        .values_list(
            "consignment_id",
            "treatment",
            "count",
            "price",
            "consignment__paid",
            "consignment__sent_on",
            "back_count",
        )[:_NEWEST]
    )


@prepared
def _last_counted(consignments: Sequence[int]) -> QuerySet[CountBack, tuple[int, dt.datetime]]:
    counted = CountBack.objects.filter(consignment__in=consignments, withdrawn=False, finished=True)
    return counted.order_by().values_list("consignment").annotate(Max("at"))


def _bought_like(lot: Lot) -> QuerySet[ToBuy]:
    same = Q(**{name: getattr(lot, name) for name in _SAME_SORT}) if lot.kind != "other" else Q(pk=None)
    mine = Q(instead_of=lot) | (Q(place=lot.place_id) if lot.place_id else Q(pk=None))
    return ToBuy.objects.filter(mine | same, withdrawn=False).order_by("-pk")[:_NEWEST]
