"""Closing a discrepancy: how it ended, why, and where the pieces are then."""

from __future__ import annotations

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.outside_work import queries
from runningfit.workshop.outside_work.discrepancies import close_discrepancy
from runningfit.workshop.outside_work.models import Discrepancy
from runningfit.workshop.pieces.ledger import Counts
from runningfit.workshop.pieces.lots import split_lot
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.models import Record
from runningfit.workshop.records.taking_back import take_back
from workshop.outside_work.bucket import HAND, Shed, a_shed, back, balanced, counts, group, sent

pytestmark = pytest.mark.django_db
WHY = HAND.because("looked for it")


@pytest.fixture
def shed() -> Shed:
    return a_shed()


def the_open(kind: str) -> Discrepancy:
    return Discrepancy.objects.get(kind=kind, closed_at__isnull=True)


def fresh(lot: Lot) -> Lot:
    return Lot.objects.get(pk=lot.pk)


def test_a_short_is_closed_as_lost_found_or_never_sent(shed: Shed) -> None:
    lot = shed.lot(9)
    consignment = sent(lot)
    back(consignment, group(lot, 6))
    row = the_open("short")
    with pytest.raises(InvalidInput, match="why needs a reason"):
        close_discrepancy(discrepancy=row, outcome="lost", hand=HAND)
    with pytest.raises(InvalidInput, match="outcome needs one of found, lost, never_sent; 'eaten' came"):
        close_discrepancy(discrepancy=row, outcome="eaten", hand=WHY)
    close_discrepancy(discrepancy=row, outcome="lost", hand=WHY)
    assert counts(lot) == Counts(bench=6, missing=3, found=9)
    with pytest.raises(Conflict, match="was closed before"):
        close_discrepancy(discrepancy=row, outcome="found", hand=WHY)
    consignment.refresh_from_db()
    assert consignment.closed_on is not None
    take_back(record=Record.objects.filter(verb="close_discrepancy").latest("pk"), hand=WHY)
    close_discrepancy(discrepancy=the_open("short"), outcome="never_sent", hand=WHY)
    assert counts(lot) == Counts(bench=6, found=6)
    take_back(record=Record.objects.filter(verb="close_discrepancy").latest("pk"), hand=WHY)
    close_discrepancy(discrepancy=the_open("short"), outcome="found", hand=WHY)
    assert counts(lot) == Counts(bench=9, found=9)
    assert balanced()


def test_never_sent_pieces_leave_the_books_where_their_parent_lot_came_in(shed: Shed) -> None:
    lot = shed.lot(9)
    part = split_lot(lot=lot, count=4, hand=HAND)
    consignment = sent(part)
    back(consignment, group(part, 3))
    close_discrepancy(discrepancy=the_open("short"), outcome="never_sent", hand=WHY)
    assert counts(part).total == 3
    assert counts(lot).found == 8
    assert balanced()


@pytest.mark.parametrize(("outcome", "stray"), [("kept", 1), ("lost", 0)])
def test_a_swap_that_is_not_put_right_loses_ours(shed: Shed, outcome: str, stray: int) -> None:
    lot, shorter = shed.lot(9), shed.lot(1, length="1 1/4 in", length_mm=31.75, treatment="")
    consignment = sent(lot)
    back(consignment, group(lot, 8), group(shorter, 1))
    row = the_open("swapped")
    close_discrepancy(discrepancy=row, outcome=outcome, hand=WHY)
    assert counts(lot) == Counts(bench=8, missing=1, found=9)
    assert row.lot is not None
    assert counts(row.lot).bench == stray
    assert balanced()


def test_twins_told_apart_after_all_have_their_engines_again(shed: Shed) -> None:
    ours, theirs = shed.lot(4), shed.lot(6, bag="T2", origin=shed.donor)
    consignment = sent(ours, theirs)
    back(consignment, group(ours, 10))
    rows = list(queries.open_discrepancies(consignment=consignment))
    close_discrepancy(discrepancy=rows[0], outcome="told_apart", hand=WHY)
    assert (fresh(ours).origin, fresh(theirs).origin) == (shed.subject, shed.donor)
    assert not fresh(ours).origin_lost
    assert fresh(ours).origin_said == ""
